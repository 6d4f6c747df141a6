// The head of the page: the cloth's title, whether it is kept, undo and redo; and what has to be said at once.

import { newCloth } from "/page/new-cloth.js";
import { openCloth } from "/page/open-cloth.js";
import { button, byId, h, put } from "/page/dom.js";
import { typing } from "/page/input-activity.js";
import { busy, change, redo, undo } from "/page/changes.js";
import { on, store } from "/page/store.js";

const mac = navigator.platform.startsWith("Mac");
const key = (letters) => (mac ? `⌘${letters}` : `Ctrl+${letters}`);

/** Whether something that was done on this page may be lost, as the worktable has gone. */
const lostSome = () => store.link.lost || store.design.saved < store.design.revision || busy();

/** Whether the cloth is kept on disk: {how, words}. */
function savedState() {
  const { link, design: { saved, revision, problem, sample, folder, elsewhere } } = store;
  if (link.how !== "up") return { how: "failed", words: lostSome() ? "Not saved" : "Nothing is saved now" };
  if (elsewhere) return { how: "failed", words: "Nothing is saved here" };
  if (problem) return { how: "failed", words: `Not saved: ${problem}` };
  if (busy()) return { how: "waiting", words: "Saving…" };
  if (sample && revision === 0) return { how: "sample", words: "A sample to try. Your first change makes it a cloth of your own." };
  return saved >= revision ? { how: "saved", words: `Saved in ${folder || "its folder"}` } : { how: "waiting", words: "Saving…" };
}

function showSaved() {
  if (!store.design) return;
  const shown = byId("kept");
  const { how, words } = savedState();
  shown.className = how;
  shown.textContent = words;
  shown.dataset.revision = store.design.saved;
}

function showButtons() {
  if (!store.design) return;
  const { undo: last, redo: forth } = store.design;
  const back = store.trial ? "Put the trial away" : last ? `Take back: ${last}` : null;
  put(byId("acts"),
    button("Undo", undo, { "data-key": "undo", disabled: !back, title: back ? `${back} (${key("Z")})` : null }),
    button("Redo", redo, { "data-key": "redo", disabled: !forth, title: forth ? `Do again: ${forth}` : null }),
    button("Begin from my pictures", newCloth, { "data-key": "begin" }),
    button("Open another cloth", openCloth, { "data-key": "open" }));
}

const GONE = {
  down: "The worktable has stopped, so nothing that you do here is saved. Start it again and go on in the page that it opens.",
  over: "This page is not of the worktable that runs now, so nothing that you do here is saved. Go on in the page that it has opened.",
  elsewhere: "This cloth is open in another worktable already. Go on in its page; here you can look and try, but nothing is saved. Once the other is stopped, you can go on here.",
};

/** What is wrong for as long as it is so: which of `GONE`. */
const lasting = () => (store.link.how !== "up" ? store.link.how : store.design?.elsewhere ? "elsewhere" : null);

function goneWords() {
  const how = lasting();
  if (!how) return null;
  if (how === "elsewhere" || !store.design || (store.design.sample && !store.design.revision)) return GONE[how];
  return `${GONE[how]} ${lostSome() ? "Your last change is lost; what" : "What"} was shown as saved is in ${store.design.folder || "its folder"}.`;
}

let shown = null; // the notice as it stands
let said = null; // what went wrong last
let stays = null; // "cloth": as long as this cloth lies here, "always": until it is closed; else until something has worked
function notice() {
  const manyPages = store.pages > 1
    ? `This cloth is open in ${store.pages} pages. Each shows what the others do; undo takes back the last change of any.` : null;
  const bad = goneWords() ?? said;
  const text = bad ?? (store.pagesNoteClosed ? null : manyPages);
  const box = byId("notice");
  if (shown === `${box.className}: ${text}` && !box.hidden) return; // nobody wants to hear it twice
  box.hidden = !text;
  box.className = bad ? "bad" : "";
  shown = `${box.className}: ${text}`;
  if (!text) return;
  const hush = () => {
    if (said) said = null;
    else store.pagesNoteClosed = true;
    notice();
  };
  const words = h("p", { role: bad ? "alert" : "status" }, text);
  put(box, words, goneWords() ? null : button("Close", hush, { "data-key": "hush" }));
}

/** Something has worked: what went wrong before is no longer to be read. */
function settled() {
  if (!stays) said = null;
  notice();
}

function keys(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const letter = event.key.toLowerCase();
  if (letter !== "z" && letter !== "y") return;
  if (typing()) return; // the field's own undo
  event.preventDefault();
  if (letter === "y" || event.shiftKey) redo();
  else undo();
}

export function startHeader() {
  const title = byId("title");
  title.addEventListener("change", () => {
    const words = title.value.trim();
    if (words) change({ do: "set_title", title: words });
    else title.value = store.design.title;
  });
  document.addEventListener("keydown", keys);
  on("design", () => {
    const otherDocument = title.dataset.document !== String(store.design.document); // another cloth lies there: what was typed and said was of the old one
    if (otherDocument || !typing(title)) title.value = store.design.title;
    if (otherDocument && stays !== "always") said = null;
    title.dataset.document = store.design.document;
    document.title = `${store.design.title} – worktable`;
    showSaved();
    showButtons();
    settled();
  });
  on("setback", () => {
    if (store.design) title.value = store.design.title;
  });
  on("pick", showButtons);
  on("saved", () => {
    showSaved();
    if (lasting()) notice();
  });
  on("link", () => {
    said = null;
    showSaved();
    notice();
  });
  on("pages", () => {
    store.pagesNoteClosed = false;
    notice();
  });
  const tell = (how) => (text) => {
    said = text;
    stays = how;
    shown = null;
    notice();
  };
  on("error", tell(null));
  on("news", tell("cloth"));
  on("back", tell("always"));
  on("well", settled);
}
