// The picked pot's leaf: its strength, its mix, drops into it, a wanted colour, another dye in its place.

import { ask, Refused } from "/page/server.js";
import { swapDye } from "/page/add-dialogs.js";
import { showMoving } from "/page/cloth.js";
import { button, field, h, slider, swatch } from "/page/dom.js";
import { lampColours } from "/page/lamp-colours.js";
import { bowl, strengthSlider } from "/page/shelf.js";
import { change } from "/page/changes.js";
import { emit, guarded, pick, stamp, store } from "/page/store.js";
import { say } from "/page/words.js";

const matching = { pot: null, wanted: "#7a9a3a", words: "", result: null, bad: null, busy: false, of: null };

/** What the pots found depend on: other dyes, or another cloth, make other pots. */
const dyesNow = () => JSON.stringify([store.design.cloth.colour, store.design.dyes.map((dye) => [dye.name, dye.hex])]);

/** The pot of a name, or the one that was made of a dye of that name; none where there is neither. */
function potOf(name) {
  const made = store.design.dyes.find((dye) => dye.name === name)?.pot;
  return store.design.pots.find((pot) => pot.name === name) ?? store.design.pots.find((pot) => pot.name === made);
}

/** The pot as it is by now, whenever this is asked. */
const asItIs = (pot) => potOf(pot.name) ?? pot;

function nameField(pot) {
  const input = h("input", {
    type: "text", value: pot.name, maxlength: 200, "data-key": "pot-name",
    onchange: async () => {
      const to = input.value.trim();
      if (!to || to === pot.name) return;
      store.picked.pot = to;
      if (!(await change({ do: "rename_pot", pot: pot.name, to }))) pick({ pot: pot.name }, "pot");
    },
  });
  return field(say("page.name"), input);
}

const lamplit = { of: null, pot: null, lights: null }; // how a pot looks by lamplight, as asked last

const askLamplight = guarded(async (of, pot) => {
  const answer = await ask("pot", { pot, of: stamp(store.design) });
  if (!answer || lamplit.of !== of) return;
  Object.assign(lamplit, { lights: answer.lights, pot });
  emit("leaf");
});

function lamplight(pot) {
  const of = `${stamp(store.design)} ${pot.name}`;
  if (lamplit.of !== of) {
    lamplit.of = of;
    setTimeout(() => askLamplight(of, pot.name));
  }
  return lamplit.lights && lamplit.pot === pot.name ? lampColours(lamplit.lights) : null;
}

const partWords = (parts) => (parts === 0 ? say("page.pot.none") : say("page.pot.parts", { count: Number(parts.toFixed(1)) }));

/** The amounts of each dye in a pot. */
function mix(pot) {
  const most = Math.max(10, ...Object.values(pot.parts));
  return h("ul", { class: "mix" }, store.design.dyes.map((dye, n) => {
    const amount = pot.parts[dye.name] ?? 0;
    const named = (now) => ({ do: "set_parts", pot: pot.name, parts: { ...asItIs(pot).parts, [dye.name]: now } });
    return h("li", {}, swatch(dye.hex, { small: true }), slider(dye.name, {
      value: amount, min: 0, max: most, step: 0.1, key: `part-${n}`, words: partWords,
      moving: (now) => showMoving(named(now)), settle: (now) => change(() => named(now)),
    }));
  }));
}

function drops(pot) {
  const ml = h("input", {
    type: "number", min: 1, max: 100000, step: 1, value: pot.ml ?? 100, "data-key": "pot-ml",
    onchange: () => change({ do: "set_drops", pot: pot.name, drops: pot.drops, ml: Number(ml.value) }),
  });
  const add = (dye, by) => change(() => {
    const { drops: there, ml: holds } = asItIs(pot);
    return { do: "set_drops", pot: pot.name, drops: { ...there, [dye]: Math.max(0, (there[dye] ?? 0) + by) }, ml: holds ?? 100 };
  });
  return [
    field(say("page.pot.holds"), ml, { row: true }),
    h("ul", { class: "mix" }, store.design.dyes.map((dye, n) => {
      const count = pot.drops[dye.name] ?? 0;
      return h("li", {}, swatch(dye.hex, { small: true }), h("div", { class: "buttons" },
        h("span", {}, count ? say("page.pot.drops", { dye: dye.name, count }) : dye.name),
        button(say("page.pot.add_drop"), () => add(dye.name, 1), { "data-key": `drop-${n}`, "aria-label": say("page.pot.add_drop_of", { dye: dye.name }) }),
        count ? button(say("page.pot.remove_drop"), () => add(dye.name, -1), { "data-key": `undrop-${n}`, "aria-label": say("page.pot.remove_drop_of", { dye: dye.name }) }) : null));
    })),
  ];
}

