// What comes into sight where the page is narrow: there the notebook lies below the cloth.

import { byId } from "/page/dom.js";

/** Whether the notebook lies below the cloth, as on small screens. */
export const below = () => byId("notebook").getBoundingClientRect().top >= byId("cloth-area").getBoundingClientRect().bottom;

const bring = (id) => {
  if (below()) byId(id).scrollIntoView({ block: "start" });
};

export const toCloth = () => bring("cloth-area");
export const toNotebook = () => bring("notebook");
