// A photo looked at closely: closer and further, moved about, squares put on it; by mouse, fingers and keys.

import { h } from "/page/dom.js";
import { say } from "/page/words.js";

const MOST_ZOOM = 16;
const STEP = 0.01; // of the photo's side, with the keys, unless zoomed in
const REACH_PX = 11; // so near to a square's middle a finger takes hold of it, however small it is
const FAR_PX = 5; // less is a click
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * A photo in a window of its own.
 *
 * side() : the side of a square, as a share of the photo's width; squares() : [{x, y}], shares of the photo
 * put(x, y) : a square is wanted there; moved(n, x, y) : one is drawn along, rested() : and let go; drop() : the last is to go
 */
export class PhotoViewer {
  constructor(canvas, handlers) {
    Object.assign(this, handlers, { canvas, view: { scale: 1, x: 0, y: 0 }, size: { wide: 1, high: 1 }, aim: { x: 0.5, y: 0.5 }, fingers: new Map() });
    this.marks = h("div", { "aria-hidden": "true" });
    this.pin = h("span", { class: "square aim", hidden: true, "aria-hidden": "true" });
    this.node = h("div", {
      class: "lens", tabindex: "0", role: "application", "aria-roledescription": say("page.photo.role"), "data-key": "photo",
      "aria-label": say("page.photo.keys", { photo: canvas.getAttribute("aria-label") }),
      onpointerdown: (event) => this.down(event), onpointermove: (event) => this.over(event),
      onpointerup: (event) => this.up(event), onpointercancel: (event) => this.up(event), onpointerleave: () => this.rest(),
      onkeydown: (event) => this.key(event), onfocus: () => this.rest(), onblur: () => this.rest(),
    }, canvas, this.marks, this.pin);
    this.node.style.setProperty("--shape", canvas.width / canvas.height);
    this.node.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    new ResizeObserver(() => this.fit()).observe(this.node);
  }

  /** The nearest middle of a square that lies within the photo. */
  within({ x, y }) {
    const { width, height } = this.canvas;
    const keep = (at, room) => Math.min(1 - room, Math.max(room, at));
    return { x: keep(x, Math.min(0.5, this.side() / 2)), y: keep(y, Math.min(0.5, ((this.side() / 2) * width) / height)) };
  }

  fit() {
    const { clientWidth: wide, clientHeight: high } = this.node;
    if (!wide || !high) return;
    const { width, height } = this.canvas;
    this.room = { wide, high };
    const scale = Math.min(wide / width, high / height);
    this.size = { wide: width * scale, high: height * scale };
    this.place();
  }

  /** Put photo and squares where `view` says, as far as that may be. */
  place() {
    const { view, size, room, canvas } = this;
    if (!room) return;
    view.scale = Math.min(MOST_ZOOM, Math.max(1, view.scale));
    const [wide, high] = [size.wide * view.scale, size.high * view.scale];
    const keep = (at, all, seen) => (all <= seen ? (seen - all) / 2 : Math.min(0, Math.max(seen - all, at)));
    view.x = keep(view.x, wide, room.wide);
    view.y = keep(view.y, high, room.high);
    for (const [name, value] of Object.entries({ width: `${wide}px`, height: `${high}px`, left: `${view.x}px`, top: `${view.y}px` })) canvas.style.setProperty(name, value);
    canvas.classList.toggle("very-close", wide > 3 * canvas.width);
    this.node.dataset.zoom = view.scale.toFixed(2);
    this.marks.replaceChildren(...this.squares().map((square, n) => {
      const mark = h("span", { class: "square" }, h("b", {}, String(n + 1)));
      this.lay(mark, square);
      return mark;
    }));
    this.lay(this.pin, this.aim);
  }

  lay(mark, spot) {
    const { x, y } = this.within(spot);
    mark.style.setProperty("left", `${this.view.x + x * this.size.wide * this.view.scale}px`);
    mark.style.setProperty("top", `${this.view.y + y * this.size.high * this.view.scale}px`);
    mark.style.setProperty("--across", `${Math.max(4, this.across())}px`);
  }

  /** A square's side on the screen, px. */
  across() {
    return this.side() * this.size.wide * this.view.scale;
  }

  zoom(by, px = this.room.wide / 2, py = this.room.high / 2) {
    const { view } = this;
    const before = view.scale;
    view.scale = Math.min(MOST_ZOOM, Math.max(1, before * by));
    view.x = px - ((px - view.x) * view.scale) / before;
    view.y = py - ((py - view.y) * view.scale) / before;
    this.place();
  }

  /** Closer to what is aimed at, or further from it. */
  closer(by) {
    this.zoom(by, ...this.window(this.aim));
  }

  whole() {
    this.view.scale = 1;
    this.place();
  }

