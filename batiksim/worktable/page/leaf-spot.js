// The spot's leaf: what lies under the pin, how it came about, and what each pot would make of it.

import { trialNote } from "/page/leaf-cloth.js";
import { h, swatch } from "/page/dom.js";
import { lampColours } from "/page/lamp-colours.js";
import { look, store } from "/page/store.js";
import { say } from "/page/words.js";

/** How much dye lies there: 1 is as at full strength on open cloth. */
function loadWords({ dye, load }) {
  if (Math.abs(load - 1) < 0.005) return say("page.spot.dye_full", { dye });
  return load < 1 ? say("page.spot.dye_share", { dye, share: Math.round(load * 100) }) : say("page.spot.dye_times", { dye, times: Number(load.toFixed(2)) });
}

function atPin({ colour, closed, loads, lights, x_mm: x, y_mm: y }) {
  return [
    h("div", { class: "big" }, swatch(colour.hex), h("div", {},
      h("p", {}, h("strong", {}, colour.name), closed ? `, ${say("page.spot.under_wax")}` : ""),
      h("p", { class: "quiet figure" }, say("page.spot.place", { x: Math.round(x), y: Math.round(y) })))),
    lights ? lampColours(lights) : null,
    loads.length
      ? h("ul", { class: "mix" }, loads.map((there) => h("li", {}, dot(there.dye), h("span", { class: "figure" }, loadWords(there)))))
      : h("p", {}, say("page.spot.no_dye")),
  ];
}

function dot(name) {
  const dye = store.design.dyes.find((each) => each.name === name);
  return swatch(dye?.hex ?? "transparent", { small: true });
}

function stepList(steps) {
  return h("ol", { class: "analysis" }, steps.map((step) => h("li", {}, swatch(step.hex, { small: true }),
    h("span", {}, h("button", {
      type: "button", class: "plain", "data-key": `see-${step.step}`, "aria-label": say("page.spot.see_after", { number: step.step }),
      onclick: () => look({ step: step.step }),
    }, say("page.spot.step", { number: step.step })), ` ${say("page.spot.step_did", { step: step.title, what: step.what })}`))));
}

function next(spot) {
  const planned = spot.next_step;
  return [
    planned ? h("p", {}, planned.takes
      ? [say("page.spot.next", { number: planned.step, step: planned.title, colour: planned.name }), " ", swatch(planned.hex, { small: true })]
      : say("page.spot.not_reached", { number: planned.step, step: planned.title })) : null,
    spot.next.length ? h("h3", {}, say("page.spot.each_pot")) : null,
    h("ul", { class: "colours" }, spot.next.map(({ pot, hex, name, muddy }) => h("li", {}, swatch(hex), h("span", {}, pot), h("span"),
      h("span", { class: "how" }, muddy ? say("page.spot.muddy", { colour: name }) : name)))),
  ];
}

export function spotLeaf() {
  const { spot } = store;
  if (!spot?.colour) {
    return [h("h2", {}, say("page.spot.title")), h("p", {}, say("page.spot.touch"))];
  }
  return [trialNote(), h("h2", {}, say("page.spot.this")), atPin(spot), h("h3", {}, say("page.spot.how")), stepList(spot.steps), next(spot)];
}
