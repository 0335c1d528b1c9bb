// SPDX-License-Identifier: Apache-2.0
import { svg } from "./svg.js";

/** @typedef {import("./contract.js").PictureScale} PictureScale */

const WIDEST = 180;
const HEIGHT = 9;

/** A bar of a round length at the foot of the picture, with the scale's k = 2 uncertainty. */
export class ScaleBar {
  /** @param {PictureScale | null} scale */
  constructor(scale) {
    this.scale = scale;
    this.dark = svg("rect", { height: HEIGHT, class: "scale-dark" });
    this.light = svg("rect", { height: HEIGHT, class: "scale-light" });
    this.text = svg("text", { y: -8 });
    this.element = svg("g", { class: "scale-bar" }, this.dark, this.light, this.text);
    if (scale === null) this.element.setAttribute("visibility", "hidden");
  }

  /**
   * @param {number} zoom screen px per image px
   * @param {number} foot where the bar stands, from the picture's top [screen px]
   */
  follow(zoom, foot) {
    if (this.scale === null) return;
    const pxPerMm = this.scale.px_per_mm * zoom;
    const length = roundLength(WIDEST / pxPerMm);
    const half = (length * pxPerMm) / 2;
    this.dark.setAttribute("width", String(half));
    this.light.setAttribute("x", String(half));
    this.light.setAttribute("width", String(half));
    this.text.textContent = barText(length, length * this.scale.relative_expanded);
    this.element.setAttribute("transform", `translate(20 ${foot})`);
  }
}

/**
 * Return the largest 1, 2 or 5 times a power of ten that is at most `most`.
 * @param {number} most
 */
function roundLength(most) {
  const ten = 10 ** Math.floor(Math.log10(most));
  return [5, 2, 1].map((digit) => digit * ten).find((length) => length <= most) ?? ten;
}

/**
 * Return "20 ± 0.4 mm": the uncertainty to one digit, the length to the same place.
 * @param {number} length [mm]
 * @param {number} expanded [mm]
 */
export function barText(length, expanded) {
  if (expanded <= 0) return `${length} mm`;
  const places = Math.max(0, -Math.floor(Math.log10(expanded)));
  return `${length.toFixed(places)} ± ${expanded.toFixed(places)} mm`;
}
