// The dialog that makes a new cloth of the maker's own pictures.

import { ask } from "/page/server.js";
import { openDialog } from "/page/dialogs.js";
import { announce, button, choose, field, h, put } from "/page/dom.js";
import { dyeBook, dyeChoice } from "/page/dye-choice.js";
import { dropPlace, pictureCard } from "/page/picture-choice.js";
import { showOpened } from "/page/open-cloth.js";
import { guarded } from "/page/store.js";
import { say } from "/page/words.js";

const COTTON = "#f1ede2"; // what undyed cloth is shown as where nothing is known of it

/** What a picture is for: waxed, or brushed with a dye; and what the whole cloth is dyed with then. */
function purpose(card, dyes) {
  card.use = "wax";
  card.then = dyeChoice(dyes, { label: say("page.new.then_dye"), none: say("page.new.nothing_yet") });
  card.dye = dyeChoice(dyes);
  const below = h("div", { class: "asks" });
  const ask = () => put(below, card.use === "dye" ? card.dye.node : null, card.then.node);
  ask();
  card.asks.append(choose(say("page.new.use"), ["wax", "dye"].map((use) => [use, say(`page.new.use.${use}`)]), card.use, (use) => {
    card.use = use;
    ask();
  }, { row: true }), below);
}

/** The changes that make a cloth of cards and a first dyeing. */
function changesOf(first, cards) {
  const changes = [];
  const onShelf = new Set();
  const bring = (choice) => {
    const missing = choice.changes().filter((change) => !onShelf.has(change.name));
    for (const change of missing) onShelf.add(change.name);
    changes.push(...missing);
    return choice.name();
  };
  let at = 1;
  const add = (step) => changes.push({ do: "add_step", at: at++, step });
  if (first.chosen()) add({ kind: "dye", pot: bring(first) });
  for (const card of cards) {
    const where = { dropped: card.dropped() };
    add(card.use === "dye" ? { kind: "dye", pot: bring(card.dye), where } : { kind: "wax", where });
    if (card.then.chosen()) add({ kind: "dye", pot: bring(card.then) });
  }
  return changes;
}

function cardList(dyes) {
  let cards = [];
  const list = h("div", {});
  const bad = h("p", { class: "bad", role: "alert" });
  const reading = h("p", { class: "quiet", role: "status" });
  const show = () => put(list, cards.map((card, n) => {
    card.moves ??= h("div", { class: "buttons" });
    put(card.moves,
      button(say("page.step.earlier"), () => swap(n, -1), { disabled: n === 0, "data-key": `card-up-${n}`, "aria-label": say("page.new.earlier", { picture: card.picture.name }) }),
      button(say("page.step.later"), () => swap(n, 1), { disabled: n === cards.length - 1, "data-key": `card-down-${n}`, "aria-label": say("page.new.later", { picture: card.picture.name }) }),
      button(say("page.new.leave_out"), () => {
        cards = cards.filter((each) => each !== card);
        show();
      }, { "aria-label": say("page.new.leave_out_which", { picture: card.picture.name }) }));
    card.asks.append(card.moves);
    return card.node;
  }));
  const swap = (n, by) => {
    [cards[n], cards[n + by]] = [cards[n + by], cards[n]];
    show();
  };
  const take = async (files) => {
    bad.textContent = "";
    for (const [n, file] of files.entries()) {
      reading.textContent = say(files.length > 1 ? "page.new.reading_of" : "page.new.reading", { file: file.name, number: n + 1, of: files.length });
      try {
        const card = await pictureCard(file);
        purpose(card, dyes);
        cards.push(card);
        show();
      } catch (error) {
        bad.textContent = [bad.textContent, error.plain ?? error.message].filter(Boolean).join(" ");
      }
    }
    reading.textContent = "";
  };
  return { list, bad, reading, take, all: () => cards };
}

/** Begin with the maker's own pictures. */
export const newCloth = guarded(async () => {
  const dyes = await dyeBook();
  const title = h("input", { type: "text", maxlength: 200, value: say("page.new.my_cloth") });
  const width = h("input", { type: "number", min: 10, max: 20000, value: 450 });
  const colour = h("input", { type: "color", value: COTTON });
  const first = dyeChoice(dyes, { label: say("page.new.first_dye"), none: say("page.new.nothing") });
  const cards = cardList(dyes);
  openDialog(say("page.new.title"), [
    h("div", { class: "two" }, field(say("page.name"), title), field(say("page.size.width"), width), field(say("page.size.colour"), colour)),
    dropPlace(say("page.new.drop"), cards.take, { many: true }),
    cards.reading, cards.bad, first.node, cards.list,
  ], {
    roomy: true,
    word: say("page.new.create"),
    busy: say("page.new.creating"),
    done: async () => {
      const body = { title: title.value, width_mm: Number(width.value), changes: changesOf(first, cards.all()) };
      if (colour.value !== COTTON) body.colour = colour.value; // else as the cloth that the dyes were seen on
      await ask("create", body);
      showOpened();
      announce(say("page.new.created"));
    },
  });
});
