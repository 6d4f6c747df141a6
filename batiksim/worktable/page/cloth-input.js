// Mouse, fingers, pen and keys on the cloth: the pin, zooming, moving it about, strokes of a tool.

import { move, stage, tellCaption, trail, trueSize, whole, zoom, zoomIn, zoomOut } from "/page/cloth.js";
import { byId } from "/page/dom.js";
import { clamped, toCloth, toWindow } from "/page/geometry.js";
import { askSpot, placePin, pressedRing, putPin, slip, spotWords } from "/page/pin-and-rings.js";
import { stroke } from "/page/strokes.js";
import { emit, guarded, store } from "/page/store.js";
import { say } from "/page/words.js";

const { position: view, frame: size } = store;
const fingers = new Map();
let pinch = null; // {apart, middle}: two fingers
let drag = null; // {from, x, y, far}: the cloth is drawn along
let drawing = null; // a stroke of a tool

function at(event) {
  const box = stage.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

function twoFingers() {
  const [[x0, y0], [x1, y1]] = [...fingers.values()];
  return { apart: Math.hypot(x0 - x1, y0 - y1), middle: [(x0 + x1) / 2, (y0 + y1) / 2] };
}

function down(event) {
  if (event.target.closest(".slip")) return;
  const ringed = pressedRing(event) !== null; // a ring is pressed, but a finger on it can pinch as well
  if (event.button > 0 || (ringed && event.pointerType === "mouse")) return;
  if (!ringed) stage.setPointerCapture(event.pointerId);
  fingers.set(event.pointerId, at(event));
  if (fingers.size === 2) {
    pinch = twoFingers();
    drag = null;
    drawing?.drop();
    drawing = null;
  } else if (ringed) {
    drag = null;
  } else if (fingers.size === 1 && store.brush) {
    drawing = stroke(trail, toCloth(...at(event)));
  } else if (fingers.size === 1) {
    drag = { from: at(event), x: view.x, y: view.y, far: false };
  }
}

function moved(event) {
  if (!fingers.has(event.pointerId)) {
    hover(event);
    return;
  }
  fingers.set(event.pointerId, at(event));
  if (pinch && fingers.size === 2) pinched();
  else if (drawing) drew(event);
  else if (drag) dragged(event);
}

function pinched() {
  const { apart, middle } = twoFingers();
  view.x += middle[0] - pinch.middle[0];
  view.y += middle[1] - pinch.middle[1];
  zoom(apart / (pinch.apart || 1), ...middle);
  pinch = { apart, middle };
}

function drew(event) {
  const events = event.getCoalescedEvents?.() ?? [];
  for (const each of events.length ? events : [event]) drawing.to(toCloth(...at(each)));
  pinAt(event);
}

function dragged(event) {
  const [x, y] = at(event);
  drag.far ||= Math.hypot(x - drag.from[0], y - drag.from[1]) > 5;
  if (!drag.far) return;
  view.x = drag.x + x - drag.from[0];
  view.y = drag.y + y - drag.from[1];
  move();
}

function pinAt(event) {
  store.spot = { ...(store.spot ?? {}), ...clamped(toCloth(...at(event))) };
  placePin();
}

function up(event) {
  if (!fingers.delete(event.pointerId)) return;
  if (fingers.size < 2) pinch = null;
  if (drawing) {
    if (event.type === "pointerup") drawing.end();
    else drawing.drop();
    drawing = null;
  } else if (drag && !drag.far && event.type === "pointerup") {
    const { x, y } = clamped(toCloth(...at(event)));
    putPin(x, y);
  }
  drag = null;
}

let waiting = null;
const hovered = guarded(async (x, y) => {
  const spot = await askSpot(x, y);
  if (spot && waiting !== null) byId("caption").textContent = say("page.spot.caption", { colour: spot.colour.name, story: spotWords(spot) });
});

function hover(event) {
  if (event.pointerType === "touch") return;
  if (store.brush) {
    pinAt(event);
    return;
  }
  const { x, y } = clamped(toCloth(...at(event)));
  clearTimeout(waiting);
  waiting = setTimeout(() => hovered(x, y), 60);
}

function left() {
  clearTimeout(waiting);
  waiting = null;
  tellCaption();
}

function wheel(event) {
  event.preventDefault();
  zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0018)), ...at(event));
}

// Keys

let asking = null;
function stepPin(dx, dy) {
  const from = store.spot ?? { x: 0.5, y: 0.5 };
  const { x, y } = clamped({ x: from.x + dx, y: from.y + dy });
  store.spot = { ...from, x, y };
  const [px, py] = toWindow(x, y);
  if (px < 0 || py < 0 || px > size.wide || py > size.high) {
    view.x = size.wide / 2 - x * size.wide * view.scale;
    view.y = size.high / 2 - y * size.high * view.scale;
    move();
  }
  placePin();
  clearTimeout(asking);
  if (!store.brush) asking = setTimeout(() => document.activeElement === stage && putPin(x, y), 220);
  return from;
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

function arrowed([dx, dy], shift) {
  const far = 0.01 / Math.sqrt(view.scale);
  if (!shift) {
    stepPin(dx * far, dy * far);
  } else if (store.brush) {
    const line = stroke(trail, stepPin(dx * far, dy * far));
    line.to(store.spot);
    line.end();
  } else {
    view.x -= dx * 40;
    view.y -= dy * 40;
    move();
  }
}

function entered() {
  clearTimeout(asking);
  const { x, y } = store.spot ?? { x: 0.5, y: 0.5 };
  if (store.brush) stroke(trail, { x, y }).end();
  else putPin(x, y);
}

const KEYS = {
  Enter: entered, " ": entered, "+": () => zoomIn(), "=": () => zoomIn(), "-": () => zoomOut(), 0: () => whole(), 1: () => trueSize(),
  Escape: () => {
    slip.hidden = true;
    store.brush = null;
    emit("pick");
  },
};

function key(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target !== stage) return;
  if (ARROWS[event.key]) arrowed(ARROWS[event.key], event.shiftKey);
  else if (KEYS[event.key]) KEYS[event.key]();
  else return;
  event.preventDefault();
}

/** Hear what hands do on the cloth. */
export function listenToCloth() {
  const does = { pointerdown: down, pointermove: moved, pointerup: up, pointercancel: up, pointerleave: left, keydown: key };
  for (const [name, act] of Object.entries(does)) stage.addEventListener(name, act);
  for (const name of ["pointerup", "pointercancel"]) window.addEventListener(name, (event) => fingers.delete(event.pointerId));
  stage.addEventListener("wheel", wheel, { passive: false });
}
