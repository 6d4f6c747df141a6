// Earlier versions of the cloth, kept beside it on disk.

import { ask } from "/page/server.js";
import { button, h, say } from "/page/dom.js";
import { act } from "/page/changes.js";
import { emit, guarded, on, store } from "/page/store.js";

let versions = null;
let fetchedFor = null; // which saved revision

const fetchVersions = guarded(async (key) => {
  const answer = await ask("history");
  if (key !== fetchedFor) return;
  versions = answer.versions;
  emit("leaf");
});

on("link", () => {
  fetchedFor = null;
});

export function historyLeaf() {
  const { saved, revision, title } = store.design;
  const key = `${title} ${saved} ${revision}`;
  if (fetchedFor !== key) {
    fetchedFor = key;
    fetchVersions(key);
  }
  const restore = async (version) => {
    if (await act("restore", { key: version.key })) say(`The cloth is as it was at ${version.when}. Undo brings it back.`);
  };
  return [
    h("h2", {}, "Earlier"),
    h("p", { class: "quiet" }, "Each saved version stays in the cloth's own folder: all of the last two hours, then fewer. Going back is a change like any other; undo takes it back."),
    versions === null ? h("p", { class: "quiet" }, store.link.how === "up" ? "Looking…" : "They can't be looked up just now.") : versions.length === 0 ? h("p", {}, "None yet. The first is kept with your first change.")
      : h("ul", { class: "colours" }, versions.map((version, n) => h("li", {},
        h("span", { class: "figure" }, version.when), h("span", {}, version.what || "as it was found"),
        n === 0 ? h("span", { class: "quiet" }, "now")
          : button("Go back", () => restore(version), { "data-key": `version-${version.key}`, "aria-label": `Go back to ${version.when}, ${version.what}` })))),
  ];
}
