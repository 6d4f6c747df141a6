// Frames from the server into canvases: half size while something moves, full size when it rests; the latest wins.

import { page, raw } from "/page/server.js";
import { draw } from "/page/dom.js";
import { reportError } from "/page/store.js";

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
    this.underWay = null; // {half, control}
    this.restTimer = null;
  }

  /** Show a frame. body : what the server needs; size : {rows, cols} of the cloth; moving : half size first. */
  want(body, size, { moving = false, zoom = 1 } = {}) {
    clearTimeout(this.restTimer);
    const full = fullWidth(size, zoom);
    this.next = { body, size, half: moving, width: moving ? Math.ceil(full / 2) : full, began: performance.now() };
    if (moving) this.restTimer = setTimeout(() => this.want(body, size, { zoom }), REST_MS);
    if (this.underWay && !this.underWay.half) this.underWay.control.abort();
    if (!this.underWay) this.go();
  }

  async go() {
    while (this.next) {
      const request = this.next;
      this.next = null;
      this.number += 1;
      const control = new AbortController();
      this.underWay = { half: request.half, control };
      try {
        const body = { ...request.body, page, place: this.name, number: this.number, width: request.width };
        const frame = await raw("frame", body, control.signal);
        if (frame) {
          draw(this.canvas, frame.pixels, ...frame.shape);
          this.canvas.dataset.shown = `${request.half ? "half" : "full"} ${frame.shape[1]}`;
          this.drawn?.(request.half, performance.now() - request.began, request.body);
        }
      } catch (error) {
        if (error.name !== "AbortError") {
          reportError(error);
          this.next = null;
        }
      }
    }
    this.underWay = null;
  }
}

function fullWidth({ rows, cols }, zoom) {
  const most = Math.round(Math.sqrt((MOST_PIXELS * cols) / rows));
  return zoom > 2 ? cols : Math.min(cols, most);
}
