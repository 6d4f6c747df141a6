// Loose sheets laid over the table: one thing is asked, then they go.

import { announce, button, h } from "/page/dom.js";
import { say } from "/page/words.js";

let number = 0;

/** Lay a sheet. done() does what it asks for and may throw words for the maker; returns {sheet, bad, close}. A wide one fills the window and brings buttons of its own. */
export function openDialog(title, inside, { word = say("page.dialog.use"), busy = say("page.dialog.busy"), done = null, wide = false, roomy = false } = {}) {
  const id = `sheet-${(number += 1)}`;
  const bad = h("p", { class: "bad", role: "alert", hidden: true });
  const go = done && h("button", { type: "submit", class: "main" }, word);
  const from = document.activeElement?.dataset?.key;
  const sheet = h("dialog", { class: wide ? "wide-sheet" : roomy ? "roomy" : null, "aria-labelledby": id });
  const close = () => sheet.close();
  const form = h("form", {
    onsubmit: async (event) => {
      event.preventDefault();
      if (!done || go.disabled) return;
      go.disabled = true;
      go.textContent = busy;
      announce(busy);
      bad.hidden = true;
      try {
        if ((await done()) !== false) close();
      } catch (error) {
        bad.textContent = error.plain ?? error.message;
        bad.hidden = false;
      } finally {
        go.disabled = false;
        go.textContent = word;
      }
    },
  }, h("h2", { id }, title), inside,
  wide ? bad : h("div", { class: "ends" }, bad, h("div", { class: "buttons" }, go, button(say(done ? "page.dialog.cancel" : "page.dialog.close"), close))));
  sheet.append(form);
  sheet.addEventListener("close", () => {
    sheet.remove();
    if (from && document.activeElement === document.body) document.querySelector(`[data-key="${CSS.escape(from)}"]`)?.focus();
  });
  document.body.append(sheet);
  sheet.showModal();
  return { sheet, bad, close };
}
