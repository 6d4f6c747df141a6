// What comes into sight where the page is narrow: there the notebook lies below the cloth.

import { byId } from "/page/dom.js";

/** Whether the notebook lies below the cloth, as on small screens. */
export const below = () => byId("notebook").getBoundingClientRect().top >= byId("cloth-area").getBoundingClientRect().bottom;

export function scrollToCloth() {
  if (below()) byId("cloth-area").scrollIntoView({ block: "start" });
}

/** To the open leaf. inHand : the keys go on there. */
export function scrollToNotebook(inHand = false) {
  if (below()) byId("notebook").scrollIntoView({ block: "start" });
  if (inHand) byId("leaf").focus({ preventScroll: true });
}
