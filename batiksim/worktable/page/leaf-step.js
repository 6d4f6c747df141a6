// The picked step's leaf: how the wax lies, which pots go where, touching up its mask.

import { addPaint, setMask } from "/page/add-dialogs.js";
import { showMoving } from "/page/cloth.js";
import { button, choose, h, slider, swatch, tick } from "/page/dom.js";
import { moveStep, removeStep, sign } from "/page/line.js";
import { change } from "/page/changes.js";
import { emit, look, maskOf, store } from "/page/store.js";
import { tools } from "/page/strokes.js";

const percent = (value) => `${Math.round(value * 100)}%`;

function shareSlider(step, verb, key, label, value, hint) {
  const named = (now) => ({ do: verb, step, [key]: now });
  return slider(label, {
    value, min: 0, max: 1, step: 0.05, key: `${verb.replace("set_", "")}-${key}`, words: percent, hint,
    moving: (now) => showMoving(named(now)), settle: (now) => change(named(now)),
  });
}

function waxing(number, step) {
  const set = (key) => (value) => change({ do: "set_wax", step: number, [key]: value });
  const greys = [["cover", "partly covered"], ["thin", "thin wax"]];
  const toolPairs = [["canting", "canting"], ["brush", "brush"], ["stamp", "stamp"]];
  if (!step.tool) toolPairs.unshift(["", "not said"]);
  return [
    touching(number, null, step.where),
    h("div", { class: "two" },
      choose("Laid with", toolPairs, step.tool ?? "", (tool) => tool && set("tool")(tool), { key: "wax-tool" }),
      choose("Grey means", greys, step.grey, set("grey"), { key: "wax-grey" })),
    shareSlider(number, "set_wax", "crackle", "Crackle: how hard it is crumpled", step.crackle),
    shareSlider(number, "set_wax", "paraffin", "Paraffin in the blend", step.paraffin, "More paraffin, more and finer cracks."),
    shareSlider(number, "set_wax", "edges", "The tool's own edge", step.edges, "Drops and creeping lines, a dry brush."),
    shareSlider(number, "set_wax", "cool", "Wax too cool", step.cool, "Cool wax sits on top and seals less."),
  ];
}

function dyeing(number, step) {
  return [
    step.paints.map((paint, n) => brushing(number, step, paint, n + 1)),
    button("Brush another pot in this bath", () => addPaint(number), { class: "add", "data-key": "add-paint" }),
  ];
}

const names = () => [...new Set([...store.design.pots.map((pot) => pot.name), ...store.design.dyes.map((dye) => dye.name)])];

function brushing(number, step, paint, place) {
  const set = (keys) => change({ do: "set_paint", step: number, paint: place, ...keys });
  const reach = (value) => ({ do: "set_paint", step: number, paint: place, spread: true, reach_mm: value });
  return h("div", { class: "part" },
    h("div", { class: "big" }, swatch(paint.hex),
      choose(step.paints.length > 1 ? `Pot ${place}` : "Pot", names().map((name) => [name, name]), paint.pot, (pot) => set({ pot }), { key: `paint-pot-${place}` })),
    h("p", { class: "quiet" }, paint.where ? `Brushed where “${paint.where.shape}” says.` : "Brushed over the whole cloth."),
    tick("It creeps through open cloth to the wax", paint.spread, (spread) => set({ spread }), { key: `paint-spread-${place}` }),
    paint.spread ? slider("How far it creeps", {
      value: paint.reach_mm ?? 3, min: 0.5, max: 15, step: 0.5, key: `paint-reach-${place}`, words: (now) => `${now} mm`,
      moving: (now) => showMoving(reach(now)), settle: (now) => change(reach(now)),
    }) : null,
    touching(number, place, paint.where),
    h("div", { class: "buttons" },
      paint.where ? button("Over the whole cloth instead", () => set({ everywhere: true }), { "data-key": `paint-all-${place}` }) : null,
      step.paints.length > 1 ? button("Take this pot out", () => change({ do: "remove_paint", step: number, paint: place }), { "data-key": `paint-out-${place}` }) : null));
}

