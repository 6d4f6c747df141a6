// What the page knows, all of it in one place, and who wants to hear when it changes.

import { Refused } from "/page/server.js";

export const store = {
  design: null, // the document as the server has it: design, revision, what undo would do, whether it is saved
  analysis: null, // its regions, the colours after each step, its findings
  analysisFailed: false, // whether that of this moment could not be had
  view: { step: null, light: "D65", wet: false, wax_off: false }, // how the cloth is looked at
  position: { scale: 1, x: 0, y: 0 }, // how close; x, y : shift of the cloth in px, at its top left corner
  frame: { wide: 300, high: 300 }, // the window that the cloth is seen in, in px
  divider: 0.5, // where two arrangements meet, as a share of that window
  trial: null, // {words, changes}: looked at beside what is
  besideSetAside: false, // whether the arrangement that was set aside is shown beside
  showRings: true, // whether findings are ringed on the cloth
  picked: { step: null, pot: null, paint: null, finding: null },
  tab: "cloth", // the open leaf of the notebook
  brush: null, // {step, paint, name, width_mm, erase}: the tool in hand
  spot: null, // where the pin is, and what lies there
  pages: 1, // how many pages show this document
  pagesNoteClosed: false,
  link: { how: "up", lost: false }, // "up", "down": the worktable doesn't answer, "over": another one runs by now; lost: a change went with it
  underWay: 0, // changes of this page's own, whose answer brings the new design
  redrawDue: false, // the page is to be drawn anew once the hands rest
  lastError: null,
};

const listeners = new Map();

/** Hear of a kind of change: design, analysis, view, pick, saved, link, pages, spot, leaf, task, error ... */
export function on(kind, act) {
  if (!listeners.has(kind)) listeners.set(kind, []);
  listeners.get(kind).push(act);
}

export function emit(kind, detail) {
  for (const act of listeners.get(kind) ?? []) act(detail);
}

/** Whether nobody answers, or a worktable that doesn't know this page. */
export const isGone = (error) => error instanceof Refused && (error.status === 0 || error.status === 401);

export function reportError(error) {
  if (error?.name === "AbortError") return;
  if (!(error instanceof Refused)) console.error(error);
  store.lastError = error?.message ?? String(error);
  if (isGone(error)) loseLink(error);
  else emit("error", store.lastError);
}

/** From now on nothing is kept, and the page says so, until the worktable answers again. */
function loseLink(error) {
  const { link } = store;
  const how = error.status === 401 ? "over" : "down";
  if (link.how === how || link.how === "over") return;
  link.how = how;
  emit("link");
}

/** The same function, its errors told to the maker; null where there was one. */
export const guarded = (act) => async (...args) => {
  try {
    return await act(...args);
  } catch (error) {
    reportError(error);
    return null;
  }
};

/** Which document, and as of which change. */
export const stamp = (data) => `${data?.document} ${data?.revision}`;

/** Nothing is looked at or picked beyond the last step, also from a line that is about to be drawn anew. */
export function keepToSteps() {
  const { view, picked, design: { steps } } = store;
  if (view.step > steps.length) view.step = steps.length;
  if (picked.step > steps.length) picked.step = steps.length || null;
}

/** Another document is open: nothing of the old one is looked at or picked any more. */
export function forgetDocument() {
  Object.assign(store, { trial: null, besideSetAside: false, spot: null, brush: null, analysis: null, tab: "cloth" });
  Object.assign(store.picked, { step: null, pot: null, paint: null, finding: null });
  store.view.step = null;
}

/** The mask of a step, or of one pot of a dyeing. */
export function maskOf(number, paint) {
  const step = store.design.steps[number - 1];
  if (!step) return null;
  return step.kind === "dye" ? (step.paints[(paint ?? 1) - 1]?.where ?? null) : (step.where ?? null);
}

/** Look at something else: a step, a light. */
export function look(change) {
  Object.assign(store.view, change);
  keepToSteps();
  emit("view");
}

export function pick(change, tab) {
  Object.assign(store.picked, change);
  keepToSteps();
  if (tab) store.tab = tab;
  emit("pick");
}

/** Look at a trial beside what is; null = no longer. */
export function showTrial(trial) {
  store.trial = trial;
  store.besideSetAside = false;
  emit("view");
  emit("pick");
}

/** The findings of the design as it is now; null while they are being looked for. */
export const currentFindings = () => (stamp(store.analysis) === stamp(store.design) ? (store.analysis.findings ?? null) : null);
