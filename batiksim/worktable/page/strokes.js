// Touching up a mask: a stroke is seen at once where the hand goes, then laid on the mask at the tool's real width.

import { ask } from "/page/server.js";
import { act } from "/page/changes.js";
import { guarded, store } from "/page/store.js";

/** The tools there are: {name, says, kind, width_mm}, filled in at the start. */
export const tools = [];
export const loadTools = guarded(async () => tools.push(...(await ask("tools")).tools));

/** Begin a stroke at a spot of the cloth (shares 0..1). to() leads on, end() lays it on the mask, drop() forgets it. */
export function stroke(canvas, start) {
  const { width_mm: wide, height_mm: high } = store.design.cloth;
  const brush = store.brush;
  const points = [[start.x * wide, start.y * high]];
  canvas.width = 1200;
  canvas.height = Math.max(1, Math.round((1200 * high) / wide));
  const pen = canvas.getContext("2d");
  const scale = canvas.width / wide;
  pen.lineCap = pen.lineJoin = "round";
  pen.lineWidth = Math.max(1, brush.width_mm * scale);
  pen.strokeStyle = brush.erase ? "#fbf8f1b0" : "#c8892bb0";
  const show = () => {
    pen.clearRect(0, 0, canvas.width, canvas.height);
    pen.beginPath();
    pen.moveTo(points[0][0] * scale, points[0][1] * scale);
    for (const [x, y] of points) pen.lineTo(x * scale, y * scale + 0.01);
    pen.stroke();
  };
  show();
  const clear = () => pen.clearRect(0, 0, canvas.width, canvas.height);
  return {
    to({ x, y }) {
      const [lastX, lastY] = points[points.length - 1];
      if (Math.hypot(x * wide - lastX, y * high - lastY) < brush.width_mm / 12) return;
      points.push([x * wide, y * high]);
      show();
    },
    async end() {
      const { step, paint, width_mm, erase } = brush;
      await act("touch_up", { step, paint: paint ?? undefined, points, width_mm, erase });
      setTimeout(clear, 160);
    },
    drop: clear,
  };
}
