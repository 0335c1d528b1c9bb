// SPDX-License-Identifier: Apache-2.0
/** The sketch on the picture and its handles: a vertex is a dot with a reach of 44 px. */
import { distance, edgesOf, pathOf } from "./geometry.js";
import { svg } from "./svg.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./overlay.js").Overlay} Overlay
 * @typedef {import("./loupe.js").Loupe} Loupe
 * @typedef {import("./sketch.js").Sketch} Sketch
 * @typedef {import("./sketch.js").Vertex} Vertex
 * @typedef {{vertex: Vertex, at: Position, isEdge: boolean}} Handle `at` in image px
 *
 * @typedef {object} Hand what a mode wants to know
 * @property {(vertex: Vertex, to: Position, isFree: boolean) => void} dragged image px
 * @property {() => void} dropped
 * @property {(vertex: Vertex | null, at: Position) => void} tapped
 * @property {Position[][]} guides thin lines that belong to the sketch
 * @property {Way[]} [drawn] drawn in place of the sketch's own straight lines
 *
 * @typedef {{line: Position[], isWeak: boolean, isLive: boolean}} Way
 */

const REACH = 22;
/** Handles nearer to each other than this on the screen are thinned out. */
const CROWDED = 20;
const ROOM_FOR_EDGE = 64;
const STILL = 4;

export class Handles {
  /**
   * @param {Overlay} overlay
   * @param {Loupe} loupe
   */
  constructor(overlay, loupe) {
    this.overlay = overlay;
    this.loupe = loupe;
    /** @type {Sketch | null} */
    this.sketch = null;
    /** @type {Hand | null} */
    this.hand = null;
    /** @type {Vertex | null} */
    this.chosen = null;
    this.withEdges = false;
    this.withLoupe = false;
    /** @type {Position | null} where the next edge would go */
    this.pointer = null;
    /** @type {{handle: Handle, start: Position, hasMoved: boolean} | null} */
    this.drag = null;
    const layer = overlay.handleLayer;
    layer.addEventListener("pointerdown", (event) => this.press(event));
    layer.addEventListener("pointermove", (event) => this.pull(event));
    layer.addEventListener("pointerup", (event) => this.release(event));
    layer.addEventListener("pointercancel", (event) => this.release(event));
  }

  /**
   * Show a sketch; null shows none.
   * @param {Sketch | null} sketch
   * @param {Hand | null} hand
   */
  hold(sketch, hand) {
    [this.sketch, this.hand, this.chosen, this.pointer, this.drag] = [sketch, hand, null, null, null];
    this.loupe.hide();
    this.draw();
  }

  draw() {
    const { sketchLayer } = this.overlay;
    if (this.sketch === null) {
      sketchLayer.replaceChildren();
      this.follow();
      return;
    }
    const { type, parts } = this.sketch;
    const d = pathOf(parts, type === "Point" ? "LineString" : type);
    const area = svg("path", { class: "drawn-area", d, "fill-rule": "evenodd" });
    const last = this.sketch.open[this.sketch.open.length - 1];
    const guides = this.hand?.guides ?? [];
    const next = last && this.pointer ? [[last, this.pointer]] : [];
    const rubber = pathOf([...guides, ...next], "LineString");
    sketchLayer.replaceChildren(
      ...(type === "Polygon" ? [area] : []),
      ...(this.hand?.drawn?.length ? this.hand.drawn.flatMap(drawnWay) : [
            svg("path", { class: "drawn-halo", d }),
            svg("path", { class: "drawn", d }),
          ]),
      svg("path", { class: "rubber", d: rubber }),
    );
    this.follow();
  }

  /** Put the handles where their vertices are on the screen now. */
  follow() {
    const layer = this.overlay.handleLayer;
    const shown = this.sketch === null ? [] : this.shown(this.sketch);
    while (layer.childElementCount > shown.length) layer.lastElementChild?.remove();
    while (layer.childElementCount < shown.length) layer.append(drawnHandle());
    shown.forEach((handle, i) => {
      const element = layer.children[i];
      const isChosen =
        !handle.isEdge &&
        this.chosen?.part === handle.vertex.part &&
        this.chosen.index === handle.vertex.index;
      const names = ["handle", handle.isEdge && "handle-edge", isChosen && "is-chosen"];
      element.setAttribute("class", names.filter(Boolean).join(" "));
      element.setAttribute("transform", `translate(${this.overlay.project(handle.at).join(" ")})`);
    });
    this.handles = shown;
  }

