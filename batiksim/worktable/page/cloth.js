// The cloth in its wooden frame: its frames, looking closer, two arrangements with a slider between.

import { announce, byId, h } from "/page/dom.js";
import { Place } from "/page/frames.js";
import { toWindow } from "/page/geometry.js";
import { askAgain, drawRings, pin, placePin, ringList, slip } from "/page/pin-and-rings.js";
import { emit, on, stamp, store } from "/page/store.js";
import { say } from "/page/words.js";

const { position: view, frame: size } = store;

const MOST_ZOOM = 40;
const CSS_PX_PER_MM = 96 / 25.4;
const PATIENCE_MS = 1200; // a first frame that takes longer is explained

const canvas = h("canvas", { class: "now" });
const besideCanvas = h("canvas", { class: "other" });
export const trail = h("canvas", { class: "trail" });
const sheet = h("div", { class: "sheet" }, canvas, besideCanvas, trail);
export const stage = h("div", {
  id: "cloth", tabindex: "0", role: "application", "aria-roledescription": say("page.cloth.role"), "aria-label": say("page.head.cloth"),
  "aria-describedby": "cloth-keys",
}, sheet, ringList, pin, slip);
const divider = h("input", {
  type: "range", min: 0, max: 100, step: 1, value: 50, class: "divider", "aria-label": say("page.compare.divider"),
});
const left = h("span", { class: "side left" });
const right = h("span", { class: "side right" });
const between = h("div", { class: "between", hidden: true }, left, right, divider);
const keys = h("p", { id: "cloth-keys", class: "unseen" }, say("page.cloth.keys"));

const places = {
  now: new Place("now", canvas, (half, ms) => drawn("now", half, ms)),
  beside: new Place("other", besideCanvas, (half, ms, of) => {
    besideDrawn = arrangement(of);
    split();
    drawn("other", half, ms);
  }),
};

let besideDrawn = null; // the arrangement that the other canvas shows
let besideWanted = null;
const arrangement = ({ changes, set_aside }) => JSON.stringify([changes, set_aside]);

let patience = null;

/** Say why an empty frame stays empty, until the first plate is there. */
function explainWaiting() {
  patience = setTimeout(() => {
    byId("waiting").textContent = say("page.cloth.waiting");
  }, PATIENCE_MS);
}

function drawn(where, half, ms) {
  clearTimeout(patience);
  byId("waiting").textContent = "";
  document.dispatchEvent(new CustomEvent("cloth-drawn", { detail: { place: where, half, ms } }));
}

/** What the server has to know for the frame of a place. */
function body(changes, set_aside = false) {
  const { step, light, wet, wax_off } = store.view;
  return { step, light, wet, wax_off, changes, set_aside, of: stamp(store.design) };
}

/** The cloth as some changes would make it, while a control moves. */
export function showMoving(...changes) {
  places.now.want(body(changes), store.design.size, { moving: true, zoom: view.scale });
}

/** Any other arrangement beside: a trial, or the one that was set aside. */
const besides = () => (store.trial ? "trial" : store.besideSetAside ? "set aside" : null);

export function refresh() {
  if (!store.design) return;
  places.now.want(body([]), store.design.size, { zoom: view.scale });
  const what = besides();
  besideCanvas.hidden = between.hidden = what === null;
  if (what === null) {
    besideDrawn = null;
    return;
  }
  const changes = what === "trial" ? store.trial.changes : [];
  const wanted = body(changes, what === "set aside");
  besideWanted = arrangement(wanted);
  left.textContent = say("page.compare.now");
  places.beside.want(wanted, store.design.size, { zoom: view.scale });
  split();
}

function split() {
  store.divider = divider.value / 100;
  const at = store.divider * size.wide;
  const from = Math.max(0, (at - view.x) / view.scale);
  const late = besideDrawn !== besideWanted; // what is drawn there is of something else
  besideCanvas.style.setProperty("clip-path", `inset(0 0 0 ${from}px)`);
  besideCanvas.style.setProperty("visibility", late ? "hidden" : "visible");
  right.textContent = late ? say("page.compare.drawing") : store.trial ? store.trial.words : say("page.compare.saved");
  between.style.setProperty("--at", `${divider.value}%`);
  divider.setAttribute("aria-valuetext", say("page.compare.share", { value: Number(divider.value) }));
}

