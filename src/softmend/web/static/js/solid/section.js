// SPDX-License-Identifier: Apache-2.0
/** The section in the list: its plane by slider, keys or typed mm; outline and figures beside it. */
import { refusal, sendAnyhow } from "../http.js";

const PAUSE_MS = 80;
const MARGIN = 0.04;
const SVG = "http://www.w3.org/2000/svg";

/** @typedef {{across: string, percent: number, origin?: number[], way?: number[]}} Cut */

export class Section {
  /** @param {HTMLElement} part */
  constructor(part) {
    this.part = part;
    this.url = part.dataset.section ?? "";
    this.across = /** @type {HTMLSelectElement} */ (part.querySelector("[data-section-across]"));
    this.slider = /** @type {HTMLInputElement} */ (part.querySelector("[data-section-at]"));
    this.typed = /** @type {HTMLInputElement} */ (part.querySelector("[data-section-mm]"));
    this.timer = 0;
    this.turn = 0;
    /** @type {((cut: Cut) => void) | null} */
    this.onCut = null;
    this.across.addEventListener("change", () => this.moved());
    this.slider.addEventListener("input", () => this.moved());
    this.typed.addEventListener("change", () => void this.ask(this.place(this.typed.value)));
    part.addEventListener("toggle", () => {
      if (part instanceof HTMLDetailsElement && part.open && !this.turn) void this.ask(null);
    });
  }

  /**
   * Take a cut that was made beside the picture.
   * @param {string} across
   * @param {number} percent
   */
  take(across, percent) {
    this.across.value = across;
    this.slider.value = String(percent);
    if (this.part instanceof HTMLDetailsElement && this.part.open) this.moved();
    else void this.soon();
  }

  moved() {
    this.onCut?.({ across: this.across.value, percent: this.slider.valueAsNumber });
    void this.soon();
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.ask(null), PAUSE_MS);
  }

  /** @param {string} text */
  place(text) {
    const value = Number(text.replace(",", ".").replace(/\s*mm$/, ""));
    return text.trim() !== "" && Number.isFinite(value) ? value : Number.NaN;
  }

  /** @param {number | null} mm typed, or null for the slider's place */
  async ask(mm) {
    if (Number.isNaN(mm)) {
      this.say("A place is a number of mm from the lower end.");
      return;
    }
    const turn = (this.turn += 1);
    const where = mm === null ? { plane_percent: this.slider.valueAsNumber } : { plane_mm: mm };
    const answer = await sendAnyhow("POST", this.url, { across: this.across.value, ...where });
    if (turn !== this.turn) return;
    this.part.dataset.asked = String(turn);
    if (answer.status !== 200) this.say(refusal(answer));
    else this.show(answer.body, mm !== null);
  }

  /** @param {string} sentence */
  say(sentence) {
    const said = /** @type {HTMLElement} */ (this.part.querySelector("[data-section-said]"));
    said.textContent = sentence;
  }

  /**
   * @param {any} told
   * @param {boolean} wasTyped
   */
  show(told, wasTyped) {
    const isTold = told.answer === "answer";
    for (const name of ["drawing", "facts"]) {
      this.part.querySelector(`[data-section-${name}]`)?.toggleAttribute("hidden", !isTold);
    }
    if (told.run_mm) {
      const run = /** @type {HTMLElement} */ (this.part.querySelector("[data-section-run]"));
      run.textContent = `0 to ${told.run_mm} mm`;
      const percent = Math.min((100 * told.plane_mm) / told.run_mm, 100);
      if (wasTyped) this.slider.value = String(percent);
      else this.typed.value = String(told.plane_mm);
      const { origin, way } = told;
      this.onCut?.({ across: this.across.value, percent, origin, way });
    }
    if (!isTold) {
      this.say(told.reasons[0]);
      return;
    }
    const count = told.outlines.filter((/** @type {any} */ one) => !one.is_hollow).length;
    this.say(
      `At ${told.plane_mm} mm: ${told.area || "open in the scan, no area"}, ${told.greatest_width} at its widest.` +
        (count > 1 ? ` ${count} parts are cut; the widths are those of the largest.` : ""),
    );
    const edge = `${told.mean_edge_mm} mm`;
    const facts = { ...told, edge, area: told.area || "open in the scan: not told", hollow: told.hollow || "none in this plane" };
    for (const fact of this.part.querySelectorAll("[data-section-fact]")) {
      if (fact instanceof HTMLElement) fact.textContent = facts[fact.dataset.sectionFact ?? ""] ?? "";
    }
    const notes = /** @type {HTMLElement} */ (this.part.querySelector("[data-section-notes]"));
    notes.textContent = told.warnings.join(" ");
    this.draw(told.outlines, this.words(told));
  }

  /** @param {any} told */
  words(told) {
    return `Outline at ${told.plane_mm} mm, ${told.greatest_width} by ${told.least_width}`;
  }

  /**
   * Draw the outlines to one scale with a bar of a round length.
   * @param {{points_mm: [number, number][], is_closed: boolean}[]} outlines
   * @param {string} label
   */
  draw(outlines, label) {
    const points = outlines.flatMap((one) => one.points_mm);
    const [xs, ys] = [0, 1].map((k) => points.map((point) => point[k]));
    const [left, right] = [Math.min(...xs), Math.max(...xs)];
    const [low, high] = [Math.min(...ys), Math.max(...ys)];
    const size = Math.max(right - left, high - low, 1e-6);
    const pad = size * MARGIN;
    const bar = roundLength(size / 3);
    const svg = document.createElementNS(SVG, "svg");
    const foot = size * 0.12;
    svg.setAttribute("viewBox", [left - pad, -high - pad, right - left + 2 * pad, high - low + 2 * pad + foot].join(" "));
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", label);
    const path = document.createElementNS(SVG, "path");
    path.setAttribute(
      "d",
      outlines
        .map((one) => `M${one.points_mm.map(([x, y]) => `${x} ${-y}`).join("L")}${one.is_closed ? "Z" : ""}`)
        .join(""),
    );
    path.setAttribute("class", outlines.every((one) => one.is_closed) ? "section-cut" : "section-cut is-open");
    const rule = document.createElementNS(SVG, "path");
    rule.setAttribute("d", `M${left} ${-low + pad + foot * 0.55}h${bar}`);
    rule.setAttribute("class", "section-rule");
    const name = document.createElementNS(SVG, "text");
    name.setAttribute("x", String(left + bar + pad / 2));
    name.setAttribute("y", String(-low + pad + foot * 0.72));
    name.setAttribute("font-size", String(size * 0.055));
    name.textContent = `${bar} mm`;
    svg.append(path, rule, name);
    this.part.querySelector("[data-section-drawing]")?.replaceChildren(svg);
  }
}

/**
 * Return the greatest of 1, 2, 5 times a power of ten that is not above a length.
 * @param {number} length
 */
export function roundLength(length) {
  const ten = 10 ** Math.floor(Math.log10(length));
  const times = [5, 2, 1].find((one) => one * ten <= length) ?? 1;
  return Number((times * ten).toPrecision(2));
}
