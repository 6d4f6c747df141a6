// The notebook: one leaf each for the cloth, a spot, a step, a pot, what is to be printed, and earlier versions.

import { announce, byId, h, put } from "/page/dom.js";
import { clothLeaf } from "/page/leaf-cloth.js";
import { historyLeaf } from "/page/leaf-history.js";
import { startSmallScreenNotes } from "/page/small-screen-notes.js";
import { planLeaf } from "/page/leaf-plan.js";
import { potLeaf } from "/page/leaf-pot.js";
import { spotLeaf } from "/page/leaf-spot.js";
import { stepLeaf } from "/page/leaf-step.js";
import { pressing, typing } from "/page/input-activity.js";
import { busy } from "/page/changes.js";
import { currentFindings, on, pick, store } from "/page/store.js";
import { say } from "/page/words.js";

const LEAVES = {
  cloth: clothLeaf,
  spot: spotLeaf,
  step: stepLeaf,
  pot: potLeaf,
  plan: planLeaf,
  history: historyLeaf,
};

const tabs = h("div", { class: "tabs", role: "tablist", "aria-label": say("page.notebook.tabs") });
const leaf = h("div", { class: "leaf", id: "leaf", role: "tabpanel", tabindex: "0", "aria-labelledby": "tab-cloth" });
let open = null;
let written = null; // of which cloth
const folded = new Map(); // of each leaf, which of its folds are open

function turnTab(event) {
  const names = Object.keys(LEAVES);
  const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (!by) return;
  event.preventDefault();
  const next = names[(names.indexOf(store.tab) + by + names.length) % names.length];
  pick({}, next);
  byId(`tab-${next}`).focus();
}

function drawTabs() {
  put(tabs, Object.keys(LEAVES).map((name) => h("button", {
    type: "button", role: "tab", id: `tab-${name}`, "data-key": `tab-${name}`, "aria-controls": "leaf",
    "aria-selected": String(store.tab === name), tabindex: store.tab === name ? "0" : "-1",
    onclick: () => pick({}, name),
  }, say(`page.tab.${name}`), name === "cloth" ? problemCount() : null)));
}

let counted = 0; // problems told last

/** How many problems there are, beside the cloth's tab: seen from every leaf. */
function problemCount() {
  if (currentFindings() === null && store.design.steps.length && !store.analysisFailed) return h("span", { class: "count", title: say("page.problems.checking") }, "…");
  const count = currentFindings()?.length;
  return count ? h("span", { class: "count" }, h("span", { class: "unseen" }, `, ${say("page.notebook.problems")}: `), String(count)) : null;
}

function tellCount() {
  const count = currentFindings()?.length;
  if (count === undefined || count === counted) return;
  counted = count;
  announce(count ? say("page.notebook.count", { count }) : say("page.problems.none"));
}

/** Write the open leaf anew with what has come in, but never under her hand, nor with what a change on its way makes untrue. */
function update() {
  const same = open === store.tab && written === store.design?.document;
  if (!same || !(pressing() || busy() || typing(leaf))) return write();
  store.redrawDue = true;
  drawTabs();
}

/** Write the open leaf anew. */
function write() {
  if (!store.design) return;
  written = store.design.document;
  drawTabs();
  const top = open === store.tab ? leaf.scrollTop : 0;
  if (open) folded.set(open, new Map([...leaf.querySelectorAll("details")].map((fold) => [fold.dataset.key, fold.open])));
  const folds = folded.get(store.tab) ?? new Map();
  open = store.tab;
  leaf.setAttribute("aria-labelledby", `tab-${store.tab}`);
  const fresh = h("div", {}, LEAVES[store.tab]());
  for (const fold of fresh.querySelectorAll("details")) if (folds.has(fold.dataset.key)) fold.open = folds.get(fold.dataset.key);
  put(leaf, [...fresh.childNodes]); // folded out already: nothing in a closed fold could keep the focus
  leaf.scrollTop = top;
}

export function startNotebook() {
  byId("notebook").append(tabs, leaf);
  tabs.addEventListener("keydown", turnTab);
  on("design", update);
  on("pick", write);
  startSmallScreenNotes();
  const when = (...names) => () => {
    if (names.includes(store.tab)) update();
  };
  on("analysis", () => {
    if (store.tab === "cloth") update();
    else drawTabs();
    tellCount();
  });
  on("view", when("cloth"));
  on("spot", when("spot"));
  on("leaf", update);
  on("saved", when("history"));
}
