// SPDX-License-Identifier: Apache-2.0
/** A flake laid on a loss: how solid, blink, shifted and turned by hand. Nothing of it is kept. */

const BLINK_MS = 800;
const STEP = 4;
const TURN = 0.5;

const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-seat]"));

export class Seat {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.stage = element;
    this.flake = /** @type {HTMLElement} */ (element.querySelector("[data-flake]"));
    this.width = Number(element.dataset.width);
    this.solid = /** @type {HTMLInputElement} */ (document.querySelector("[data-opacity]"));
    this.turned = /** @type {HTMLInputElement} */ (document.querySelector("[data-turn-by]"));
    this.said = document.querySelector("[data-said]");
    this.x = 0;
    this.y = 0;
    this.isHidden = false;
    this.timer = 0;
    /** @type {{x: number, y: number} | null} */
    this.held = null;
    const edge = /** @type {SVGPolygonElement} */ (element.querySelector(".seat-edge"));
    const box = edge.getBBox();
    this.middle = { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    this.listen();
    this.draw();
  }

  listen() {
    document.addEventListener("click", (event) => this.press(event));
    this.solid.addEventListener("input", () => this.draw());
    this.turned.addEventListener("input", () => this.draw());
    this.stage.addEventListener("keydown", (event) => this.key(event));
    this.stage.addEventListener("pointerdown", (event) => {
      this.stage.setPointerCapture(event.pointerId);
      this.held = { x: event.clientX, y: event.clientY };
    });
    this.stage.addEventListener("pointermove", (event) => {
      if (this.held === null) return;
      const shown = this.stage.clientWidth / this.width;
      this.shift((event.clientX - this.held.x) / shown, (event.clientY - this.held.y) / shown);
      this.held = { x: event.clientX, y: event.clientY };
    });
    for (const name of ["pointerup", "pointercancel"]) {
      this.stage.addEventListener(name, () => (this.held = null));
    }
    new ResizeObserver(() => this.draw()).observe(this.stage);
  }

  /** @param {Event} event */
  press({ target }) {
    if (!(target instanceof Element)) return;
    const button = /** @type {HTMLElement | null} */ (
      target.closest("[data-blink], [data-lines], [data-turn], [data-shift], [data-back]")
    );
    if (button === null) return;
    const { turn, shift } = button.dataset;
    if (turn) this.turn(Number(turn) * TURN);
    else if (shift) {
      const [dx, dy] = shift.split(",").map(Number);
      this.shift(dx * STEP, dy * STEP);
    } else if ("back" in button.dataset) this.back();
    else {
      const isOn = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(isOn));
      if ("lines" in button.dataset) this.stage.classList.toggle("has-no-lines", !isOn);
      else this.blink(isOn);
    }
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const by = event.shiftKey ? 1 : STEP;
    /** @type {Record<string, () => void>} */
    const ways = {
      ArrowLeft: () => this.shift(-by, 0),
      ArrowRight: () => this.shift(by, 0),
      ArrowUp: () => this.shift(0, -by),
      ArrowDown: () => this.shift(0, by),
      "[": () => this.turn(-TURN),
      "]": () => this.turn(TURN),
      0: () => this.back(),
      " ": () => this.show(!this.isHidden),
    };
    const way = ways[event.key];
    if (way === undefined) return;
    way();
    event.preventDefault();
  }

  /** @param {boolean} isOn */
  blink(isOn) {
    clearInterval(this.timer);
    this.show(false);
    const isStill = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (isOn && !isStill) this.timer = window.setInterval(() => this.show(!this.isHidden), BLINK_MS);
    if (isOn && isStill) this.say("Press space to show the flake, and again to hide it.");
  }

  /** Hide or show the flake. @param {boolean} isHidden */
  show(isHidden) {
    this.isHidden = isHidden;
    this.draw();
  }

  /**
   * @param {number} dx
   * @param {number} dy
   */
  shift(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.draw();
  }

  /** @param {number} by */
  turn(by) {
    this.turned.value = String(Number(this.turned.value) + by);
    this.draw();
  }

  back() {
    this.x = 0;
    this.y = 0;
    this.turned.value = "0";
    this.draw();
  }

  /** @param {string} sentence */
  say(sentence) {
    if (this.said) this.said.textContent = sentence;
  }

  draw() {
    const shown = this.stage.clientWidth / this.width;
    const { style } = this.flake;
    style.transformOrigin = `${this.middle.x * shown}px ${this.middle.y * shown}px`;
    style.transform =
      `translate(${this.x * shown}px, ${this.y * shown}px) rotate(${this.turned.value}deg)`;
    style.opacity = String(Number(this.solid.value) / 100);
    style.visibility = this.isHidden ? "hidden" : "visible";
  }
}

if (stage) new Seat(stage);
