// The head of the page: the cloth's title, whether it is kept, undo and redo; and what has to be said at once.

import { languageChoice } from "/page/language-choice.js";
import { newCloth } from "/page/new-cloth.js";
import { openCloth } from "/page/open-cloth.js";
import { button, byId, h, put } from "/page/dom.js";
import { typing } from "/page/input-activity.js";
import { busy, change, redo, undo } from "/page/changes.js";
import { on, store } from "/page/store.js";
import { say } from "/page/words.js";

const mac = navigator.platform.startsWith("Mac");
const key = (letters) => say(mac ? "page.header.key_mac" : "page.header.key", { letter: letters });

/** Whether something that was done on this page may be lost, as the worktable has gone. */
const lostSome = () => store.link.lost || store.design.saved < store.design.revision || busy();

/** Whether the cloth is kept on disk: {how, words}. */
function savedState() {
  const { link, design: { saved, revision, problem, sample, folder, elsewhere } } = store;
  if (link.how !== "up") return { how: "failed", words: say(lostSome() ? "page.saved.not" : "page.saved.not_now") };
  if (elsewhere) return { how: "failed", words: say("page.saved.not_here") };
  if (problem) return { how: "failed", words: say("page.saved.problem", { problem }) };
  if (busy()) return { how: "waiting", words: say("page.saved.saving") };
  if (sample && revision === 0) return { how: "sample", words: say("page.saved.sample") };
  return saved >= revision ? { how: "saved", words: say("page.saved.saved", { folder: folder || say("page.saved.its_folder") }) } : { how: "waiting", words: say("page.saved.saving") };
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
  const back = store.trial ? say("page.header.close_trial") : last ? say("page.header.undo_what", { change: last }) : null;
  put(byId("acts"),
    button(say("page.header.undo"), undo, { "data-key": "undo", disabled: !back, title: back ? say("page.header.with_key", { what: back, keys: key("Z") }) : null }),
    button(say("page.header.redo"), redo, { "data-key": "redo", disabled: !forth, title: forth ? say("page.header.redo_what", { change: forth }) : null }),
    button(say("page.header.begin"), newCloth, { "data-key": "begin" }),
    button(say("page.header.open"), openCloth, { "data-key": "open" }),
    languageChoice());
}

/** What is wrong for as long as it is so, as the catalogue calls it: page.gone.down, page.gone.over or page.gone.elsewhere. */
const lasting = () => (store.link.how !== "up" ? store.link.how : store.design?.elsewhere ? "elsewhere" : null);

function goneWords() {
  const how = lasting();
  if (!how) return null;
  if (how === "elsewhere" || !store.design || (store.design.sample && !store.design.revision)) return say(`page.gone.${how}`);
  const folder = store.design.folder || say("page.saved.its_folder");
  return `${say(`page.gone.${how}`)} ${say(lostSome() ? "page.gone.lost" : "page.gone.kept", { folder })}`;
}

let shown = null; // the notice as it stands
let said = null; // what went wrong last
let stays = null; // "cloth": as long as this cloth lies here, "always": until it is closed; else until something has worked
function notice() {
  const manyPages = store.pages > 1 ? say("page.header.many_pages", { count: store.pages }) : null;
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
  put(box, words, goneWords() ? null : button(say("page.dialog.close"), hush, { "data-key": "hush" }));
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
    document.title = say("page.head.titled", { cloth: store.design.title });
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
