// The page kept the same as the server: its design taken over and drawn, news of it heard, its analysis fetched.

import { ask, listen } from "/page/server.js";
import { onRest, pressing } from "/page/input-activity.js";
import { emit, forgetDocument, guarded, keepToSteps, maskOf, on, reportError, stamp, store } from "/page/store.js";
import { say } from "/page/words.js";

const KNOCK_MS = 1500;
const LOOK_AGAIN_MS = 2000;
const ANALYSE_MS = 250;

/** Take over a design that the server sent, unless it is an answer from before what is shown that came late. */
export function take(design) {
  const late = store.link.how === "up" && store.design?.document === design.document && design.revision < store.design.revision;
  linkIsBack();
  if (late) return;
  if (store.design && store.design.document !== design.document) forgetDocument();
  else if (store.design) design.saved = Math.max(design.saved, store.design.saved); // news of it may have come first
  if (stamp(store.design) !== stamp(design)) store.trial = null; // it was a trial of the cloth as it was
  store.design = design;
  store.picked.pot = design.new_names[store.picked.pot] ?? store.picked.pot; // it has another name since
  keepToSteps();
  if (store.brush && !maskOf(store.brush.step, store.brush.paint)) store.brush = null;
  if (!design.set_aside) store.besideSetAside = false;
  show();
  analyse();
  if (design.elsewhere) lookAgain();
}

export const load = guarded(async () => take(await ask("state")));

/** Draw what the server has confirmed, but never under a hand that presses something, nor while a change is on its way. */
function show() {
  store.redrawDue = pressing() || store.underWay > 0;
  if (!store.redrawDue && store.design) emit("design");
}

export const drawIfDue = () => store.redrawDue && show();

// A worktable that has gone, or holds the cloth elsewhere

on("link", async () => {
  while (store.link.how === "down") {
    await new Promise((go) => setTimeout(go, KNOCK_MS));
    await load();
  }
});

function linkIsBack() {
  const { how, lost } = store.link;
  if (how === "up") return;
  store.link = { how: "up", lost: false };
  emit("link");
  emit("back", lost ? say("page.sync.back") : null);
}

let looking = null;

/** The cloth is open in another worktable: ask now and then whether that has ended. */
function lookAgain() {
  clearTimeout(looking);
  looking = setTimeout(async () => {
    const design = await ask("state").catch(() => null);
    if (design && !design.elsewhere) take(design);
    else if (store.design.elsewhere) lookAgain();
  }, LOOK_AGAIN_MS);
}

// Its analysis

let waiting = null;
let analysing = false;

/** Ask for the analysis once the hands rest: colours first, then findings. */
function analyse() {
  clearTimeout(waiting);
  waiting = setTimeout(async () => {
    if (analysing) return; // asked anew when that is done
    analysing = true;
    store.analysisFailed = false;
    const of = stamp(store.design);
    const current = () => of === stamp(store.design);
    try {
      for (const part of ["regions", "findings"]) {
        const data = current() && (await ask(part));
        if (!data || !current() || stamp(data) !== of) break;
        store.analysis = { ...(part === "regions" ? {} : store.analysis), ...data };
        emit("analysis");
      }
    } catch (error) {
      store.analysisFailed = true;
      reportError(error);
      emit("analysis");
    }
    analysing = false;
    if (!current()) analyse();
  }, ANALYSE_MS);
}

// News

const NEWS = {
  pages(event) {
    store.pages = event.count;
    emit("pages");
  },
  changed(event) {
    if (!store.underWay && stamp(event) !== stamp(store.design)) load();
  },
  saved(event) {
    const first = store.design.sample;
    store.design.saved = Math.max(store.design.saved, event.revision);
    store.design.problem = null;
    if (first) load();
    emit("saved");
  },
  unsaved(event) {
    store.design.problem = event.problem;
    emit("saved");
  },
  outside: () => emit("news", say("page.sync.outside")),
  learnt: (event) => emit("news", say("page.sync.book_changed", { dyes: event.dyes })),
  back: () => load(),
  task: (event) => emit("task", event),
};

/** Fetch the design, and hear from now on what becomes of it. */
export function startSync() {
  onRest(drawIfDue);
  listen((event) => {
    if (event.document && event.document !== store.design?.document && event.kind !== "changed") load(); // it was saved before this page knew of it
    else NEWS[event.kind]?.(event);
  }, reportError);
  window.addEventListener("focus", () => ask("state").catch(() => null)); // it looks at her dye book too: she may have been at the command line
  return load();
}
