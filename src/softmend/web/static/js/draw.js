// SPDX-License-Identifier: Apache-2.0
import { distance } from "./geometry.js";
import { announce } from "./live.js";
import { Mode } from "./mode.js";
import { Sketch } from "./sketch.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./mode.js").Task} Task
 * @typedef {import("./viewer.js").Viewer} Viewer
 */

/** @type {Record<string, import("./geometry.js").GeometryType>} */
export const DRAWN_TYPES = {
  line: "LineString",
  polyline: "LineString",
  area: "Polygon",
  hole: "Polygon",
  point: "Point",
  seat: "Point",
};

const HINTS = new Map([
  ["line", "Click one end, then the other."],
  ["polyline", "Click along it. Click the last point again, or Done, to finish."],
  ["area", "Click round its edge. Click the first point again, or Done, to finish."],
  ["hole", "Click round what is left out. Click the first point again, or Done."],
  ["point", "Click the place."],
  ["seat", "Click where the fragment sits."],
]);

/** Two clicks nearer than this are one click twice: it finishes [screen px]. */
const SAME = 6;
const CLOSING = 12;

/** Drawing something new, or a hole in an area: each click adds a vertex. */
export class DrawMode extends Mode {
  /**
   * @param {Viewer} viewer
   * @param {Task} task
   * @param {Sketch} [sketch] a draft taken up again
   */
  constructor(viewer, task, sketch = new Sketch(DRAWN_TYPES[task.tool])) {
    super(viewer, sketch, task);
  }

  get hint() {
    return HINTS.get(this.task.tool) ?? "";
  }

  /**
   * @param {Position} at
   * @param {boolean} isFree
   */
  click(at, isFree) {
    const place = this.viewer.snap(at, isFree);
    if (this.isFinishing(place)) {
      this.done();
      return;
    }
    this.sketch.add(place);
    this.changed();
    const count = this.sketch.open.length;
    const isFull = this.sketch.type === "Point" || (this.task.tool === "line" && count === 2);
    if (isFull) this.done();
    else announce(`Point ${count} set.`);
  }

  /** Show where a click would fall. @param {Position | null} at */
  hover(at) {
    super.hover(at && this.viewer.snap(at, false));
  }

  /** Whether a click here means "that was all". @param {Position} place */
  isFinishing(place) {
    const { open, type } = this.sketch;
    const last = open[open.length - 1];
    const zoom = this.viewer.overlay.zoom;
    if (last && distance(last, place) * zoom <= SAME) return true;
    const canClose = type === "Polygon" && open.length >= this.sketch.fewest;
    return canClose && distance(open[0], place) * zoom <= CLOSING;
  }

  done() {
    const missing = this.sketch.fewest - this.sketch.open.length;
    if (missing > 0) {
      const points = missing === 1 ? "one more point" : `${missing} more points`;
      this.viewer.say(`Not finished: it needs ${points}.`);
      return;
    }
    super.done();
  }
}
