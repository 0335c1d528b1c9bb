// SPDX-License-Identifier: Apache-2.0
/** A tray: outlines over its picture, chosen from the list or the picture, drawn again by hand. */

/** @typedef {{x: number, y: number}} At */

const CLOSER = 1.3;
const PAN = 60;
const MOST = 12;
const NEAR_CLICK = 6;
const STEP = 10;

const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-tray]"));

export class Tray {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.stage = element;
    this.sheet = /** @type {HTMLElement} */ (element.querySelector("[data-sheet]"));
    this.width = Number(element.dataset.width);
    this.height = Number(element.dataset.height);
    this.line = /** @type {SVGPolylineElement} */ (element.querySelector("[data-drawn]"));
    this.cross = /** @type {SVGPathElement} */ (element.querySelector("[data-cross]"));
    this.form = /** @type {HTMLFormElement} */ (document.querySelector("[data-drawn-form]"));
    this.said = document.querySelector("[data-said]");
    this.look = { x: 0, y: 0, scale: 1 };
    /** @type {At[] | null} the points of an outline that is being drawn */
    this.points = null;
    this.letter = "";
    /** @type {At} */
    this.at = { x: this.width / 2, y: this.height / 2 };
    /** @type {Map<number, At>} */
    this.touches = new Map();
    this.moved = 0;
    this.listen();
    this.all();
    const chosen = new URLSearchParams(location.search).get("chosen");
    if (chosen) this.choose(chosen, true);
  }

  listen() {
    document.addEventListener("click", (event) => this.press(event));
    this.stage.addEventListener("keydown", (event) => this.key(event));
    this.stage.addEventListener("pointerdown", (event) => {
      this.stage.setPointerCapture(event.pointerId);
      this.touches.set(event.pointerId, { x: event.clientX, y: event.clientY });
      this.moved = 0;
    });
    this.stage.addEventListener("pointermove", (event) => this.drag(event));
    this.stage.addEventListener("pointerup", (event) => this.lift(event));
    this.stage.addEventListener("pointercancel", (event) => this.touches.delete(event.pointerId));
    this.stage.addEventListener(
      "wheel",
      (event) => {
        event.preventDefault();
        this.zoom(event.deltaY < 0 ? CLOSER : 1 / CLOSER, event.clientX, event.clientY);
      },
      { passive: false },
    );
    new ResizeObserver(() => this.all()).observe(this.stage);
  }

  /** @param {Event} event */
  press({ target }) {
    if (!(target instanceof Element)) return;
    const button = /** @type {HTMLElement | null} */ (
      target.closest("[data-zoom], [data-go], [data-draw], [data-draw-back], [data-draw-end], " +
        "[data-draw-cancel]")
    );
    if (button === null) return;
    const { zoom, go, draw } = button.dataset;
    if (zoom === "all") this.all();
    else if (zoom) this.zoom(zoom === "in" ? CLOSER : 1 / CLOSER);
    else if (go) this.goTo(go);
    else if (draw !== undefined) this.begin(draw);
    else if ("drawBack" in button.dataset) this.takeBack();
    else if ("drawEnd" in button.dataset) this.finish();
    else this.leave();
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const isDrawing = this.points !== null;
    const by = isDrawing ? (event.shiftKey ? 1 : STEP) / this.look.scale : PAN;
    /** @type {Record<string, [number, number]>} */
    const ways = {
      ArrowLeft: [-by, 0],
      ArrowRight: [by, 0],
      ArrowUp: [0, -by],
      ArrowDown: [0, by],
    };
    const way = ways[event.key];
    if (way && isDrawing) this.moveCross(way[0], way[1]);
    else if (way) this.pan(-way[0], -way[1]);
    else if (event.key === "+" || event.key === "=") this.zoom(CLOSER);
    else if (event.key === "-") this.zoom(1 / CLOSER);
    else if (isDrawing && event.key === "Enter") this.put(this.at);
    else if (isDrawing && event.key === "Backspace") this.takeBack();
    else if (isDrawing && event.key === "Escape") this.leave();
    else if (event.key === "0") this.all();
    else return;
    event.preventDefault();
  }

  /** @param {PointerEvent} event */
  drag(event) {
    const before = this.touches.get(event.pointerId);
    if (before === undefined) return;
    const now = { x: event.clientX, y: event.clientY };
    const other = [...this.touches].find(([id]) => id !== event.pointerId)?.[1];
    this.moved += Math.hypot(now.x - before.x, now.y - before.y);
    if (other) {
      const apart = (/** @type {At} */ at) => Math.hypot(at.x - other.x, at.y - other.y) || 1;
      this.zoom(apart(now) / apart(before), (now.x + other.x) / 2, (now.y + other.y) / 2);
    } else this.pan(now.x - before.x, now.y - before.y);
    this.touches.set(event.pointerId, now);
  }

  /** @param {PointerEvent} event */
  lift(event) {
    const isTap = this.touches.delete(event.pointerId) && this.moved < NEAR_CLICK;
    if (!isTap) return;
    const box = this.stage.getBoundingClientRect();
    const at = {
      x: (event.clientX - box.left - this.look.x) / this.look.scale,
      y: (event.clientY - box.top - this.look.y) / this.look.scale,
    };
    if (this.points !== null) {
      this.put(at);
      return;
    }
    const flakes = document.elementsFromPoint(event.clientX, event.clientY);
    const hit = flakes.map((one) => one.closest("[data-flake]")).find((one) => one !== null);
    if (hit instanceof SVGElement && hit.dataset.flake) this.choose(hit.dataset.flake, true);
  }

  /**
   * Choose an outline on the picture and in the list.
   * @param {string} letter
   * @param {boolean} isShown
   */
  choose(letter, isShown) {
    for (const one of document.querySelectorAll("[data-flake], [data-row]")) {
      const its = one.getAttribute("data-flake") ?? one.getAttribute("data-row");
      one.classList.toggle("is-chosen", its === letter);
    }
    const row = document.querySelector(`[data-row="${CSS.escape(letter)}"]`);
    if (isShown) row?.scrollIntoView({ block: "nearest" });
    this.say(row ? `Outline ${letter}.` : "");
  }

  /** Show one outline large. @param {string} letter */
  goTo(letter) {
    const shape = this.stage.querySelector(`[data-flake="${letter}"] polygon`);
    if (!(shape instanceof SVGPolygonElement)) return;
    const { x, y, width, height } = shape.getBBox();
    const { clientWidth: wide, clientHeight: high } = this.stage;
    const scale = Math.min(MOST, wide / (width * 1.6), high / (height * 1.6));
    this.look = {
      scale,
      x: wide / 2 - (x + width / 2) * scale,
      y: high / 2 - (y + height / 2) * scale,
    };
    this.at = { x: x + width / 2, y: y + height / 2 };
    this.choose(letter, false);
    this.draw();
    this.stage.scrollIntoView({ block: "nearest" });
  }

  /** Begin to draw an outline; "" is a new one. @param {string} letter */
  begin(letter) {
    if (letter) this.goTo(letter);
    this.points = [];
    this.letter = letter;
    this.stage.classList.add("is-drawing");
    this.tools(true);
    this.say("Put points round the edge of the flake, then Done.");
    this.stage.focus({ preventScroll: true });
    this.draw();
  }

  /** @param {At} at */
  put(at) {
    const inside = { x: this.held(at.x, this.width), y: this.held(at.y, this.height) };
    this.points?.push(inside);
    this.at = inside;
    this.say(`${this.points?.length ?? 0} points.`);
    this.draw();
  }

  takeBack() {
    this.points?.pop();
    this.say(`${this.points?.length ?? 0} points.`);
    this.draw();
  }

  finish() {
    if (this.points === null || this.points.length < 3) {
      this.say("An outline has three points or more.");
      return;
    }
    const row = document.querySelector(`[data-row="${this.letter}"]`);
    const fill = (/** @type {string} */ name, /** @type {string} */ value) => {
      const field = this.form.elements.namedItem(name);
      if (field instanceof HTMLInputElement) field.value = value;
    };
    fill("letter", this.letter);
    fill("based_on", row?.getAttribute("data-entry") ?? "");
    fill("outline", JSON.stringify(this.points.map(({ x, y }) => [this.fine(x), this.fine(y)])));
    this.form.requestSubmit();
  }

  leave() {
    this.points = null;
    this.stage.classList.remove("is-drawing");
    this.tools(false);
    this.say("");
    this.draw();
  }

  /** @param {boolean} isDrawing */
  tools(isDrawing) {
    const tools = document.querySelector(".when-drawing");
    if (tools instanceof HTMLElement) tools.hidden = !isDrawing;
  }

  /** @param {number} dx @param {number} dy */
  moveCross(dx, dy) {
    this.at = { x: this.held(this.at.x + dx, this.width), y: this.held(this.at.y + dy, this.height) };
    this.draw();
  }

  /** @param {number} value @param {number} most */
  held(value, most) {
    return Math.min(most, Math.max(0, value));
  }

  /** @param {number} value */
  fine(value) {
    return Math.round(value * 100) / 100;
  }

  /** @param {string} sentence */
  say(sentence) {
    if (this.said) this.said.textContent = sentence;
  }

  all() {
    const { clientWidth: wide, clientHeight: high } = this.stage;
    const scale = Math.min(wide / this.width, high / this.height);
    const [x, y] = [(wide - this.width * scale) / 2, (high - this.height * scale) / 2];
    this.look = { scale, x, y };
    this.draw();
  }

  /** @param {number} dx @param {number} dy */
  pan(dx, dy) {
    this.look = { ...this.look, x: this.look.x + dx, y: this.look.y + dy };
    this.draw();
  }

  /**
   * @param {number} times
   * @param {number} [clientX]
   * @param {number} [clientY]
   */
  zoom(times, clientX, clientY) {
    const box = this.stage.getBoundingClientRect();
    const cx = clientX === undefined ? box.width / 2 : clientX - box.left;
    const cy = clientY === undefined ? box.height / 2 : clientY - box.top;
    const scale = Math.min(MOST, Math.max(0.02, this.look.scale * times));
    const by = scale / this.look.scale;
    const { x, y } = this.look;
    this.look = { scale, x: cx - (cx - x) * by, y: cy - (cy - y) * by };
    this.draw();
  }

  draw() {
    const { x, y, scale } = this.look;
    this.sheet.style.width = `${this.width}px`;
    this.sheet.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
    for (const label of this.sheet.querySelectorAll("[data-label]")) {
      const letter = label.getAttribute("data-label");
      const shape = this.stage.querySelector(`[data-flake="${letter}"] polygon`);
      if (!(label instanceof HTMLElement && shape instanceof SVGPolygonElement)) continue;
      const box = shape.getBBox();
      // Beside its flake, and of one size however close the picture is.
      label.style.transform =
        `translate(${box.x + box.width}px, ${box.y}px) scale(${1 / scale})`;
    }
    this.line.setAttribute("points", (this.points ?? []).map((at) => `${at.x},${at.y}`).join(" "));
    const reach = 12 / scale;
    const cross = `M${this.at.x - reach} ${this.at.y}h${2 * reach}` +
      `M${this.at.x} ${this.at.y - reach}v${2 * reach}`;
    this.cross.setAttribute("d", this.points === null ? "" : cross);
  }
}

if (stage) new Tray(stage);
