// Changing the design: one change after another, for good; undo and redo. What a change does is in document/verbs.py.

import { ask } from "/page/server.js";
import { announce } from "/page/dom.js";
import { emit, guarded, isGone, showTrial, store } from "/page/store.js";
import { drawIfDue, take } from "/page/sync.js";
import { say } from "/page/words.js";

let turn = Promise.resolve(); // changes are made one after another, as quickly as they may come
function inTurn(make) {
  store.underWay += 1;
  emit("saved");
  turn = turn.then(make, make);
  turn.then(over, over);
  return turn;
}

function over() {
  store.underWay -= 1;
  drawIfDue();
  emit("saved");
}

export const busy = () => store.underWay > 0;
/** Wait until every change is made or refused. */
export const whenDone = () => turn.catch(() => null);

// Changes that say how something is from now on: of several that wait for their turn, the last alone counts.
const SETTING = ["set_strength", "set_wax", "set_discharge", "set_cloth", "set_title"];
let lastQueued = null; // {slider, changes, done}: the last in the queue

function sliderOf(change) {
  if (!SETTING.includes(change?.do)) return null;
  const keys = Object.keys(change).filter((key) => !["do", "pot", "step"].includes(key));
  return JSON.stringify([change.do, change.pot, change.step, keys]);
}

/** Change the design for good. A change may be a function: it is called when its turn comes. Returns whether it worked. */
export const change = guarded((...changes) => {
  const slider = changes.length === 1 ? sliderOf(changes[0]) : null;
  if (slider && lastQueued?.slider === slider) {
    lastQueued.changes = changes;
    return lastQueued.done;
  }
  const mine = { slider, changes };
  mine.done = queued(() => {
    if (lastQueued === mine) lastQueued = null;
    return askForDesign("change", { changes: mine.changes.map((each) => (typeof each === "function" ? each() : each)) });
  });
  lastQueued = mine;
  return mine.done;
});

/** Ask the server for anything else that brings a new design. */
export const act = guarded((name, body) => queued(() => askForDesign(name, body)));

function queued(make) {
  lastQueued = null;
  return inTurn(make);
}

async function askForDesign(name, body) {
  try {
    const design = await ask(name, body);
    store.trial = null;
    take(design);
    return true;
  } catch (error) {
    store.link.lost ||= isGone(error) && name !== "state";
    store.redrawDue = true; // controls go back to what is
    emit("setback");
    throw error;
  }
}

export const undo = async () => {
  if (store.trial) {
    const { words } = store.trial;
    showTrial(null);
    announce(say("page.trial.closed", { trial: words }));
    return;
  }
  const { undo: words, steps } = store.design;
  if (!words || !(await act("undo"))) return;
  announce(say("page.changes.undone", { change: words }));
  emit("retraced", steps);
};

export const redo = async () => {
  const { redo: words, steps } = store.design;
  if (!words || !(await act("redo"))) return;
  announce(say("page.changes.redone", { change: words }));
  emit("retraced", steps);
};
