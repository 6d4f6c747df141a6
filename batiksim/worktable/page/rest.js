// Whether her hands rest: nothing is drawn anew under a slider that she moves or a field that she types in.

const FIELDS = "input[type=text], input[type=number], input:not([type]), textarea";
const waiting = [];
let held = false; // a slider is under the mouse or a finger
let typed = null; // the field that holds what isn't sent yet

/** Whether she moves a slider. */
export const sliding = () => held;

/** Whether she types within a node: what is written there counts only once she leaves the field or presses Enter. */
export const typing = (within = document) => Boolean(typed?.isConnected && within.contains(typed));

/** Do something each time that a slider is let go or a field is done with, after the change that this made. */
export function onRest(act) {
  waiting.push(act);
}

function rest() {
  setTimeout(() => waiting.forEach((act) => act()), 0);
}

document.addEventListener("pointerdown", (event) => {
  held = event.target.matches?.("input[type=range]") ?? false;
});
for (const name of ["pointerup", "pointercancel"]) {
  document.addEventListener(name, () => {
    if (!held) return;
    held = false;
    rest();
  });
}
document.addEventListener("input", (event) => {
  if (event.target.matches?.(FIELDS)) typed = event.target;
}, true);
for (const name of ["change", "focusout"]) {
  document.addEventListener(name, (event) => {
    if (event.target !== typed) return;
    typed = null;
    rest();
  }, true); // before its own change is sent
}
