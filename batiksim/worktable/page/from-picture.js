// A new cloth from a picture: its dyes, their order, what to wax and brush.

import { ask } from "/page/server.js";
import { showOpened } from "/page/open-cloth.js";
import { button, field, h, tick } from "/page/dom.js";
import { sendPhoto } from "/page/photos.js";
import { dropPlace } from "/page/picture-choice.js";
import { emit, guarded, store } from "/page/store.js";
import { openFile, standing, start } from "/page/tasks.js";

const asked = { photo: null, steps: 4, pots: 2, own_dyes: false };

const take = guarded(async ([file]) => {
  if (!file) return;
  asked.photo = await sendPhoto(file);
  emit("leaf");
  document.querySelector("details[data-key=from-picture] .photo")?.scrollIntoView({ block: "nearest" });
});

function number(label, key, min, max) {
  const input = h("input", { type: "number", min, max, value: asked[key], "data-key": `from-picture-${key}`, onchange: () => { asked[key] = Number(input.value); } });
  return field(label, input);
}

const open = guarded(async (task) => {
  await ask("open", { name: task.data.design });
  await showOpened();
});

/** What came of it, in words. */
function came({ dyeings, off }) {
  const many = dyeings === 1 ? "One dyeing came out." : `${dyeings} dyeings came out, one after another.`;
  const near = off < 2 ? "Its colours match the picture's." : off < 5 ? "A close match; small differences are visible." : "Its colours differ clearly from the picture's.";
  return `${many} ${near}`;
}

export function fromPictureFold() {
  const { cloth } = store.design;
  return h("details", { "data-key": "from-picture" }, h("summary", { "data-key": "fold-from-picture" }, "A cloth from a picture"),
    h("p", {}, "Drop a colour sketch or photo. Out come the dyes, their order, and what to wax and brush, as a new cloth."),
    dropPlace("Drop the picture here.", take),
    asked.photo ? h("div", { class: "photo" }, asked.photo.canvas) : null,
    h("div", { class: "two" }, number("Dyeings at most", "steps", 1, 12), number("Pots in one dyeing", "pots", 1, 6)),
    tick("Only with the dyes of this cloth", asked.own_dyes, (own) => { asked.own_dyes = own; }, { key: "from-picture-own" }),
    h("div", { class: "buttons" }, button("Work out the steps", () => start("from-picture", {
      photo: asked.photo.key, steps: asked.steps, pots: asked.pots, own_dyes: asked.own_dyes, width_mm: cloth.width_mm, colour: cloth.colour,
    }), { class: "main", disabled: !asked.photo, "data-key": "start-from-picture" })),
    standing("from-picture", (task) => h("div", { "data-made": true },
      h("p", {}, came(task.data)),
      h("div", { class: "buttons" },
        button(`Open “${task.data.title}”`, () => open(task), { class: "main", "data-key": "open-from-picture" }),
        button("Open a picture of it", () => openFile(task, "cloth.png", false), { "data-key": "open-cloth.png" }),
        button("Save it", () => openFile(task, "cloth.png", true), { "data-key": "save-cloth.png", "aria-label": "Save a picture of it" })))));
}
