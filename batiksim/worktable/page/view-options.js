// Below the cloth: by which light it is seen, wet or dry, how close, and beside what.

import { trueSize, whole, zoomIn, zoomOut } from "/page/cloth.js";
import { button, byId, choose, h, put, tick } from "/page/dom.js";
import { drawRings } from "/page/pin-and-rings.js";
import { act } from "/page/changes.js";
import { emit, look, on, store } from "/page/store.js";

const LIGHTS = [["D65", "daylight"], ["D50", "warm daylight"], ["A", "a filament lamp"], ["LED", "a white LED"]];

/** A grey as light as the cloth is on the whole, so that its colours are judged fairly. */
function fairGrey() {
  const regions = store.analysis?.regions ?? [];
  const share = regions.reduce((sum, region) => sum + region.share, 0);
  const lightness = share ? regions.reduce((sum, region) => sum + region.share * region.lab[0], 0) / share : 60;
  document.body.style.setProperty("--fair", `lab(${lightness.toFixed(1)} 0 0)`);
}

function surroundGrey(wanted) {
  fairGrey();
  document.body.classList.toggle("fair", wanted);
}

async function setAside() {
  if (!(await act("set_aside"))) return;
  store.besideSetAside = false;
  emit("view");
}

async function clearSetAside() {
  store.besideSetAside = false;
  await act("set_aside", { clear: true });
  emit("view");
}

function beside(shown) {
  store.trial = null;
  store.besideSetAside = shown;
  emit("view");
  emit("pick");
}

function showOptions() {
  const { view, design } = store;
  put(byId("looks"),
    choose("Seen by", LIGHTS, view.light, (light) => look({ light }), { key: "light", row: true }),
    tick("Wet", view.wet, (wet) => look({ wet }), { key: "wet" }),
    tick("Wax", !view.wax_off, (shown) => look({ wax_off: !shown }), { key: "wax-shown" }),
    tick("Rings", store.showRings, (shown) => {
      store.showRings = shown;
      drawRings();
    }, { key: "rings" }),
    tick("Grey around", document.body.classList.contains("fair"), surroundGrey, { key: "fair" }),
    h("span", { class: "set" },
      button("−", zoomOut, { class: "round", "aria-label": "Further away", "data-key": "zoom-out" }),
      button("+", zoomIn, { class: "round", "aria-label": "Closer", "data-key": "zoom-in" }),
      button("Whole", whole, { "data-key": "whole" }),
      button("True size", trueSize, { "data-key": "true-size" })),
    h("span", { class: "set" }, design.set_aside
      ? [tick("Beside the one set aside", store.besideSetAside, beside, { key: "beside" }), button("Let it go", clearSetAside, { "data-key": "let-go", class: "plain" })]
      : button("Set aside to compare", setAside, { "data-key": "set-aside" })));
}

export function startViewOptions() {
  on("design", showOptions);
  on("view", showOptions);
  on("analysis", () => {
    if (document.body.classList.contains("fair")) fairGrey();
  });
}
