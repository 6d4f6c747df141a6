// The line above the cloth: plates pegged in their order, and between them the tags of the steps that made them.

import { raw } from "/page/server.js";
import { refresh, showMoving } from "/page/cloth.js";
import { announce, button, byId, draw, h, put, s } from "/page/dom.js";
import { addStep } from "/page/add-dialogs.js";
import { scrollToNotebook } from "/page/scrolling.js";
import { slip } from "/page/pin-and-rings.js";
import { change } from "/page/changes.js";
import { guarded, look, on, pick, stamp, store } from "/page/store.js";
import { say } from "/page/words.js";

const THUMB_PX = 150;
const strung = h("ol", { class: "strung" });
const rope = s("svg", { class: "rope", "aria-hidden": "true", preserveAspectRatio: "none" }, s("path", { d: "" }), s("path", { d: "", class: "twist" }));
const scroll = h("div", { class: "scroll" }, rope, strung);
let canvases = [];
const canvasOf = new Map(); // the canvas of each plate, by its step

/** The sign of a kind of step: a drop of wax, rounds of dye, an open ring, steam. */
export function sign(step) {
  const icon = s("svg", { viewBox: "0 0 40 40", class: "sign", "aria-hidden": "true" });
  if (step.kind === "wax") {
    icon.append(s("path", { class: "wax", d: "M20 5c7 10 11 15 11 20a11 11 0 0 1-22 0c0-5 4-10 11-20z" }));
    icon.append(s("path", { class: "shine", d: "M15 24a6 6 0 0 0 4 6" }));
  } else if (step.kind === "dye") {
    const many = Math.min(4, step.paints.length);
    step.paints.slice(0, 4).forEach((paint, n) => {
      const round = s("circle", { cx: 20 + (n - (many - 1) / 2) * 8, cy: 20, r: many > 1 ? 10 : 13 });
      round.setAttribute("fill", paint.hex);
      icon.append(round);
    });
  } else if (step.kind === "discharge") {
    icon.append(s("circle", { class: "open", cx: 20, cy: 20, r: 12 }));
  } else {
    for (const x of [12, 20, 28]) icon.append(s("path", { class: "steam", d: `M${x} 33c-5-5 5-8 0-13s5-8 0-13` }));
  }
  return icon;
}

function stepWords(step) {
  if (step.kind === "dye") return say("page.line.pots", { pots: step.paints.map((paint) => paint.pot) });
  if (step.kind === "wax") return step.where.shape;
  return say(`page.line.${step.kind}`);
}

function plate(step, name) {
  const canvas = canvasOf.get(step) ?? h("canvas", { width: 4, height: 3, "aria-hidden": "true" }); // the old plate hangs until the new one is dyed
  canvases.push(canvas);
  canvasOf.set(step, canvas);
  const shown = store.view.step === step;
  return h("li", { class: "plate" },
    h("button", {
      type: "button", "aria-current": shown ? "step" : null, "data-key": `plate-${step}`,
      "aria-label": step === null ? say("page.caption.finished") : step === 0 ? say("page.caption.bare") : say("page.line.after", { number: step }),
      onclick: () => look({ step }),
    }, h("span", { class: "pegs", "aria-hidden": "true" }), canvas, h("span", { class: "says", "aria-hidden": "true" }, name)));
}

function tag(step, number) {
  const picked = store.picked.step === number;
  const words = stepWords(step);
  const shown = h("button", {
    type: "button", class: "tag", "aria-pressed": String(picked), "data-key": `tag-${number}`, "data-step": number,
    "aria-label": say(`page.line.step.${step.kind}`, { number, what: words }), "aria-describedby": "tag-keys",
    onclick: (event) => { if (!dragged) open(number, event.detail === 0); },
    onkeydown: (event) => keyed(event, number),
    onpointerdown: (event) => startDrag(event, number),
  }, sign(step), h("span", { class: "says" }, words));
  return h("li", { class: "tag-on" }, shown);
}

/** Open a step's leaf; pressed by keys once more, go on there. */
function open(step, byKeys) {
  const again = store.tab === "step" && store.picked.step === step;
  slip.hidden = true;
  pick({ step, paint: 1 }, "step");
  scrollToNotebook(byKeys && again);
}

