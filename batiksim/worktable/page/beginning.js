// Beginning a cloth: from the maker's own pictures, or one that lies in a folder already.

import { ask, raw } from "/page/api.js";
import { addStep } from "/page/adding.js";
import { laySheet } from "/page/dialogs.js";
import { button, choose, draw, field, h, put, say } from "/page/dom.js";
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
    for (const [n, file] of files.entries()) {
      reading.textContent = `Reading “${file.name}”${files.length > 1 ? `, ${n + 1} of ${files.length}` : ""}…`;
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
    cards.reading, cards.bad, first.node, cards.list,
  ], {
    roomy: true,
    word: "Lay the cloth on the table",
    busy: "Laying it on the table…",
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

/** A line for a cloth that can be opened: its picture, its name. which : as the server takes it. */
function openLine(sheet, which, title, below) {
  const canvas = h("canvas", { class: "cloth-small", "aria-hidden": "true", width: 4, height: 3 });
  const open = guarded(async () => {
    await ask("open", which);
    sheet().close();
    fresh();
  });
  const line = h("li", {}, canvas, h("span", {}, title, h("small", { class: "quiet" }, ` ${below}`)), button("Open", open, { "aria-label": `Open ${title}` }));
  return { line, which, canvas };
}

/** Draw the pictures one after another, for as long as anyone looks. */
async function drawSmall(lines) {
  for (const { which, canvas } of lines) {
    if (!canvas.isConnected) return;
    try {
      const { pixels, shape } = await raw("small", which);
      draw(canvas, pixels, ...shape);
    } catch {
      canvas.classList.add("none"); // one that can't be read says so when it is opened
    }
  }
}

/** Open another cloth of the folder that the worktable was started in, or the sample. */
export const openCloth = guarded(async () => {
  const { designs, sample } = await ask("designs");
  let laid = null;
  const sheet = () => laid.sheet;
  const lines = designs.map((one) => openLine(sheet, { name: one.name }, one.title, one.name));
  if (sample) lines.push(openLine(sheet, { sample: true }, "The sample", "to try things on; your first change makes it a cloth of your own"));
  laid = laySheet("Open another cloth", [
    designs.length ? null : h("p", {}, "There are no other cloths in this folder yet."),
    h("ul", { class: "colours" }, lines.map((one) => one.line)),
  ]);
  drawSmall(lines);
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

