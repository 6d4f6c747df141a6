// The photo of dyed patches on a sheet of its own, large: say what dyed a patch, then click it.

import { openDialog } from "/page/dialogs.js";
import { button, choose, field, h, put, slider, swatch } from "/page/dom.js";
import { PhotoViewer } from "/page/photo-viewer.js";
import { store } from "/page/store.js";
import { say } from "/page/words.js";

function words({ undyed, card, dyes }) {
  if (undyed || card) return say(undyed ? "page.patch.undyed" : "page.patch.card");
  const [[dye, strength]] = Object.entries(dyes);
  return say("page.patch.dyed", { dye, strength });
}

/** The sheet. form : {photo, side, patches, name, strength, kind}, kept up to date; busy() : whether dyes are being learnt. */
export class PatchDialog {
  constructor(form, { learn, busy, closed }) {
    Object.assign(this, { form, learn, busy, closed });
    this.means = h("div", { class: "asks" });
    this.list = h("ul", { class: "patches", tabindex: "-1", "aria-label": say("page.patches.list") });
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
    this.laid = openDialog(say("page.patches.title"), [
      h("div", { class: "desk" }, this.viewer.node, this.zooming()),
      h("div", { class: "asks" },
        h("p", { class: "quiet" }, say("page.patches.about")),
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
      button("−", () => viewer.closer(1 / 1.5), { class: "round", "aria-label": say("page.zoom.out"), "data-key": "photo-out" }),
      button("+", () => viewer.closer(1.5), { class: "round", "aria-label": say("page.zoom.in"), "data-key": "photo-in" }),
      button(say("page.zoom.whole_photo"), () => viewer.whole(), { "data-key": "photo-whole" }), this.news);
  }

  /** What the next click means. Taken as it is written: a finger clicks before a field that it leaves has changed. */
  mean() {
    const { form } = this;
    const name = h("input", { type: "text", value: form.name, list: "dye-names", autofocus: true, "data-key": "patch-name", oninput: () => { form.name = name.value.trim(); } });
    const strength = h("input", { type: "number", min: 0.01, max: 4, step: 0.01, value: form.strength, "data-key": "patch-strength", oninput: () => { form.strength = Number(strength.value); } });
    put(this.means,
      choose(say("page.patches.kind"), ["dye", "undyed", "card"].map((kind) => [kind, say(`page.patches.kind.${kind}`)]), form.kind, (kind) => {
        form.kind = kind;
        this.refuse("");
        this.mean();
      }, { key: "patch-kind" }),
      form.kind === "dye" ? h("div", { class: "two" }, field(say("page.patches.dyed_with"), name), field(say("page.pot.strength"), strength, { hint: say("page.patches.strength_hint") })) : null,
      h("datalist", { id: "dye-names" }, store.design.dyes.map((dye) => h("option", { value: dye.name }))));
  }

  size() {
    const { form, viewer } = this;
    const sized = (side) => {
      form.side = side;
      viewer.place();
    };
    return slider(say("page.patches.size"), {
      value: form.side, min: 0.005, max: 0.15, step: 0.0025, key: "patch-side", words: (side) => say("page.patches.side", { value: Number((side * 100).toFixed(2)) }),
      hint: say("page.patches.size_hint"), moving: sized,
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
      button(say("page.patches.remove"), () => this.away(n), { "data-key": `patch-${n}`, "aria-label": say("page.patches.remove_which", { number: n + 1, patch: words(patch) }) }))));
    put(this.foot,
      button(say("page.calibrate.start"), () => {
        this.laid.close();
        this.learn();
      }, { class: "main", disabled: this.busy() || !this.form.patches.length, "data-key": "sheet-calibrate" }),
      button(say("page.dialog.close"), () => this.laid.close(), { "data-key": "sheet-close" }));
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
    this.refuse(unnamed ? say("page.patches.unnamed") : "");
    if (unnamed) {
      this.means.querySelector("[data-key=patch-name]").focus();
      return;
    }
    form.patches.push(patch);
    this.write();
    this.news.textContent = say("page.patches.marked", { number: form.patches.length, patch: words(patch) });
  }

  away(n) {
    const [gone] = this.form.patches.splice(n, 1);
    if (!gone) return;
    this.viewer.place();
    this.write();
    this.news.textContent = say("page.patches.removed", { patch: words(gone) });
  }

  refuse(text) {
    this.bad.textContent = text;
    this.bad.hidden = !text;
  }
}
