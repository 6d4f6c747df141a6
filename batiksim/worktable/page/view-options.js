// Below the cloth: by which light it is seen, wet or dry, how close, and beside what.

import { trueSize, whole, zoomIn, zoomOut } from "/page/cloth.js";
import { button, byId, choose, h, put, tick } from "/page/dom.js";
import { drawRings } from "/page/pin-and-rings.js";
import { act } from "/page/changes.js";
import { emit, look, on, store } from "/page/store.js";
import { say } from "/page/words.js";

const LIGHTS = ["D65", "D50", "A", "LED"];

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
    choose(say("page.view.light"), LIGHTS.map((light) => [light, say(`page.light.${light}`)]), view.light, (light) => look({ light }), { key: "light", row: true }),
    tick(say("page.view.wet"), view.wet, (wet) => look({ wet }), { key: "wet" }),
    tick(say("page.view.wax"), !view.wax_off, (shown) => look({ wax_off: !shown }), { key: "wax-shown" }),
    tick(say("page.view.rings"), store.showRings, (shown) => {
      store.showRings = shown;
      drawRings();
    }, { key: "rings" }),
    tick(say("page.view.grey"), document.body.classList.contains("fair"), surroundGrey, { key: "fair" }),
    h("span", { class: "set" },
      button("−", zoomOut, { class: "round", "aria-label": say("page.zoom.out"), "data-key": "zoom-out" }),
      button("+", zoomIn, { class: "round", "aria-label": say("page.zoom.in"), "data-key": "zoom-in" }),
      button(say("page.zoom.whole"), whole, { "data-key": "whole" }),
      button(say("page.zoom.true_size"), trueSize, { "data-key": "true-size" })),
    h("span", { class: "set" }, design.set_aside
      ? [tick(say("page.view.compare"), store.besideSetAside, beside, { key: "beside" }), button(say("page.view.clear"), clearSetAside, { "data-key": "let-go", class: "plain" })]
      : button(say("page.view.set_aside"), setAside, { "data-key": "set-aside" })));
}

export function startViewOptions() {
  on("design", showOptions);
  on("view", showOptions);
  on("analysis", () => {
    if (document.body.classList.contains("fair")) fairGrey();
  });
}
