// A touched spot and its pin; findings as numbered rings on the cloth.

import { ask } from "/page/api.js";
import { changesAt } from "/page/cloth.js";
import { button, byId, h, put, say, swatch } from "/page/dom.js";
import { mm, size, toWindow } from "/page/geometry.js";
import { emit, guarded, pick, stamp, table } from "/page/table.js";

export const pin = h("span", { class: "pin", hidden: true });
export const slip = h("div", { class: "slip", role: "group", "aria-label": "What lies at the pin", hidden: true });
export const ringList = h("div", { class: "rings" });
export const severityWords = { serious: "spoils the cloth", warn: "look twice", note: "good to know" };

/** Put pin and rings where they belong as the cloth is zoomed now. */
export function place() {
  if (table.spot) {
    const [x, y] = toWindow(table.spot.x, table.spot.y);
    pin.style.setProperty("left", `${x}px`);
    pin.style.setProperty("top", `${y}px`);
    pin.style.setProperty("--tool", `${table.brush ? table.brush.width_mm * mm() : 0}px`);
    pin.classList.toggle("tool", table.brush !== null);
  }
  pin.hidden = !table.spot;
  layBeside();
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
function layBeside() {
  slip.hidden ||= !table.spot?.colour;
  if (slip.hidden) return;
  const [x, y] = toWindow(table.spot.x, table.spot.y);
  const { offsetWidth: wide, offsetHeight: high } = slip;
  const above = y - OFF - high;
  slip.style.setProperty("left", `${Math.max(EDGE, Math.min(size.wide - wide - EDGE, x - wide / 2))}px`);
  slip.style.setProperty("top", `${above >= EDGE ? above : Math.min(y + OFF, size.high - high - EDGE)}px`);
}

const away = () => byId("notebook").getBoundingClientRect().top > window.innerHeight - 120;

/** On small screens the notebook lies below the screen: what is found is told at the touch, with a way there. */
function tellAtPin(told) {
  slip.hidden = !away();
  put(slip,
    h("p", {}, swatch(told.colour.hex, { small: true }), ` ${told.colour.name}`),
    h("p", { class: "quiet" }, spotWords(told)),
    h("div", { class: "buttons" },
      button("All about it", () => {
        slip.hidden = true;
        byId("notebook").scrollIntoView({ block: "start" });
        byId("leaf").focus({ preventScroll: true });
      }, { "data-key": "slip-more" }),
      button("Close", () => { slip.hidden = true; }, { "data-key": "slip-close" })));
}

/** The findings of the design as it is now; null while they are being looked for. */
export const found = () => (stamp(table.story) === stamp(table.state) ? (table.story.findings ?? null) : null);
export const findings = () => found() ?? [];

const LINE_PX = 14; // so near to a ring's line a finger means the ring

/** The ring that is pressed by its line or number; what lies within a wide one is cloth. */
export function pressedRing(event) {
  const pressed = event.target.closest(".ring");
  if (!pressed || event.target !== pressed) return pressed;
  const { left, top, width } = pressed.getBoundingClientRect();
  const within = width / 2 - Math.hypot(event.clientX - left - width / 2, event.clientY - top - width / 2);
  return width > 4 * LINE_PX && within > LINE_PX ? null : pressed;
}

function ring(one, at) {
  const { width_mm, height_mm } = table.state.cloth;
  return h("button", {
    type: "button", class: `ring ${one.severity}`, "data-key": `ring-${at}`,
    "data-x": one.place.x_mm / width_mm, "data-y": one.place.y_mm / height_mm, "data-reach": one.place.radius_mm,
    "aria-label": `Trouble ${at + 1}, ${severityWords[one.severity]}: ${one.message}`,
    "aria-pressed": String(table.picked.finding === at), onclick: (event) => (event.detail === 0 || pressedRing(event)) && pick({ finding: at }, "cloth"), // detail 0: by keys
  }, h("span", {}, String(at + 1)));
}

export function rings() {
  const focus = document.activeElement?.closest?.(".ring")?.dataset.key;
  const shown = table.brush || !table.rings ? [] : findings();
  ringList.replaceChildren(...shown.map((one, at) => one.place && ring(one, at)).filter(Boolean));
  if (focus) ringList.querySelector(`[data-key="${focus}"]`)?.focus({ preventScroll: true });
  place();
}

/** What the model says of a spot as it is looked at now. */
export function spotAt(x, y) {
  const body = { x, y, changes: changesAt(x) };
  if (table.view.step !== null) body.step = table.view.step;
  return ask("spot", body);
}

export function spotWords(told) {
  const took = told.history.length ? told.history.join(", then ") : "bare cloth";
  return told.closed ? `${took}, under wax` : took;
}

let asked = 0;

/** Put the pin down and tell what lies there. */
export const touch = guarded(async (x, y) => {
  const number = (asked += 1);
  table.spot = { ...(table.spot ?? {}), x, y };
  table.tab = "spot";
  place();
  const told = await spotAt(x, y);
  if (number !== asked) return;
  table.spot = told;
  tellAtPin(told);
  place();
  emit("pick");
  say(`${told.colour.name}: ${spotWords(told)}`);
});

/** Ask once more about the pinned spot, since something has changed. */
export const again = guarded(async () => {
  if (!table.spot?.colour) return;
  const number = (asked += 1);
  const told = await spotAt(table.spot.x, table.spot.y);
  if (number !== asked || !told) return;
  table.spot = told;
  if (!slip.hidden) tellAtPin(told);
  place();
  emit("spot");
});
