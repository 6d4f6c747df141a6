// Choosing a dye: one that is on the shelf, one out of the book, or one of the maker's own by its colour.

import { ask } from "/page/server.js";
import { choose, field, h, put, swatch } from "/page/dom.js";
import { say } from "/page/words.js";

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
export function dyeChoice(dyes, { there = [], label = say("page.dye.label"), none = null } = {}) {
  const fresh = dyes.filter((dye) => !there.includes(dye.name));
  const pairs = [
    ...(none ? [["none", none]] : []),
    ...there.map((name) => [`have:${name}`, name]),
    ...fresh.map((dye) => [`book:${dye.name}`, say(dye.own ? "page.dye.of_own_book" : "page.dye.of_example", { dye: dye.name })]),
    ["own", say("page.dye.by_colour")],
  ];
  let picked = pairs[0][0];
  const name = h("input", { type: "text", maxlength: 200, placeholder: say("page.dye.its_name") });
  const colour = h("input", { type: "color", value: "#4d7a9a" });
  const below = h("div", { class: "two" });
  const seen = h("span", {});
  const see = () => {
    const dye = dyes.find(({ name }) => picked === `book:${name}`);
    put(seen, dye ? swatch(dye.hex) : []);
    put(below, picked === "own" ? [field(say("page.name"), name), field(say("page.dye.dried"), colour)] : []);
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
      if (!chosenName()) throw new Error(say("page.dye.unnamed"));
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
