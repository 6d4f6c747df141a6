// Planning and printing: other orders, the handout, amounts and time, a cloth from a picture, dyes from a photo.

import { ask } from "/page/server.js";
import { calibrateFold } from "/page/calibrate.js";
import { showOpened } from "/page/open-cloth.js";
import { button, choose, field, h, swatch, tick } from "/page/dom.js";
import { fromPictureFold } from "/page/from-picture.js";
import { guarded, store } from "/page/store.js";
import { madePicture, past, standing, start, taskOf } from "/page/tasks.js";
import { say } from "/page/words.js";

// What was last asked for, so that the leaf can be turned without losing it.
const form = { derive: false, tune: false, makers: 1, room_c: 20, sessions: "", measures: "metric", paper: "a4", one_page: false, learner: false, risk: false, mirror: false };

const set = (key) => (value) => { form[key] = value; };

function number(label, key, min, max) {
  const input = h("input", { type: "number", min, max, value: form[key], "data-key": `plan-${key}`, onchange: () => { form[key] = Number(input.value); } });
  return field(label, input);
}

function fold(key, title, ...inside) {
  return h("details", { "data-key": key }, h("summary", { "data-key": `fold-${key}` }, title), inside);
}

/** The button that begins some work; where that is done already, opening what it made comes first. */
function beginning(kind, words, act) {
  const done = taskOf(kind)?.state === "done";
  return button(words, act, { class: done ? null : "main", "data-key": `start-${kind}` });
}

const opened = new Set(); // orders that have been opened as a cloth, by task and rank

const openOrder = guarded(async (task, rank) => {
  await ask("open_order", { key: task.key, rank });
  opened.add(`${task.key} ${rank}`);
  await showOpened();
});

/** One order: its picture, its pots, why it stands there. rank : 0 for the cloth as it stands, below the others. */
function orderItem(task, order, rank) {
  const lay = rank && !order.as_it_stands && past(task) !== "changed";
  return h("li", { class: "part order" },
    madePicture(task, `order-${rank}.png`, rank ? say("page.orders.picture", { rank }) : say("page.orders.picture_of_yours")),
    h("div", {},
      h("p", { class: "buttons" }, rank ? h("strong", {}, `${rank}.`) : null, order.dyeings.flat().map((paint) => swatch(paint.hex, { small: true })),
        order.as_it_stands ? h("strong", { class: "fine" }, say("page.orders.yours")) : null),
      h("p", {}, order.sequence)),
    h("p", { class: "quiet" }, order.reasons.join(" ")),
    opened.has(`${task.key} ${rank}`) ? h("p", { class: "fine" }, say("page.orders.opened")) : null,
    lay ? h("div", { class: "buttons" }, button(say(opened.has(`${task.key} ${rank}`) ? "page.orders.open_again" : "page.orders.open"), () => openOrder(task, rank),
      { "data-key": `order-${rank}`, "aria-label": say("page.orders.open_rank", { rank }) })) : null);
}

function ranked(task) {
  const { orders, planned, told, notes } = task.data;
  return [
    h("p", { class: "quiet" }, told),
    h("ol", { class: "orders" }, orders.map((order) => orderItem(task, order, order.rank)),
      orders.some((order) => order.as_it_stands) ? null : orderItem(task, planned, 0)),
    notes.map((note) => h("p", { class: "quiet" }, note)),
  ];
}

const tryOrders = () => start("orders", { derive: form.derive, tune: form.tune });

function ordersFold() {
  return fold("orders", say("page.orders.title"),
    h("p", {}, say("page.orders.about")),
    tick(say("page.orders.derive"), form.derive, set("derive"), { key: "derive" }),
    tick(say("page.orders.tune"), form.tune, set("tune"), { key: "tune" }),
    h("div", { class: "buttons" }, beginning("orders", say("page.orders.start"), tryOrders)),
    standing("orders", ranked, { "orders.png": "sheet" }, tryOrders));
}

const papers = () => ["a4", "letter"].map((paper) => [paper, say(`page.paper.${paper}`)]);

const makeHandout = () => start("handout", {
  makers: form.makers, room_c: form.room_c, paper: form.paper, one_page: form.one_page, learner: form.learner, risk: form.risk,
});

