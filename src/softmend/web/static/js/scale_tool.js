// SPDX-License-Identifier: Apache-2.0
/** Showing where a known length lies: a bar, a rectangle, the edges or the axis of a cylinder. */
import { distance } from "./geometry.js";
import { announce } from "./live.js";
import { Mode } from "./mode.js";
import { Sketch } from "./sketch.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./mode.js").Task} Task
 * @typedef {import("./viewer.js").Viewer} Viewer
 * @typedef {object} Figure
 * @property {string} method as records.view.ScaleMethod has it
 * @property {string} key the name its points go by
 * @property {number[]} counts points of each part; more may be given where `repeats` is true
 * @property {boolean} repeats a click near an end that is set is a further reading of it
 * @property {import("./geometry.js").GeometryType} type
 * @property {string[]} hints one for each part
 */

/** @type {Record<string, Figure>} */
export const FIGURES = {
  "scale-bar": {
    method: "two_clicks",
    key: "ends",
    counts: [1, 1],
    repeats: true,
    type: "LineString",
    hints: ["Click one end of the known length.", "Now the other end."],
  },
  "scale-rectangle": {
    method: "rectangle",
    key: "corners",
    counts: [4],
    repeats: false,
    type: "Polygon",
    hints: ["Click the four corners of the rectangle, going round."],
  },
  "scale-edges": {
    method: "cylinder",
    key: "edges",
    counts: [3, 3],
    repeats: false,
    type: "LineString",
    hints: [
      "Click one outline edge in three places: near one end, in the middle, near the other end.",
      "The other edge, at the same three places and in the same order.",
    ],
  },
  "scale-axis": {
    method: "cylinder",
    key: "axis",
    counts: [2],
    repeats: false,
    type: "LineString",
    hints: ["Click both ends of the axis."],
  },
  "colour-chart": {
    method: "chart",
    key: "corners",
    counts: [4],
    repeats: false,
    type: "Polygon",
    hints: [
      "Click the four outer corners of the field of patches, from the first patch on, going round.",
    ],
  },
  "colour-place": {
    method: "place",
    key: "outline",
    counts: [4],
    repeats: false,
    type: "Polygon",
    hints: ["Click four points round a clean, even place of the object."],
  },
};

/** A click this near to an end is a further reading of that end [screen px]. */
const SAME_END = 24;
const READINGS = 5;

export class ScaleMode extends Mode {
  /**
   * @param {Viewer} viewer
   * @param {Task} task
   */
  constructor(viewer, task) {
    const figure = FIGURES[task.tool];
    super(viewer, new Sketch(figure.type, figure.counts.map(() => [])), task);
    this.figure = figure;
    viewer.handles.withLoupe = true;
  }

  /** From end to end of a bar, between the means of their readings. @returns {Position[][]} */
  get guides() {
    if (!this.figure?.repeats || this.turn >= 0) return [];
    return [this.sketch.parts.map(middleOf)];
  }

  /** The part that the next click belongs to; -1 when all are set. */
  get turn() {
    return this.sketch.parts.findIndex((part, i) => part.length < this.figure.counts[i]);
  }

  get hint() {
    if (this.turn >= 0) return this.figure.hints[this.turn];
    const again = "Click an end again to read it more than once: three times is good.";
    return this.figure.repeats ? again : "Drag a point to better it, or Done.";
  }

  get can() {
    const isEmpty = this.sketch.isEmpty;
    return { ...super.can, done: this.turn < 0, remove: !isEmpty, cancel: true };
  }

  /** @param {Position | null} at */
  hover(at) {
    if (at === null) this.viewer.loupe.hide();
    else this.viewer.loupe.show(this.viewer.overlay.project(at));
  }

  /** @param {Position} at */
  click(at) {
    const part = this.figure.repeats ? (this.endNear(at) ?? this.turn) : this.turn;
    if (part < 0) {
      const far = "Both ends are set. Click near one to read it again, or drag it.";
      this.viewer.say(this.figure.repeats ? far : "All points are set. Drag one to better it.");
      return;
    }
    if (this.sketch.parts[part].length >= Math.max(this.figure.counts[part], READINGS)) {
      this.viewer.say(`${READINGS} readings are enough.`);
      return;
    }
    this.sketch.parts[part].push(at);
    this.sketch.keep();
    this.changed();
    const count = this.sketch.parts[part].length;
    announce(this.figure.repeats ? `End ${part + 1}, reading ${count}.` : `Point ${count} set.`);
  }

  /**
   * Return the end that a click reads again, or null.
   * @param {Position} at
   */
  endNear(at) {
    const zoom = this.viewer.overlay.zoom;
    const near = this.sketch.parts.findIndex((part) =>
      part.some((reading) => distance(reading, at) * zoom <= SAME_END),
    );
    return near < 0 ? null : near;
  }

  /**
   * The scale's own points never snap to a mark.
   * @param {import("./sketch.js").Vertex} vertex
   * @param {Position} to
   */
  dragged(vertex, to) {
    this.sketch.move(vertex, to);
  }

  remove() {
    const part = this.sketch.parts.findLast((points) => points.length > 0);
    if (part === undefined) return;
    part.pop();
    this.sketch.keep();
    this.changed();
  }

  /** What the page's form and the event carry; null until every point is there. */
  get reading() {
    if (this.turn >= 0) return null;
    const { method, key, counts } = this.figure;
    const parts = this.sketch.parts.map((part) =>
      part.map(([x, y]) => [Math.round(x * 100) / 100, Math.round(y * 100) / 100]),
    );
    return { method, [key]: counts.length === 1 ? parts[0] : parts };
  }
}

/**
 * @param {Position[]} readings
 * @returns {Position}
 */
function middleOf(readings) {
  const sum = readings.reduce(([a, b], [x, y]) => [a + x, b + y], [0, 0]);
  return [sum[0] / readings.length, sum[1] / readings.length];
}
