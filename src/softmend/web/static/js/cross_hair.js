// SPDX-License-Identifier: Apache-2.0
import { svg } from "./svg.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./overlay.js").Overlay} Overlay
 */

const SHAPE = "M-18,0H-5M5,0H18M0,-18V-5M0,5V18";
export const STEP = 10;
export const FINE_STEP = 1;
/** @type {Record<string, [number, number]>} */
export const ARROWS = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** The keyboard's pointer: kept in image pixels, so it stays on its spot while the picture moves. */
export class CrossHair {
  /** @param {Overlay} overlay */
  constructor(overlay) {
    this.overlay = overlay;
    /** @type {Position | null} */
    this.at = null;
    this.element = svg(
      "g",
      { class: "cross-hair", visibility: "hidden" },
      svg("path", { class: "halo", d: SHAPE }),
      svg("path", { class: "core", d: SHAPE }),
    );
    this.ring = svg("circle", { class: "snapped", r: 11, visibility: "hidden" });
    /** @type {Position | null} */
    this.held = null;
    overlay.root.append(this.ring, this.element);
  }

  /** The place, in the middle of the picture when there was none yet. @returns {Position} */
  get place() {
    const { width, height } = this.overlay.frame;
    return this.at ?? this.overlay.unproject([width / 2, height / 2]);
  }

  /** @param {Position | null} at */
  put(at) {
    this.at = at;
    this.follow();
  }

  /**
   * Move by screen pixels and return the new place.
   * @param {number} dx
   * @param {number} dy
   * @returns {Position}
   */
  moveBy(dx, dy) {
    const [x, y] = this.overlay.project(this.place);
    const { width_px, height_px } = this.overlay.page;
    const [u, v] = this.overlay.unproject([x + dx, y + dy]);
    this.put([Math.min(width_px, Math.max(0, u)), Math.min(height_px, Math.max(0, v))]);
    return this.place;
  }

  /** Show where a neighbour holds the pointer. @param {Position | null} at */
  hold(at) {
    this.held = at;
    this.follow();
  }

  follow() {
    this.stand(this.element, this.at);
    this.stand(this.ring, this.held);
  }

  /**
   * @param {SVGElement} element
   * @param {Position | null} at
   */
  stand(element, at) {
    element.setAttribute("visibility", at === null ? "hidden" : "visible");
    if (at === null) return;
    element.setAttribute("transform", `translate(${this.overlay.project(at).join(" ")})`);
  }
}
