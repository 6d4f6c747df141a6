// The language of the page, by its own name: kept in a cookie, so that the server speaks it too, now and at the next start.

import { whenDone } from "/page/changes.js";
import { hasMarks } from "/page/calibrate.js";
import { openDialog } from "/page/dialogs.js";
import { h } from "/page/dom.js";
import { hasWork } from "/page/tasks.js";
import { code, languages, say } from "/page/words.js";

const YEAR_S = 365 * 24 * 3600;

/** The page loads anew: all that was changed is with the server by then. */
async function speak(chosen) {
  await whenDone();
  document.cookie = `batiksim-language=${chosen}; SameSite=Strict; Path=/; Max-Age=${YEAR_S}`;
  location.reload();
}

/** What is on this page alone, and gone with it, is asked about first. */
function askFirst(chosen, select) {
  const { sheet } = openDialog(say("page.language.title"), h("p", {}, say("page.language.lost")), {
    word: say("page.language.change"), done: () => speak(chosen),
  });
  sheet.addEventListener("close", () => { select.value = code; });
}

/** The choice; null where there is only one language. */
export function languageChoice() {
  if (languages.length < 2) return null;
  const select = h("select", {
    "aria-label": say("page.language.label"), "data-key": "language",
    onchange: () => (hasMarks() || hasWork() ? askFirst(select.value, select) : speak(select.value)),
  }, languages.map(([each, name]) => h("option", { value: each }, name)));
  select.value = code;
  return select;
}
