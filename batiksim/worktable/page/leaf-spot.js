// The spot's leaf: what lies under the pin, how it came about, and what each pot would make of it.

import { trialNote } from "/page/leaf-cloth.js";
import { h, swatch } from "/page/dom.js";
import { byLamp } from "/page/lamps.js";
import { look, table } from "/page/table.js";

const mm = (value) => `${value.toFixed(0)} mm`;

/** How much dye lies there: 1 is as at full strength on open cloth. */
function loadWords(load) {
  if (Math.abs(load - 1) < 0.005) return "at full strength";
  return load < 1 ? `at ${Math.round(load * 100)}% of full strength` : `${load.toFixed(2).replace(/0$/, "")} times full strength`;
}

function now({ colour, closed, loads, lights, x_mm: x, y_mm: y }) {
  return [
    h("div", { class: "big" }, swatch(colour.hex), h("div", {},
      h("p", {}, h("strong", {}, colour.name), closed ? ", under wax" : ""),
      h("p", { class: "quiet figure" }, `${mm(x)} from the left, ${mm(y)} from the top`))),
    lights ? byLamp(lights) : null,
    loads.length
      ? h("ul", { class: "mix" }, loads.map((one) => h("li", {}, dot(one.dye),
        h("span", { class: "figure" }, `${one.dye}, ${loadWords(one.load)}`))))
      : h("p", {}, "No dye has come here."),
  ];
}

function dot(name) {
  const dye = table.state.dyes.find((one) => one.name === name);
  return swatch(dye?.hex ?? "transparent", { small: true });
}

function came(steps) {
  return h("ol", { class: "story" }, steps.map((one) => h("li", {}, swatch(one.hex, { small: true }),
    h("span", {}, h("button", {
      type: "button", class: "plain", "data-key": `see-${one.step}`, "aria-label": `See the cloth after step ${one.step}`,
      onclick: () => look({ step: one.step }),
    }, `Step ${one.step}`), ` ${one.title}: ${one.what}.`))));
}

function next(found) {
  const planned = found.next_step;
  return [
    planned ? h("p", {}, planned.takes
      ? ["Next in your plan, step ", String(planned.step), " (", planned.title, ") makes it ", h("strong", {}, planned.name), ". ", swatch(planned.hex, { small: true })]
      : `Step ${planned.step} (${planned.title}) doesn't reach it.`) : null,
    found.next.length ? h("h3", {}, "What each pot would make of it, open and brushed over") : null,
    h("ul", { class: "colours" }, found.next.map((one) => h("li", {}, swatch(one.hex), h("span", {}, one.pot), h("span"),
      h("span", { class: "how" }, one.muddy ? `${one.name}: it turns to mud` : one.name)))),
  ];
}

export function spotLeaf() {
  const { spot } = table;
  if (!spot?.colour) {
    return [h("h2", {}, "A spot"), h("p", {}, "Touch the cloth anywhere. Here you read what lies there, dye by dye, and what each pot would make of it.")];
  }
  return [trialNote(), h("h2", {}, "This spot"), now(spot), h("h3", {}, "How it comes about"), came(spot.steps), next(spot)];
}