function fit() {
  const room = byId("room");
  const { rows, cols } = store.design?.size ?? { rows: 3, cols: 4 };
  const wide = Math.max(120, room.clientWidth - 30);
  const most = Math.min(0.72 * window.innerHeight, (wide * rows) / cols + 40);
  room.style.setProperty("--room", `${Math.round(most)}px`); // on small screens the cloth says how high its room is
  const high = Math.max(120, room.clientHeight - 34);
  const scale = Math.min(wide / cols, high / rows);
  const before = size.wide;
  size.wide = Math.round(cols * scale);
  size.high = Math.round(rows * scale);
  view.x *= size.wide / before;
  view.y *= size.wide / before;
  stage.style.setProperty("width", `${size.wide}px`);
  stage.style.setProperty("height", `${size.high}px`);
  move();
}

/** Put the cloth where `view` says, as far as that may be. */
export function move() {
  view.scale = Math.min(MOST_ZOOM, Math.max(1, view.scale));
  view.x = Math.min(0, Math.max(size.wide * (1 - view.scale), view.x));
  view.y = Math.min(0, Math.max(size.high * (1 - view.scale), view.y));
  sheet.style.setProperty("transform", `translate(${view.x}px, ${view.y}px) scale(${view.scale})`);
  stage.classList.toggle("very-close", view.scale * size.wide > 3 * (canvas.width || 1));
  stage.dataset.zoom = view.scale.toFixed(2);
  placePin();
  if (besides()) split();
}

export function zoom(by, x = size.wide / 2, y = size.high / 2) {
  const before = view.scale;
  view.scale = Math.min(MOST_ZOOM, Math.max(1, before * by));
  view.x = x - ((x - view.x) * view.scale) / before;
  view.y = y - ((y - view.y) * view.scale) / before;
  const deeper = before <= 2 !== view.scale <= 2;
  move();
  if (deeper) refresh();
}

/** One millimetre of cloth as one millimetre of screen, as far as the screen says how large it is. */
export function trueSize() {
  const wanted = (store.design.cloth.width_mm * CSS_PX_PER_MM) / size.wide;
  view.scale = 1;
  zoom(Math.max(1, wanted));
  announce(say(wanted < 1 ? "page.zoom.larger" : "page.zoom.true"));
}

export const zoomIn = () => zoom(1.5, ...pinOrMiddle());
export const zoomOut = () => zoom(1 / 1.5, ...pinOrMiddle());
export function whole() {
  view.scale = 1;
  move();
}

const pinOrMiddle = () => (store.spot ? toWindow(store.spot.x, store.spot.y) : [size.wide / 2, size.high / 2]);

/** Bring a spot into sight, closer. x, y : shares of the cloth. */
export function goTo(x, y, scale = 2.2) {
  const deeper = view.scale <= 2;
  view.scale = Math.max(view.scale, scale);
  view.x = size.wide / 2 - x * size.wide * view.scale;
  view.y = size.high / 2 - y * size.high * view.scale;
  move();
  if (deeper) refresh();
}

/** Build the cloth into its frame. */
export function startCloth() {
  explainWaiting();
  byId("frame").append(stage, between);
  byId("frame").after(keys);
  divider.addEventListener("input", split);
  new ResizeObserver(fit).observe(byId("room"));
  on("design", () => {
    fit();
    refresh();
    drawRings();
    tellCaption();
    askAgain();
  });
  on("view", () => {
    refresh();
    tellCaption();
    askAgain();
  });
  on("analysis", drawRings);
  on("pick", () => {
    drawRings();
    stage.classList.toggle("brushing", store.brush !== null);
    placePin();
  });
}

/** Say below the cloth what is seen. */
export function tellCaption() {
  const { step, light, wet, wax_off } = store.view;
  const steps = store.design.steps;
  const after = step > 0 ? say("page.caption.after", { number: step, step: steps[step - 1].title }) : say("page.caption.bare");
  const what = step === null ? say("page.caption.finished") : after;
  const how = `${wet ? "wet" : "dry"}${wax_off && step !== null ? "_wax_off" : ""}`;
  const text = say(`page.caption.${how}`, { what, light: say(`page.caption.light.${light}`) });
  byId("caption").textContent = text;
  stage.setAttribute("aria-label", text);
  emit("captioned");
}
