// A photo or sketch in colour that is sent to be worked on, shown in a canvas.

import { raw, send } from "/page/server.js";
import { draw, h } from "/page/dom.js";

/** Send a photo: {key, name, rows, cols, canvas}. */
export async function sendPhoto(file) {
  const photo = await send("photos", file);
  const canvas = h("canvas", { role: "img", "aria-label": photo.name });
  const shown = await raw("photo", { key: photo.key });
  draw(canvas, shown.pixels, ...shown.shape);
  return { ...photo, canvas };
}
