// Frames from the server into canvases: half size while something moves, full size when it rests; the latest wins.

import { page, raw } from "/page/api.js";
import { draw } from "/page/dom.js";
import { trouble } from "/page/table.js";

const MOST_PIXELS = 4_300_000; // of a frame, unless zoomed in so far that more can be seen
const REST_MS = 110;

/** One place that shows frames. */
export class Place {
  constructor(name, canvas, drawn) {
    this.name = name;
    this.canvas = canvas;
    this.drawn = drawn;
    this.number = 0;
    this.next = null;
    this.under = null; // {half, control}
    this.rest = null;
  }

  /** Show a frame. body : what the server needs; size : {rows, cols} of the cloth; moving : half size first. */
  want(body, size, { moving = false, zoom = 1 } = {}) {
    clearTimeout(this.rest);
    const full = fullWidth(size, zoom);
    this.next = { body, size, half: moving, width: moving ? Math.ceil(full / 2) : full, began: performance.now() };
    if (moving) this.rest = setTimeout(() => this.want(body, size, { zoom }), REST_MS);
    if (this.under && !this.under.half) this.under.control.abort();
    if (!this.under) this.go();
  }

  async go() {
    while (this.next) {
      const wanted = this.next;
      this.next = null;
      this.number += 1;
      const control = new AbortController();
      this.under = { half: wanted.half, control };
      try {
        const body = { ...wanted.body, page, place: this.name, number: this.number, width: wanted.width };
        const found = await raw("frame", body, control.signal);
        if (found) {
          draw(this.canvas, found.pixels, ...found.shape);
          this.canvas.dataset.shown = `${wanted.half ? "half" : "full"} ${found.shape[1]}`;
          this.drawn?.(wanted.half, performance.now() - wanted.began, wanted.body);
        }
      } catch (error) {
        if (error.name !== "AbortError") {
          trouble(error);
          this.next = null;
        }
      }
    }
    this.under = null;
  }
}

function fullWidth({ rows, cols }, zoom) {
  const most = Math.round(Math.sqrt((MOST_PIXELS * cols) / rows));
  return zoom > 2 ? cols : Math.min(cols, most);
}
