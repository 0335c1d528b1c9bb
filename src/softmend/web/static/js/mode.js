// SPDX-License-Identifier: Apache-2.0
/** What drawing, editing and scaling share: a sketch in hand, its handles, undo and redo. */
import { ARROWS, FINE_STEP, STEP } from "./cross_hair.js";
import { crossesItself } from "./geometry.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./handles.js").Hand} Hand
 * @typedef {import("./sketch.js").Sketch} Sketch
 * @typedef {import("./sketch.js").Vertex} Vertex
 * @typedef {import("./viewer.js").Viewer} Viewer
 * @typedef {object} Task what is being drawn, of which mark
 * @property {string} tool
 * @property {string | null} code
 * @property {string | null} markId null: a new mark
 * @property {number} sighting which drawing of that mark on this view
 * @property {string} draftId
 */

/** @implements {Hand} */
export class Mode {
  /**
   * @param {Viewer} viewer
   * @param {Sketch} sketch
   * @param {Task} task
   */
  constructor(viewer, sketch, task) {
    this.viewer = viewer;
    this.sketch = sketch;
    this.task = task;
    viewer.handles.withEdges = false;
    viewer.handles.withLoupe = false;
    viewer.handles.hold(sketch, this);
  }

  /** One sentence: what to do now. */
  get hint() {
    return "";
  }

  /** Thin lines that belong to the sketch. @returns {Position[][]} */
  get guides() {
    return [];
  }

  /** Which commands make sense now. */
  get can() {
    const { history, isComplete, isEmpty } = this.sketch;
    return {
      undo: history.canUndo,
      redo: history.canRedo,
      done: isComplete,
      remove: !isEmpty,
      insert: false,
      cancel: true,
    };
  }

  /** The sketch has changed: show it, measure it, keep it as a draft. */
  changed() {
    this.viewer.handles.draw();
    this.viewer.changed(this);
  }

  /** @param {-1 | 1} by */
  step(by) {
    this.sketch.step(by);
    this.changed();
  }

  /**
   * A click or Enter at a place of the picture.
   * @param {Position} _at
   * @param {boolean} _isFree without snapping
   */
  click(_at, _isFree) {}

  /** @param {Position | null} at */
  hover(at) {
    this.viewer.handles.pointer = at;
    this.viewer.handles.draw();
  }

  /**
   * Take a key; whether it was ours.
   * @param {KeyboardEvent} event
   * @returns {boolean}
   */
  key(event) {
    const arrow = ARROWS[event.key];
    if (arrow) {
      const step = event.shiftKey ? FINE_STEP : STEP;
      const at = this.viewer.crossHair.moveBy(arrow[0] * step, arrow[1] * step);
      this.viewer.keepInSight(at);
      this.hover(at);
      return true;
    }
    if (event.key === "Enter") {
      this.viewer.crossHair.put(this.viewer.crossHair.place);
      this.click(this.viewer.crossHair.place, event.altKey);
      return true;
    }
    if (event.key === "Backspace" || event.key === "Delete") {
      this.remove();
      return true;
    }
    return false;
  }

  remove() {
    if (this.sketch.removeLast()) this.changed();
  }

  insert() {}

  done() {
    const { type, parts } = this.sketch;
    if (type === "Polygon" && parts.some(crossesItself)) {
      this.viewer.say("The outline crosses itself: it has no one area. Move or take away a point.");
      return;
    }
    this.viewer.finish(this);
  }

  /**
   * @param {Vertex} vertex
   * @param {Position} to
   * @param {boolean} isFree
   */
  dragged(vertex, to, isFree) {
    this.sketch.move(vertex, this.viewer.snap(to, isFree));
    this.viewer.measure(this);
  }

  dropped() {
    this.viewer.crossHair.hold(null);
    this.sketch.keep();
    this.changed();
  }

  /**
   * @param {Vertex | null} _vertex
   * @param {Position} at
   */
  tapped(_vertex, at) {
    this.click(at, false);
  }
}
