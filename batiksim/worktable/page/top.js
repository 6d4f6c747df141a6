// The top of the page: the cloth's title, whether it is kept, undo and redo; and what has to be said at once.

import { beginCloth, openCloth } from "/page/beginning.js";
import { button, byId, put } from "/page/dom.js";
import { busy, change, on, redo, table, undo } from "/page/table.js";

const mac = navigator.platform.startsWith("Mac");
const key = (letters) => (mac ? `⌘${letters}` : `Ctrl+${letters}`);

/** Whether the cloth is kept on disk, in words. */
function kept() {
  if (!table.state) return;
  const { saved, revision, problem, sample, where } = table.state;
  const shown = byId("kept");
  const how = problem ? "failed" : busy() ? "waiting" : sample && revision === 0 ? "sample" : saved >= revision ? "saved" : "waiting";
  shown.className = how;
  shown.textContent = {
    failed: `Not saved: ${problem}`,
    sample: "A sample to try. Your first change makes it a cloth of your own.",
    saved: `Saved in ${where || "its folder"}`,
    waiting: "Saving…",
  }[how];
  shown.dataset.revision = saved;
}

function acts() {
  const { undo: back, redo: forth } = table.state;
  put(byId("acts"),
    button("Undo", undo, { "data-key": "undo", disabled: !back, title: back ? `Take back: ${back} (${key("Z")})` : null }),
    button("Redo", redo, { "data-key": "redo", disabled: !forth, title: forth ? `Do again: ${forth}` : null }),
    button("Begin from my pictures", beginCloth, { "data-key": "begin" }),
    button("Open another cloth", openCloth, { "data-key": "open" }));
}

let said = null; // what went wrong last
function notice() {
  const others = table.pages > 1
    ? `This cloth is open in ${table.pages} pages. Each shows what the others do; undo takes back the last change of any.` : null;
  const text = said ?? (table.hushed ? null : others);
  const box = byId("notice");
  box.hidden = !text;
  box.className = said ? "bad" : "";
  if (!text) return;
  const hush = () => {
    if (said) said = null;
    else table.hushed = true;
    notice();
  };
  const words = document.createElement("p");
  words.textContent = text;
  words.setAttribute("role", said ? "alert" : "status");
  put(box, words, button("Close", hush, { "data-key": "hush" }));
}

function keys(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const letter = event.key.toLowerCase();
  if (letter !== "z" && letter !== "y") return;
  if (event.target.matches("input[type=text], input:not([type]), textarea")) return;
  event.preventDefault();
  if (letter === "y" || event.shiftKey) redo();
  else undo();
}

export function setTop() {
  const title = byId("title");
  title.addEventListener("change", () => {
    const words = title.value.trim();
    if (words) change({ do: "title", title: words });
    else title.value = table.state.title;
  });
  document.addEventListener("keydown", keys);
  on("state", () => {
    if (document.activeElement !== title) title.value = table.state.title;
    document.title = `${table.state.title} – worktable`;
    kept();
    acts();
  });
  on("saved", kept);
  on("pages", () => {
    table.hushed = false;
    notice();
  });
  on("trouble", (text) => {
    said = text;
    notice();
  });
}
