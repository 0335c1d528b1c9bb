// SPDX-License-Identifier: Apache-2.0
/** Labels on the picture: number, state sign, code; laid out anew when the picture comes to rest. */
import { shownNumber, stateSign } from "./contract.js";
import { boxOf, partsOf, pointAlong } from "./geometry.js";
import { placed } from "./labels.js";
import { svg } from "./svg.js";

/**
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {(position: Position) => Position} Projection image px to screen px
 * @typedef {{element: SVGGElement, leader: SVGLineElement, anchor: Position, offset: Position}} Shown
 */

const HEIGHT = 26;
const ALONG = [0.5, 0.08, 0.92, 0.28, 0.72];
const SAMPLES = 24;

export class LabelLayer {
  constructor() {
    this.element = svg("g", { class: "labels" });
    /** Where labels may stand and what they should not cover, in image px: once a mark. */
    /** @type {WeakMap<Mark, {anchors: Position[], samples: Position[]}>} */
    this.known = new WeakMap();
    this.pen = document.createElement("canvas").getContext("2d");
    /** @type {Shown[]} */
    this.shown = [];
  }

  /**
   * Lay the labels out for this projection; the selected mark comes first and is always shown.
   * @param {Mark[]} marks
   * @param {Mark[]} kept what labels should not cover, the drawing in hand included
   * @param {Set<Mark>} seats marks whose number stands on the point itself
   * @param {string | null} selected
   * @param {Projection} project
   * @param {{width: number, height: number}} frame
   * @param {import("./geometry.js").Box[]} reserved
   */
  layOut(marks, kept, seats, selected, project, frame, reserved) {
    const ordered = [...marks].sort((a, b) => rank(a, selected) - rank(b, selected));
    const wanted = ordered.map((mark) => {
      const isCentred = seats.has(mark);
      const words = isCentred ? shownNumber(mark) : wordsOf(mark);
      const width = isCentred ? 22 : this.widthOf(`${words} ${mark.code}`) + 20;
      return { mark, words, width, isCentred, anchors: this.spotsOf(mark).anchors };
    });
    const requests = wanted.map(({ mark, width, isCentred, anchors }) => ({
      width,
      height: HEIGHT,
      anchors: anchors.map(project),
      isCentred,
      isWanted: mark.mark_id === selected,
    }));
    const obstacles = kept.flatMap((mark) => this.spotsOf(mark).samples.map(project));
    this.shown = placed(requests, obstacles, frame, reserved).map(({ request, anchor, at }) => {
      const { mark, words, width, isCentred, anchors } = wanted[request];
      const [x, y] = requests[request].anchors[anchor];
      const element = drawnLabel(mark, words, width, isCentred);
      if (mark.mark_id === selected) element.classList.add("is-selected");
      const leader = svg("line", { class: "label-leader" });
      return { element, leader, anchor: anchors[anchor], offset: [at[0] - x, at[1] - y] };
    });
    this.element.replaceChildren(...this.shown.flatMap(({ leader, element }) => [leader, element]));
    this.follow(project);
  }

  /** @param {Mark} mark */
  spotsOf(mark) {
    let spots = this.known.get(mark);
    if (spots === undefined) {
      spots = { anchors: anchorsOf(mark), samples: samplesOf(mark) };
      this.known.set(mark, spots);
    }
    return spots;
  }

  /**
   * Keep the labels at their anchors while the picture moves.
   * @param {Projection} project
   */
  follow(project) {
    for (const { element, leader, anchor, offset } of this.shown) {
      const [x, y] = project(anchor);
      const [tx, ty] = [x + offset[0], y + offset[1]];
      element.setAttribute("transform", `translate(${tx} ${ty})`);
      leader.setAttribute("x1", String(x));
      leader.setAttribute("y1", String(y));
      leader.setAttribute("x2", String(tx));
      leader.setAttribute("y2", String(ty));
    }
  }

  /** @param {string} text */
  widthOf(text) {
    if (this.pen === null) return text.length * 9;
    this.pen.font = '650 15px "Source Sans 3"';
    return this.pen.measureText(text).width;
  }
}

/**
 * @param {Mark} mark
 * @param {string | null} selected
 */
function rank(mark, selected) {
  return mark.mark_id === selected ? -1 : (mark.number ?? 0);
}

/** @param {Mark} mark */
function wordsOf(mark) {
  return [shownNumber(mark), stateSign(mark.state)].filter(Boolean).join(" ");
}

/**
 * @param {Mark} mark
 * @param {string} words
 * @param {number} width
 * @param {boolean} isCentred
 */
function drawnLabel(mark, words, width, isCentred) {
  const box = { x: -width / 2, y: -HEIGHT / 2, width, height: HEIGHT, rx: isCentred ? 11 : 4 };
  const number = svg("tspan");
  number.textContent = words;
  const text = svg("text", { class: "label-text", "text-anchor": "middle", y: 5 }, number);
  if (!isCentred) {
    const code = svg("tspan", { class: "label-code", dx: 5 });
    code.textContent = mark.code;
    text.append(code);
  }
  return svg(
    "g",
    { "data-label": mark.mark_id },
    svg("rect", { class: "label-box", ...box }),
    text,
  );
}

/**
 * Return the places of a mark that a label may stand at, in image px.
 * @param {Mark} mark
 * @returns {Position[]}
 */
function anchorsOf({ geometry }) {
  const [outer] = partsOf(geometry);
  if (geometry.type === "Point") return [geometry.coordinates];
  if (geometry.type === "LineString") return ALONG.map((fraction) => pointAlong(outer, fraction));
  const { left, right, top, bottom } = boxOf([outer]);
  const middle = [(left + right) / 2, (top + bottom) / 2];
  /** @type {(score: (p: Position) => number) => Position} */
  const extreme = (score) => outer.reduce((best, p) => (score(p) < score(best) ? p : best));
  return [
    extreme(([x, y]) => y + Math.abs(x - middle[0]) / 4),
    extreme(([x, y]) => -y + Math.abs(x - middle[0]) / 4),
    extreme(([x, y]) => -x + Math.abs(y - middle[1]) / 4),
    extreme(([x, y]) => x + Math.abs(y - middle[1]) / 4),
  ];
}

/**
 * @param {Mark} mark
 * @returns {Position[]}
 */
function samplesOf({ geometry }) {
  if (geometry.type === "Point") return [geometry.coordinates];
  return partsOf(geometry).flatMap((part) => {
    const line = geometry.type === "Polygon" ? [...part, part[0]] : part;
    return Array.from({ length: SAMPLES }, (_, i) => pointAlong(line, i / (SAMPLES - 1)));
  });
}
