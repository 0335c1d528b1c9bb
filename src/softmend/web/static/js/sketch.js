// SPDX-License-Identifier: Apache-2.0
import { geometryOf, partsOf } from "./geometry.js";
import { History } from "./history.js";

/**
 * @typedef {import("./geometry.js").Geometry} Geometry
 * @typedef {import("./geometry.js").GeometryType} GeometryType
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {{part: number, index: number}} Vertex
 */

/** The fewest positions a finished part has. */
const FEWEST = { Point: 1, LineString: 2, Polygon: 3 };

/** What is being drawn or edited: its parts, and the steps that led there. No DOM. */
export class Sketch {
  /**
   * @param {GeometryType} type
   * @param {Position[][]} parts
   */
  constructor(type, parts = [[]]) {
    this.type = type;
    /** @type {Position[][]} */
    this.parts = structuredClone(parts);
    this.history = new History(this.parts);
  }

  /** @param {Geometry} geometry */
  static of(geometry) {
    return new Sketch(geometry.type, partsOf(geometry));
  }

  /** The part that new vertices join. */
  get open() {
    return this.parts[this.parts.length - 1];
  }

  get fewest() {
    return FEWEST[this.type];
  }

  get isEmpty() {
    return this.parts.every((part) => part.length === 0);
  }

  /** Whether every part has enough vertices to be finished. */
  get isComplete() {
    return this.parts.every((part) => part.length >= this.fewest);
  }

  /** Keep what stands now as one step of undo. */
  keep() {
    this.history.keep(this.parts);
  }

  /** @param {Position} position */
  add(position) {
    this.open.push(position);
    this.keep();
  }

  /** Take the last vertex of the open part back; whether there was one. */
  removeLast() {
    if (this.open.pop() === undefined) return false;
    this.keep();
    return true;
  }

  /**
   * Move a vertex; the caller keeps the step when the hand lets go.
   * @param {Vertex} vertex
   * @param {Position} position
   */
  move({ part, index }, position) {
    this.parts[part][index] = position;
  }

  /**
   * Put a vertex after another; the caller keeps the step.
   * @param {Vertex} vertex
   * @param {Position} position
   * @returns {Vertex}
   */
  insertAfter({ part, index }, position) {
    this.parts[part].splice(index + 1, 0, position);
    return { part, index: index + 1 };
  }

  /**
   * Remove a vertex. A hole that gets too small goes with it; the last stretch stays.
   * @param {Vertex} vertex
   * @returns {boolean} whether it could be removed
   */
  remove({ part, index }) {
    const isTooSmall = this.parts[part].length - 1 < this.fewest;
    if (isTooSmall && part === 0) return false;
    if (isTooSmall) this.parts.splice(part, 1);
    else this.parts[part].splice(index, 1);
    this.keep();
    return true;
  }

  /** @param {-1 | 1} by */
  step(by) {
    this.parts = this.history.step(by);
  }

  /** @returns {Geometry} */
  geometry() {
    return geometryOf(this.type, this.parts);
  }
}
