// The top of the page: the cloth's title, whether it is kept, undo and redo; and what has to be said at once.

import { beginCloth, openCloth } from "/page/beginning.js";
import { button, byId, h, put } from "/page/dom.js";
import { typing } from "/page/rest.js";
import { busy, change, on, redo, table, undo } from "/page/table.js";

const mac = navigator.platform.startsWith("Mac");
const key = (letters) => (mac ? `⌘${letters}` : `Ctrl+${letters}`);

/** Whether something that was done on this page may be lost, as the worktable has gone. */
const lostSome = () => table.link.lost || table.state.saved < table.state.revision || busy();

/** Whether the cloth is kept on disk: {how, words}. */
function keeping() {
  const { link, state: { saved, revision, problem, sample, where, elsewhere } } = table;
  if (link.how !== "up") return { how: "failed", words: lostSome() ? "Not saved" : "Nothing is saved now" };
  if (elsewhere) return { how: "failed", words: "Nothing is saved here" };
  if (problem) return { how: "failed", words: `Not saved: ${problem}` };
  if (busy()) return { how: "waiting", words: "Saving…" };
  if (sample && revision === 0) return { how: "sample", words: "A sample to try. Your first change makes it a cloth of your own." };
  return saved >= revision ? { how: "saved", words: `Saved in ${where || "its folder"}` } : { how: "waiting", words: "Saving…" };
}

function kept() {
  if (!table.state) return;
  const shown = byId("kept");
  const { how, words } = keeping();
  shown.className = how;
  shown.textContent = words;
  shown.dataset.revision = table.state.saved;
}

function acts() {
  if (!table.state) return;
  const { undo: last, redo: forth } = table.state;
  const back = table.trial ? "Put the trial away" : last ? `Take back: ${last}` : null;
  put(byId("acts"),
    button("Undo", undo, { "data-key": "undo", disabled: !back, title: back ? `${back} (${key("Z")})` : null }),
    button("Redo", redo, { "data-key": "redo", disabled: !forth, title: forth ? `Do again: ${forth}` : null }),
    button("Begin from my pictures", beginCloth, { "data-key": "begin" }),
    button("Open another cloth", openCloth, { "data-key": "open" }));
}

const GONE = {
  down: "The worktable has stopped, so nothing that you do here is saved. Start it again and go on in the page that it opens.",
  over: "This page is not of the worktable that runs now, so nothing that you do here is saved. Go on in the page that it has opened.",
  elsewhere: "This cloth is open in another worktable already. Go on in its page; here you can look and try, but nothing is saved. Once the other is stopped, you can go on here.",
};

/** What is wrong for as long as it is so: which of `GONE`. */
const lasting = () => (table.link.how !== "up" ? table.link.how : table.state?.elsewhere ? "elsewhere" : null);

function gone() {
  const how = lasting();
  if (!how) return null;
  if (how === "elsewhere" || !table.state || (table.state.sample && !table.state.revision)) return GONE[how];
  return `${GONE[how]} ${lostSome() ? "Your last change is lost; what" : "What"} was shown as saved is in ${table.state.where || "its folder"}.`;
}

let noted = null;
let said = null; // what went wrong last
let stays = null; // "cloth": as long as this cloth lies here, "always": until it is closed; else until something has worked
function notice() {
  const others = table.pages > 1
    ? `This cloth is open in ${table.pages} pages. Each shows what the others do; undo takes back the last change of any.` : null;
  const bad = gone() ?? said;
  const text = bad ?? (table.hushed ? null : others);
  const box = byId("notice");
  if (noted === `${box.className}: ${text}` && !box.hidden) return; // nobody wants to hear it twice
  box.hidden = !text;
  box.className = bad ? "bad" : "";
  noted = `${box.className}: ${text}`;
  if (!text) return;
  const hush = () => {
    if (said) said = null;
    else table.hushed = true;
    notice();
  };
  const words = h("p", { role: bad ? "alert" : "status" }, text);
  put(box, words, gone() ? null : button("Close", hush, { "data-key": "hush" }));
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

export function setTop() {
  const title = byId("title");
  title.addEventListener("change", () => {
    const words = title.value.trim();
    if (words) change({ do: "set_title", title: words });
    else title.value = table.state.title;
  });
  document.addEventListener("keydown", keys);
  on("state", () => {
    const other = title.dataset.table !== String(table.state.table); // another cloth lies there: what was typed and said was of the old one
    if (other || !typing(title)) title.value = table.state.title;
    if (other && stays !== "always") said = null;
    title.dataset.table = table.state.table;
    document.title = `${table.state.title} – worktable`;
    kept();
    acts();
    settled();
  });
  on("setback", () => {
    if (table.state) title.value = table.state.title;
  });
  on("pick", acts);
  on("saved", () => {
    kept();
    if (lasting()) notice();
  });
  on("link", () => {
    said = null;
    kept();
    notice();
  });
  on("pages", () => {
    table.hushed = false;
    notice();
  });
  const tell = (how) => (text) => {
    said = text;
    stays = how;
    noted = null;
    notice();
  };
  on("trouble", tell(null));
  on("news", tell("cloth"));
  on("back", tell("always"));
  on("well", settled);
}
