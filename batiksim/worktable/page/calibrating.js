// Your own dyes learnt from a photo: click each dyed patch and say what dyed it.

import { button, choose, field, h, slider, swatch } from "/page/dom.js";
import { forgetBook } from "/page/dyechoice.js";
import { dropPlace } from "/page/pictures.js";
import { photoOf } from "/page/separating.js";
import { change, emit, guarded, table } from "/page/table.js";
import { standing, start, taskOf } from "/page/tasks.js";

const STEP = 0.01; // of the photo's side, with the keys
const asked = { photo: null, side: 0.05, patches: [], name: "", strength: 1, kind: "dye", next: { x: 0.5, y: 0.5 }, bad: null };

const take = guarded(async ([file]) => {
  if (!file) return;
  asked.photo = await photoOf(file);
  asked.patches = [];
  emit("leaf");
  document.querySelector("[data-key=photo]")?.scrollIntoView({ block: "nearest" });
});

const words = (patch) => (patch.undyed ? "undyed cloth" : patch.card ? "grey card" : Object.entries(patch.dyes).map(([dye, load]) => `${dye} at ${load}`).join(" over "));

function clicked(x, y) {
  if (asked.kind === "dye" && !asked.name.trim()) {
    asked.bad = "Write which dye it is before you click its patch.";
    emit("leaf");
    document.querySelector("[data-key=patch-name]").focus();
    return;
  }
  asked.bad = null;
  const patch = { x, y };
  if (asked.kind === "undyed") patch.undyed = true;
  else if (asked.kind === "card") patch.card = true;
  else patch.dyes = { [asked.name.trim()]: asked.strength };
  asked.patches.push(patch);
  emit("leaf");
}

/** The photo with its patches as squares to be seen and taken away. */
function photo() {
  const { canvas } = asked.photo;
  canvas.onclick = (event) => {
    const box = canvas.getBoundingClientRect();
    clicked((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  };
  const aim = h("span", { class: "pin", hidden: true });
  const at = () => {
    aim.style.setProperty("left", `${asked.next.x * 100}%`);
    aim.style.setProperty("top", `${asked.next.y * 100}%`);
  };
  at();
  const keys = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const frame = h("div", {
    class: "photo", tabindex: "0", role: "application", "data-key": "photo", "aria-label": "The photo. Arrow keys aim, Enter puts a patch there.",
    onfocus: () => { aim.hidden = !frame.matches(":focus-visible"); }, // the mouse needs no aim
    onkeydown: (event) => {
      if (event.target !== frame) return;
      if (keys[event.key]) {
        const [dx, dy] = keys[event.key];
        asked.next = { x: Math.min(1, Math.max(0, asked.next.x + dx * STEP)), y: Math.min(1, Math.max(0, asked.next.y + dy * STEP)) };
        at();
      } else if (event.key === "Enter") clicked(asked.next.x, asked.next.y);
      else return;
      event.preventDefault();
    },
  }, canvas, aim, asked.patches.map((patch, n) => {
    const mark = h("button", {
      type: "button", class: "patch", "aria-label": `Patch ${n + 1}, ${words(patch)}: take it away`, title: words(patch), "data-key": `patch-${n}`,
      onclick: () => {
        asked.patches.splice(n, 1);
        emit("leaf");
      },
    }, String(n + 1));
    mark.style.setProperty("left", `${patch.x * 100}%`);
    mark.style.setProperty("top", `${patch.y * 100}%`);
    mark.style.setProperty("--side", asked.side);
    return mark;
  }));
  return frame;
}

function what() {
  const name = h("input", { type: "text", value: asked.name, list: "dye-names", "data-key": "patch-name", onchange: () => { asked.name = name.value; } });
  const strength = h("input", { type: "number", min: 0.01, max: 4, step: 0.01, value: asked.strength, "data-key": "patch-strength", onchange: () => { asked.strength = Number(strength.value); } });
  const kinds = [["dye", "a dyed patch"], ["undyed", "bare, undyed cloth"], ["card", "a grey card (18 %)"]];
  return [
    choose("You click", kinds, asked.kind, (kind) => {
      asked.kind = kind;
      emit("leaf");
    }, { key: "patch-kind" }),
    asked.kind === "dye" ? h("div", { class: "two" }, field("Dyed with", name), field("Strength", strength, { hint: "1 is full strength" })) : null,
    asked.kind === "dye" && asked.bad ? h("p", { class: "bad-words", role: "alert" }, asked.bad) : null,
    h("datalist", { id: "dye-names" }, table.state.dyes.map((dye) => h("option", { value: dye.name }))),
    slider("How large a patch is", {
      value: asked.side, min: 0.01, max: 0.2, step: 0.005, key: "patch-side", words: (side) => `${Number((side * 100).toFixed(1))}% of the width`,
      settle: (side) => {
        asked.side = side;
        emit("leaf");
      },
    }),
  ];
}

/** Dyes on the shelf that go by the name of a learnt one, but by a colour or a book that isn't the maker's own. */
function namesakes(dyes) {
  const there = table.state.dyes.filter((one) => !one.own).map((one) => one.name);
  return dyes.map((dye) => dye.name).filter((name) => there.includes(name));
}

function learnt(task) {
  const { dyes = [], notes = [], book } = task.data;
  forgetBook();
  const kept = book?.kept ?? [];
  const taken = book ? dyes.filter((dye) => !kept.includes(dye.name)) : [];
  const same = namesakes(taken);
  const use = async () => {
    await change(...same.map((name) => ({ do: "swap_dye", dye: name, name, own: true })));
    emit("leaf");
  };
  return [
    taken.length ? h("p", { class: "fine", "data-made": true }, "They stand in the book now: “Another dye” on the shelf offers them.") : null,
    h("ul", { class: "colours" }, taken.map((dye) => h("li", {}, swatch(dye.hex), h("span", {}, dye.name)))),
    same.length ? h("div", { class: "buttons" }, button(`Dye this cloth with ${same.join(", ")} as learnt`, use, { class: "main", "data-key": "use-learnt" })) : null,
    kept.length ? [
      h("p", {}, `Left as your book has it, because that is surer or was measured: ${kept.join(", ")}.`),
      h("div", { class: "buttons" }, button("Take the new ones all the same", () => teach(true), { "data-key": "replace-learnt" })),
    ] : null,
    notes.map((note) => h("p", { class: "quiet" }, note)),
  ];
}

const teach = (replace) => start("calibrate", {
  photo: asked.photo.key, cloth: table.state.cloth.colour, patches: asked.patches.map((one) => ({ ...one, side: asked.side * 0.7 })), replace,
});

export function calibrateFold() {
  const busy = ["working", "waiting"].includes(taskOf("calibrate")?.state);
  return h("details", { "data-key": "calibrate" }, h("summary", { "data-key": "fold-calibrate" }, "Your own dyes from a photo"),
    h("p", {}, "Photograph your dyed patches in even daylight, with bare cloth or a grey card in the picture. Then click each patch and say what dyed it."),
    dropPlace("Drop the photo here.", take),
    asked.photo ? [what(), photo(), h("p", { class: "quiet" }, `${asked.patches.length} clicked. Press a patch to take it away.`)] : null,
    h("div", { class: "buttons" }, button("Learn these dyes", () => teach(false), { class: "main", disabled: busy || !asked.patches.length, "data-key": "start-calibrate" })),
    standing("calibrate", learnt));
}
