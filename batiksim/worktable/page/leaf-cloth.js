// The cloth's leaf: its problems and what would help, the colours it becomes, how large it is.

import { goTo } from "/page/cloth.js";
import { scrollToCloth } from "/page/scrolling.js";
import { announce, button, field, h, swatch } from "/page/dom.js";
import { severityWords } from "/page/pin-and-rings.js";
import { change } from "/page/changes.js";
import { currentFindings, pick, showTrial, stamp, store } from "/page/store.js";
import { say, sequence } from "/page/words.js";

/** A trial that is being looked at: keep it or leave it. */
export function trialNote(place = "") {
  const { trial } = store;
  if (!trial) return null;
  const keep = async () => {
    if (await change(...trial.changes)) announce(say("page.trial.done", { trial: trial.words }));
  };
  return h("div", { class: "trial", role: "group", "aria-label": say("page.trial.label") },
    h("p", {}, h("strong", {}, `${say("page.trial.trying")} `), say("page.trial.what", { trial: trial.words })),
    h("div", { class: "buttons" },
      button(say("page.dialog.use"), keep, { class: "main", "data-key": `trial-keep${place}` }),
      button(say("page.dialog.cancel"), () => showTrial(null), { "data-key": `trial-leave${place}` })));
}

function goThere(finding, at) {
  const { width_mm, height_mm } = store.design.cloth;
  pick({ finding: at }, "cloth");
  if (!finding.place) return;
  scrollToCloth();
  goTo(finding.place.x_mm / width_mm, finding.place.y_mm / height_mm);
  announce(say("page.problems.shown", { number: at + 1 }));
}

function findingItem(finding, at) {
  const open = store.picked.finding === at;
  const trials = finding.remedies.map((trial, n) => {
    const tried = store.trial?.words === trial.words;
    return button(say("page.problems.try", { trial: trial.words }), () => showTrial(tried ? null : trial), { "data-key": `trial-${at}-${n}`, "aria-pressed": String(tried) });
  });
  return h("li", { class: `trouble ${finding.severity}${open ? " open" : ""}` },
    h("button", {
      type: "button", class: "number", "aria-label": say("page.problems.go_to", { number: at + 1 }), "data-key": `trouble-${at}`, onclick: () => goThere(finding, at),
    }, String(at + 1)),
    h("p", { class: "grave" }, say(finding.step ? "page.problems.severity_step" : "page.problems.severity", { severity: severityWords(finding), step: finding.step })),
    h("p", {}, finding.message),
    finding.remedy ? h("p", { class: "quiet" }, finding.remedy) : null,
    trials.length ? h("div", { class: "buttons" }, trials) : null);
}

const share = (part) => (part < 0.001 ? say("page.under_0_1_percent") : say("page.percent", { value: Number((part * 100).toFixed(part < 0.1 ? 1 : 0)) }));

/** The colours as they were counted last; whether that was before a change is said in the heading, so that nothing jumps. */
function colours() {
  const regions = store.analysis?.regions ?? [];
  const old = stamp(store.analysis) !== stamp(store.design);
  const words = say(!old ? "page.colours.now" : store.analysisFailed ? "page.colours.before" : "page.colours.counting");
  const notes = (store.analysis?.notes ?? []).map((note) => h("p", { class: "quiet" }, note));
  return [h("h3", {}, words), regionList(regions, old), ...notes];
}

function regionList(regions, old) {
  return h("ul", { class: old ? "colours old" : "colours", "aria-busy": String(old) }, regions.slice(0, 12).map((region) => h("li", {},
    swatch(region.hex), h("span", {}, region.shown), h("span", { class: "figure" }, share(region.share)),
    h("span", { class: "how" }, region.shown_history.length ? sequence(region.shown_history) : say("page.bare_cloth")))));
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
    h("h3", {}, say("page.size.title")),
    h("div", { class: "two" },
      field(say("page.size.width"), across, { hint: say("page.size.height", { mm: Math.round(cloth.height_mm) }) }),
      field(say("page.size.weight"), weight),
      field(say("page.size.colour"), colour)),
    h("p", { class: "quiet figure" }, say("page.size.detail", { cols: pixels.cols, rows: pixels.rows, mm: cloth.width_mm / pixels.cols })),
  ];
}

function findingList() {
  const findings = currentFindings();
  if (!store.design.steps.length) {
    return h("p", {}, say("page.problems.bare"));
  }
  if (findings === null && store.analysisFailed) return h("p", { class: "quiet" }, say("page.problems.failed"));
  if (findings === null) return h("p", { class: "quiet" }, say("page.problems.checking_now"));
  if (!findings.length) return h("p", { class: "fine" }, say("page.problems.none"));
  return h("ol", { class: "troubles" }, findings.map(findingItem));
}

export function clothLeaf() {
  return [
    trialNote(),
    h("h2", {}, say("page.problems.title")),
    findingList(),
    colours(),
    size(),
  ];
}
