// The cloth's leaf: what troubles and what would help, the colours it becomes, how large it is.

import { goTo } from "/page/cloth.js";
import { scrollToCloth } from "/page/scrolling.js";
import { button, field, h, say, swatch } from "/page/dom.js";
import { severityWords } from "/page/pin-and-rings.js";
import { change } from "/page/changes.js";
import { currentFindings, pick, showTrial, stamp, store } from "/page/store.js";

/** A trial that is being looked at: keep it or leave it. */
export function trialNote(place = "") {
  const { trial } = store;
  if (!trial) return null;
  const keep = async () => {
    if (await change(...trial.changes)) say(`Done: ${trial.words}. Undo brings it back.`);
  };
  return h("div", { class: "trial", role: "group", "aria-label": "A trial beside your cloth" },
    h("p", {}, h("strong", {}, "Tried: "), `${trial.words}. Left of the slider is your cloth, right of it the trial.`),
    h("div", { class: "buttons" },
      button("Do it", keep, { class: "main", "data-key": `trial-keep${place}` }),
      button("Leave it", () => showTrial(null), { "data-key": `trial-leave${place}` })));
}

function goThere(finding, at) {
  const { width_mm, height_mm } = store.design.cloth;
  pick({ finding: at }, "cloth");
  if (!finding.place) return;
  scrollToCloth();
  goTo(finding.place.x_mm / width_mm, finding.place.y_mm / height_mm);
  say(`The cloth shows trouble ${at + 1}.`);
}

function findingItem(finding, at) {
  const open = store.picked.finding === at;
  const trials = finding.trials.map((trial, n) => {
    const tried = store.trial?.words === trial.words;
    return button(`Try: ${trial.words}`, () => showTrial(tried ? null : trial), { "data-key": `trial-${at}-${n}`, "aria-pressed": String(tried) });
  });
  return h("li", { class: `trouble ${finding.severity}${open ? " open" : ""}` },
    h("button", {
      type: "button", class: "number", "aria-label": `Go to trouble ${at + 1}`, "data-key": `trouble-${at}`, onclick: () => goThere(finding, at),
    }, String(at + 1)),
    h("p", { class: "grave" }, `${severityWords[finding.severity]}${finding.step ? `, step ${finding.step}` : ""}`),
    h("p", {}, finding.message),
    finding.remedy ? h("p", { class: "quiet" }, finding.remedy) : null,
    trials.length ? h("div", { class: "buttons" }, trials) : null);
}

const share = (part) => (part < 0.001 ? "under 0.1%" : `${Number((part * 100).toFixed(part < 0.1 ? 1 : 0))}%`);

/** The colours as they were counted last; whether that was before a change is said in the heading, so that nothing jumps. */
function colours() {
  const regions = store.analysis?.regions ?? [];
  const old = stamp(store.analysis) !== stamp(store.design);
  const words = !old ? "The colours of the finished cloth" : store.analysisFailed ? "The colours before your change" : "The colours, being counted anew";
  const notes = (store.analysis?.notes ?? []).map((note) => h("p", { class: "quiet" }, note));
  return [h("h3", {}, words), regionList(regions, old), ...notes];
}

function regionList(regions, old) {
  return h("ul", { class: old ? "colours old" : "colours", "aria-busy": String(old) }, regions.slice(0, 12).map((region) => h("li", {},
    swatch(region.hex), h("span", {}, region.name), h("span", { class: "figure" }, share(region.share)),
    h("span", { class: "how" }, region.history.length ? region.history.join(", then ") : "as it was"))));
}

function size() {
  const { cloth, size: pixels } = store.design;
  const across = h("input", {
    type: "number", min: 10, max: 20000, step: 1, value: Math.round(cloth.width_mm), "data-key": "cloth-width",
    onchange: () => change({ do: "set_cloth", width_mm: Number(across.value) }),
  });
  const weight = h("input", {
    type: "number", min: 10, max: 2000, step: 1, value: cloth.grams_per_m2, "data-key": "cloth-weight",
    onchange: () => change({ do: "set_cloth", grams_per_m2: Number(weight.value) }),
  });
  const colour = h("input", {
    type: "color", value: cloth.colour, "data-key": "cloth-colour", onchange: () => change({ do: "set_cloth", colour: colour.value }),
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

function findingList() {
  const findings = currentFindings();
  if (!store.design.steps.length) {
    return h("p", {}, "A bare cloth. Add a step on the line, or drop a picture of your shapes on the cloth.");
  }
  if (findings === null && store.analysisFailed) return h("p", { class: "quiet" }, "It could not be looked over just now.");
  if (findings === null) return h("p", { class: "quiet" }, "Looking it over…");
  if (!findings.length) return h("p", { class: "fine" }, "Nothing troubles this cloth.");
  return h("ol", { class: "troubles" }, findings.map(findingItem));
}

export function clothLeaf() {
  return [
    trialNote(),
    h("h2", {}, "What troubles"),
    findingList(),
    colours(),
    size(),
  ];
}
