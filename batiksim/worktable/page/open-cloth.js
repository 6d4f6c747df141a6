// Opening another cloth of the folder that the worktable was started in, or the sample.

import { ask, raw } from "/page/server.js";
import { act } from "/page/changes.js";
import { openDialog } from "/page/dialogs.js";
import { button, draw, h } from "/page/dom.js";
import { emit, guarded } from "/page/store.js";
import { say } from "/page/words.js";

/** Show the document that was opened just now. */
export async function showOpened() {
  await act("state");
  emit("view");
  emit("pick");
}

/** A line for a cloth that can be opened: its picture, its name. which : as the server takes it. */
function openLine(sheet, which, title, below) {
  const canvas = h("canvas", { class: "cloth-small", "aria-hidden": "true", width: 4, height: 3 });
  const open = guarded(async () => {
    await ask("open", which);
    sheet().close();
    showOpened();
  });
  const line = h("li", {}, canvas, h("span", {}, title, h("small", { class: "quiet" }, ` ${below}`)), button(say("page.open.open"), open, { "aria-label": say("page.open.open_which", { cloth: title }) }));
  return { line, which, canvas };
}

/** Draw the pictures one after another, for as long as anyone looks. */
async function drawSmall(lines) {
  for (const { which, canvas } of lines) {
    if (!canvas.isConnected) return;
    try {
      const { pixels, shape } = await raw("small", which);
      draw(canvas, pixels, ...shape);
    } catch {
      canvas.classList.add("none"); // one that can't be read says so when it is opened
    }
  }
}

/** Open another cloth of the folder that the worktable was started in, or the sample. */
export const openCloth = guarded(async () => {
  const { designs, sample } = await ask("designs");
  let laid = null;
  const sheet = () => laid.sheet;
  const lines = designs.map(({ name, title }) => openLine(sheet, { name }, title, name));
  if (sample) lines.push(openLine(sheet, { sample: true }, say("page.open.sample"), say("page.open.sample_about")));
  laid = openDialog(say("page.header.open"), [
    designs.length ? null : h("p", {}, say("page.open.none")),
    h("ul", { class: "colours" }, lines.map(({ line }) => line)),
  ]);
  drawSmall(lines);
});
