// Whether something is pressed or typed just now: nothing is drawn anew under a finger or button that is down, nor under a field that she types in.

const FIELDS = "input[type=text], input[type=number], input:not([type]), textarea";
const waiting = [];
let held = null; // what a button of the mouse or a finger is down on
let typed = null; // the field that holds what isn't sent yet

/** Whether she presses or drags something, or something within a node: drawn anew under her hand, it would get neither click nor end of a drag. */
export const pressing = (within = null) => held !== null && (within === null || within.contains(held));

/** Whether she types within a node: what is written there counts only once she leaves the field or presses Enter. */
export const typing = (within = document) => Boolean(typed?.isConnected && within.contains(typed));

/** Do something each time that something is let go or a field is done with, after the change that this made. */
export function onRest(act) {
  waiting.push(act);
}

function tellRest() {
  setTimeout(() => waiting.forEach((act) => act()), 0);
}

document.addEventListener("pointerdown", (event) => {
  held = event.button === 0 && !event.target.closest?.("select") ? event.target : null; // a list swallows the end of the press
}, true);
for (const name of ["pointerup", "pointercancel", "contextmenu"]) document.addEventListener(name, letGo, true);
window.addEventListener("blur", letGo);
function letGo() {
  if (!held) return;
  held = null;
  tellRest();
}

document.addEventListener("input", (event) => {
  if (event.target.matches?.(FIELDS)) typed = event.target;
}, true);
for (const name of ["change", "focusout"]) {
  document.addEventListener(name, (event) => {
    if (event.target !== typed) return;
    typed = null;
    tellRest();
  }, true); // before its own change is sent
}
