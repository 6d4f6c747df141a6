// Sheets that add something: a step, a brushing, a picture, a pot, a dye.

import { ask } from "/page/api.js";
import { laySheet } from "/page/dialogs.js";
import { choose, field, h, put, say } from "/page/dom.js";
import { dyeBook, dyeChoice } from "/page/dyechoice.js";
import { whereChoice } from "/page/pictures.js";
import { act, guarded, pick, table } from "/page/table.js";

const lay = (dropped) => ask("use", dropped);
const names = () => [...new Set([...table.state.pots.map((one) => one.name), ...table.state.dyes.map((one) => one.name)])];
const KINDS = [
  ["wax", "Wax: keep these places as they are"], ["dye", "Dye: brush a colour on"],
  ["discharge", "Discharge: take colour out"], ["remove_wax", "Take all wax out"],
];

/** Make changes whose failure is told on the sheet itself. */
async function make(...changes) {
  const before = table.state.revision;
  table.trial = null;
  if (!(await act("change", { changes }))) throw new Error(table.lastTrouble ?? "That can't be done.");
  return table.state.revision !== before;
}

/** A step with the pictures that say where, so that two of one pot can be told apart. */
function fullName(step) {
  const where = [...new Set((step.paints ?? []).map((paint) => paint.where?.shape).filter(Boolean))];
  return where.length ? `${step.title} on ${where.map((name) => `“${name}”`).join(", ")}` : step.title;
}

/** A new step; file : a picture that was dropped on the cloth. */
export const addStep = guarded(async (file) => {
  const { steps, pictures } = table.state;
  const dyes = await dyeBook();
  const dropped = file instanceof File;
  let kind = "wax";
  let at = steps.length + 1;
  const inside = h("div", { class: "asks" });
  const parts = {};
  const build = () => {
    parts.where = ["wax", "dye", "discharge"].includes(kind)
      ? whereChoice(pictures, { whole: kind !== "wax", words: kind === "wax" ? "Wax goes where this says" : "Where", first: dropped ? "new" : null }) : null;
    parts.dye = kind === "dye" ? dyeChoice(dyes, { there: names(), label: "Pot or dye" }) : null;
    put(inside, parts.dye?.node, parts.where?.node);
    if (dropped) parts.where?.take(file);
  };
  const places = steps.map((step, n) => [String(n + 2), `after step ${n + 1}, ${fullName(step)}`]);
  build();
  laySheet("A new step", [
    choose("What is done", KINDS, kind, (value) => {
      kind = value;
      build();
    }),
    inside,
    choose("When", [["1", "first of all"], ...places], String(at), (value) => { at = Number(value); }, { row: true }),
  ], {
    word: "Hang it on the line",
    done: async () => {
      const step = { kind, where: await parts.where?.where(lay) };
      if (parts.dye) step.pot = parts.dye.name();
      await make(...(parts.dye?.changes() ?? []), { do: "add_step", at, step });
      pick({ step: at, paint: 1 }, "step");
      say(`Step ${at} is new.`);
    },
  });
});

/** One more pot in a bath. */
export const addBrushing = guarded(async (number) => {
  const dye = dyeChoice(await dyeBook(), { there: names(), label: "Pot or dye" });
  const where = whereChoice(table.state.pictures);
  laySheet("Another pot in this bath", [dye.node, where.node], {
    word: "Brush it on",
    done: async () => make(...dye.changes(), { do: "add_paint", step: number, pot: dye.name(), where: await where.where(lay) }),
  });
});

/** Another picture for a step, or for one pot of a bath. */
export function otherPicture(number, paint) {
  const where = whereChoice(table.state.pictures, { whole: false, words: "It goes where this says", first: "new" });
  laySheet("Another picture", [where.node], {
    word: "Use it",
    done: async () => make({ do: "set_mask", step: number, paint: paint ?? undefined, where: await where.where(lay) }),
  });
}

/** A new pot. */
export const newPot = guarded(async () => {
  const name = h("input", { type: "text", maxlength: 200, required: true });
  const dye = dyeChoice(await dyeBook(), { there: table.state.dyes.map((one) => one.name), label: "Begin with" });
  laySheet("A new pot", [field("Its name", name), dye.node, h("p", { class: "quiet" }, "You mix in more, or drops, in the notebook.")], {
    word: "Mix it",
    done: async () => {
      const called = name.value.trim();
      await make(...dye.changes(), { do: "add_pot", name: called, parts: { [dye.name()]: 1 } });
      pick({ pot: called }, "pot");
    },
  });
});

/** A dye onto the shelf. */
export const newDye = guarded(async () => {
  const dye = dyeChoice(await dyeBook());
  laySheet("A dye for the shelf", [dye.node], {
    word: "Put it on the shelf",
    done: async () => {
      await make(...dye.changes());
      pick({ pot: dye.name() }, "pot");
    },
  });
});

/** Another dye in the place of one, in every pot and bath. */
export const otherDye = guarded(async (old) => {
  const other = !table.state.dyes.find((one) => one.name === old)?.own; // its namesake in the maker's own book is another dye
  const dyes = (await dyeBook()).filter((one) => one.name !== old || (one.own && other));
  const dye = dyeChoice(dyes, { label: `Instead of ${old}` });
  laySheet("Another dye in its place", [dye.node, h("p", { class: "quiet" }, "It takes its place in every pot and every bath.")], {
    word: "Swap them",
    done: async () => {
      const [change] = dye.changes();
      await make({ ...change, do: "swap_dye", dye: old });
      if (table.picked.pot === old) pick({ pot: dye.name() }, "pot");
    },
  });
});