  window({ x, y }) {
    return [this.view.x + x * this.size.wide * this.view.scale, this.view.y + y * this.size.high * this.view.scale];
  }

  photo(px, py) {
    return { x: (px - this.view.x) / (this.size.wide * this.view.scale), y: (py - this.view.y) / (this.size.high * this.view.scale) };
  }

  at(event) {
    const box = this.node.getBoundingClientRect();
    return [event.clientX - box.left - this.node.clientLeft, event.clientY - box.top - this.node.clientTop];
  }

  inside({ x, y }) {
    return x >= 0 && x <= 1 && y >= 0 && y <= 1;
  }

  /** The square that lies under a place of the window, or -1. */
  under(px, py) {
    const reach = Math.max(REACH_PX, this.across() / 2);
    return this.squares().findLastIndex((square) => {
      const [x, y] = this.window(this.within(square));
      return Math.max(Math.abs(px - x), Math.abs(py - y)) <= reach;
    });
  }

  // Mouse and fingers

  down(event) {
    if (event.button > 0) return;
    this.node.setPointerCapture(event.pointerId);
    this.fingers.set(event.pointerId, this.at(event));
    const from = this.at(event);
    this.hand = this.fingers.size > 1 ? null : { from, x: this.view.x, y: this.view.y, far: false, held: this.under(...from) };
    this.pinch = this.fingers.size === 2 ? this.two() : null;
  }

  two() {
    const [[x0, y0], [x1, y1]] = [...this.fingers.values()];
    return { apart: Math.hypot(x0 - x1, y0 - y1), middle: [(x0 + x1) / 2, (y0 + y1) / 2] };
  }

  over(event) {
    const [px, py] = this.at(event);
    if (!this.fingers.has(event.pointerId)) {
      this.hover(px, py);
      return;
    }
    this.fingers.set(event.pointerId, [px, py]);
    if (this.pinch) this.pinched();
    else if (this.hand) this.dragged(px, py);
  }

  hover(px, py) {
    const spot = this.photo(px, py);
    const held = this.under(px, py) >= 0;
    this.node.classList.toggle("hold", held);
    this.pin.hidden = held || !this.inside(spot);
    this.aim = this.within(spot);
    this.lay(this.pin, this.aim);
  }

  pinched() {
    const { apart, middle } = this.two();
    this.view.x += middle[0] - this.pinch.middle[0];
    this.view.y += middle[1] - this.pinch.middle[1];
    this.zoom(apart / (this.pinch.apart || 1), ...middle);
    this.pinch = { apart, middle };
  }

  dragged(px, py) {
    const { hand, view } = this;
    hand.far ||= Math.hypot(px - hand.from[0], py - hand.from[1]) > FAR_PX;
    if (!hand.far) return;
    if (hand.held >= 0) {
      const { x, y } = this.within(this.photo(px, py));
      this.moved(hand.held, x, y);
    } else {
      this.pin.hidden = true;
      view.x = hand.x + px - hand.from[0];
      view.y = hand.y + py - hand.from[1];
    }
    this.place();
  }

  up(event) {
    if (!this.fingers.delete(event.pointerId)) return;
    const { hand } = this;
    this.hand = this.pinch = null;
    if (hand?.far && hand.held >= 0) this.rested();
    if (!hand || hand.far || event.type !== "pointerup") return;
    const spot = this.photo(...hand.from);
    if (hand.held < 0 && this.inside(spot)) this.set(this.within(spot));
  }

  wheel(event) {
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0018)), ...this.at(event));
  }

  set(spot) {
    this.aim = spot;
    this.put(spot.x, spot.y);
    this.place();
  }

  // Keys

  /** The aim is seen while the mouse is over the photo, or while keys move it. */
  rest() {
    this.node.classList.remove("hold");
    this.pin.hidden = !this.node.matches(":focus-visible");
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const { key } = event;
    if (ARROWS[key]) this.arrow(ARROWS[key], event.shiftKey);
    else if (key === "Enter" || key === " ") this.set(this.within(this.aim));
    else if (key === "Delete" || key === "Backspace") this.drop();
    else if (key === "+" || key === "=") this.closer(1.5);
    else if (key === "-") this.closer(1 / 1.5);
    else if (key === "0") this.whole();
    else return;
    event.preventDefault();
  }

  arrow([dx, dy], shift) {
    const { view, room } = this;
    if (shift) {
      view.x -= dx * 60;
      view.y -= dy * 60;
    } else {
      const far = STEP / view.scale;
      this.aim = this.within({ x: this.aim.x + dx * far, y: this.aim.y + dy * far });
      this.pin.hidden = false;
      const [px, py] = this.window(this.aim);
      if (px < 0 || px > room.wide) view.x += room.wide / 2 - px;
      if (py < 0 || py > room.high) view.y += room.high / 2 - py;
    }
    this.place();
  }
}
