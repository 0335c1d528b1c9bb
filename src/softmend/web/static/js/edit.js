// SPDX-License-Identifier: Apache-2.0
import { ARROWS, FINE_STEP, STEP } from "./cross_hair.js";
import { distance, edgesOf, nearestOnSegment } from "./geometry.js";
import { announce } from "./live.js";
import { Mode } from "./mode.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./mode.js").Task} Task
 * @typedef {import("./sketch.js").Sketch} Sketch
 * @typedef {import("./sketch.js").Vertex} Vertex
 * @typedef {import("./viewer.js").Viewer} Viewer
 */

/** A click this near to an edge puts a vertex there [screen px]. */
const EDGE_REACH = 14;

/** Mending what is drawn: move, insert and remove vertices. */
export class EditMode extends Mode {
  /**
   * @param {Viewer} viewer
   * @param {Task} task
   * @param {Sketch} sketch
   */
  constructor(viewer, task, sketch) {
    super(viewer, sketch, task);
    viewer.handles.withEdges = sketch.type !== "Point";
    viewer.handles.draw();
  }

  get hint() {
    if (this.sketch.type === "Point") return "Drag the point, or move it with the arrow keys.";
    return "Drag a point. A small dot between two adds one. Done keeps it.";
  }

  get chosen() {
    return this.viewer.handles.chosen;
  }

  get can() {
    const isLine = this.sketch.type !== "Point";
    const has = this.chosen !== null;
    return { ...super.can, remove: has && isLine, insert: has && isLine };
  }

  /** @param {Vertex | null} vertex */
  choose(vertex) {
    this.viewer.handles.chosen = vertex;
    this.viewer.handles.draw();
    this.viewer.controls.show();
    if (vertex === null) return;
    const at = this.sketch.parts[vertex.part][vertex.index];
    this.viewer.keepInSight(at);
    announce(`Point ${vertex.index + 1} of ${this.sketch.parts[vertex.part].length}.`);
  }

  /** @param {Position | null} _at */
  hover(_at) {}

  /** @param {-1 | 1} by */
  step(by) {
    super.step(by);
    this.choose(null);
  }

  /**
   * A click on an edge puts a vertex there; elsewhere it lets go of the chosen one.
   * @param {Position} at
   */
  click(at) {
    const zoom = this.viewer.overlay.zoom;
    let least = EDGE_REACH;
    /** @type {{vertex: Vertex, foot: Position} | null} */
    let found = null;
    this.sketch.parts.forEach((ring, part) => {
      edgesOf(ring, this.sketch.type).forEach(([a, b], index) => {
        const foot = nearestOnSegment(at, a, b);
        const away = distance(foot, at) * zoom;
        if (away < least) [least, found] = [away, { vertex: { part, index }, foot }];
      });
    });
    const hit = /** @type {{vertex: Vertex, foot: Position} | null} */ (found);
    if (hit === null) {
      this.choose(null);
      return;
    }
    const vertex = this.sketch.insertAfter(hit.vertex, hit.foot);
    this.sketch.keep();
    this.changed();
    this.choose(vertex);
  }

  /**
   * @param {Vertex | null} vertex
   * @param {Position} at
   */
  tapped(vertex, at) {
    if (vertex === null) this.click(at);
    else this.choose(vertex);
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const arrow = ARROWS[event.key];
    if (arrow) {
      this.nudge(arrow, event.shiftKey ? FINE_STEP : STEP, event.altKey);
      return true;
    }
    if (event.key === "PageDown" || event.key === "PageUp") {
      this.next(event.key === "PageDown" ? 1 : -1);
      return true;
    }
    if (event.key === "Insert") {
      this.insert();
      return true;
    }
    if (event.key === "Enter") {
      this.done();
      return true;
    }
    if (event.key === "Backspace" || event.key === "Delete") {
      this.remove();
      return true;
    }
    return false;
  }

  /**
   * @param {[number, number]} arrow
   * @param {number} step [screen px]
   * @param {boolean} isFree
   */
  nudge([dx, dy], step, isFree) {
    const vertex = this.chosen ?? { part: 0, index: 0 };
    const { project, unproject } = this.viewer.overlay;
    const at = this.sketch.parts[vertex.part][vertex.index];
    const [x, y] = project(at);
    const to = unproject([x + dx * step, y + dy * step]);
    const held = this.viewer.snap(to, isFree);
    // Snapping must not hold a vertex that the arrow keys are moving away.
    this.sketch.move(vertex, distance(held, at) < 1e-6 ? to : held);
    this.sketch.keep();
    this.changed();
    this.choose(vertex);
  }

  /** @param {-1 | 1} by */
  next(by) {
    const all = this.sketch.parts.flatMap((ring, part) => ring.map((_, index) => ({ part, index })));
    const now = all.findIndex(
      ({ part, index }) => part === this.chosen?.part && index === this.chosen.index,
    );
    const start = now < 0 && by < 0 ? 0 : now;
    this.choose(all[(start + by + all.length) % all.length]);
  }

  insert() {
    if (this.chosen === null || this.sketch.type === "Point") return;
    const { part, index } = this.chosen;
    const ring = this.sketch.parts[part];
    const isLast = index === ring.length - 1;
    const from = isLast && this.sketch.type === "LineString" ? index - 1 : index;
    const [a, b] = [ring[from], ring[(from + 1) % ring.length]];
    const vertex = this.sketch.insertAfter({ part, index: from }, [
      (a[0] + b[0]) / 2,
      (a[1] + b[1]) / 2,
    ]);
    this.sketch.keep();
    this.changed();
    this.choose(vertex);
  }

  remove() {
    if (this.chosen === null) return;
    if (!this.sketch.remove(this.chosen)) {
      this.viewer.say("It needs this point. To take the whole mark away, use the list.");
      return;
    }
    this.viewer.handles.chosen = null;
    this.changed();
  }
}
