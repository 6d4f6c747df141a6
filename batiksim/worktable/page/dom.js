// Small helpers to build the page. Text always goes in as text, never as markup.

import { onRest, pressing } from "/page/input-activity.js";

const SVG = "http://www.w3.org/2000/svg";

function fill(node, props, children) {
  for (const [key, value] of Object.entries(props ?? {})) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (key === "style") for (const [name, part] of Object.entries(value)) node.style.setProperty(name, part);
    else if (key === "value" || key === "checked" || key === "disabled" || key === "hidden") node[key] = value;
    else node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

/** An HTML element: h("p", {class: "x", onclick: f}, "text", child). */
export function h(tag, props, ...children) {
  return fill(document.createElement(tag), props, children);
}

/** An SVG element. */
export function s(tag, props, ...children) {
  return fill(document.createElementNS(SVG, tag), props, children);
}

const due = new Map(); // what goes into nodes in which something is pressed just now

onRest(() => {
  for (const [node, children] of [...due]) put(node, children); // of a copy: what is still pressed is due again
});

/**
 * Put children into a node in place of what was there; whoever had the focus keeps it, by its data-key, or the node gets
 * it. What is pressed in there just now stays until it is let go: taken away under the hand, it would not be clicked.
 */
export function put(node, ...children) {
  due.delete(node);
  if (pressing(node)) {
    due.set(node, children);
    return;
  }
  const active = document.activeElement;
  const key = node.contains(active) ? active?.dataset?.key : null;
  const { selectionStart: from, selectionEnd: to } = active ?? {};
  node.replaceChildren(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false));
  if (!key) return;
  const again = node.querySelector(`[data-key="${CSS.escape(key)}"]`);
  (again && !again.disabled ? again : node).focus({ preventScroll: true });
  if (again?.type === "text" && typeof from === "number") again.setSelectionRange(from, to);
  else if (again?.type === "number") again.select(); // what was selected can't be known
}

export const byId = (id) => document.getElementById(id);

/** Tell something to those who listen rather than look. */
export function announce(text) {
  const said = byId("said");
  said.textContent = said.textContent === text ? `${text} ` : text;
}

/** A button with words on it. */
export function button(words, act, props = {}) {
  return h("button", { type: "button", onclick: act, ...props }, words);
}

let number = 0;
/** A labelled control: field("Width", input). */
export function field(label, control, { after = null, hint = null, row = false } = {}) {
  number += 1;
  control.id ||= `field-${number}`;
  const parts = [h("label", { for: control.id }, label), after ? h("span", { class: "pair" }, control, after) : control];
  if (hint) {
    control.setAttribute("aria-describedby", `hint-${number}`);
    parts.push(h("small", { id: `hint-${number}` }, hint));
  }
  return h("div", { class: row ? "field row" : "field" }, parts);
}

/** A slider that shows its value: moving(value) on the way, settle(value) when it rests. */
export function slider(label, { value, min, max, step, key, words, moving, settle, hint }) {
  const out = h("output", {}, words(value));
  const input = h("input", { type: "range", min, max, step, value, "data-key": key, "aria-valuetext": words(value) });
  input.addEventListener("input", () => {
    const now = Number(input.value);
    out.textContent = words(now);
    input.setAttribute("aria-valuetext", words(now));
    moving?.(now);
  });
  input.addEventListener("change", () => settle(Number(input.value)));
  return field(label, input, { after: out, hint });
}

/** A choice among [value, words] pairs. */
export function choose(label, pairs, value, settle, { key, hint, row } = {}) {
  const select = h("select", { "data-key": key, onchange: () => settle(select.value) },
    pairs.map(([option, words]) => h("option", { value: option }, words)));
  select.value = value;
  return field(label, select, { hint, row });
}

/** A box to tick. */
export function tick(label, checked, settle, { key } = {}) {
  const box = h("input", { type: "checkbox", checked, "data-key": key, onchange: () => settle(box.checked) });
  return h("label", { class: "tick" }, box, label);
}

/** A piece of dyed cloth as a swatch. */
export function swatch(hex, { small = false } = {}) {
  return h("span", { class: small ? "swatch small" : "swatch", style: { "background-color": hex }, "aria-hidden": "true" });
}

/** Draw raw RGBA into a canvas. */
export function draw(canvas, pixels, rows, cols) {
  if (canvas.width !== cols || canvas.height !== rows) {
    canvas.width = cols;
    canvas.height = rows;
  }
  canvas.getContext("2d", { alpha: false }).putImageData(new ImageData(pixels, cols, rows), 0, 0);
}