/** Take a tool in hand at a mask, or hold it otherwise from now on. */
function take(change) {
  const { step } = (store.brush = { ...store.brush, ...change });
  if (store.view.step === null || store.view.step < step) look({ step });
  emit("pick");
}

/** The mask of a step may be touched up, or be another picture. */
function touching(number, paint, where) {
  const another = button(where ? "Another picture" : "Brush it only in places", () => setMask(number, paint), { "data-key": `picture-${paint}` });
  if (!where) return h("div", { class: "buttons" }, another);
  if (store.brush?.step === number && store.brush.paint === paint) return toolNote();
  const step = store.design.steps[number - 1];
  const fit = step.kind === "wax" && step.tool === "canting" ? "canting" : step.kind === "wax" ? "small_brush" : "brush";
  return h("div", { class: "buttons" },
    button(step.kind === "wax" ? "Touch up the wax" : "Touch up where it goes",
      () => take({ step: number, paint, ...tools.find((tool) => tool.name === fit), erase: false }), { "data-key": `touch-${paint}` }), another);
}

const byFinger = () => matchMedia("(pointer: coarse)").matches;

/** The tool in hand, or null. */
export function toolNote(place = "") {
  const held = store.brush;
  if (!held) return null;
  const waxed = store.design.steps[held.step - 1].kind === "wax";
  return h("div", { class: "trial", role: "group", "aria-label": "Touching up" },
    choose("In your hand", tools.map((tool) => [tool.name, `${tool.says}, ${tool.width_mm} mm`]), held.name,
      (name) => take(tools.find((tool) => tool.name === name)),
      { key: `tool${place}`, hint: byFinger() ? "Draw on the cloth with a finger; two fingers bring it closer." : "Draw on the cloth. On the keyboard: Enter dabs, Shift with arrows draws." }),
    h("div", { class: "buttons", role: "group", "aria-label": "Lay on or take off" },
      button(waxed ? "Lay wax" : "Brush on", () => take({ erase: false }), { "aria-pressed": String(!held.erase), "data-key": `lay${place}` }),
      button(waxed ? "Scrape off" : "Take off", () => take({ erase: true }), { "aria-pressed": String(held.erase), "data-key": `scrape${place}` }),
      button("Put the tool down", () => {
        store.brush = null;
        emit("pick");
      }, { "data-key": `tool-down${place}` })));
}

const INSIDE = {
  wax: waxing,
  dye: dyeing,
  discharge: (number, step) => [shareSlider(number, "set_discharge", "strength", "How much dye it takes out", step.strength), touching(number, null, step.where)],
  remove_wax: () => h("p", {}, "All wax comes out here. What follows finds open cloth."),
};

export function stepLeaf() {
  const { steps } = store.design;
  const number = store.picked.step;
  const step = steps[number - 1];
  if (!step) return [h("h2", {}, "A step"), h("p", {}, "Pick a tag on the line: there you set how a step is done. Drag a tag along the line to try another order.")];
  if (store.brush && !maskOf(store.brush.step, store.brush.paint)) store.brush = null;
  return [
    h("div", { class: "big" }, sign(step), h("h2", {}, `${number}. ${step.title}`)),
    step.kind === "wax" ? h("p", { class: "quiet" }, `Where “${step.where.shape}” says.`) : null,
    INSIDE[step.kind](number, step),
    h("div", { class: "buttons part" },
      button("See the cloth then", () => look({ step: number }), { "data-key": "see" }),
      button("Earlier", () => moveStep(number, number - 1), { disabled: number === 1, "data-key": "earlier" }),
      button("Later", () => moveStep(number, number + 1), { disabled: number === steps.length, "data-key": "later" }),
      button("Take it out", () => removeStep(number), { "data-key": "take-out" })),
  ];
}
