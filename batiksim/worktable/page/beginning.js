// Beginning a cloth: from the maker's own pictures, or one that lies in a folder already.

import { ask } from "/page/api.js";
import { addStep } from "/page/adding.js";
import { laySheet } from "/page/dialogs.js";
import { button, choose, field, h, put, say } from "/page/dom.js";
import { dyeBook, dyeChoice } from "/page/dyechoice.js";
import { dropPlace, pictureCard } from "/page/pictures.js";
import { act, emit, guarded } from "/page/table.js";

const COTTON = "#f1ede2"; // what undyed cloth is shown as where nothing is known of it

const USES = [["wax", "Wax goes on it"], ["dye", "A dye is brushed on it"]];

/** What a picture is for: waxed, or brushed with a dye; and what the whole cloth is dyed with then. */
function purpose(card, dyes) {
  card.use = "wax";
  card.then = dyeChoice(dyes, { label: "Then the whole cloth is dyed with", none: "nothing yet" });
  card.dye = dyeChoice(dyes, { label: "Dye" });
  const below = h("div", { class: "asks" });
  const ask = () => put(below, card.use === "dye" ? card.dye.node : null, card.then.node);
  ask();
  card.asks.append(choose("What happens here", USES, card.use, (use) => {
    card.use = use;
    ask();
  }, { row: true }), below);
}

/** The changes that make a cloth of cards and a first dyeing. */
function changesOf(first, cards) {
  const changes = [];
  const onShelf = new Set();
  const bring = (choice) => {
    const fresh = choice.changes().filter((one) => !onShelf.has(one.name));
    for (const one of fresh) onShelf.add(one.name);
    changes.push(...fresh);
    return choice.name();
  };
  let at = 1;
  const add = (step) => changes.push({ do: "add", at: at++, step });
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
  const show = () => put(list, cards.map((card, n) => {
    card.moves ??= h("div", { class: "buttons" });
    put(card.moves,
      button("Earlier", () => swap(n, -1), { disabled: n === 0, "data-key": `card-up-${n}`, "aria-label": `${card.told.name} earlier` }),
      button("Later", () => swap(n, 1), { disabled: n === cards.length - 1, "data-key": `card-down-${n}`, "aria-label": `${card.told.name} later` }),
      button("Leave it out", () => {
        cards = cards.filter((one) => one !== card);
        show();
      }, { "aria-label": `Leave ${card.told.name} out` }));
    card.asks.append(card.moves);
    return card.node;
  }));
  const swap = (n, by) => {
    [cards[n], cards[n + by]] = [cards[n + by], cards[n]];
    show();
  };
  const take = async (files) => {
    bad.textContent = "";
    for (const file of files) {
      try {
        const card = await pictureCard(file);
        purpose(card, dyes);
        cards.push(card);
        show();
      } catch (error) {
        bad.textContent = error.plain ?? error.message;
      }
    }
  };
  return { list, bad, take, all: () => cards };
}

/** Begin with the maker's own pictures. */
export const beginCloth = guarded(async () => {
  const dyes = await dyeBook();
  const title = h("input", { type: "text", maxlength: 200, value: "My cloth" });
  const width = h("input", { type: "number", min: 10, max: 20000, value: 450 });
  const colour = h("input", { type: "color", value: COTTON });
  const first = dyeChoice(dyes, { label: "First, the whole cloth is dyed with", none: "nothing: it stays as it is" });
  const cards = cardList(dyes);
  laySheet("Begin a new cloth", [
    h("div", { class: "two" }, field("What it is called", title), field("Width in mm", width), field("Its undyed colour", colour)),
    dropPlace("Drop your pictures here, one for each waxing or brushing: drawings, scans or photos.", cards.take, { many: true }),
    cards.bad, first.node, cards.list,
  ], {
    word: "Lay the cloth on the table",
    done: async () => {
      const body = { title: title.value, width_mm: Number(width.value), changes: changesOf(first, cards.all()) };
      if (colour.value !== COTTON) body.colour = colour.value; // else as the cloth that the dyes were seen on
      await ask("begin", body);
      fresh();
      say("Your cloth lies on the table.");
    },
  });
});

/** Another design lies on the table. */
export async function fresh() {
  await act("state");
  emit("view");
  emit("pick");
}

/** Open another cloth of the folder that the worktable was started in. */
export const openCloth = guarded(async () => {
  const { designs } = await ask("designs");
  const sheet = laySheet("Open another cloth", designs.length
    ? h("ul", { class: "colours" }, designs.map((one) => h("li", {}, h("span"), h("span", {}, one.title, h("small", { class: "quiet" }, ` ${one.name}`)),
      button("Open", guarded(async () => {
        await ask("open", { name: one.name });
        sheet.close();
        fresh();
      }), { "aria-label": `Open ${one.title}` }))))
    : h("p", {}, "There are no other cloths in this folder yet."));
});

/** A picture dropped on the page becomes a new step. */
export function dropAnywhere() {
  const files = (event) => event.dataTransfer?.types.includes("Files");
  document.addEventListener("dragover", (event) => {
    if (files(event)) event.preventDefault();
  });
  document.addEventListener("drop", (event) => {
    if (!files(event)) return;
    event.preventDefault();
    const [file] = event.dataTransfer.files;
    if (file && !document.querySelector("dialog[open]")) addStep(file);
  });
}

