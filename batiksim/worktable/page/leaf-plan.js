// Planning and printing.

import { h } from "/page/dom.js";

export function planLeaf() {
  return [h("h2", {}, "Plan and print")];
}
