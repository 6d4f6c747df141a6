// The pin on a spot and what lies there; findings as numbered rings on the cloth.

import { ask } from "/page/server.js";
import { announce, button, byId, h, put, swatch } from "/page/dom.js";
import { mm, toWindow } from "/page/geometry.js";
import { onRest, pressing } from "/page/input-activity.js";
import { currentFindings, emit, guarded, pick, stamp, store } from "/page/store.js";
import { say, sequence } from "/page/words.js";

const { frame: size } = store;

export const pin = h("span", { class: "pin", hidden: true });
export const slip = h("div", { class: "slip", role: "group", "aria-label": say("page.spot.at_pin"), hidden: true });
export const ringList = h("div", { class: "rings" });
export const severityWords = ({ severity }) => say(`page.severity.${severity}`);

/** Put pin and rings where they belong as the cloth is zoomed now. */
export function placePin() {
  if (store.spot) {
    const [x, y] = toWindow(store.spot.x, store.spot.y);
    pin.style.setProperty("left", `${x}px`);
    pin.style.setProperty("top", `${y}px`);
    pin.style.setProperty("--tool", `${store.brush ? store.brush.width_mm * mm() : 0}px`);
    pin.classList.toggle("tool", store.brush !== null);
  }
  pin.hidden = !store.spot;
  placeSlip();
  for (const ring of ringList.children) {
    const [x, y] = toWindow(Number(ring.dataset.x), Number(ring.dataset.y));
    ring.style.setProperty("left", `${x}px`);
    ring.style.setProperty("top", `${y}px`);
    ring.style.setProperty("--across", `${Math.max(26, 2 * Number(ring.dataset.reach) * mm())}px`);
  }
}

const EDGE = 6; // px between the slip and the window's edges
const OFF = 16; // px between the pin and the slip

/** The slip stands above the pin, or below where there is no room. */
function placeSlip() {
  slip.hidden ||= !store.spot?.colour;
  if (slip.hidden) return;
  const [x, y] = toWindow(store.spot.x, store.spot.y);
  const { offsetWidth: wide, offsetHeight: high } = slip;
  const above = y - OFF - high;
  slip.style.setProperty("left", `${Math.max(EDGE, Math.min(size.wide - wide - EDGE, x - wide / 2))}px`);
  slip.style.setProperty("top", `${above >= EDGE ? above : Math.min(y + OFF, size.high - high - EDGE)}px`);
}

const away = () => byId("notebook").getBoundingClientRect().top > window.innerHeight - 120;

/** On small screens the notebook lies below the screen: what is found is told at the touch, with a way there. */
function tellAtPin(spot) {
  slip.hidden = !away();
  put(slip,
    h("p", {}, swatch(spot.colour.hex, { small: true }), ` ${spot.colour.name}`),
    h("p", { class: "quiet" }, spotWords(spot)),
    h("div", { class: "buttons" },
      button(say("page.spot.more"), () => {
        slip.hidden = true;
        byId("notebook").scrollIntoView({ block: "start" });
        byId("leaf").focus({ preventScroll: true });
      }, { "data-key": "slip-more" }),
      button(say("page.dialog.close"), () => { slip.hidden = true; }, { "data-key": "slip-close" })));
}

const LINE_PX = 14; // so near to a ring's line a finger means the ring

/** The ring that is pressed by its line or number; what lies within a wide one is cloth. */
export function pressedRing(event) {
  const pressed = event.target.closest(".ring");
  if (!pressed || event.target !== pressed) return pressed;
  const { left, top, width } = pressed.getBoundingClientRect();
  const within = width / 2 - Math.hypot(event.clientX - left - width / 2, event.clientY - top - width / 2);
  return width > 4 * LINE_PX && within > LINE_PX ? null : pressed;
}

function ring(finding, at) {
  const { width_mm, height_mm } = store.design.cloth;
  return h("button", {
    type: "button", class: `ring ${finding.severity}`, "data-key": `ring-${at}`,
    "data-x": finding.place.x_mm / width_mm, "data-y": finding.place.y_mm / height_mm, "data-reach": finding.place.radius_mm,
    "aria-label": say("page.problems.ring", { number: at + 1, severity: severityWords(finding), message: finding.message }),
    "aria-pressed": String(store.picked.finding === at), onclick: (event) => (event.detail === 0 || pressedRing(event)) && pick({ finding: at }, "cloth"), // detail 0: by keys
  }, h("span", {}, String(at + 1)));
}

let ringsDue = false;

/** Draw the rings anew, but not under a hand that presses one. */
export function drawRings() {
  ringsDue = pressing(ringList);
  if (ringsDue) return;
  const shown = store.brush || !store.showRings ? [] : (currentFindings() ?? []);
  put(ringList, shown.map((finding, at) => finding.place && ring(finding, at)));
  placePin();
}

onRest(() => ringsDue && drawRings());

/** The changes that are being tried at a spot, by the side of the slider on which it lies. */
const changesAt = (x) => (store.trial && toWindow(x, 0)[0] > store.divider * size.wide ? store.trial.changes : []);

/** What the model says of a spot as it is looked at now; null when the cloth has changed meanwhile. */
export function askSpot(x, y) {
  const body = { x, y, changes: changesAt(x), of: stamp(store.design) };
  if (store.view.step !== null) body.step = store.view.step;
  return ask("spot", body);
}

export function spotWords(spot) {
  const story = spot.history.length ? sequence(spot.history) : say("page.bare_cloth");
  return spot.closed ? say("page.spot.story_under_wax", { story }) : story;
}

let requests = 0;

/** Put the pin down and tell what lies there. */
export const putPin = guarded(async (x, y) => {
  const number = (requests += 1);
  store.spot = { ...(store.spot ?? {}), x, y };
  store.tab = "spot";
  placePin();
  const spot = await askSpot(x, y);
  if (number !== requests || !spot) return;
  store.spot = spot;
  tellAtPin(spot);
  placePin();
  emit("pick");
  announce(say("page.spot.caption", { colour: spot.colour.name, story: spotWords(spot) }));
});

/** Ask once more about the pinned spot, since something has changed. */
export const askAgain = guarded(async () => {
  if (!store.spot?.colour) return;
  const number = (requests += 1);
  const spot = await askSpot(store.spot.x, store.spot.y);
  if (number !== requests || !spot) return;
  store.spot = spot;
  if (!slip.hidden) tellAtPin(spot);
  placePin();
  emit("spot");
});