function keyed(event, number) {
  const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
  if (by && (event.shiftKey || event.altKey)) {
    event.preventDefault();
    moveStep(number, number + by);
  } else if (event.key === "Delete") {
    removeStep(number);
  }
}

/** Bring a step to another place on the line. */
export async function moveStep(from, to) {
  const count = store.design.steps.length;
  if (to < 1 || to > count || to === from) return;
  const words = stepWords(store.design.steps[from - 1]);
  store.picked.step = to;
  if (await change({ do: "move_step", step: from, to })) announce(say("page.line.moved", { step: words, number: to, of: count }));
  toTag(to);
}

const marked = (step) => JSON.stringify([step.kind, step.where, step.paints?.map((paint) => [paint.pot, paint.where])]);

/** Which step was moved, [from, to], between two states of the line; of two next to each other, the one at `held`. */
function movedStep(before, after, held) {
  const [old, now] = [before.map(marked), after.map(marked)];
  const first = old.findIndex((step, n) => step !== now[n]);
  const last = old.findLastIndex((step, n) => step !== now[n]);
  const ways = [[first, last], [last, first]].filter(([from, to]) => {
    if (first < 0 || old.length !== now.length) return false;
    const tried = [...old];
    tried.splice(to, 0, ...tried.splice(from, 1));
    return tried.every((step, n) => step === now[n]);
  });
  const [from, to] = ways.find((way) => way[0] === held - 1) ?? ways[0] ?? [null, null];
  return from === null ? null : [from + 1, to + 1];
}

/** A move was taken back or done again: its leaf, and the keys where they are on the line, go on with the step moved. */
function follow(before) {
  const focused = strung.contains(document.activeElement) ? Number(document.activeElement.dataset.step) || null : null;
  const way = movedStep(before, store.design.steps, focused ?? store.picked.step);
  if (!way) return;
  if (store.picked.step === way[0]) pick({ step: way[1] });
  if (focused) toTag(way[1]);
}

const toTag = (number) => strung.querySelector(`[data-key="tag-${number}"]`)?.focus();

export async function removeStep(number) {
  const words = stepWords(store.design.steps[number - 1]);
  if (!(await change({ do: "remove_step", step: number }))) return;
  announce(say("page.line.removed", { step: words }));
  const next = Math.min(number, store.design.steps.length);
  if (document.activeElement === document.body) strung.querySelector(`[data-key="${next ? `tag-${next}` : "add-step"}"]`)?.focus();
}

// Dragging a tag along the line

let dragged = false;

function startDrag(event, number) {
  if (event.button > 0) return;
  const item = event.currentTarget;
  const startX = event.clientX;
  const tags = [...strung.querySelectorAll(".tag[data-step]")];
  const middles = tags.map((tag) => { const box = tag.getBoundingClientRect(); return box.left + box.width / 2; });
  let to = number;
  dragged = false;
  item.setPointerCapture(event.pointerId); // a quick hand is off the tag at its first move
  const follow = (now) => {
    const by = now.clientX - startX;
    if (!dragged && Math.abs(by) < 7) return;
    dragged = true;
    item.classList.add("lifted");
    item.style.setProperty("transform", `translateX(${by}px)`);
    const x = middles[number - 1] + by;
    const place = middles.filter((middle, n) => n !== number - 1 && middle < x).length + 1;
    if (place === to) return;
    to = place;
    tags.forEach((tag, n) => tag.classList.toggle("makes-way", n !== number - 1 && n === to - 1));
    showMoving({ do: "move_step", step: number, to });
  };
  const drop = (now) => {
    item.removeEventListener("pointermove", follow);
    item.removeEventListener("pointerup", drop);
    item.removeEventListener("pointercancel", drop);
    item.classList.remove("lifted");
    item.style.removeProperty("transform");
    for (const tag of tags) tag.classList.remove("makes-way");
    if (dragged && now.type === "pointerup" && to !== number) moveStep(number, to);
    else if (dragged) refresh();
    setTimeout(() => { dragged = false; });
  };
  item.addEventListener("pointermove", follow);
  item.addEventListener("pointerup", drop);
  item.addEventListener("pointercancel", drop);
}

