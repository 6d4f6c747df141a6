// The photo of dyed patches on a sheet of its own, large: say what dyed a patch, then click it.

import { openDialog } from "/page/dialogs.js";
import { button, choose, field, h, put, slider, swatch } from "/page/dom.js";
import { PhotoViewer } from "/page/photo-viewer.js";
import { store } from "/page/store.js";

const KINDS = [["dye", "a dyed patch"], ["undyed", "bare, undyed cloth"], ["card", "a grey card (18%)"]];

const words = (patch) => (patch.undyed ? "undyed cloth" : patch.card ? "grey card" : Object.entries(patch.dyes).map(([dye, load]) => `${dye} at ${load}`).join(" over "));

/** The sheet. form : {photo, side, patches, name, strength, kind}, kept up to date; busy() : whether dyes are being learnt. */
export class PatchDialog {
  constructor(form, { learn, busy, closed }) {
    Object.assign(this, { form, learn, busy, closed });
    this.means = h("div", { class: "asks" });
    this.list = h("ul", { class: "patches", tabindex: "-1", "aria-label": "Clicked" });
    this.foot = h("div", { class: "buttons" });
    this.news = h("p", { class: "quiet", role: "status" });
    this.bad = h("p", { class: "bad", role: "alert", hidden: true });
    this.viewer = new PhotoViewer(form.photo.canvas, {
      side: () => form.side, squares: () => form.patches,
      put: (x, y) => this.clicked(x, y), drop: () => this.away(form.patches.length - 1),
      moved: (n, x, y) => Object.assign(form.patches[n], { x, y }), rested: () => this.write(),
    });
  }

  lay() {
    this.mean();
    this.write();
    this.laid = openDialog("Click each patch", [
      h("div", { class: "desk" }, this.viewer.node, this.zooming()),
      h("div", { class: "asks" },
        h("p", { class: "quiet" }, "Say what dyed a patch, then click its middle. What lies in the square is read; a square can be dragged."),
        this.means, this.bad, this.size(), this.list, this.foot),
    ], { wide: true });
    const { sheet } = this.laid;
    sheet.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" || !event.target.matches("input")) return;
      event.preventDefault(); // what was written is meant for the next click
      this.viewer.node.focus();
    });
    sheet.addEventListener("close", this.closed);
  }

  zooming() {
    const { viewer } = this;
    return h("div", { class: "buttons" },
      button("−", () => viewer.closer(1 / 1.5), { class: "round", "aria-label": "Further away", "data-key": "photo-out" }),
      button("+", () => viewer.closer(1.5), { class: "round", "aria-label": "Closer", "data-key": "photo-in" }),
      button("Whole", () => viewer.whole(), { "data-key": "photo-whole" }), this.news);
  }

  /** What the next click means. Taken as it is written: a finger clicks before a field that it leaves has changed. */
  mean() {
    const { form } = this;
    const name = h("input", { type: "text", value: form.name, list: "dye-names", autofocus: true, "data-key": "patch-name", oninput: () => { form.name = name.value.trim(); } });
    const strength = h("input", { type: "number", min: 0.01, max: 4, step: 0.01, value: form.strength, "data-key": "patch-strength", oninput: () => { form.strength = Number(strength.value); } });
    put(this.means,
      choose("You click", KINDS, form.kind, (kind) => {
        form.kind = kind;
        this.refuse("");
        this.mean();
      }, { key: "patch-kind" }),
      form.kind === "dye" ? h("div", { class: "two" }, field("Dyed with", name), field("Strength", strength, { hint: "1 is full strength" })) : null,
      h("datalist", { id: "dye-names" }, store.design.dyes.map((dye) => h("option", { value: dye.name }))));
  }

  size() {
    const { form, viewer } = this;
    const sized = (side) => {
      form.side = side;
      viewer.place();
    };
    return slider("Size of a square", {
      value: form.side, min: 0.005, max: 0.15, step: 0.0025, key: "patch-side", words: (side) => `${Number((side * 100).toFixed(2))}% of the width`,
      hint: "Well within each patch, clear of its edges.", moving: sized,
      settle: (side) => {
        sized(side);
        this.write();
      },
    });
  }

  /** What was clicked, each with its colour in the photo. */
  write() {
    put(this.list, this.form.patches.map((patch, n) => h("li", {},
      h("b", { class: "figure" }, String(n + 1)), swatch(this.colour(patch), { small: true }), h("span", {}, words(patch)),
      button("Take away", () => this.away(n), { "data-key": `patch-${n}`, "aria-label": `Take away ${n + 1}, ${words(patch)}` }))));
    put(this.foot,
      button("Learn these dyes", () => {
        this.laid.close();
        this.learn();
      }, { class: "main", disabled: this.busy() || !this.form.patches.length, "data-key": "sheet-calibrate" }),
      button("Close", () => this.laid.close(), { "data-key": "sheet-close" }));
  }

  /** The mean colour of the photo in a square, as it is seen there. */
  colour(patch) {
    const { canvas } = this.form.photo;
    const spot = this.viewer.within(patch);
    const side = Math.max(1, Math.min(canvas.height, Math.round(this.form.side * canvas.width)));
    const at = (share, all) => Math.min(all - side, Math.max(0, Math.round(share * all - side / 2)));
    const { data } = canvas.getContext("2d").getImageData(at(spot.x, canvas.width), at(spot.y, canvas.height), side, side);
    const sums = [0, 0, 0];
    for (let n = 0; n < data.length; n += 4) for (const channel of [0, 1, 2]) sums[channel] += data[n + channel];
    return `rgb(${sums.map((sum) => Math.round((4 * sum) / data.length)).join(" ")})`;
  }

  clicked(x, y) {
    const { form } = this;
    const patch = form.kind === "dye" ? { x, y, dyes: { [form.name]: form.strength } } : { x, y, [form.kind]: true };
    const unnamed = form.kind === "dye" && !form.name;
    this.refuse(unnamed ? "Write which dye it is before you click its patch." : "");
    if (unnamed) {
      this.means.querySelector("[data-key=patch-name]").focus();
      return;
    }
    form.patches.push(patch);
    this.write();
    this.news.textContent = `${form.patches.length}: ${words(patch)}.`;
  }

  away(n) {
    const [gone] = this.form.patches.splice(n, 1);
    if (!gone) return;
    this.viewer.place();
    this.write();
    this.news.textContent = `Taken away: ${words(gone)}.`;
  }

  refuse(text) {
    this.bad.textContent = text;
    this.bad.hidden = !text;
  }
}
