// Your own dyes learnt from a photo: click each dyed patch and say what dyed it.

import { PatchDialog } from "/page/click-patches.js";
import { button, h, swatch } from "/page/dom.js";
import { forgetBook } from "/page/dye-choice.js";
import { dropPlace } from "/page/picture-choice.js";
import { sendPhoto } from "/page/photos.js";
import { change } from "/page/changes.js";
import { emit, guarded, store } from "/page/store.js";
import { standing, start, taskOf } from "/page/tasks.js";
import { say } from "/page/words.js";

const form = { photo: null, side: 0.03, patches: [], name: "", strength: 1, kind: "dye" };

const take = guarded(async ([file]) => {
  if (!file) return;
  form.photo = await sendPhoto(file);
  form.patches = [];
  emit("leaf");
  layPhoto();
});

const layPhoto = () => new PatchDialog(form, { learn: () => teach(false), busy: working, closed: () => emit("leaf") }).lay();

/** Dyes on the shelf that go by the name of a learnt one, but by a colour or a book that isn't the maker's own. */
function namesakes(dyes) {
  const there = store.design.dyes.filter((dye) => !dye.own).map((dye) => dye.name);
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
    taken.length ? h("p", { class: "fine", "data-made": true }, say("page.calibrate.saved")) : null,
    h("ul", { class: "colours" }, taken.map((dye) => h("li", {}, swatch(dye.hex), h("span", {}, dye.name)))),
    same.length ? h("div", { class: "buttons" }, button(say("page.calibrate.use", { dyes: same }), use, { class: "main", "data-key": "use-learnt" })) : null,
    kept.length ? [
      h("p", {}, say("page.calibrate.kept", { dyes: kept })),
      h("div", { class: "buttons" }, button(say("page.calibrate.replace"), () => teach(true), { "data-key": "replace-learnt" })),
    ] : null,
    notes.map((note) => h("p", { class: "quiet" }, note)),
  ];
}

const teach = (replace) => start("calibrate", {
  photo: form.photo.key, cloth: store.design.cloth.colour, patches: form.patches.map((patch) => ({ ...patch, side: form.side })), replace,
});

const working = () => ["working", "waiting", "stopping"].includes(taskOf("calibrate")?.state);

/** Whether patches are marked, which only this page knows of. */
export const hasMarks = () => form.patches.length > 0;

export function calibrateFold() {
  const count = form.patches.length;
  return h("details", { "data-key": "calibrate" }, h("summary", { "data-key": "fold-calibrate" }, say("page.calibrate.title")),
    h("p", {}, say("page.calibrate.about")),
    dropPlace(say("page.calibrate.drop"), take),
    form.photo ? h("div", { class: "buttons" },
      button(say(count ? "page.calibrate.mark_more" : "page.calibrate.mark"), layPhoto, { "data-key": "click-patches" }),
      h("span", { class: "quiet" }, say("page.calibrate.marked", { count, photo: form.photo.name }))) : null,
    h("div", { class: "buttons" }, button(say("page.calibrate.start"), () => teach(false), { class: "main", disabled: working() || !count, "data-key": "start-calibrate" })),
    standing("calibrate", learnt));
}
