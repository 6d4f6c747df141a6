// Planning and printing: other orders, the handout, amounts and time, a cloth from a picture, dyes from a photo.

import { ask } from "/page/server.js";
import { calibrateFold } from "/page/calibrate.js";
import { showOpened } from "/page/open-cloth.js";
import { button, choose, field, h, swatch, tick } from "/page/dom.js";
import { fromPictureFold } from "/page/from-picture.js";
import { guarded, store } from "/page/store.js";
import { madePicture, past, standing, start, taskOf } from "/page/tasks.js";

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
  const name = rank ? `order ${rank}` : "the order as it stands";
  const lay = rank && !order.as_it_stands && past(task) !== "changed";
  return h("li", { class: "part order" },
    madePicture(task, `order-${rank}.png`, `The finished cloth by ${name}`),
    h("div", {},
      h("p", { class: "buttons" }, rank ? h("strong", {}, `${rank}.`) : null, order.dyeings.flat().map((paint) => swatch(paint.hex, { small: true })),
        order.as_it_stands ? h("strong", { class: "fine" }, "as it stands") : null),
      h("p", {}, order.sequence)),
    h("p", { class: "quiet" }, order.reasons.join(" ")),
    opened.has(`${task.key} ${rank}`) ? h("p", { class: "fine" }, "Laid on the table as a cloth of its own.") : null,
    lay ? h("div", { class: "buttons" }, button(opened.has(`${task.key} ${rank}`) ? "Lay it there again" : "Lay it on the table", () => openOrder(task, rank),
      { "data-key": `order-${rank}`, "aria-label": `Lay order ${rank} on the table as a new cloth` })) : null);
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
  return fold("orders", "Other orders of your pots",
    h("p", {}, "Every order of your pots is tried on paper and ranked. One that you like becomes a cloth of its own; this one stays as it is."),
    tick("Make the wax anew for each order", form.derive, set("derive"), { key: "derive" }),
    tick("Thin and strengthen pots too", form.tune, set("tune"), { key: "tune" }),
    h("div", { class: "buttons" }, beginning("orders", "Try all orders", tryOrders)),
    standing("orders", ranked, { "orders.png": "the sheet" }, tryOrders));
}

const PAPERS = [["a4", "A4"], ["letter", "Letter"]];

const makeHandout = () => start("handout", {
  makers: form.makers, room_c: form.room_c, paper: form.paper, one_page: form.one_page, learner: form.learner, risk: form.risk,
});

function handoutFold() {
  return fold("handout", "A handout to print",
    h("p", {}, "Every step with its plate, recipes and amounts, the timetable and the cautions, as a PDF."),
    h("div", { class: "two" }, number("Makers", "makers", 1, 500), number("Room, in °C", "room_c", -20, 60),
      choose("Paper", PAPERS, form.paper, set("paper"), { key: "plan-paper" })),
    tick("Told shortly, on one page", form.one_page, set("one_page"), { key: "one-page" }),
    tick("Plates for learners to colour in", form.learner, set("learner"), { key: "learner" }),
    tick("A risk sheet for the class as well", form.risk, set("risk"), { key: "risk" }),
    h("div", { class: "buttons" }, beginning("handout", "Make the handout", makeHandout)),
    standing("handout", null, { "handout.pdf": "the handout", "risk.pdf": "the risk sheet" }, makeHandout));
}

function traced(task) {
  const { sheets, pages, notes } = task.data;
  return [h("p", {}, `${pages} pages: ${sheets} sheet${sheets === 1 ? "" : "s"} to trace, and a map of them for each waxing. Print at actual size, and check the ruler on each sheet.`),
    notes.map((note) => h("p", { class: "quiet" }, note))];
}

const drawSheets = () => start("tracing", { paper: form.paper, mirror: form.mirror });

function tracingFold() {
  return fold("tracing", "Sheets to trace, at true size",
    h("p", {}, "The outlines of every waxing as large as the cloth, on sheets to be put together, or on one large page for a print shop."),
    h("div", { class: "two" }, choose("Paper", PAPERS, form.paper, set("paper"), { key: "trace-paper" })),
    tick("Mirrored, as seen from the cloth's back", form.mirror, set("mirror"), { key: "mirror" }),
    h("div", { class: "buttons" }, beginning("tracing", "Draw the sheets", drawSheets)),
    standing("tracing", traced, { "sheets.pdf": "the sheets", "large.pdf": "the large page" }, drawSheets));
}

const MEASURES = [["metric", "grams and millilitres"], ["us", "US cups and spoons"], ["imperial", "imperial"], ["all", "all of them"]];

/** A part of a sheet as the notebook shows it. */
function block(part) {
  if (part.kind === "heading") return h(part.level > 2 ? "h4" : "h3", {}, part.text);
  if (part.kind === "paragraph") return h("p", {}, part.text);
  if (part.kind === "list") return h("ul", {}, part.points.map(([lead, text]) => h("li", {}, lead ? h("strong", {}, `${lead}: `) : null, text)));
  const side = (n) => (part.right.includes(n) ? "right" : null);
  return h("div", { class: "wide", tabindex: "0", role: "group", "aria-label": "A table" }, h("table", {},
    part.titles.some(Boolean) ? h("thead", {}, h("tr", {}, part.titles.map((title, n) => (title ? h("th", { scope: "col", class: side(n) }, title) : h("td"))))) : null,
    h("tbody", {}, part.rows.map((row) => h("tr", {}, row.map((cell, n) => h("td", { class: side(n) }, cell)))))));
}

const workOut = () => start("workshop", {
  makers: form.makers, room_c: form.room_c, sessions: form.sessions || undefined, measures: form.measures,
});

function workshopFold() {
  const sessions = h("input", {
    type: "text", value: form.sessions, placeholder: "all in one go", "data-key": "plan-sessions",
    onchange: () => { form.sessions = sessions.value.trim(); },
  });
  return fold("workshop", "Amounts, shopping and time",
    h("div", { class: "two" }, number("Makers", "makers", 1, 500), number("Room, in °C", "room_c", -20, 60)),
    field("Sessions", sessions, { hint: "How many and how long: 2x2h is two of two hours." }), choose("Measured in", MEASURES, form.measures, set("measures"), { key: "plan-measures" }),
    h("div", { class: "buttons" }, beginning("workshop", "Work it out", workOut)),
    standing("workshop", (task) => h("div", { class: "written", role: "group", "aria-label": "The workshop sheet" }, task.data.blocks.slice(1).map(block)), { "workshop.pdf": "the sheet" }, workOut));
}

export function planLeaf() {
  const bare = !store.design.steps.length;
  return [
    h("h2", {}, "Plan and print"),
    bare ? h("p", { class: "quiet" }, "Once this cloth has a step, it can be planned and printed.") : [ordersFold(), handoutFold(), tracingFold(), workshopFold()],
    fromPictureFold(),
    calibrateFold(),
  ];
}
