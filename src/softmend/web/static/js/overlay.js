// SPDX-License-Identifier: Apache-2.0
/**
 * Our own layer over the picture: one <svg>, one <g> that carries image pixels to the screen.
 * What keeps its size on the screen (labels, symbols, handles) stands in a second, unmoved <g>.
 */
import { distanceTo, isInside, pathOf } from "./geometry.js";
import { patternOf } from "./hatch.js";
import { LabelLayer } from "./label_layer.js";
import { UNKNOWN_ENTRY, drawnMark, drawnSymbol } from "./marks.js";
import { ScaleBar } from "./scale_bar.js";
import { svg } from "./svg.js";

/**
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./contract.js").Page} Page
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {[number, number, number, number, number, number]} Matrix a b c d e f, as in SVG
 */

export class Overlay {
  /**
   * @param {HTMLElement} canvas the element that the picture is drawn in
   * @param {Page} page
   */
  constructor(canvas, page) {
    this.canvas = canvas;
    this.page = page;
    this.legend = new Map(page.legend.map((entry) => [entry.code, entry]));
    this.patterns = page.legend.map(patternOf).filter((pattern) => pattern !== null);
    this.markLayer = svg("g");
    this.symbolLayer = svg("g", { class: "symbols" });
    this.sketchLayer = svg("g", { class: "sketch" });
    this.suggestLayer = svg("g", { class: "suggested" });
    this.handleLayer = svg("g", { class: "handles" });
    this.labels = new LabelLayer();
    this.scaleBar = new ScaleBar(page.scale);
    const layers = [this.markLayer, this.suggestLayer, this.sketchLayer];
    this.world = svg("g", { class: "world" }, ...this.veils(), ...layers);
    this.root = svg(
      "svg",
      { class: "overlay", "aria-hidden": "true", focusable: "false" },
      svg("defs", {}, ...this.patterns),
      this.world,
      this.symbolLayer,
      this.labels.element,
      this.scaleBar.element,
      this.handleLayer,
    );
    canvas.append(this.root);
    /** Room kept for the commands at the foot of the picture [screen px]. */
    this.foot = 28;
    /** @type {import("./geometry.js").Box[]} what the page's buttons cover */
    this.reserved = [];
    /** @type {Matrix} */
    this.matrix = [1, 0, 0, 1, 0, 0];
    /** @type {Mark[]} */
    this.marks = [];
    /** @type {string | null} */
    this.selected = null;
    /** @type {Mark | null} the drawing that is being edited, shown by its sketch instead */
    this.hidden = null;
  }

  /** @param {Matrix} matrix */
  moveTo(matrix) {
    this.matrix = matrix;
    this.world.setAttribute("transform", `matrix(${matrix.join(" ")})`);
    const upright = `scale(${1 / this.zoom})`;
    for (const pattern of this.patterns) pattern.setAttribute("patternTransform", upright);
    this.placeSymbols();
    this.labels.follow(this.project);
    this.scaleBar.follow(this.zoom, this.frame.height - this.foot);
  }

  /** Screen pixels per image pixel. */
  get zoom() {
    return Math.hypot(this.matrix[0], this.matrix[1]);
  }

  get frame() {
    return { width: this.canvas.clientWidth, height: this.canvas.clientHeight };
  }

  /** @type {(position: Position) => Position} image px to screen px of the picture's element */
  project = ([x, y]) => {
    const [a, b, c, d, e, f] = this.matrix;
    return [a * x + c * y + e, b * x + d * y + f];
  };

  /** @type {(position: Position) => Position} screen px to image px */
  unproject = ([x, y]) => {
    const [a, b, c, d, e, f] = this.matrix;
    const determinant = a * d - b * c;
    const [u, v] = [x - e, y - f];
    return [(d * u - c * v) / determinant, (a * v - b * u) / determinant];
  };

  /** @param {Mark[]} marks */
  setMarks(marks) {
    this.marks = marks;
    this.draw();
  }

  /** @param {string | null} markId */
  select(markId) {
    this.selected = markId;
    this.draw();
  }

