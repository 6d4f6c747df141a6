// Every word of the page, by key, in its language: what the server wrote into the page, with names, numbers and lists put in.

const sent = JSON.parse(document.getElementById("words").textContent); // plurals : the category of each form of a plural

export const code = sent.code; // of the language that is chosen
export const languages = sent.languages; // every code there is, with the language's own name
const { language, plurals, texts } = sent;

const MOST_PLACES = 12; // a number has no digit more than it needs
const categories = new Intl.PluralRules(language);
const lists = new Intl.ListFormat(language);

/** A number as this language writes it. pattern : places behind the point, 0 for one always there: "0.0#" */
function figure(value, pattern) {
  const places = pattern ? (pattern.split(".")[1] ?? "") : "#".repeat(MOST_PLACES);
  const least = places.replaceAll("#", "").length;
  return new Intl.NumberFormat(language, { useGrouping: false, minimumFractionDigits: least, maximumFractionDigits: places.length }).format(value);
}

function shown(value, how) {
  if (typeof value === "number") return figure(value, how);
  const words = Array.isArray(value) ? lists.format(value.map((part) => shown(part))) : String(value);
  return how === "capital" ? words.charAt(0).toLocaleUpperCase(language) + words.slice(1) : words;
}

/** The text of a key, `values` put in where it has their names in braces; a value `count` chooses the plural form. */
export function say(key, values = {}) {
  const forms = texts[key];
  if (forms === undefined) throw new Error(`no text: ${key}`);
  const text = Array.isArray(forms) ? (forms[plurals.indexOf(categories.select(values.count))] ?? forms.at(-1)) : forms;
  return text.replace(/\{(\w+)(?::([^}]*))?\}/g, (braces, name, how) => {
    if (values[name] === undefined || values[name] === null) throw new Error(`${key}: no ${name}`);
    return shown(values[name], how);
  });
}

/** Steps that follow each other: "pink, then navy". */
export const sequence = (words) => words.reduce((before, next) => say("page.then", { before, next }));