  /**
   * Return the handles in sight, edges first so that vertices lie above them.
   * @param {Sketch} sketch
   * @returns {Handle[]}
   */
  shown(sketch) {
    const { width, height } = this.overlay.frame;
    /** @type {Handle[]} */
    const vertices = [];
    /** @type {Handle[]} */
    const edges = [];
    sketch.parts.forEach((ring, part) => {
      /** @type {Position | null} */
      let last = null;
      ring.forEach((at, index) => {
        const [x, y] = this.overlay.project(at);
        const isOut = x < -REACH || y < -REACH || x > width + REACH || y > height + REACH;
        const isChosen = this.chosen?.part === part && this.chosen.index === index;
        const isTight = last !== null && distance(last, [x, y]) < CROWDED && index < ring.length - 1;
        if (!isChosen && (isOut || isTight)) return;
        last = [x, y];
        vertices.push({ vertex: { part, index }, at, isEdge: false });
      });
      if (!this.withEdges) return;
      edgesOf(ring, sketch.type).forEach(([a, b], index) => {
        const length = distance(a, b) * this.overlay.zoom;
        if (length < ROOM_FOR_EDGE) return;
        const at = /** @type {Position} */ ([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
        edges.push({ vertex: { part, index }, at, isEdge: true });
      });
    });
    return [...edges, ...vertices];
  }

  /**
   * Return the handle nearest to a place on the screen; a vertex wins over an edge.
   * @param {Position} place
   * @returns {Handle | null}
   */
  nearest(place) {
    const near = (this.handles ?? [])
      .map((handle) => ({ handle, away: distance(this.overlay.project(handle.at), place) }))
      .filter(({ away }) => away <= REACH + 1)
      .sort((a, b) => Number(a.handle.isEdge) - Number(b.handle.isEdge) || a.away - b.away);
    return near[0]?.handle ?? null;
  }

  /** @param {PointerEvent} event @returns {Position} */
  placeOf(event) {
    const box = this.overlay.canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  /** @param {PointerEvent} event */
  press(event) {
    if (this.drag !== null || !event.isPrimary || event.button !== 0) return;
    const start = this.placeOf(event);
    const handle = this.nearest(start);
    if (handle === null) return;
    event.stopPropagation();
    event.preventDefault();
    this.overlay.canvas.focus({ preventScroll: true });
    this.overlay.handleLayer.setPointerCapture(event.pointerId);
    this.drag = { handle, start, hasMoved: false };
  }

  /** @param {PointerEvent} event */
  pull(event) {
    if (this.drag === null || this.sketch === null) return;
    event.stopPropagation();
    const place = this.placeOf(event);
    const { handle, start } = this.drag;
    if (!this.drag.hasMoved && distance(place, start) < STILL) return;
    if (!this.drag.hasMoved && handle.isEdge) {
      handle.vertex = this.sketch.insertAfter(handle.vertex, handle.at);
      handle.isEdge = false;
    }
    this.drag.hasMoved = true;
    this.chosen = handle.vertex;
    const [x, y] = this.overlay.project(handle.at);
    /** @type {Position} */
    const to = [x + place[0] - start[0], y + place[1] - start[1]];
    this.hand?.dragged(handle.vertex, this.overlay.unproject(to), event.altKey);
    if (this.withLoupe || event.pointerType === "touch") this.loupe.show(to);
    this.draw();
  }

  /** @param {PointerEvent} event */
  release(event) {
    if (this.drag === null) return;
    event.stopPropagation();
    const { handle, start, hasMoved } = this.drag;
    this.drag = null;
    this.loupe.hide();
    if (hasMoved) this.hand?.dropped();
    else if (event.type === "pointerup") {
      this.hand?.tapped(handle.isEdge ? null : handle.vertex, this.overlay.unproject(start));
    }
  }
}

/** @param {Way} way */
function drawnWay({ line, isWeak, isLive }) {
  const d = pathOf([line], "LineString");
  const names = ["drawn", isWeak && "is-weak", isLive && "is-live"].filter(Boolean);
  return [svg("path", { class: "drawn-halo", d }), svg("path", { class: names.join(" "), d })];
}

function drawnHandle() {
  return svg(
    "g",
    { class: "handle" },
    svg("circle", { class: "handle-reach", r: REACH }),
    svg("circle", { class: "handle-dot", r: 7 }),
  );
}
