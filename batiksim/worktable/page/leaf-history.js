// Earlier versions of the cloth, kept beside it on disk.

import { ask } from "/page/api.js";
import { button, h, say } from "/page/dom.js";
import { act, emit, guarded, on, table } from "/page/table.js";

let versions = null;
let asked = null; // for which saved revision

const fetchThem = guarded(async (key) => {
  const found = await ask("history");
  if (key !== asked) return;
  versions = found.versions;
  emit("leaf");
});

on("link", () => {
  asked = null;
});

export function historyLeaf() {
  const { saved, revision, title } = table.state;
  const key = `${title} ${saved} ${revision}`;
  if (asked !== key) {
    asked = key;
    fetchThem(key);
  }
  const restore = async (one) => {
    if (await act("restore", { key: one.key })) say(`The cloth is as it was at ${one.when}. Undo brings it back.`);
  };
  return [
    h("h2", {}, "Earlier"),
    h("p", { class: "quiet" }, "Each saved version stays in the cloth's own folder: all of the last two hours, then fewer. Going back is a change like any other; undo takes it back."),
    versions === null ? h("p", { class: "quiet" }, table.link.how === "up" ? "Looking…" : "They can't be looked up just now.") : versions.length === 0 ? h("p", {}, "None yet. The first is kept with your first change.")
      : h("ul", { class: "colours" }, versions.map((one, n) => h("li", {},
        h("span", { class: "figure" }, one.when), h("span", {}, one.what || "as it was found"),
        n === 0 ? h("span", { class: "quiet" }, "now")
          : button("Go back", () => restore(one), { "data-key": `version-${one.key}`, "aria-label": `Go back to ${one.when}, ${one.what}` })))),
  ];
}
