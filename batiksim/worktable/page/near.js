// Small screens: what belongs to the cloth as it is seen just now stands under it too, a trial or the tool in hand.

import { byId, put } from "/page/dom.js";
import { trialNote } from "/page/leaf-cloth.js";
import { toolNote } from "/page/leaf-step.js";
import { below, toCloth } from "/page/sight.js";
import { on, table } from "/page/table.js";

let shown = null; // what stands there: a trial, or a tool at a mask

function what() {
  if (!below()) return null;
  const { trial, brush } = table;
  return trial?.words ?? (brush ? `${brush.step} ${brush.paint}` : null);
}

function write() {
  const now = what();
  const fresh = now !== null && now !== shown;
  shown = now;
  put(byId("tried"), now === null ? [] : (trialNote("-near") ?? toolNote("-near")));
  byId("tried").hidden = now === null;
  if (fresh) toCloth();
}

export function layNear() {
  on("state", write);
  on("pick", write);
}
