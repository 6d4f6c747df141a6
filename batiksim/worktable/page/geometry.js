// Where a spot of the cloth is in its frame, and the other way round.

import { store } from "/page/store.js";

const { position: view, frame: size } = store;

/** From shares of the cloth (0..1) to px in the window, and back. */
export const toWindow = (x, y) => [view.x + x * size.wide * view.scale, view.y + y * size.high * view.scale];
export const toCloth = (px, py) => ({
  x: (px - view.x) / (size.wide * view.scale), y: (py - view.y) / (size.high * view.scale),
});
export const clamped = ({ x, y }) => ({ x: Math.min(0.9999, Math.max(0, x)), y: Math.min(0.9999, Math.max(0, y)) });

/** CSS pixels to a millimetre of cloth, as zoomed. */
export const mm = () => (size.wide * view.scale) / store.design.cloth.width_mm;
