// Earlier versions of the cloth, kept beside it on disk.

import { ask } from "/page/server.js";
import { announce, button, h } from "/page/dom.js";
import { act } from "/page/changes.js";
import { emit, guarded, on, store } from "/page/store.js";
import { say } from "/page/words.js";

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

const whatOf = (version) => version.what || say("page.history.opened");

export function historyLeaf() {
  const { saved, revision, title } = store.design;
  const key = `${title} ${saved} ${revision}`;
  if (fetchedFor !== key) {
    fetchedFor = key;
    fetchVersions(key);
  }
  const restore = async (version) => {
    if (await act("restore", { key: version.key })) announce(say("page.history.restored", { when: version.when }));
  };
  return [
    h("h2", {}, say("page.tab.history")),
    h("p", { class: "quiet" }, say("page.history.about")),
    versions === null ? h("p", { class: "quiet" }, say(store.link.how === "up" ? "page.history.loading" : "page.history.failed")) : versions.length === 0 ? h("p", {}, say("page.history.none"))
      : h("ul", { class: "colours" }, versions.map((version, n) => h("li", {},
        h("span", { class: "figure" }, version.when), h("span", {}, whatOf(version)),
        n === 0 ? h("span", { class: "quiet" }, say("page.history.now"))
          : button(say("page.history.go_back"), () => restore(version), { "data-key": `version-${version.key}`, "aria-label": say("page.history.go_back_to", { when: version.when, change: whatOf(version) }) })))),
  ];
}
