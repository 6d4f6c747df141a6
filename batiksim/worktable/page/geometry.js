// Where the cloth lies in its frame, and how close it is looked at.

import { table } from "/page/table.js";

export const view = { scale: 1, x: 0, y: 0 }; // x, y : shift of the cloth in px, at its top left corner
export const size = { wide: 300, high: 300 }; // of the window in the frame, in px

/** From shares of the cloth (0..1) to px in the window, and back. */
export const toWindow = (x, y) => [view.x + x * size.wide * view.scale, view.y + y * size.high * view.scale];
export const toCloth = (px, py) => ({
  x: (px - view.x) / (size.wide * view.scale), y: (py - view.y) / (size.high * view.scale),
});
export const clamped = ({ x, y }) => ({ x: Math.min(0.9999, Math.max(0, x)), y: Math.min(0.9999, Math.max(0, y)) });

/** CSS pixels to a millimetre of cloth, as zoomed. */
export const mm = () => (size.wide * view.scale) / table.state.cloth.width_mm;
