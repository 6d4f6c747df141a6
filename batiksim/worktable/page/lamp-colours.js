// A colour by lamplight, beside what it is by day.

import { h, swatch } from "/page/dom.js";

const LAMPS = { A: "By a filament lamp", LED: "By a white LED" };

/** lights : how a colour looks in each light, as the server tells it. */
export function lampColours(lights) {
  const lamps = lights.filter(({ light }) => LAMPS[light]);
  return h("ul", { class: "lamps" }, lamps.map(({ light, hex, name }) => h("li", {}, swatch(hex, { small: true }), `${LAMPS[light]}: ${name}`)));
}
