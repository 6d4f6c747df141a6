// The picked step's leaf: how the wax lies, which pots go where, touching up its mask.

import { addPaint, setMask } from "/page/add-dialogs.js";
import { showMoving } from "/page/cloth.js";
import { button, choose, h, slider, swatch, tick } from "/page/dom.js";
import { moveStep, removeStep, sign } from "/page/line.js";
import { change } from "/page/changes.js";
import { emit, look, maskOf, store } from "/page/store.js";
import { tools } from "/page/strokes.js";
import { say } from "/page/words.js";

const percent = (value) => say("page.percent", { value: Math.round(value * 100) });

const toolWords = (name) => say(`page.tool.${name.replaceAll(" ", "_")}`);

function shareSlider(step, verb, key, label, value, hint) {
  const named = (now) => ({ do: verb, step, [key]: now });
  return slider(label, {
    value, min: 0, max: 1, step: 0.05, key: `${verb.replace("set_", "")}-${key}`, words: percent, hint,
    moving: (now) => showMoving(named(now)), settle: (now) => change(named(now)),
  });
}

function waxing(number, step) {
  const set = (key) => (value) => change({ do: "set_wax", step: number, [key]: value });
  const greys = ["cover", "thin"].map((grey) => [grey, say(`page.grey.${grey}`)]);
  const toolPairs = ["canting", "brush", "stamp"].map((tool) => [tool, toolWords(tool)]);
  if (!step.tool) toolPairs.unshift(["", say("page.wax.no_tool")]);
  return [
    touching(number, null, step.where),
    h("div", { class: "two" },
      choose(say("page.wax.tool"), toolPairs, step.tool ?? "", (tool) => tool && set("tool")(tool), { key: "wax-tool" }),
      choose(say("page.grey.label"), greys, step.grey, set("grey"), { key: "wax-grey" })),
    shareSlider(number, "set_wax", "crackle", say("page.wax.crackle"), step.crackle),
    shareSlider(number, "set_wax", "paraffin", say("page.wax.paraffin"), step.paraffin, say("page.wax.paraffin_hint")),
    shareSlider(number, "set_wax", "edges", say("page.wax.edges"), step.edges, say("page.wax.edges_hint")),
    shareSlider(number, "set_wax", "cool", say("page.wax.cool"), step.cool, say("page.wax.cool_hint")),
  ];
}

function dyeing(number, step) {
  return [
    step.paints.map((paint, n) => brushing(number, step, paint, n + 1)),
    button(say("page.add.paint"), () => addPaint(number), { class: "add", "data-key": "add-paint" }),
  ];
}

const names = () => [...new Set([...store.design.pots.map((pot) => pot.name), ...store.design.dyes.map((dye) => dye.name)])];

function brushing(number, step, paint, place) {
  const set = (keys) => change({ do: "set_paint", step: number, paint: place, ...keys });
  const reach = (value) => ({ do: "set_paint", step: number, paint: place, spread: true, reach_mm: value });
  return h("div", { class: "part" },
    h("div", { class: "big" }, swatch(paint.hex),
      choose(step.paints.length > 1 ? say("page.step.pot_number", { number: place }) : say("page.step.pot"), names().map((name) => [name, name]), paint.pot, (pot) => set({ pot }), { key: `paint-pot-${place}` })),
    h("p", { class: "quiet" }, paint.where ? say("page.step.shape", { picture: paint.where.shape }) : say("page.step.whole_cloth")),
    tick(say("page.step.creeps"), paint.spread, (spread) => set({ spread }), { key: `paint-spread-${place}` }),
    paint.spread ? slider(say("page.step.reach"), {
      value: paint.reach_mm ?? 3, min: 0.5, max: 15, step: 0.5, key: `paint-reach-${place}`, words: (now) => say("page.mm", { mm: now }),
      moving: (now) => showMoving(reach(now)), settle: (now) => change(reach(now)),
    }) : null,
    touching(number, place, paint.where),
    h("div", { class: "buttons" },
      paint.where ? button(say("page.step.brush_all"), () => set({ everywhere: true }), { "data-key": `paint-all-${place}` }) : null,
      step.paints.length > 1 ? button(say("page.step.remove_pot"), () => change({ do: "remove_paint", step: number, paint: place }), { "data-key": `paint-out-${place}` }) : null));
}

