// What the page knows: the design as the server has it, its story, and what is looked at just now.

import { ask, listen, Refused } from "/page/api.js";
import { say } from "/page/dom.js";
import { onRest, pressing } from "/page/rest.js";

const heard = new Map();

export const table = {
  state: null,
  story: null,
  untold: false, // whether the story of this moment could not be had
  view: { step: null, light: "D65", wet: false, wax_off: false },
  trial: null, // {words, changes}: looked at beside what is
  beside: false, // whether the kept arrangement is shown beside
  rings: true, // whether findings are ringed on the cloth
  hushed: false, // whether the note about other pages was closed
  picked: { step: null, pot: null, paint: null, finding: null },
  tab: "cloth",
  brush: null, // {step, paint, tool, erase}
  spot: null,
  pages: 1,
  link: { how: "up", lost: false }, // "up", "down": the worktable doesn't answer, "over": another one runs by now; lost: a change went with it
};

export function on(kind, act) {
  if (!heard.has(kind)) heard.set(kind, []);
  heard.get(kind).push(act);
}

export function emit(kind, detail) {
  for (const act of heard.get(kind) ?? []) act(detail);
}

export function trouble(error) {
  if (error?.name === "AbortError") return;
  if (!(error instanceof Refused)) console.error(error);
  table.lastTrouble = error?.message ?? String(error);
  if (gone(error)) down(error);
  else emit("trouble", table.lastTrouble);
}

/** Whether nobody answers, or a worktable that doesn't know this page. */
const gone = (error) => error instanceof Refused && (error.status === 0 || error.status === 401);

/** From now on nothing is kept, and the page says so, until the worktable answers again. */
function down(error) {
  const { link } = table;
  const how = error.status === 401 ? "over" : "down";
  if (link.how === how || link.how === "over") return;
  link.how = how;
  emit("link");
  if (how === "down") knock();
}

async function knock() {
  while (table.link.how === "down") {
    await new Promise((go) => setTimeout(go, 1500));
    await load();
  }
}

function back() {
  const { how, lost } = table.link;
  if (how === "up") return;
  table.link = { how: "up", lost: false };
  emit("link");
  emit("back", lost ? "The worktable is back. What you changed while it was away is not on the cloth: do it again." : null);
}

export const guarded = (act) => async (...args) => {
  try {
    return await act(...args);
  } catch (error) {
    trouble(error);
    return null;
  }
};

/** Which design, and as of which change. */
export const stamp = (one) => `${one?.table} ${one?.revision}`;

function take(state) {
  back();
  if (table.state && table.state.table !== state.table) clear();
  else if (table.state) state.saved = Math.max(state.saved, table.state.saved); // news of it may have come first
  if (stamp(table.state) !== stamp(state)) table.trial = null; // it was a trial of the cloth as it was
  table.state = state;
  table.picked.pot = state.called[table.picked.pot] ?? table.picked.pot; // it has another name since
  keepToSteps();
  if (table.brush && !maskOf(table.brush.step, table.brush.paint)) table.brush = null;
  if (!state.kept) table.beside = false;
  show();
  tellStory();
  if (state.elsewhere) lookAgain();
}

/** Nothing is looked at or picked beyond the last step, also from a line that is about to be drawn anew. */
function keepToSteps() {
  const { view, picked, state: { steps } } = table;
  if (view.step > steps.length) view.step = steps.length;
  if (picked.step > steps.length) picked.step = steps.length || null;
}

let looking = null;

/** The cloth is open in another worktable: ask now and then whether that has ended. */
function lookAgain() {
  clearTimeout(looking);
  looking = setTimeout(async () => {
    const state = await ask("state").catch(() => null);
    if (state && !state.elsewhere) take(state);
    else if (table.state.elsewhere) lookAgain();
  }, 2000);
}

/** Draw what the server has confirmed, but never under a hand that presses something, nor while a change is on its way. */
function show() {
  unshown = pressing() || underWay > 0;
  if (!unshown && table.state) emit("state");
}

let unshown = false; // the page is to be drawn anew once the hands rest

/** Draw the page anew as soon as the hands rest and nothing is on its way. */
export function showLater() {
  unshown = true;
}

onRest(() => unshown && show());

/** Another design lies on the table: nothing of the old one is looked at or picked any more. */
function clear() {
  Object.assign(table, { trial: null, beside: false, spot: null, brush: null, story: null, tab: "cloth" });
  Object.assign(table.picked, { step: null, pot: null, paint: null, finding: null });
  table.view.step = null;
}

/** The mask of a step, or of one pot of a dyeing. */
export function maskOf(step, paint) {
  const one = table.state.steps[step - 1];
  if (!one) return null;
  return one.kind === "dye" ? (one.paints[(paint ?? 1) - 1]?.where ?? null) : (one.where ?? null);
}

export const load = guarded(async () => take(await ask("state")));

