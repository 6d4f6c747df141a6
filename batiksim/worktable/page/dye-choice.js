// Choosing a dye: one that is on the shelf, one out of the book, or one of the maker's own by its colour.

import { ask } from "/page/server.js";
import { choose, field, h, put, swatch } from "/page/dom.js";

let book = null;

/** The dyes of the book, as they dry on this cloth. */
export async function dyeBook() {
  book ??= (await ask("book")).dyes;
  return book;
}

/** The book has changed: ask for it anew next time. */
export function forgetBook() {
  book = null;
}

/** {node, name(), changes()} : changes() brings the dye onto the shelf. there : names on the shelf; none : words for "no dye". */
export function dyeChoice(dyes, { there = [], label = "Dye", none = null } = {}) {
  const fresh = dyes.filter((dye) => !there.includes(dye.name));
  const pairs = [
    ...(none ? [["none", none]] : []),
    ...there.map((name) => [`have:${name}`, name]),
    ...fresh.map((dye) => [`book:${dye.name}`, `${dye.name} (${dye.own ? "your own book" : "from the book"})`]),
    ["own", "a dye of my own, by its colour"],
  ];
  let picked = pairs[0][0];
  const name = h("input", { type: "text", maxlength: 200, placeholder: "its name" });
  const colour = h("input", { type: "color", value: "#4d7a9a" });
  const below = h("div", { class: "two" });
  const seen = h("span", {});
  const see = () => {
    const dye = dyes.find(({ name }) => picked === `book:${name}`);
    put(seen, dye ? swatch(dye.hex) : []);
    put(below, picked === "own" ? [field("Its name", name), field("Dried, at full strength", colour)] : []);
  };
  const select = choose(label, pairs, picked, (value) => {
    picked = value;
    see();
  }, { row: true });
  select.append(seen);
  see();
  const chosenName = () => (picked === "own" ? name.value.trim() : picked.slice(5));
  return {
    node: h("div", { class: "asks" }, select, below),
    chosen: () => picked !== "none",
    name() {
      if (!chosenName()) throw new Error("Give the dye a name.");
      return chosenName();
    },
    changes() {
      if (picked === "none" || picked.startsWith("have:")) return [];
      const change = { do: "add_dye", name: this.name() };
      if (picked === "own") change.colour = colour.value;
      else if (dyes.find((dye) => dye.name === change.name)?.own) change.own = true;
      return [change];
    },
    pick(value) {
      picked = value;
      select.querySelector("select").value = value;
      see();
    },
  };
}
