// SPDX-License-Identifier: Apache-2.0
/** Two dates on one another or beside each other: swipe, blink, and a zoom that is locked. */

/** @typedef {{x: number, y: number, scale: number}} Look */

const BLINK_MS = 900;
const PAN = 60;
const CLOSER = 1.3;
const MOST = 16;

const stage = /** @type {HTMLElement | null} */ (document.querySelector("[data-compare]"));

class Compare {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.stage = element;
    this.panes = /** @type {HTMLElement[]} */ ([...element.querySelectorAll("[data-pane]")]);
    this.width = Number(element.dataset.width);
    this.height = Number(element.dataset.height);
    this.isLocked = element.dataset.locked === "true";
    this.mode = this.isLocked ? "swipe" : "side";
    this.isOther = false;
    this.timer = 0;
    /** @type {Map<number, {x: number, y: number}>} */
    this.touches = new Map();
    /** @type {Look[]} one a pane; the same one for both while they are locked */
    this.looks = [];
    this.swipe = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-swipe]"));
    this.said = document.querySelector("[data-compare-said]");
    this.listen();
    this.choose(this.mode);
  }

  listen() {
    document.addEventListener("click", (event) => this.press(event));
    this.swipe?.addEventListener("input", () => this.draw());
    this.stage.addEventListener("keydown", (event) => this.key(event));
    this.stage.addEventListener("pointerdown", (event) => {
      this.stage.setPointerCapture(event.pointerId);
      this.touches.set(event.pointerId, { x: event.clientX, y: event.clientY });
    });
    this.stage.addEventListener("pointermove", (event) => this.drag(event));
    for (const name of ["pointerup", "pointercancel"]) {
      this.stage.addEventListener(name, (event) => {
        this.touches.delete(/** @type {PointerEvent} */ (event).pointerId);
      });
    }
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
      target.closest("[data-look], [data-zoom], [data-show], [data-go]")
    );
    if (button === null) return;
    const { look, zoom, show, go } = button.dataset;
    if (look) this.choose(look);
    else if (zoom === "all") this.all();
    else if (zoom) this.zoom(zoom === "in" ? CLOSER : 1 / CLOSER);
    else if (go) this.goTo(JSON.parse(go));
    else if (show) {
      const isOn = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", String(isOn));
      this.stage.classList.toggle("has-no-marks", !isOn);
    }
  }

  /** @param {string} mode */
  choose(mode) {
    this.mode = mode;
    this.stage.dataset.mode = mode;
    for (const button of document.querySelectorAll("[data-look]")) {
      const isThis = button instanceof HTMLElement && button.dataset.look === mode;
      button.setAttribute("aria-pressed", String(isThis));
    }
    clearInterval(this.timer);
    this.isOther = false;
    const isStill = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (mode === "blink" && !isStill) {
      this.timer = window.setInterval(() => this.turn(false), BLINK_MS);
    }
    const still = isStill ? "Press space to show the other." : "Space turns by hand.";
    this.say(mode === "blink" ? still : "");
    this.all();
  }

  /** Show the other date. @param {boolean} isByHand */
  turn(isByHand) {
    if (isByHand) clearInterval(this.timer);
    this.isOther = !this.isOther;
    this.draw();
    if (isByHand) this.say(this.isOther ? "The later date." : "The earlier date.");
  }

  /** @param {string} sentence */
  say(sentence) {
    if (this.said) this.said.textContent = sentence;
  }

  get room() {
    const { clientWidth: wide, clientHeight: high } = this.panes[0];
    return { wide, high };
  }

  /** Show all of both. */
  all() {
    const { wide, high } = this.room;
    this.looks = this.panes.map((pane) => {
      const picture = pane.querySelector("img");
      // What is not laid over keeps its own shape.
      const isOwn = !this.isLocked && picture !== null && picture.naturalWidth > 0;
      const height = isOwn
        ? (this.width * picture.naturalHeight) / picture.naturalWidth
        : this.height;
      const scale = Math.min(wide / this.width, high / height);
      return { scale, x: (wide - this.width * scale) / 2, y: (high - height * scale) / 2 };
    });
    this.draw();
  }

  /**
   * @param {number} times
   * @param {number} [clientX]
   * @param {number} [clientY]
   */
  zoom(times, clientX, clientY) {
    const { wide, high } = this.room;
    const box = this.paneAt(clientX).getBoundingClientRect();
    const [cx, cy] = clientX === undefined || clientY === undefined
      ? [wide / 2, high / 2]
      : [clientX - box.left, clientY - box.top];
    this.change((look) => {
      const scale = Math.min(MOST, Math.max(0.02, look.scale * times));
      const by = scale / look.scale;
      return { scale, x: cx - (cx - look.x) * by, y: cy - (cy - look.y) * by };
    }, clientX);
  }

  /** @param {number} [clientX] */
  paneAt(clientX) {
    const second = this.panes[1].getBoundingClientRect();
    const isSecond = this.mode === "side" && clientX !== undefined && clientX >= second.left;
    return this.panes[isSecond ? 1 : 0];
  }

  /**
   * Change how both are looked at; one alone while they are not laid over.
   * @param {(look: Look) => Look} by
   * @param {number} [clientX]
   */
  change(by, clientX) {
    const only = this.panes.indexOf(this.paneAt(clientX));
    const isOne = !this.isLocked && clientX !== undefined;
    this.looks = this.looks.map((look, at) => (isOne && at !== only ? look : by(look)));
    this.draw();
  }

  /** @param {PointerEvent} event */
  drag(event) {
    const before = this.touches.get(event.pointerId);
    if (before === undefined) return;
    const now = { x: event.clientX, y: event.clientY };
    const other = [...this.touches].find(([id]) => id !== event.pointerId)?.[1];
    if (other) {
      const apart = (/** @type {{x: number, y: number}} */ at) =>
        Math.hypot(at.x - other.x, at.y - other.y) || 1;
      const middle = { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 };
      this.zoom(apart(now) / apart(before), middle.x, middle.y);
    } else {
      const [dx, dy] = [now.x - before.x, now.y - before.y];
      this.change((look) => ({ ...look, x: look.x + dx, y: look.y + dy }), event.clientX);
    }
    this.touches.set(event.pointerId, now);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    /** @type {Record<string, [number, number]>} */
    const ways = {
      ArrowLeft: [PAN, 0],
      ArrowRight: [-PAN, 0],
      ArrowUp: [0, PAN],
      ArrowDown: [0, -PAN],
    };
    const way = ways[event.key];
    if (way) this.change((look) => ({ ...look, x: look.x + way[0], y: look.y + way[1] }));
    else if (event.key === "+" || event.key === "=") this.zoom(CLOSER);
    else if (event.key === "-") this.zoom(1 / CLOSER);
    else if (event.key === "0") this.all();
    else if (event.key === " ") this.turn(true);
    else return;
    event.preventDefault();
  }

  /** Show a line large in both. @param {[number, number][]} line */
  goTo(line) {
    const [xs, ys] = [line.map(([x]) => x), line.map(([, y]) => y)];
    const [left, right] = [Math.min(...xs), Math.max(...xs)];
    const [top, low] = [Math.min(...ys), Math.max(...ys)];
    const { wide, high } = this.room;
    const scale = Math.min(4, wide / (right - left + 240), high / (low - top + 240));
    const x = wide / 2 - ((left + right) / 2) * scale;
    const y = high / 2 - ((top + low) / 2) * scale;
    this.looks = this.looks.map(() => ({ scale, x, y }));
    this.draw();
    this.stage.focus({ preventScroll: true });
    this.stage.scrollIntoView({ block: "nearest" });
  }

  draw() {
    const share = Number(this.swipe?.value ?? 50);
    this.panes.forEach((pane, at) => {
      const sheet = /** @type {HTMLElement} */ (pane.querySelector(".compare-sheet"));
      const { x, y, scale } = this.looks[at] ?? { x: 0, y: 0, scale: 1 };
      sheet.style.width = `${this.width}px`;
      sheet.style.transform = `translate(${x}px, ${y}px) scale(${scale})`;
      const isLater = at === 1;
      const isHidden = this.mode === "blink" && isLater !== this.isOther;
      pane.style.visibility = isHidden ? "hidden" : "visible";
      pane.style.clipPath = this.mode === "swipe" && isLater ? `inset(0 0 0 ${share}%)` : "none";
    });
    this.stage.style.setProperty("--swipe", `${share}%`);
  }
}

if (stage) new Compare(stage);
