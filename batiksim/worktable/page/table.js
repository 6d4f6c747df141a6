// What the page knows: the design as the server has it, its story, and what is looked at just now.

import { ask, listen, Refused } from "/page/api.js";
import { say } from "/page/dom.js";

const heard = new Map();

export const table = {
  state: null,
  story: null,
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
  emit("trouble", table.lastTrouble);
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
  const steps = state.steps.length;
  if (table.state && table.state.table !== state.table) clear();
  else if (table.state) state.saved = Math.max(state.saved, table.state.saved); // news of it may have come first
  table.state = state;
  if (table.view.step !== null && table.view.step > steps) table.view.step = steps;
  if (table.picked.step !== null && table.picked.step > steps) table.picked.step = steps || null;
  if (table.brush && !maskOf(table.brush.step, table.brush.paint)) table.brush = null;
  if (!state.kept) table.beside = false;
  emit("state");
  tellStory();
}

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
  emit("saved");
}

/** Change the design for good. A change may be a function: it is called when its turn comes. Returns whether it worked. */
export const change = guarded((...changes) => inTurn(() => {
  table.trial = null;
  return own("change", { changes: changes.map((one) => (typeof one === "function" ? one() : one)) });
}));

export const act = guarded((name, body) => inTurn(() => own(name, body)));

let underWay = 0; // changes of this page's own, whose answer brings the new state
export const busy = () => underWay > 0;

async function own(name, body) {
  take(await ask(name, body));
  return true;
}

export const undo = async () => {
  const words = table.state.undo;
  if (words && (await act("undo"))) say(`Taken back: ${words}`);
};

export const redo = async () => {
  const words = table.state.redo;
  if (words && (await act("redo"))) say(`Done again: ${words}`);
};

/** Look at something else: a step, a light. */
export function look(change) {
  Object.assign(table.view, change);
  emit("view");
}

export function pick(change, tab) {
  Object.assign(table.picked, change);
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
      trouble(error);
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
      emit("trouble", "Something else has changed this cloth's file. That version is kept under “Earlier”; yours is saved.");
    } else if (event.kind === "back") {
      emit("trouble", null);
      load();
    } else if (event.kind === "task") {
      emit("task", event);
    }
  }, (error) => emit("trouble", error.message));
  return load();
}
