// The cloth's leaf: what troubles and what would help, the colours it becomes, how large it is.

import { goTo } from "/page/cloth.js";
import { toCloth } from "/page/sight.js";
import { button, field, h, say, swatch } from "/page/dom.js";
import { found, severityWords } from "/page/spot.js";
import { change, pick, stamp, table, tryOut } from "/page/table.js";

/** A trial that is being looked at: keep it or leave it. */
export function trialNote(place = "") {
  const { trial } = table;
  if (!trial) return null;
  const keep = async () => {
    if (await change(...trial.changes)) say(`Done: ${trial.words}. Undo brings it back.`);
  };
  return h("div", { class: "trial", role: "group", "aria-label": "A trial beside your cloth" },
    h("p", {}, h("strong", {}, "Tried: "), `${trial.words}. Left of the slider is your cloth, right of it the trial.`),
    h("div", { class: "buttons" },
      button("Do it", keep, { class: "main", "data-key": `trial-keep${place}` }),
      button("Leave it", () => tryOut(null), { "data-key": `trial-leave${place}` })));
}

function goThere(one, at) {
  const { width_mm, height_mm } = table.state.cloth;
  pick({ finding: at }, "cloth");
  if (!one.place) return;
  toCloth();
  goTo(one.place.x_mm / width_mm, one.place.y_mm / height_mm);
  say(`The cloth shows trouble ${at + 1}.`);
}

function trouble(one, at) {
  const open = table.picked.finding === at;
  const trials = one.trials.map((trial, n) => {
    const tried = table.trial?.words === trial.words;
    return button(`Try: ${trial.words}`, () => tryOut(tried ? null : trial), { "data-key": `trial-${at}-${n}`, "aria-pressed": String(tried) });
  });
  return h("li", { class: `trouble ${one.severity}${open ? " open" : ""}` },
    h("button", {
      type: "button", class: "number", "aria-label": `Go to trouble ${at + 1}`, "data-key": `trouble-${at}`, onclick: () => goThere(one, at),
    }, String(at + 1)),
    h("p", { class: "grave" }, `${severityWords[one.severity]}${one.step ? `, step ${one.step}` : ""}`),
    h("p", {}, one.message),
    one.remedy ? h("p", { class: "quiet" }, one.remedy) : null,
    trials.length ? h("div", { class: "buttons" }, trials) : null);
}

const share = (part) => (part < 0.001 ? "under 0.1%" : `${Number((part * 100).toFixed(part < 0.1 ? 1 : 0))}%`);

/** The colours as they were counted last; whether that was before a change is said in the heading, so that nothing jumps. */
function colours() {
  const regions = table.story?.regions ?? [];
  const old = stamp(table.story) !== stamp(table.state);
  const words = !old ? "The colours of the finished cloth" : table.untold ? "The colours before your change" : "The colours, being counted anew";
  const notes = (table.story?.notes ?? []).map((note) => h("p", { class: "quiet" }, note));
  return [h("h3", {}, words), counted(regions, old), ...notes];
}

function counted(regions, old) {
  return h("ul", { class: old ? "colours old" : "colours", "aria-busy": String(old) }, regions.slice(0, 12).map((one) => h("li", {},
    swatch(one.hex), h("span", {}, one.name), h("span", { class: "figure" }, share(one.share)),
    h("span", { class: "how" }, one.history.length ? one.history.join(", then ") : "as it was"))));
}

function size() {
  const { cloth, size: pixels } = table.state;
  const across = h("input", {
    type: "number", min: 10, max: 20000, step: 1, value: Math.round(cloth.width_mm), "data-key": "cloth-width",
    onchange: () => change({ do: "cloth", width_mm: Number(across.value) }),
  });
  const weight = h("input", {
    type: "number", min: 10, max: 2000, step: 1, value: cloth.grams_per_m2, "data-key": "cloth-weight",
    onchange: () => change({ do: "cloth", grams_per_m2: Number(weight.value) }),
  });
  const colour = h("input", {
    type: "color", value: cloth.colour, "data-key": "cloth-colour", onchange: () => change({ do: "cloth", colour: colour.value }),
  });
  return [
    h("h3", {}, "Size and stuff"),
    h("div", { class: "two" },
      field("Width in mm", across, { hint: `${Math.round(cloth.height_mm)} mm high` }),
      field("Grams per m²", weight),
      field("Undyed colour", colour)),
    h("p", { class: "quiet figure" }, `Pictures of ${pixels.cols} × ${pixels.rows} pixels: one is ${(cloth.width_mm / pixels.cols).toFixed(2)} mm.`),
  ];
}

function troubles() {
  const all = found();
  if (!table.state.steps.length) {
    return h("p", {}, "A bare cloth. Add a step on the line, or drop a picture of your shapes on the cloth.");
  }
  if (all === null && table.untold) return h("p", { class: "quiet" }, "It could not be looked over just now.");
  if (all === null) return h("p", { class: "quiet" }, "Looking it over…");
  if (!all.length) return h("p", { class: "fine" }, "Nothing troubles this cloth.");
  return h("ol", { class: "troubles" }, all.map(trouble));
}

export function clothLeaf() {
  return [
    trialNote(),
    h("h2", {}, "What troubles"),
    troubles(),
    colours(),
    size(),
  ];
}
