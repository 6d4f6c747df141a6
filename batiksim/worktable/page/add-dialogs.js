// Dialogs that add something: a step, a pot in a bath, a picture, a pot, a dye; named as the verbs that they send.

import { ask } from "/page/server.js";
import { openDialog } from "/page/dialogs.js";
import { announce, choose, field, h, put } from "/page/dom.js";
import { dyeBook, dyeChoice } from "/page/dye-choice.js";
import { whereChoice } from "/page/picture-choice.js";
import { act } from "/page/changes.js";
import { guarded, pick, store } from "/page/store.js";
import { say } from "/page/words.js";

const usePicture = (dropped) => ask("use_picture", dropped);
const names = () => [...new Set([...store.design.pots.map((pot) => pot.name), ...store.design.dyes.map((dye) => dye.name)])];
const KINDS = ["wax", "dye", "discharge", "remove_wax"];

/** Make changes whose failure is told on the sheet itself. */
async function make(...changes) {
  const before = store.design.revision;
  store.trial = null;
  if (!(await act("change", { changes }))) throw new Error(store.lastError ?? say("page.add.cannot"));
  return store.design.revision !== before;
}

/** A step with the pictures that say where, so that two of one pot can be told apart. */
function fullName(step) {
  const where = [...new Set((step.paints ?? []).map((paint) => paint.where?.shape).filter(Boolean))];
  return where.length ? say("page.add.step_on", { step: step.title, pictures: where.map((name) => say("page.add.quoted", { name })) }) : step.title;
}

/** A new step; file : a picture that was dropped on the cloth. */
export const addStep = guarded(async (file) => {
  const { steps, pictures } = store.design;
  const dyes = await dyeBook();
  const dropped = file instanceof File;
  let kind = "wax";
  let at = steps.length + 1;
  const inside = h("div", { class: "asks" });
  const parts = {};
  const build = () => {
    parts.where = ["wax", "dye", "discharge"].includes(kind)
      ? whereChoice(pictures, { whole: kind !== "wax", words: say(kind === "wax" ? "page.where.wax" : "page.where.label"), first: dropped ? "new" : null }) : null;
    parts.dye = kind === "dye" ? dyeChoice(dyes, { there: names(), label: say("page.dye.pot_or_dye") }) : null;
    put(inside, parts.dye?.node, parts.where?.node);
    if (dropped) parts.where?.take(file);
  };
  const places = steps.map((step, n) => [String(n + 2), say("page.add.after", { number: n + 1, step: fullName(step) })]);
  build();
  openDialog(say("page.add.step"), [
    choose(say("page.add.what"), KINDS.map((name) => [name, say(`page.add.kind.${name}`)]), kind, (value) => {
      kind = value;
      build();
    }),
    inside,
    choose(say("page.add.when"), [["1", say("page.add.first")], ...places], String(at), (value) => { at = Number(value); }, { row: true }),
  ], {
    word: say("page.add.add_step"),
    done: async () => {
      const step = { kind, where: await parts.where?.where(usePicture) };
      if (parts.dye) step.pot = parts.dye.name();
      await make(...(parts.dye?.changes() ?? []), { do: "add_step", at, step });
      pick({ step: at, paint: 1 }, "step");
      announce(say("page.add.step_added", { number: at }));
    },
  });
});

/** One more pot in a bath. */
export const addPaint = guarded(async (number) => {
  const dye = dyeChoice(await dyeBook(), { there: names(), label: say("page.dye.pot_or_dye") });
  const where = whereChoice(store.design.pictures);
  openDialog(say("page.add.paint"), [dye.node, where.node], {
    word: say("page.add.add_paint"),
    done: async () => make(...dye.changes(), { do: "add_paint", step: number, pot: dye.name(), where: await where.where(usePicture) }),
  });
});

/** Another picture for a step, or for one pot of a bath. */
export function setMask(number, paint) {
  const where = whereChoice(store.design.pictures, { whole: false, words: say("page.where.label"), first: "new" });
  openDialog(say("page.step.change_picture"), [where.node], {
    word: say("page.dialog.use"),
    done: async () => make({ do: "set_mask", step: number, paint: paint ?? undefined, where: await where.where(usePicture) }),
  });
}

/** A new pot. */
export const addPot = guarded(async () => {
  const name = h("input", { type: "text", maxlength: 200, required: true });
  const dye = dyeChoice(await dyeBook(), { there: store.design.dyes.map((each) => each.name), label: say("page.add.start_with") });
  openDialog(say("page.add.pot"), [field(say("page.name"), name), dye.node, h("p", { class: "quiet" }, say("page.add.pot_more"))], {
    word: say("page.add.mix"),
    done: async () => {
      const pot = name.value.trim();
      await make(...dye.changes(), { do: "add_pot", name: pot, parts: { [dye.name()]: 1 } });
      pick({ pot }, "pot");
    },
  });
});

/** A dye onto the shelf. */
export const addDye = guarded(async () => {
  const dye = dyeChoice(await dyeBook());
  openDialog(say("page.add.dye"), [dye.node], {
    word: say("page.add.add_dye"),
    done: async () => {
      await make(...dye.changes());
      pick({ pot: dye.name() }, "pot");
    },
  });
});

/** Another dye in the place of one, in every pot and bath. */
export const swapDye = guarded(async (old) => {
  const fromElsewhere = !store.design.dyes.find((dye) => dye.name === old)?.own; // its namesake in the maker's own book is another dye
  const dyes = (await dyeBook()).filter((dye) => dye.name !== old || (dye.own && fromElsewhere));
  const dye = dyeChoice(dyes, { label: say("page.add.instead_of", { dye: old }) });
  openDialog(say("page.pot.replace", { dye: old }), [dye.node, h("p", { class: "quiet" }, say("page.add.swap_all"))], {
    word: say("page.add.swap"),
    done: async () => {
      const [change] = dye.changes();
      await make({ ...change, do: "swap_dye", dye: old });
      if (store.picked.pot === old) pick({ pot: dye.name() }, "pot");
    },
  });
});

/** A picture dropped on the page becomes a new step. */
export function startDropping() {
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
