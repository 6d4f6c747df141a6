// A colour by lamplight, beside what it is by day.

import { h, swatch } from "/page/dom.js";

const LAMPS = { A: "By a filament lamp", LED: "By a white LED" };

/** lights : how a colour looks in each light, as the server tells it. */
export function byLamp(lights) {
  const lamps = lights.filter((one) => LAMPS[one.light]);
  return h("ul", { class: "lamps" }, lamps.map((one) => h("li", {}, swatch(one.hex, { small: true }), `${LAMPS[one.light]}: ${one.name}`)));
}
