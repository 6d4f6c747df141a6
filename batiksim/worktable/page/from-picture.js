// A new cloth from a picture: its dyes, their order, what to wax and brush.

import { ask } from "/page/server.js";
import { showOpened } from "/page/open-cloth.js";
import { button, field, h, tick } from "/page/dom.js";
import { sendPhoto } from "/page/photos.js";
import { dropPlace } from "/page/picture-choice.js";
import { emit, guarded, store } from "/page/store.js";
import { openFile, standing, start } from "/page/tasks.js";
import { say } from "/page/words.js";

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
  const near = off < 2 ? "same" : off < 5 ? "close" : "different";
  return `${say("page.from_picture.dyeings", { count: dyeings })} ${say(`page.from_picture.${near}`)}`;
}

export function fromPictureFold() {
  const { cloth } = store.design;
  return h("details", { "data-key": "from-picture" }, h("summary", { "data-key": "fold-from-picture" }, say("page.from_picture.title")),
    h("p", {}, say("page.from_picture.about")),
    dropPlace(say("page.from_picture.drop"), take),
    asked.photo ? h("div", { class: "photo" }, asked.photo.canvas) : null,
    h("div", { class: "two" }, number(say("page.from_picture.steps"), "steps", 1, 6), number(say("page.from_picture.pots"), "pots", 1, 3)),
    tick(say("page.from_picture.own"), asked.own_dyes, (own) => { asked.own_dyes = own; }, { key: "from-picture-own" }),
    h("div", { class: "buttons" }, button(say("page.from_picture.start"), () => start("from-picture", {
      photo: asked.photo.key, steps: asked.steps, pots: asked.pots, own_dyes: asked.own_dyes, width_mm: cloth.width_mm, colour: cloth.colour,
    }), { class: "main", disabled: !asked.photo, "data-key": "start-from-picture" })),
    standing("from-picture", (task) => h("div", { "data-made": true },
      h("p", {}, came(task.data)),
      h("div", { class: "buttons" },
        button(say("page.from_picture.open", { cloth: task.data.title }), () => open(task), { class: "main", "data-key": "open-from-picture" }),
        button(say("page.file.cloth.open"), () => openFile(task, "cloth.png", false), { "data-key": "open-cloth.png" }),
        button(say("page.task.save"), () => openFile(task, "cloth.png", true), { "data-key": "save-cloth.png", "aria-label": say("page.file.cloth.save") })))));
}
