// Work that takes a while: its progress, a way to stop it, and what it made.

import { ask, made } from "/page/server.js";
import { announce, button, h } from "/page/dom.js";
import { emit, on, reportError, store } from "/page/store.js";
import { say } from "/page/words.js";

const tasks = new Map(); // the latest of each kind

export const taskOf = (kind) => tasks.get(kind) ?? null;
/** Whether any work was begun on this page: what it made is offered here alone. */
export const hasWork = () => tasks.size > 0;

/** Begin some work. */
export async function start(kind, body) {
  try {
    take(await ask("start", { kind, ...body }));
    emit("well");
  } catch (error) {
    reportError(error);
  }
}

function take(task) {
  const known = tasks.get(task.work);
  const over = ["done", "failed", "stopped"];
  if (known?.key === task.key && over.includes(known.state) && !known.lost) return; // events come in any order
  const fresh = known?.key !== task.key || known.state !== task.state;
  tasks.set(task.work, task);
  if (fresh) emit("leaf");
  else step(task);
  if (over.includes(task.state) && fresh) tellEnd(task);
}

/** Say that it is over, and bring what it made into sight; whoever was about to press Stop stands on its button again. */
function tellEnd(task) {
  announce({ done: () => say(`page.task.ready.${task.work}`), failed: () => task.problem, stopped: () => say("page.task.stopped") }[task.state]());
  const button = document.querySelector(`[data-key="start-${task.work}"]`);
  if (!button?.checkVisibility()) return;
  if ([document.body, document.getElementById("leaf")].includes(document.activeElement)) button.focus({ preventScroll: true });
  const result = button.closest("details")?.querySelector("[data-made]");
  result?.scrollIntoView({ block: "nearest" });
}

/** A step forward moves only the bar: whoever writes in the notebook, or is about to press Stop, isn't disturbed. */
function step(task) {
  const there = document.querySelector(`[data-task="${task.key}"]`);
  if (there) show(task, there.querySelector("p"), there.querySelector("progress"));
}

function show(task, words, bar) {
  words.textContent = ["stopping", "waiting"].includes(task.state) ? say(`page.task.${task.state}`) : task.what || say("page.task.working");
  bar.setAttribute("aria-label", words.textContent);
  if (!task.whole) return;
  bar.max = task.whole;
  bar.value = task.at;
}

function inside(task) {
  const words = h("p", { class: "quiet" });
  const bar = h("progress");
  show(task, words, bar);
  return [words, bar,
    button(say("page.task.stop"), () => ask("cancel", { key: task.key }).catch(reportError), { "data-key": `stop-${task.work}`, disabled: task.state === "stopping" })];
}

/** A file's name when saved: the cloth's title goes first, so that two handouts don't take each other's place. */
function savedName(task, name) {
  const title = (task.data?.title ?? task.of.title).toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "").slice(0, 60);
  return title ? `${title}-${name}` : name;
}

/** Open a made file beside this page, or save it. */
export async function openFile(task, name, save) {
  try {
    const blob = await made(`/api/made/${task.key}/${name}`);
    const address = URL.createObjectURL(blob);
    const link = h("a", save ? { href: address, download: savedName(task, name) } : { href: address, target: "_blank", rel: "noopener" });
    link.click();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
  } catch (error) {
    reportError(error);
  }
}

const pictures = new Map(); // addresses of made pictures, by task and name

/** A made picture, shown small. */
export function madePicture(task, name, words) {
  const picture = h("img", { alt: words, class: "made" });
  const path = `/api/made/${task.key}/${name}`;
  if (!pictures.has(path)) pictures.set(path, made(path).then((blob) => URL.createObjectURL(blob)));
  pictures.get(path).then((address) => { picture.src = address; }, () => {
    pictures.delete(path);
    picture.hidden = true;
  });
  return picture;
}

/** What no longer holds of something made: "changed" = the cloth since then, "other" = it is of another cloth, or null. */
export function past({ of }) {
  if (of.document !== store.design.document) return "other";
  return of.design_number === store.design.design_number ? null : "changed";
}

/**
 * How a piece of work stands: its bar, what went wrong, or what it made. shown(task) draws what only this kind has.
 * fileKeys : what each file is called in the catalogue. again() makes it anew, where it is about the cloth on the table.
 */
export function standing(kind, shown, fileKeys = {}, again = null) {
  const task = taskOf(kind);
  if (!task) return null;
  if (task.state === "failed") return h("p", { class: "bad-words", role: "alert", "data-made": true }, task.problem);
  if (task.state === "stopped") return h("p", { class: "quiet", "data-made": true }, say("page.task.nothing_made"));
  if (task.state !== "done") return h("div", { "data-task": task.key }, inside(task));
  const files = task.files.filter((name) => fileKeys[name]);
  const gone = again && past(task);
  return [
    gone ? h("div", { class: "past", role: "status" }, h("p", {}, say(`page.task.past.${gone}`, { cloth: task.of.title })),
      button(say("page.task.again"), again, { class: "main", "data-key": `again-${kind}` })) : null,
    files.length ? h("div", { class: "buttons", "data-made": true }, files.map((name) => [
      button(say(`page.file.${fileKeys[name]}.${gone ? "open_old" : "open"}`), () => openFile(task, name, false), { "data-key": `open-${name}`, class: gone ? null : "main" }),
      button(say("page.task.save"), () => openFile(task, name, true), { "data-key": `save-${name}`, "aria-label": say(`page.file.${fileKeys[name]}.save`) }),
    ])) : null,
    task.left_out.map((note) => h("p", { class: "quiet" }, note)),
    shown?.(task),
  ];
}

/** The worktable has stopped: what it worked on goes no further. */
function failUnfinished() {
  if (store.link.how === "up") return;
  for (const task of tasks.values()) {
    if (!["done", "failed", "stopped"].includes(task.state)) take({ ...task, state: "failed", problem: say("page.task.worktable_stopped"), lost: true });
  }
}

export function startTasks() {
  on("task", take);
  on("link", failUnfinished);
}