function handoutFold() {
  return fold("handout", say("page.handout.title"),
    h("p", {}, say("page.handout.about")),
    h("div", { class: "two" }, number(say("page.plan.makers"), "makers", 1, 500), number(say("page.plan.room"), "room_c", 5, 40),
      choose(say("page.paper.label"), papers(), form.paper, set("paper"), { key: "plan-paper" })),
    tick(say("page.handout.one_page"), form.one_page, set("one_page"), { key: "one-page" }),
    tick(say("page.handout.learner"), form.learner, set("learner"), { key: "learner" }),
    tick(say("page.handout.risk"), form.risk, set("risk"), { key: "risk" }),
    h("div", { class: "buttons" }, beginning("handout", say("page.handout.start"), makeHandout)),
    standing("handout", null, { "handout.pdf": "handout", "risk.pdf": "risk" }, makeHandout));
}

function traced(task) {
  const { sheets, pages, notes } = task.data;
  return [h("p", {}, say("page.tracing.made", { pages: say("page.tracing.pages", { count: pages }), sheets: say("page.tracing.sheets", { count: sheets }) })),
    notes.map((note) => h("p", { class: "quiet" }, note))];
}

const drawSheets = () => start("tracing", { paper: form.paper, mirror: form.mirror });

function tracingFold() {
  return fold("tracing", say("page.tracing.title"),
    h("p", {}, say("page.tracing.about")),
    h("div", { class: "two" }, choose(say("page.paper.label"), papers(), form.paper, set("paper"), { key: "trace-paper" })),
    tick(say("page.tracing.mirror"), form.mirror, set("mirror"), { key: "mirror" }),
    h("div", { class: "buttons" }, beginning("tracing", say("page.tracing.start"), drawSheets)),
    standing("tracing", traced, { "sheets.pdf": "sheets", "large.pdf": "large" }, drawSheets));
}

const measures = () => ["metric", "us", "imperial", "all"].map((name) => [name, say(`page.measures.${name}`)]);

/** A part of a sheet as the notebook shows it. */
function block(part) {
  if (part.kind === "heading") return h(part.level > 2 ? "h4" : "h3", {}, part.text);
  if (part.kind === "paragraph") return h("p", {}, part.text);
  if (part.kind === "list") return h("ul", {}, part.points.map(([lead, text]) => h("li", {}, lead ? h("strong", {}, `${lead}: `) : null, text)));
  const side = (n) => (part.right.includes(n) ? "right" : null);
  return h("div", { class: "wide", tabindex: "0", role: "group", "aria-label": say("page.workshop.table") }, h("table", {},
    part.titles.some(Boolean) ? h("thead", {}, h("tr", {}, part.titles.map((title, n) => (title ? h("th", { scope: "col", class: side(n) }, title) : h("td"))))) : null,
    h("tbody", {}, part.rows.map((row) => h("tr", {}, row.map((cell, n) => h("td", { class: side(n) }, cell)))))));
}

const workOut = () => start("workshop", {
  makers: form.makers, room_c: form.room_c, sessions: form.sessions || undefined, measures: form.measures,
});

function workshopFold() {
  const sessions = h("input", {
    type: "text", value: form.sessions, placeholder: say("page.workshop.one_go"), "data-key": "plan-sessions",
    onchange: () => { form.sessions = sessions.value.trim(); },
  });
  return fold("workshop", say("page.workshop.title"),
    h("div", { class: "two" }, number(say("page.plan.makers"), "makers", 1, 500), number(say("page.plan.room"), "room_c", 5, 40)),
    field(say("page.workshop.sessions"), sessions, { hint: say("page.workshop.sessions_hint") }), choose(say("page.measures.label"), measures(), form.measures, set("measures"), { key: "plan-measures" }),
    h("div", { class: "buttons" }, beginning("workshop", say("page.workshop.start"), workOut)),
    standing("workshop", (task) => h("div", { class: "written", role: "group", "aria-label": say("page.workshop.sheet") }, task.data.blocks.slice(1).map(block)), { "workshop.pdf": "sheet" }, workOut));
}

export function planLeaf() {
  const bare = !store.design.steps.length;
  return [
    h("h2", {}, say("page.plan.title")),
    bare ? h("p", { class: "quiet" }, say("page.plan.bare")) : [ordersFold(), handoutFold(), tracingFold(), workshopFold()],
    fromPictureFold(),
    calibrateFold(),
  ];
}