function hangAll() {
  const { steps } = store.design;
  canvases = [];
  const items = [plate(0, say("page.line.bare"))];
  steps.forEach((step, n) => items.push(tag(step, n + 1), plate(n + 1, String(n + 1))));
  items.push(h("li", { class: "tag-on" }, h("button", { type: "button", class: "tag new", "data-key": "add-step", onclick: () => addStep() },
    s("svg", { viewBox: "0 0 40 40", class: "sign", "aria-hidden": "true" }, s("path", { class: "plus", d: "M20 9v22M9 20h22" })),
    h("span", { class: "says" }, say("page.line.add")))), plate(null, say("page.line.finished")));
  put(strung, items);
  strung.classList.toggle("old", last?.of !== stamp(store.design));
  hang();
  bring();
  pictures();
}

/** The line sags a little, what hangs on it sags with it; where it gets crowded, all hangs closer. */
function hang() {
  scroll.classList.remove("close");
  scroll.classList.toggle("close", strung.scrollWidth > scroll.clientWidth + 1);
  const wide = Math.max(strung.scrollWidth, 1);
  const sag = Math.min(16, wide / 60);
  for (const item of strung.children) {
    const t = (item.offsetLeft + item.offsetWidth / 2) / wide;
    item.style.setProperty("--sag", `${4 * sag * t * (1 - t)}px`);
  }
  rope.setAttribute("viewBox", `0 0 ${wide} 40`);
  rope.style.setProperty("width", `${wide}px`);
  for (const path of rope.children) path.setAttribute("d", `M0 8Q${wide / 2} ${8 + 2 * sag} ${wide} 8`);
}

let last = null; // the plates drawn last: {of, frames}

const pictures = guarded(async () => {
  const of = stamp(store.design);
  const frames = last?.of === of ? last.frames : await raw("thumbnails", { width: THUMB_PX });
  if (!frames || of !== stamp(store.design)) return;
  const [plates, rows, cols] = frames.shape;
  if (plates !== canvases.length) return; // the design has changed meanwhile; its news is on the way
  last = { of, frames };
  const each = rows * cols * 4;
  strung.classList.remove("old");
  canvases.forEach((canvas, n) => draw(canvas, frames.pixels.subarray(n * each, (n + 1) * each), rows, cols));
  hang(); // plates have the cloth's shape only now
  bring();
});

let broughtIn; // the plate last brought into sight

/** The plate that is looked at is brought into sight along the line, with its neighbours. */
function bring() {
  const now = `${store.view.step} of ${store.design.steps.length}`;
  const shown = strung.querySelector(`[data-key="plate-${store.view.step}"]`)?.parentElement;
  if (broughtIn === now || !shown) return;
  broughtIn = now;
  const middle = shown.offsetLeft + shown.offsetWidth / 2;
  const reach = Math.min(scroll.clientWidth / 2, shown.offsetWidth * 1.5);
  const least = middle + reach - scroll.clientWidth;
  scroll.scrollLeft = Math.max(Math.min(scroll.scrollLeft, middle - reach), least);
}

function mark() {
  bring();
  for (const plate of strung.querySelectorAll(".plate button")) {
    const shown = plate.dataset.key === `plate-${store.view.step}`;
    if (shown) plate.setAttribute("aria-current", "step");
    else plate.removeAttribute("aria-current");
  }
  for (const tag of strung.querySelectorAll(".tag[data-step]")) {
    tag.setAttribute("aria-pressed", String(Number(tag.dataset.step) === store.picked.step && store.tab === "step"));
  }
}

export function startLine() {
  byId("line").append(scroll, h("p", { id: "tag-keys", class: "unseen" }, say("page.line.keys")));
  strung.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (!by || event.shiftKey || event.altKey) return;
    const all = [...strung.querySelectorAll("button")];
    const next = all[all.indexOf(document.activeElement) + by];
    if (next) {
      event.preventDefault();
      next.focus();
    }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && store.tab === "step" && byId("leaf").contains(event.target)) toTag(store.picked.step);
  });
  new ResizeObserver(hang).observe(scroll);
  on("design", hangAll);
  on("retraced", follow);
  on("view", mark);
  on("pick", mark);
}