  /** @param {Mark | null} mark */
  hide(mark) {
    this.hidden = mark;
    this.draw();
  }

  get visibleMarks() {
    return this.marks.filter((mark) => mark !== this.hidden);
  }

  draw() {
    const shapes = this.visibleMarks.map((mark) => {
      const group = drawnMark(mark, this.entryOf(mark.code));
      if (mark.mark_id === this.selected) group.classList.add("is-selected");
      return group;
    });
    this.markLayer.replaceChildren(...shapes);
    this.symbols = this.visibleMarks
      .filter((mark) => mark.geometry.type === "Point")
      .map((mark) => {
        const element = drawnSymbol(mark, this.entryOf(mark.code));
        if (mark.mark_id === this.selected) element.classList.add("is-selected");
        return { element, at: /** @type {Position} */ (mark.geometry.coordinates) };
      });
    this.symbolLayer.replaceChildren(...this.symbols.map(({ element }) => element));
    this.placeSymbols();
    this.settle();
  }

  /** Lay the labels out anew; called when the picture has come to rest. */
  settle() {
    const marks = this.visibleMarks;
    const seats = marks.filter((mark) => this.entryOf(mark.code).pattern === "number");
    this.labels.layOut(
      marks,
      this.marks,
      new Set(seats),
      this.selected,
      this.project,
      this.frame,
      this.reserved,
    );
  }

  /**
   * Show suggested lines, dashed; the one that is looked at stands out. No mark is made of them.
   * @param {{lines: Position[][], chosen: number, region: Position[]}} shown
   */
  suggest({ lines, chosen, region }) {
    const drawn = lines.flatMap((line, at) => {
      const d = pathOf([line], "LineString");
      const names = at === chosen ? "drawn is-suggested is-chosen" : "drawn is-suggested";
      return [svg("path", { class: "drawn-halo", d }), svg("path", { class: names, d })];
    });
    const edge = svg("path", { class: "rubber", d: pathOf([region], "Polygon") });
    this.suggestLayer.replaceChildren(...(region.length > 0 ? [edge] : []), ...drawn);
  }

  placeSymbols() {
    for (const { element, at } of this.symbols ?? []) {
      element.setAttribute("transform", `translate(${this.project(at).join(" ")})`);
    }
  }

  /**
   * Return the mark under a point of the picture: the nearest line or point within reach, else
   * the smallest area around it.
   * @param {Position} p
   * @param {number} reach [screen px]
   * @returns {Mark | null}
   */
  markAt(p, reach) {
    const near = this.visibleMarks
      .map((mark) => ({ mark, away: distanceTo(mark.geometry, p) * this.zoom }))
      .filter(({ away }) => away <= reach);
    const thin = near.filter(({ mark }) => mark.geometry.type !== "Polygon");
    const found = (thin.length > 0 ? thin : near).sort(
      (a, b) => a.away - b.away || extent(a.mark) - extent(b.mark),
    );
    return found[0]?.mark ?? null;
  }

  /** @param {string | null} code */
  entryOf(code) {
    return this.legend.get(code ?? "") ?? UNKNOWN_ENTRY;
  }

  /** Whether a place is greyed. @param {Position} p */
  isShaded(p) {
    return (this.page.shaded ?? []).some((rings) => isInside(rings, p));
  }

  veils() {
    return (this.page.shaded ?? []).map((rings) =>
      svg("path", { class: "veil", d: pathOf(rings, "Polygon"), "fill-rule": "evenodd" }),
    );
  }
}

/**
 * Return twice the area of a mark's outer ring; enough to tell which of two areas is smaller.
 * @param {Mark} mark
 */
function extent({ geometry }) {
  if (geometry.type !== "Polygon") return 0;
  const [ring] = geometry.coordinates;
  const sum = ring.reduce((total, [x, y], i) => {
    const [u, v] = ring[(i + 1) % ring.length];
    return total + x * v - u * y;
  }, 0);
  return Math.abs(sum);
}
