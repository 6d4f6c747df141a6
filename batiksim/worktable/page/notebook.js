// The notebook: one leaf each for the cloth, a spot, a step, a pot, what is to be printed, and earlier versions.

import { byId, h, put, say } from "/page/dom.js";
import { clothLeaf } from "/page/leaf-cloth.js";
import { historyLeaf } from "/page/leaf-history.js";
import { layNear } from "/page/near.js";
import { planLeaf } from "/page/leaf-plan.js";
import { potLeaf } from "/page/leaf-pot.js";
import { spotLeaf } from "/page/leaf-spot.js";
import { stepLeaf } from "/page/leaf-step.js";
import { findings, found } from "/page/spot.js";
import { pressing, typing } from "/page/rest.js";
import { busy, on, pick, showLater, table } from "/page/table.js";

const LEAVES = {
  cloth: ["Cloth", clothLeaf],
  spot: ["Spot", spotLeaf],
  step: ["Step", stepLeaf],
  pot: ["Pot", potLeaf],
  plan: ["Plan", planLeaf],
  history: ["Earlier", historyLeaf],
};

const tabs = h("div", { class: "tabs", role: "tablist", "aria-label": "Leaves of the notebook" });
const leaf = h("div", { class: "leaf", id: "leaf", role: "tabpanel", tabindex: "0", "aria-labelledby": "tab-cloth" });
let open = null;
let written = null; // of which cloth
const folded = new Map(); // of each leaf, which of its folds are open

function turned(event) {
  const names = Object.keys(LEAVES);
  const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (!by) return;
  event.preventDefault();
  const next = names[(names.indexOf(table.tab) + by + names.length) % names.length];
  pick({}, next);
  byId(`tab-${next}`).focus();
}

function drawTabs() {
  put(tabs, Object.entries(LEAVES).map(([name, [words]]) => h("button", {
    type: "button", role: "tab", id: `tab-${name}`, "data-key": `tab-${name}`, "aria-controls": "leaf",
    "aria-selected": String(table.tab === name), tabindex: table.tab === name ? "0" : "-1",
    onclick: () => pick({}, name),
  }, words, name === "cloth" ? troubleCount() : null)));
}

let counted = 0; // troubles told last

/** How many troubles there are, beside the cloth's tab: seen from every leaf. */
function troubleCount() {
  if (found() === null && table.state.steps.length && !table.untold) return h("span", { class: "count", title: "Looking it over" }, "…");
  const count = findings().length;
  return count ? h("span", { class: "count" }, h("span", { class: "unseen" }, ", troubles: "), String(count)) : null;
}

function tellCount() {
  const now = found()?.length;
  if (now === undefined || now === counted) return;
  counted = now;
  say(now ? `Troubles now: ${now}.` : "Nothing troubles this cloth.");
}

/** Write the open leaf anew with what has come in, but never under her hand, nor with what a change on its way makes untrue. */
function update() {
  const same = open === table.tab && written === table.state?.table;
  if (!same || !(pressing() || busy() || typing(leaf))) return write();
  showLater();
  drawTabs();
}

/** Write the open leaf anew. */
function write() {
  if (!table.state) return;
  written = table.state.table;
  drawTabs();
  const top = open === table.tab ? leaf.scrollTop : 0;
  if (open) folded.set(open, new Map([...leaf.querySelectorAll("details")].map((one) => [one.dataset.key, one.open])));
  const folds = folded.get(table.tab) ?? new Map();
  open = table.tab;
  leaf.setAttribute("aria-labelledby", `tab-${table.tab}`);
  const fresh = h("div", {}, LEAVES[table.tab][1]());
  for (const one of fresh.querySelectorAll("details")) if (folds.has(one.dataset.key)) one.open = folds.get(one.dataset.key);
  put(leaf, [...fresh.childNodes]); // folded out already: nothing in a closed fold could keep the focus
  leaf.scrollTop = top;
}

export function openNotebook() {
  byId("notebook").append(tabs, leaf);
  tabs.addEventListener("keydown", turned);
  on("state", update);
  on("pick", write);
  layNear();
  const when = (...names) => () => {
    if (names.includes(table.tab)) update();
  };
  on("story", () => {
    if (table.tab === "cloth") update();
    else drawTabs();
    tellCount();
  });
  on("view", when("cloth"));
  on("spot", when("spot"));
  on("leaf", update);
  on("saved", when("history"));
}