/** Take a tool in hand at a mask, or hold it otherwise from now on. */
function take(change) {
  const { step } = (store.brush = { ...store.brush, ...change });
  if (store.view.step === null || store.view.step < step) look({ step });
  emit("pick");
}

/** The mask of a step may be touched up, or be another picture. */
function touching(number, paint, where) {
  const another = button(say(where ? "page.step.change_picture" : "page.step.in_places"), () => setMask(number, paint), { "data-key": `picture-${paint}` });
  if (!where) return h("div", { class: "buttons" }, another);
  if (store.brush?.step === number && store.brush.paint === paint) return toolNote();
  const step = store.design.steps[number - 1];
  const fit = step.kind === "wax" && step.tool === "canting" ? "canting" : step.kind === "wax" ? "small_brush" : "brush";
  return h("div", { class: "buttons" },
    button(say(step.kind === "wax" ? "page.touch.wax" : "page.touch.shape"),
      () => take({ step: number, paint, ...tools.find((tool) => tool.name === fit), erase: false }), { "data-key": `touch-${paint}` }), another);
}

const byFinger = () => matchMedia("(pointer: coarse)").matches;

/** The tool in hand, or null. */
export function toolNote(place = "") {
  const held = store.brush;
  if (!held) return null;
  const waxed = store.design.steps[held.step - 1].kind === "wax";
  return h("div", { class: "trial", role: "group", "aria-label": say("page.touch.label") },
    choose(say("page.touch.tool"), tools.map((tool) => [tool.name, say("page.touch.tool_mm", { tool: toolWords(tool.name), mm: tool.width_mm })]), held.name,
      (name) => take(tools.find((tool) => tool.name === name)),
      { key: `tool${place}`, hint: say(byFinger() ? "page.touch.by_finger" : "page.touch.by_hand") }),
    h("div", { class: "buttons", role: "group", "aria-label": say("page.touch.way") },
      button(say(waxed ? "page.touch.lay_wax" : "page.touch.brush_on"), () => take({ erase: false }), { "aria-pressed": String(!held.erase), "data-key": `lay${place}` }),
      button(say(waxed ? "page.touch.scrape_off" : "page.touch.take_off"), () => take({ erase: true }), { "aria-pressed": String(held.erase), "data-key": `scrape${place}` }),
      button(say("page.touch.done"), () => {
        store.brush = null;
        emit("pick");
      }, { "data-key": `tool-down${place}` })));
}

const INSIDE = {
  wax: waxing,
  dye: dyeing,
  discharge: (number, step) => [shareSlider(number, "set_discharge", "strength", say("page.step.discharge"), step.strength), touching(number, null, step.where)],
  remove_wax: () => h("p", {}, say("page.step.wax_out")),
};

export function stepLeaf() {
  const { steps } = store.design;
  const number = store.picked.step;
  const step = steps[number - 1];
  if (!step) return [h("h2", {}, say("page.step.title")), h("p", {}, say("page.step.pick"))];
  if (store.brush && !maskOf(store.brush.step, store.brush.paint)) store.brush = null;
  return [
    h("div", { class: "big" }, sign(step), h("h2", {}, say("page.numbered", { number, what: step.title }))),
    step.kind === "wax" ? h("p", { class: "quiet" }, say("page.step.shape", { picture: step.where.shape })) : null,
    INSIDE[step.kind](number, step),
    h("div", { class: "buttons part" },
      button(say("page.step.see"), () => look({ step: number }), { "data-key": "see" }),
      button(say("page.step.earlier"), () => moveStep(number, number - 1), { disabled: number === 1, "data-key": "earlier" }),
      button(say("page.step.later"), () => moveStep(number, number + 1), { disabled: number === steps.length, "data-key": "later" }),
      button(say("page.step.remove"), () => removeStep(number), { "data-key": "take-out" })),
  ];
}
