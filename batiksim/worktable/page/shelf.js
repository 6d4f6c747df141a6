// The shelf: each pot a bowl seen from the side, filled to its strength, in its colour as it dries on this cloth.

import { showMoving } from "/page/cloth.js";
import { byId, button, h, put, s, slider } from "/page/dom.js";
import { change } from "/page/changes.js";
import { on, pick, store } from "/page/store.js";
import { addDye, addPot } from "/page/add-dialogs.js";
import { scrollToNotebook } from "/page/scrolling.js";
import { say } from "/page/words.js";

const bowls = h("ul", { class: "bowls" });
const jars = h("div", { class: "jars" });

/** A bowl from the side. fill(strength) raises its contents. */
export function bowl(hex, strength) {
  const id = `bowl-${(bowl.count = (bowl.count ?? 0) + 1)}`;
  const inside = "M8 14h84c0 30-14 50-32 50h-20c-18 0-32-20-32-50z";
  const dye = s("rect", { x: 0, width: 100, height: 60 });
  const rim = s("rect", { x: 0, width: 100, height: 2.6, class: "wet" });
  dye.setAttribute("fill", hex);
  const picture = s("svg", { viewBox: "0 0 100 76", class: "bowl", "aria-hidden": "true" },
    s("clipPath", { id }, s("path", { d: inside })),
    s("path", { d: inside, class: "hollow" }),
    s("g", { "clip-path": `url(#${id})` }, dye, rim),
    s("path", { d: "M5 12h90M8 14c0 30 14 50 32 50h20c18 0 32-20 32-50M36 70h28", class: "clay" }));
  picture.fill = (now) => {
    const level = 62 - Math.min(1, now / store.design.strengths.strongest) * 46;
    dye.setAttribute("y", level);
    rim.setAttribute("y", level - 0.4);
  };
  picture.fill(strength);
  return picture;
}

const strengthWords = (value) => (value === 1 ? say("page.shelf.full") : say("page.shelf.times", { value: Number(value.toFixed(2)) }));

/** The strength slider of a pot. */
export function strengthSlider(pot, key, picture, label = say("page.shelf.strength_of", { pot: pot.name })) {
  const { weakest, strongest } = store.design.strengths;
  const changed = (value) => ({ do: "set_strength", pot: pot.name, strength: Math.max(weakest, value) });
  return slider(label, {
    value: pot.strength, min: 0, max: Math.max(strongest, pot.strength), step: 0.05, key, words: strengthWords,
    moving: (strength) => {
      picture?.fill(strength);
      showMoving(changed(strength));
    },
    settle: (strength) => change(changed(strength)),
  });
}

/** Open the leaf of a pot or dye; pressed by keys once more, go on there. */
function open(pot, byKeys) {
  const again = store.tab === "pot" && store.picked.pot === pot;
  pick({ pot }, "pot");
  scrollToNotebook(byKeys && again);
}

function shelf() {
  const { pots, dyes } = store.design;
  put(bowls, pots.map((pot, n) => {
    const picture = bowl(pot.hex, pot.strength);
    return h("li", { class: pot.steps.length ? "" : "idle" },
      h("button", {
        type: "button", class: "pot", "data-key": `pot-${n}`, "aria-pressed": String(store.picked.pot === pot.name && store.tab === "pot"),
        onclick: (event) => open(pot.name, event.detail === 0),
      }, picture, h("span", { class: "says" }, pot.name)),
      strengthSlider(pot, `strength-${n}`, picture));
  }));
  put(jars,
    h("h3", {}, say("page.shelf.dyes")),
    h("ul", {}, dyes.map((dye, n) => h("li", {}, h("button", {
      type: "button", class: "jar", "data-key": `jar-${n}`, onclick: (event) => open(dye.name, event.detail === 0),
    }, h("span", { class: "dot", style: { "background-color": dye.hex }, "aria-hidden": "true" }), dye.name)))),
    h("div", { class: "adds" },
      button(say("page.shelf.add_dye"), addDye, { class: "add", "data-key": "new-dye" }),
      button(say("page.shelf.mix_pot"), addPot, { class: "add", "data-key": "new-pot" })));
}

export function startShelf() {
  byId("shelf").append(bowls, jars);
  on("design", shelf);
  on("pick", () => {
    for (const pot of bowls.querySelectorAll(".pot")) {
      const name = pot.querySelector(".says").textContent;
      pot.setAttribute("aria-pressed", String(store.picked.pot === name && store.tab === "pot"));
    }
  });
}
