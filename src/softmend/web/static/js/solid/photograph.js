// SPDX-License-Identifier: Apache-2.0
/** The photograph beside a scan: moved, brought closer, and picked on; its list does the same. */
import { placesIn } from "./picks.js";

/** @typedef {[number, number]} Place */

const CLOSER = 1.3;
const PAN = 0.1;
const STILL_PX = 6;
const SVG = "http://www.w3.org/2000/svg";

const sheet = /** @type {SVGSVGElement} */ (document.querySelector("[data-photograph]"));
const field = /** @type {HTMLTextAreaElement} */ (document.querySelector("[data-photograph-picks]"));
const like = /** @type {HTMLTextAreaElement} */ (document.querySelector("[data-picks=like]"));
const count = /** @type {HTMLElement} */ (document.querySelector("[data-seen-count]"));
const width = Number(sheet.dataset.width);
const height = Number(sheet.dataset.height);
const box = { x: 0, y: 0, width, height };

/** @returns {Place[]} */
function picks() {
  return placesIn(field, 2).map(([x, y]) => [x, y]);
}

/** @param {Place[]} places */
function write(places) {
  field.value = places.map((place) => place.map((x) => String(Number(x.toFixed(2)))).join(" ")).join("\n");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** @param {Place} place inside the picture */
function pick([x, y]) {
  if (x < 0 || y < 0 || x > width || y > height) return;
  write([...picks(), /** @type {Place} */ ([x, y])].slice(-Number(field.dataset.most ?? 20)));
}

/**
 * Return where a place of the screen lies on the photograph.
 * @param {number} clientX
 * @param {number} clientY
 * @returns {Place}
 */
function under(clientX, clientY) {
  const matrix = sheet.getScreenCTM();
  if (matrix === null) return [-1, -1];
  const at = new DOMPoint(clientX, clientY).matrixTransform(matrix.inverse());
  return [at.x, at.y];
}

function look() {
  sheet.setAttribute("viewBox", `${box.x} ${box.y} ${box.width} ${box.height}`);
  redraw();
}

function all() {
  Object.assign(box, { x: 0, y: 0, width, height });
  look();
}

/**
 * Come closer by a factor, keeping one place where it is.
 * @param {number} by
 * @param {Place} [at]
 */
function closer(by, at = [box.x + box.width / 2, box.y + box.height / 2]) {
  const wide = Math.min(width * 1.5, Math.max(width / 40, box.width / by));
  const share = wide / box.width;
  box.x = at[0] - (at[0] - box.x) * share;
  box.y = at[1] - (at[1] - box.y) * share;
  box.width = wide;
  box.height *= share;
  look();
}

/**
 * @param {number} dx pixels of the picture
 * @param {number} dy
 */
function shift(dx, dy) {
  box.x = Math.min(width - box.width / 4, Math.max(-box.width * 0.75, box.x + dx));
  box.y = Math.min(height - box.height / 4, Math.max(-box.height * 0.75, box.y + dy));
  look();
}

/**
 * @param {string} name
 * @param {Record<string, string | number>} given
 */
function drawn(name, given) {
  const found = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(given)) found.setAttribute(key, String(value));
  return found;
}

function redraw() {
  const matrix = sheet.getScreenCTM();
  const px = matrix && matrix.a > 0 ? 1 / matrix.a : 1;
  const group = /** @type {SVGGElement} */ (sheet.querySelector("[data-picked]"));
  group.replaceChildren(
    ...picks().map(([x, y], k) => {
      const one = drawn("g", { class: "seen-pick" });
      const name = drawn("text", { x: x + 12 * px, y: y - 8 * px, "font-size": 16 * px, "stroke-width": 3 * px });
      name.textContent = String(k + 1);
      one.append(
        drawn("circle", { class: "halo", cx: x, cy: y, r: 8 * px }),
        drawn("circle", { class: "core", cx: x, cy: y, r: 8 * px }),
        drawn("circle", { class: "core", cx: x, cy: y, r: px }),
        name,
      );
      return one;
    }),
  );
  const [here, there] = [picks().length, placesIn(like).length];
  const next = here > there ? ` Now place ${there + 1} on the scan.` : here < there ? ` Now place ${here + 1} on the photograph.` : "";
  count.textContent = `${here} on the photograph, ${there} on the scan.${next}`;
}

/** Fingers and mouse: one moves or taps, two come closer. */
function byHand() {
  /** @type {Map<number, {x: number, y: number}>} */
  const touches = new Map();
  let moved = 0;
  const gap = () => {
    const [a, b] = [...touches.values()];
    return Math.hypot(a.x - b.x, a.y - b.y);
  };
  sheet.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    sheet.setPointerCapture(event.pointerId);
    if (touches.size === 0) moved = 0;
    touches.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  sheet.addEventListener("pointermove", (event) => {
    const last = touches.get(event.pointerId);
    if (!last) return;
    const before = touches.size === 2 ? gap() : 0;
    const from = under(last.x, last.y);
    const to = under(event.clientX, event.clientY);
    moved += Math.hypot(event.clientX - last.x, event.clientY - last.y);
    touches.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (touches.size === 2 && before > 0) {
      moved = STILL_PX + 1;
      closer(gap() / before, to);
    } else if (moved > STILL_PX) shift(from[0] - to[0], from[1] - to[1]);
  });
  sheet.addEventListener("pointerup", (event) => {
    if (touches.delete(event.pointerId) && touches.size === 0 && moved <= STILL_PX) {
      pick(under(event.clientX, event.clientY));
    }
  });
  sheet.addEventListener("pointercancel", (event) => touches.delete(event.pointerId));
  sheet.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      closer(event.deltaY < 0 ? CLOSER : 1 / CLOSER, under(event.clientX, event.clientY));
    },
    { passive: false },
  );
}

/** @type {Record<string, () => void>} */
const KEYS = {
  ArrowLeft: () => shift(-PAN * box.width, 0),
  ArrowRight: () => shift(PAN * box.width, 0),
  ArrowUp: () => shift(0, -PAN * box.height),
  ArrowDown: () => shift(0, PAN * box.height),
  "+": () => closer(CLOSER),
  "=": () => closer(CLOSER),
  "-": () => closer(1 / CLOSER),
  0: all,
  Enter: () => pick([box.x + box.width / 2, box.y + box.height / 2]),
};

sheet.addEventListener("keydown", (event) => {
  const act = KEYS[event.key];
  if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  act();
});

document.addEventListener("click", ({ target }) => {
  if (!(target instanceof Element)) return;
  const button = /** @type {HTMLElement | null} */ (
    target.closest("[data-photograph-look], [data-photograph-unpick]")
  );
  if (button === null) return;
  const to = button.dataset.photographLook;
  if (to === "all") all();
  else if (to) closer(to === "in" ? CLOSER : 1 / CLOSER);
  else write(picks().slice(0, -1));
});

field.addEventListener("input", redraw);
like.addEventListener("input", redraw);
new ResizeObserver(redraw).observe(sheet);
byHand();
redraw();
// On this page every tap on the scan is a pick.
/** @type {HTMLElement | null} */ (document.querySelector("[data-pick=like]"))?.click();
