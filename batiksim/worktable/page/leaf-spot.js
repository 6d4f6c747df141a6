// The spot's leaf: what lies under the pin, how it came about, and what each pot would make of it.

import { trialNote } from "/page/leaf-cloth.js";
import { h, swatch } from "/page/dom.js";
import { lampColours } from "/page/lamp-colours.js";
import { look, store } from "/page/store.js";

const mm = (value) => `${value.toFixed(0)} mm`;

/** How much dye lies there: 1 is as at full strength on open cloth. */
function loadWords(load) {
  if (Math.abs(load - 1) < 0.005) return "at full strength";
  return load < 1 ? `at ${Math.round(load * 100)}% of full strength` : `${load.toFixed(2).replace(/0$/, "")} times full strength`;
}

function atPin({ colour, closed, loads, lights, x_mm: x, y_mm: y }) {
  return [
    h("div", { class: "big" }, swatch(colour.hex), h("div", {},
      h("p", {}, h("strong", {}, colour.name), closed ? ", under wax" : ""),
      h("p", { class: "quiet figure" }, `${mm(x)} from the left, ${mm(y)} from the top`))),
    lights ? lampColours(lights) : null,
    loads.length
      ? h("ul", { class: "mix" }, loads.map(({ dye, load }) => h("li", {}, dot(dye),
        h("span", { class: "figure" }, `${dye}, ${loadWords(load)}`))))
      : h("p", {}, "No dye has come here."),
  ];
}

function dot(name) {
  const dye = store.design.dyes.find((each) => each.name === name);
  return swatch(dye?.hex ?? "transparent", { small: true });
}

function stepList(steps) {
  return h("ol", { class: "analysis" }, steps.map((step) => h("li", {}, swatch(step.hex, { small: true }),
    h("span", {}, h("button", {
      type: "button", class: "plain", "data-key": `see-${step.step}`, "aria-label": `See the cloth after step ${step.step}`,
      onclick: () => look({ step: step.step }),
    }, `Step ${step.step}`), ` ${step.title}: ${step.what}.`))));
}

function next(spot) {
  const planned = spot.next_step;
  return [
    planned ? h("p", {}, planned.takes
      ? ["Next in your plan, step ", String(planned.step), " (", planned.title, ") makes it ", h("strong", {}, planned.name), ". ", swatch(planned.hex, { small: true })]
      : `Step ${planned.step} (${planned.title}) doesn't reach it.`) : null,
    spot.next.length ? h("h3", {}, "What each pot would make of it, open and brushed over") : null,
    h("ul", { class: "colours" }, spot.next.map(({ pot, hex, name, muddy }) => h("li", {}, swatch(hex), h("span", {}, pot), h("span"),
      h("span", { class: "how" }, muddy ? `${name}: it turns to mud` : name)))),
  ];
}

export function spotLeaf() {
  const { spot } = store;
  if (!spot?.colour) {
    return [h("h2", {}, "A spot"), h("p", {}, "Touch the cloth anywhere. Here you read what lies there, dye by dye, and what each pot would make of it.")];
  }
  return [trialNote(), h("h2", {}, "This spot"), atPin(spot), h("h3", {}, "How it comes about"), stepList(spot.steps), next(spot)];
}
