// SPDX-License-Identifier: Apache-2.0
import { refusal, send } from "./http.js";

/** @typedef {import("./geometry.js").Geometry} Geometry */

const PAUSE = 120;

/** The length or area of what is in hand, as the server words it; the newest question wins. */
export class Readout {
  /**
   * @param {HTMLElement | null} element
   * @param {string | null | undefined} url
   */
  constructor(element, url) {
    this.element = element;
    this.url = url;
    this.timer = 0;
    this.asked = new AbortController();
  }

  /** @param {Geometry | null} geometry null clears it */
  show(geometry) {
    clearTimeout(this.timer);
    this.asked.abort();
    if (!this.element || !this.url) return;
    if (geometry === null) {
      this.element.replaceChildren();
      return;
    }
    this.asked = new AbortController();
    this.timer = window.setTimeout(() => this.ask(geometry, this.asked.signal), PAUSE);
  }

  /**
   * @param {Geometry} geometry
   * @param {AbortSignal} signal
   */
  async ask(geometry, signal) {
    try {
      const answer = await send("POST", /** @type {string} */ (this.url), { geometry }, signal);
      if (signal.aborted) return;
      if (answer.status === 200) this.write(answer.body.text, answer.body.small ?? "");
      else this.write("", refusal(answer));
    } catch (error) {
      if (!signal.aborted) this.write("", `No measure: ${/** @type {Error} */ (error).message}.`);
    }
  }

  /**
   * @param {string} text
   * @param {string} small
   */
  write(text, small) {
    const line = document.createElement("span");
    line.className = "small";
    line.textContent = small;
    this.element?.replaceChildren(text, ...(small ? [line] : []));
  }
}
