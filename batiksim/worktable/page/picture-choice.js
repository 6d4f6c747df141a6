// Pictures of the maker's own: dropped or chosen, looked over before and after cleaning.

import { raw, send } from "/page/server.js";
import { button, choose, draw, h, put, tick } from "/page/dom.js";
import { say } from "/page/words.js";

const MARKS = ["dark", "light", "alpha"];
const KINDS = "image/png,image/jpeg,image/webp,image/tiff,image/bmp,image/gif";

/** A place to drop pictures on, or to choose them by hand: took(files) gets them. */
export function dropPlace(words, took, { many = false } = {}) {
  const input = h("input", { type: "file", accept: KINDS, multiple: many, class: "unseen", tabindex: "-1", "aria-hidden": "true" });
  input.addEventListener("change", () => {
    took([...input.files]);
    input.value = "";
  });
  const place = h("div", { class: "drop" }, h("p", {}, words), button(say("page.picture.choose"), () => input.click()), input);
  const over = (on) => (event) => {
    event.preventDefault();
    event.stopPropagation();
    place.classList.toggle("over", on);
  };
  place.addEventListener("dragover", over(true));
  place.addEventListener("dragleave", over(false));
  place.addEventListener("drop", (event) => {
    over(false)(event);
    took([...event.dataTransfer.files]);
  });
  return place;
}

/** Lay a picture on the table; returns its card: {picture, node, asks, dropped()}. Throws words for the maker. */
export async function pictureCard(file) {
  const picture = await send("pictures", file);
  const card = { picture, marks: picture.marks, clean: picture.clean, off_table: picture.surround && picture.clean };
  const before = h("canvas", { role: "img", "aria-label": say("page.picture.before", { picture: picture.name }) });
  const after = h("canvas", { role: "img", "aria-label": say("page.picture.after", { picture: picture.name }) });
  const words = h("figcaption", {}, say("page.picture.as_used"));
  const show = async (canvas, how) => {
    const shown = await raw("shown", { key: picture.key, how, marks: card.marks, off_table: card.off_table });
    if (shown) draw(canvas, shown.pixels, ...shown.shape);
  };
  const see = async () => {
    words.textContent = say(card.clean ? "page.picture.cleaned" : "page.picture.as_used");
    await show(after, card.clean ? "clean" : "mask");
  };
  card.asks = h("div", { class: "asks" });
  const asks = [
    h("strong", {}, picture.name),
    choose(say("page.picture.marks"), MARKS.filter((marks) => marks !== "alpha" || picture.marks === "alpha").map((marks) => [marks, say(`page.picture.marks.${marks}`)]), card.marks, (marks) => {
      card.marks = marks;
      see();
    }, { row: true }),
    tick(say("page.picture.clean"), card.clean, (clean) => {
      card.clean = clean;
      see();
    }),
    picture.surround ? [
      h("p", {}, say("page.picture.is_table")),
      tick(say(picture.whole_paper ? "page.picture.off_table_straight" : "page.picture.off_table"), card.off_table, (off) => {
        card.off_table = off;
        see();
      }),
    ] : null,
    [picture.assumed, ...picture.notes].filter(Boolean).map((note) => h("small", {}, note)),
  ];
  card.node = h("div", { class: "card" },
    h("div", { class: "views" }, h("figure", {}, before, h("figcaption", {}, say("page.picture.original"))), h("figure", {}, after, words)),
    h("div", { class: "asks" }, asks, card.asks));
  card.dropped = () => ({ key: picture.key, marks: card.marks, clean: card.clean, off_table: card.off_table });
  await Promise.all([show(before, "picture"), see()]);
  return card;
}

/** Where something goes: the whole cloth, a picture in use, or a new one. {node, where()} */
export function whereChoice(pictures, { whole = true, words = say("page.where.label"), first = null } = {}) {
  const box = h("div", { class: "asks" });
  const below = h("div", {});
  let card = null;
  let picked = first ?? (whole ? "whole" : pictures.length ? "0" : "new");
  const pairs = [...(whole ? [["whole", say("page.where.whole")]] : []), ...pictures.map((picture, n) => [String(n), picture.name]), ["new", say("page.where.new")]];
  const bad = h("p", { class: "bad", role: "alert" });
  const take = async ([file]) => {
    if (!file) return;
    bad.textContent = "";
    try {
      card = await pictureCard(file);
      put(below, card.node);
    } catch (error) {
      bad.textContent = error.plain ?? error.message;
    }
  };
  const ask = () => put(below, picked === "new" ? [dropPlace(say("page.where.drop"), take), bad] : []);
  const select = choose(words, pairs, picked, (value) => {
    picked = value;
    card = null;
    ask();
  }, { row: true });
  box.append(select, below);
  ask();
  return {
    node: box,
    take: (file) => take([file]),
    /** What the server takes as "where": undefined for the whole cloth. Lays a new picture on the shelf. */
    async where(usePicture) {
      if (picked === "whole") return undefined;
      if (picked !== "new") return pictures[Number(picked)];
      if (!card) throw new Error(say("page.where.none"));
      return (await usePicture(card.dropped())).where;
    },
  };
}
