// Small screens: what belongs to the cloth as it is seen just now stands under it too, a trial or the tool in hand.

import { byId, put } from "/page/dom.js";
import { trialNote } from "/page/leaf-cloth.js";
import { toolNote } from "/page/leaf-step.js";
import { below, scrollToCloth } from "/page/scrolling.js";
import { on, store } from "/page/store.js";

let shown = null; // what stands there: a trial, or a tool at a mask

function what() {
  if (!below()) return null;
  const { trial, brush } = store;
  return trial?.words ?? (brush ? `${brush.step} ${brush.paint}` : null);
}

function write() {
  const now = what();
  const fresh = now !== null && now !== shown;
  shown = now;
  put(byId("tried"), now === null ? [] : (trialNote("-near") ?? toolNote("-near")));
  byId("tried").hidden = now === null;
  if (fresh) scrollToCloth();
}

export function startSmallScreenNotes() {
  on("design", write);
  on("pick", write);
}