let turn = Promise.resolve(); // changes are made one after another, as quickly as they may come
function inTurn(make) {
  underWay += 1;
  emit("saved");
  turn = turn.then(make, make);
  turn.then(over, over);
  return turn;
}

function over() {
  underWay -= 1;
  if (unshown) show();
  emit("saved");
}

// Changes that say how something is from now on: of several that wait for their turn, the last alone counts.
const SETTING = ["strength", "wax", "bleach", "cloth", "title"];
let waitingChange = null; // {kind, one, done}: the last in the queue

function kindOf(one) {
  if (!SETTING.includes(one?.do)) return null;
  const keys = Object.keys(one).filter((key) => !["do", "pot", "step"].includes(key));
  return JSON.stringify([one.do, one.pot, one.step, keys]);
}

/** Change the design for good. A change may be a function: it is called when its turn comes. Returns whether it worked. */
export const change = guarded((...changes) => {
  const kind = changes.length === 1 ? kindOf(changes[0]) : null;
  if (kind && waitingChange?.kind === kind) {
    waitingChange.changes = changes;
    return waitingChange.done;
  }
  const mine = { kind, changes };
  mine.done = queued(() => {
    if (waitingChange === mine) waitingChange = null;
    return own("change", { changes: mine.changes.map((one) => (typeof one === "function" ? one() : one)) });
  });
  waitingChange = mine;
  return mine.done;
});

export const act = guarded((name, body) => queued(() => own(name, body)));

function queued(make) {
  waitingChange = null;
  return inTurn(make);
}

let underWay = 0; // changes of this page's own, whose answer brings the new state
export const busy = () => underWay > 0;

async function own(name, body) {
  try {
    const state = await ask(name, body);
    table.trial = null;
    take(state);
    return true;
  } catch (error) {
    table.link.lost ||= gone(error) && name !== "state";
    unshown = true; // controls go back to what is
    emit("setback");
    throw error;
  }
}

export const undo = async () => {
  if (table.trial) {
    const { words } = table.trial;
    tryOut(null);
    say(`The trial is put away: ${words}`);
    return;
  }
  const { undo: words, steps } = table.state;
  if (!words || !(await act("undo"))) return;
  say(`Taken back: ${words}`);
  emit("retraced", steps);
};

export const redo = async () => {
  const { redo: words, steps } = table.state;
  if (!words || !(await act("redo"))) return;
  say(`Done again: ${words}`);
  emit("retraced", steps);
};

/** Look at something else: a step, a light. */
export function look(change) {
  Object.assign(table.view, change);
  keepToSteps();
  emit("view");
}

export function pick(change, tab) {
  Object.assign(table.picked, change);
  keepToSteps();
  if (tab) table.tab = tab;
  emit("pick");
}

/** Look at a trial beside what is; null = no longer. */
export function tryOut(trial) {
  table.trial = trial;
  table.beside = false;
  emit("view");
  emit("pick");
}

let waiting = null;
let telling = false;

/** Ask for the story once the hands rest: colours first, then what troubles. */
function tellStory() {
  clearTimeout(waiting);
  waiting = setTimeout(async () => {
    if (telling) return; // asked anew when that is done
    telling = true;
    table.untold = false;
    const asked = stamp(table.state);
    const now = () => asked === stamp(table.state);
    try {
      for (const part of ["story", "troubles"]) {
        const told = now() && (await ask(part));
        if (!told || !now() || stamp(told) !== asked) break;
        table.story = { ...(part === "story" ? {} : table.story), ...told };
        emit("story");
      }
    } catch (error) {
      table.untold = true;
      trouble(error);
      emit("story");
    }
    telling = false;
    if (!now()) tellStory();
  }, 250);
}

export function begin() {
  listen((event) => {
    if (event.kind === "pages") {
      table.pages = event.count;
      emit("pages");
    } else if (event.kind === "changed" && !underWay && stamp(event) !== stamp(table.state)) {
      load();
    } else if (event.table && event.table !== table.state?.table && event.kind !== "changed") {
      load(); // it was saved before this page knew of it
    } else if (event.kind === "saved" && event.table === table.state?.table) {
      const first = table.state.sample;
      table.state.saved = Math.max(table.state.saved, event.revision);
      table.state.problem = null;
      if (first) load();
      emit("saved");
    } else if (event.kind === "unsaved" && event.table === table.state?.table) {
      table.state.problem = event.problem;
      emit("saved");
    } else if (event.kind === "outside") {
      emit("news", "Something else has changed this cloth's file. That version is kept under “Earlier”; yours is saved.");
    } else if (event.kind === "learnt") {
      emit("news", `Your dye book was changed elsewhere. Shown anew, as it is in the book now: ${event.dyes.join(", ")}.`);
    } else if (event.kind === "back") {
      load();
    } else if (event.kind === "task") {
      emit("task", event);
    }
  }, trouble);
  window.addEventListener("focus", () => ask("state").catch(() => null)); // it looks at her dye book too: she may have been at the command line
  return load();
}
