// SPDX-License-Identifier: Apache-2.0
/** Pads tried out: moved by slider, number or hand; what each carries comes from the server. */
import { refusal, sendAnyhow } from "../http.js";

/** @typedef {{at_percent: number, at: number[], under: number[], radius_mm: number}} OnAxis */

const PAUSE_MS = 80;
const MOST = 12;

export class Pads {
  /**
   * @param {HTMLElement} part
   * @param {{pads_url: string, pads: number[], axis: OnAxis[], down: number[]}} data
   */
  constructor(part, data) {
    this.part = part;
    this.url = data.pads_url;
    this.axis = data.axis;
    this.down = data.down;
    this.at = data.pads.length ? [...data.pads] : [20, 80];
    this.rows = /** @type {HTMLElement} */ (part.querySelector("[data-pad-rows]"));
    this.table = /** @type {HTMLElement} */ (part.querySelector("[data-pads-table]"));
    this.said = /** @type {HTMLElement} */ (part.querySelector("[data-pads-said]"));
    this.timer = 0;
    this.turn = 0;
    /** @type {((places: number[][]) => void) | null} */
    this.onMoved = null;
    part.querySelector("[data-pad-add]")?.addEventListener("click", () => this.count(1));
    part.querySelector("[data-pad-drop]")?.addEventListener("click", () => this.count(-1));
    this.build();
    void this.ask();
  }

  /** @param {number} by */
  count(by) {
    if (by > 0 && this.at.length < MOST) this.at.push(50);
    if (by < 0 && this.at.length > 1) this.at.pop();
    this.build();
    this.moved();
  }

  build() {
    this.rows.replaceChildren(
      ...this.at.map((at, k) => {
        const row = document.createElement("div");
        row.className = "pad-row";
        const name = document.createElement("label");
        name.textContent = `P${k + 1}, %`;
        const [slider, number] = ["range", "number"].map((type) => {
          const input = document.createElement("input");
          Object.assign(input, { type, min: "0", max: "100", step: "0.5", value: String(at) });
          input.dataset.pad = String(k);
          input.addEventListener("input", () => this.set(k, Number(input.value), input));
          return input;
        });
        slider.id = `pad-${k}`;
        name.htmlFor = slider.id;
        number.className = "value";
        number.setAttribute("aria-label", `P${k + 1}, % from the thicker end`);
        row.append(name, slider, number);
        return row;
      }),
    );
  }

  /**
   * Move one pad along the object.
   * @param {number} k
   * @param {number} at percent
   * @param {HTMLInputElement} [from] the field that it was moved with
   */
  set(k, at, from) {
    this.at[k] = Math.min(100, Math.max(0, at));
    for (const input of this.rows.querySelectorAll(`[data-pad="${k}"]`)) {
      if (input !== from && input instanceof HTMLInputElement) input.value = String(this.at[k]);
    }
    this.moved();
  }

  moved() {
    const field = document.querySelector("[data-pads-field]");
    if (field instanceof HTMLInputElement) {
      field.value = [...this.at].sort((a, b) => a - b).map(String).join(" ");
    }
    this.onMoved?.(this.under());
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => void this.ask(), PAUSE_MS);
  }

  /** Return where each pad touches the object, in the file's coordinates. */
  under() {
    return this.at.map((at) => {
      const k = Math.round((at / 100) * (this.axis.length - 1));
      return this.axis[k].under;
    });
  }

  /**
   * Return the place along the object whose underside is seen nearest to a point, in percent.
   * @param {number} x of the window
   * @param {number} y
   * @param {(place: number[]) => {x: number, y: number}} seen where a place stands in the window
   */
  along(x, y, seen) {
    let best = this.axis[0];
    let least = Infinity;
    for (const one of this.axis) {
      const at = seen(one.under);
      const off = Math.hypot(at.x - x, at.y - y);
      if (off < least) [best, least] = [one, off];
    }
    return Math.round(best.at_percent * 2) / 2;
  }

  async ask() {
    const turn = (this.turn += 1);
    const answer = await sendAnyhow("POST", this.url, { at_percent: this.at });
    if (turn !== this.turn) return;
    this.part.dataset.asked = String(turn);
    if (answer.status !== 200) this.show(refusal(answer), []);
    else if (!answer.body.stands) this.show(answer.body.sentence, []);
    else this.show(this.words(answer.body), answer.body.pads);
  }

  /** @param {any} told */
  words(told) {
    const first = told.slides_first ? "It slips before it tips." : "It tips before it slips.";
    const tension = told.stress_mpa === null ? "" : ` Largest tension ${told.stress_mpa} MPa at ${told.stress_at_percent} %.`;
    return [
      `A push of ${told.tipping_share} of its weight tips it (${told.tilt_degrees}°). ${first}${tension}`,
      ...told.notes,
    ].join(" ");
  }

  /**
   * @param {string} sentence
   * @param {{at_percent: number, force_n: number, least_n: number, most_n: number, pressure_kpa: number, worst_pressure_kpa: number, height_mm: number, sinks_mm: number}[]} pads
   */
  show(sentence, pads) {
    this.said.textContent = sentence;
    this.table.replaceChildren(
      ...pads.map((pad, k) => {
        const row = document.createElement("tr");
        const head = document.createElement("th");
        head.scope = "row";
        head.textContent = `P${k + 1} · ${pad.at_percent} %`;
        const cells = [
          `${pad.force_n} N`,
          `${pad.least_n} – ${pad.most_n} N`,
          `${pad.pressure_kpa} kPa, at worst ${pad.worst_pressure_kpa}`,
          `${pad.height_mm} mm, unloaded ${pad.sinks_mm} higher`,
        ].map((text) => {
          const cell = document.createElement("td");
          cell.className = "value";
          cell.textContent = text;
          return cell;
        });
        row.append(head, ...cells);
        return row;
      }),
    );
  }
}
