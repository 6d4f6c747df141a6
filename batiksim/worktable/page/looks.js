// Below the cloth: by which light it is seen, wet or dry, how close, and beside what.

import { trueSize, whole, zoomIn, zoomOut } from "/page/cloth.js";
import { button, byId, choose, h, put, tick } from "/page/dom.js";
import { rings } from "/page/spot.js";
import { act, emit, look, on, table } from "/page/table.js";

const LIGHTS = [["D65", "daylight"], ["D50", "warm daylight"], ["A", "a filament lamp"], ["LED", "a white LED"]];

/** A grey as light as the cloth is on the whole, so that its colours are judged fairly. */
function fairGrey() {
  const regions = table.story?.regions ?? [];
  const share = regions.reduce((sum, one) => sum + one.share, 0);
  const lightness = share ? regions.reduce((sum, one) => sum + one.share * one.lab[0], 0) / share : 60;
  document.body.style.setProperty("--fair", `lab(${lightness.toFixed(1)} 0 0)`);
}

function fair(wanted) {
  fairGrey();
  document.body.classList.toggle("fair", wanted);
}

async function setAside() {
  if (!(await act("keep"))) return;
  table.beside = false;
  emit("view");
}

async function letGo() {
  table.beside = false;
  await act("keep", { let_go: true });
  emit("view");
}

function beside(shown) {
  table.trial = null;
  table.beside = shown;
  emit("view");
  emit("pick");
}

function looks() {
  const { view, state } = table;
  put(byId("looks"),
    choose("Seen by", LIGHTS, view.light, (light) => look({ light }), { key: "light", row: true }),
    tick("Wet", view.wet, (wet) => look({ wet }), { key: "wet" }),
    tick("Wax", !view.wax_off, (shown) => look({ wax_off: !shown }), { key: "wax-shown" }),
    tick("Rings", table.rings, (shown) => {
      table.rings = shown;
      rings();
    }, { key: "rings" }),
    tick("Grey around", document.body.classList.contains("fair"), fair, { key: "fair" }),
    h("span", { class: "set" },
      button("−", zoomOut, { class: "round", "aria-label": "Further away", "data-key": "zoom-out" }),
      button("+", zoomIn, { class: "round", "aria-label": "Closer", "data-key": "zoom-in" }),
      button("Whole", whole, { "data-key": "whole" }),
      button("True size", trueSize, { "data-key": "true-size" })),
    h("span", { class: "set" }, state.kept
      ? [tick("Beside the one set aside", table.beside, beside, { key: "beside" }), button("Let it go", letGo, { "data-key": "let-go", class: "plain" })]
      : button("Set aside to compare", setAside, { "data-key": "set-aside" })));
}

export function setLooks() {
  on("state", looks);
  on("view", looks);
  on("story", () => {
    if (document.body.classList.contains("fair")) fairGrey();
  });
}
