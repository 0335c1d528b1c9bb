// SPDX-License-Identifier: Apache-2.0
import { boxOf, distance, edgesOf, nearestOnSegment, partsOf } from "./geometry.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./contract.js").Mark} Mark
 */

/**
 * Return the neighbour's vertex within reach, else the nearest point of an edge, else null.
 * A vertex wins over an edge, so that shared corners are the same to the last digit.
 * @param {Position} p
 * @param {number} reach [image px]
 * @param {Mark[]} neighbours
 * @returns {Position | null}
 */
export function snapped(p, reach, neighbours) {
  /** @type {Position | null} */
  let corner = null;
  /** @type {Position | null} */
  let edge = null;
  let [toCorner, toEdge] = [reach, reach];
  for (const { geometry } of neighbours) {
    const parts = partsOf(geometry);
    if (!isNear(p, reach, parts)) continue;
    for (const part of parts) {
      for (const vertex of part) {
        const away = distance(p, vertex);
        if (away <= toCorner) [corner, toCorner] = [vertex, away];
      }
      for (const [a, b] of edgesOf(part, geometry.type)) {
        const foot = nearestOnSegment(p, a, b);
        const away = distance(p, foot);
        if (away <= toEdge) [edge, toEdge] = [foot, away];
      }
    }
  }
  return corner ?? edge;
}

/**
 * @param {Position} p
 * @param {number} reach
 * @param {Position[][]} parts
 */
function isNear([x, y], reach, parts) {
  const box = boxOf(parts);
  return (
    x >= box.left - reach && x <= box.right + reach && y >= box.top - reach && y <= box.bottom + reach
  );
}