const findPots = guarded(async () => {
  Object.assign(matching, { busy: true, bad: null, result: null, of: dyesNow() });
  emit("leaf");
  try {
    matching.result = await ask("match", { colour: matching.words || matching.wanted });
    matching.wanted = matching.result.wanted.hex;
  } catch (error) {
    if (!(error instanceof Refused && error.status === 422)) throw error;
    matching.bad = error.plain;
  } finally {
    matching.busy = false;
    emit("leaf");
  }
});

/** A wanted colour, and the pots nearest to it. */
function match(pot) {
  const wanted = h("input", {
    type: "color", value: matching.wanted, "data-key": "wanted",
    onchange: () => {
      matching.words = "";
      matching.wanted = wanted.value;
      matching.pot = pot.name;
      findPots();
    },
  });
  const words = h("input", {
    type: "text", value: matching.words, placeholder: say("page.match.example"), "data-key": "wanted-words",
    onchange: () => {
      if (!words.value.trim()) return;
      matching.words = words.value.trim();
      matching.pot = pot.name;
      findPots();
    },
  });
  const here = matching.pot === pot.name;
  if (here && matching.result && !matching.busy && matching.of !== dyesNow()) {
    matching.result = null;
    setTimeout(findPots);
  }
  const result = here ? matching.result : null;
  const bad = here && matching.bad ? h("p", { class: "bad-words", role: "alert", id: "wanted-bad" }, matching.bad) : null;
  if (bad) {
    words.setAttribute("aria-invalid", "true");
    words.setAttribute("aria-describedby", "wanted-bad");
  }
  const use = ({ pot: { parts, strength } }) => change({ do: "set_recipe", pot: pot.name, parts, strength });
  return [
    h("div", { class: "two" }, field(say("page.match.wanted"), wanted), field(say("page.match.or_name"), words)),
    bad,
    matching.busy ? h("p", { class: "quiet" }, say("page.match.mixing")) : null,
    result ? h("ul", { class: "colours" }, result.pots.map((match, n) => h("li", {}, swatch(match.hex),
      h("span", {}, say("page.numbered", { number: n + 1, what: match.recipe })), button(say("page.dialog.use"), () => use(match), { "data-key": `use-${n}`, "aria-label": say("page.match.use", { recipe: match.recipe }) }),
      h("span", { class: "how" }, say("page.match.how", { dilution: match.dilution, match: match.words ?? match.name }))))) : null,
    result ? result.notes.map((note) => h("p", { class: "quiet" }, note)) : null,
  ];
}

function fold(key, title, inside, open = false) {
  return h("details", { "data-key": key, open }, h("summary", {}, title), inside);
}

/** A dye that has no bowl yet, or one that fills a bowl alone. */
function plainDye(dye) {
  return [
    h("div", { class: "big" }, swatch(dye.hex), h("h2", {}, dye.name)),
    h("p", {}, say(dye.used ? "page.pot.plain_used" : "page.pot.plain_unused")),
    h("div", { class: "buttons" },
      button(say("page.pot.replace_this"), () => swapDye(dye.name), { "data-key": "swap" }),
      button(say("page.pot.mix_of_it"), async () => {
        if (await change({ do: "add_pot", name: dye.pot, parts: { [dye.name]: 1 } })) pick({ pot: dye.pot }, "pot");
      }, { "data-key": "pot-of-it" }),
      dye.used ? null : button(say("page.pot.put_away_dye"), () => change({ do: "remove_dye", dye: dye.name }), { "data-key": "put-away" })),
  ];
}

export function potLeaf() {
  const name = store.picked.pot;
  const pot = potOf(name);
  const dye = store.design.dyes.find((each) => each.name === name);
  if (!pot) return dye ? plainDye(dye) : [h("h2", {}, say("page.pot.title")), h("p", {}, say("page.pot.pick"))];
  const picture = bowl(pot.hex, pot.strength);
  const steps = pot.steps.length ? say("page.pot.used", { steps: pot.steps, count: pot.steps.length }) : say("page.pot.unused");
  return [
    h("div", { class: "big" }, picture, h("div", {}, h("h2", {}, pot.name), h("p", { class: "quiet" }, say("page.pot.recipe", { recipe: pot.recipe, dilution: pot.dilution, use: steps })))),
    lamplight(pot),
    strengthSlider(pot, "leaf-strength", picture, say("page.pot.strength")),
    h("div", { class: "buttons" }, Object.keys(pot.parts).map((name, n) =>
      button(say("page.pot.replace", { dye: name }), () => swapDye(name), { "data-key": `swap-${n}` }))),
    fold("mix", say("page.pot.mix"), mix(pot), true),
    fold("wanted", say("page.match.title"), match(pot), true),
    fold("drops", say("page.pot.drops_title"), drops(pot)),
    pot.mixed ? nameField(pot) : null,
    pot.mixed && !pot.steps.length ? button(say("page.pot.put_away"), () => change({ do: "remove_pot", pot: pot.name }), { "data-key": "put-away" }) : null,
  ];
}
