// A colour by lamplight, beside what it is by day.

import { h, swatch } from "/page/dom.js";
import { say } from "/page/words.js";

const LAMPS = ["A", "LED"];

/** lights : how a colour looks in each light, as the server tells it. */
export function lampColours(lights) {
  const lamps = lights.filter(({ light }) => LAMPS.includes(light));
  return h("ul", { class: "lamps" }, lamps.map(({ light, hex, shown }) => h("li", {}, swatch(hex, { small: true }), say(`page.lamp.${light}`, { colour: shown }))));
}
