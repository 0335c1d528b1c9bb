// SPDX-License-Identifier: Apache-2.0
/**
 * Plain plane geometry in upright image pixels: no DOM, no state.
 *
 * @typedef {[number, number]} Position
 * @typedef {{type: "Point", coordinates: Position}} PointGeometry
 * @typedef {{type: "LineString", coordinates: Position[]}} LineGeometry
 * @typedef {{type: "Polygon", coordinates: Position[][]}} AreaGeometry
 * @typedef {PointGeometry | LineGeometry | AreaGeometry} Geometry
 * @typedef {Geometry["type"]} GeometryType
 * @typedef {{left: number, top: number, right: number, bottom: number}} Box
 */

/**
 * Return the positions of a geometry as lists: one list for a point or line, one a ring.
 * @param {Geometry} geometry
 * @returns {Position[][]}
 */
export function partsOf(geometry) {
  if (geometry.type === "Point") return [[geometry.coordinates]];
  return geometry.type === "LineString" ? [geometry.coordinates] : geometry.coordinates;
}

/**
 * Return the geometry of a type with these parts, positions to 0.01 px; empty parts are left out.
 * @param {GeometryType} type
 * @param {Position[][]} parts
 * @returns {Geometry}
 */
export function geometryOf(type, parts) {
  const drawn = parts.filter((part) => part.length > 0);
  const rounded = drawn.map((part) => part.map(roundedPosition));
  if (type === "Point") return { type, coordinates: rounded[0][0] };
  if (type === "LineString") return { type, coordinates: rounded[0] };
  return { type, coordinates: rounded };
}

/**
 * Return a position to 0.01 px.
 * @param {Position} position
 * @returns {Position}
 */
export function roundedPosition([x, y]) {
  return [Math.round(x * 100) / 100, Math.round(y * 100) / 100];
}

/**
 * @param {Position} a
 * @param {Position} b
 */
export function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/**
 * Return the point of the segment a-b nearest to p.
 * @param {Position} p
 * @param {Position} a
 * @param {Position} b
 * @returns {Position}
 */
export function nearestOnSegment(p, a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const square = dx * dx + dy * dy;
  if (square === 0) return a;
  const along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square;
  const t = Math.min(1, Math.max(0, along));
  return [a[0] + t * dx, a[1] + t * dy];
}

/**
 * Return the edges of a part, the closing one included for a ring.
 * @param {Position[]} part
 * @param {GeometryType} type
 * @returns {[Position, Position][]}
 */
export function edgesOf(part, type) {
  /** @type {[Position, Position][]} */
  const edges = part.slice(1).map((end, i) => [part[i], end]);
  if (type === "Polygon" && part.length > 2) edges.push([part[part.length - 1], part[0]]);
  return edges;
}

/**
 * Whether a point lies in an area and in none of its holes (even-odd rule).
 * @param {Position[][]} rings
 * @param {Position} p
 */
export function isInside(rings, p) {
  let inside = false;
  for (const ring of rings) {
    for (const [a, b] of edgesOf(ring, "Polygon")) {
      const crosses = a[1] > p[1] !== b[1] > p[1];
      if (crosses && p[0] < a[0] + ((p[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) {
        inside = !inside;
      }
    }
  }
  return inside;
}

/**
 * Whether two edges of a ring cross. Edges that only touch at a shared corner do not.
 * @param {Position[]} ring
 */
export function crossesItself(ring) {
  const edges = edgesOf(ring, "Polygon");
  return edges.some(([a, b], i) =>
    edges.slice(i + 1).some(([c, d]) => {
      const isApart = turn(a, b, c) * turn(a, b, d) < 0;
      return isApart && turn(c, d, a) * turn(c, d, b) < 0;
    }),
  );
}

/**
 * Return on which side of the line a-b the point c lies, as a signed area.
 * @param {Position} a
 * @param {Position} b
 * @param {Position} c
 */
function turn(a, b, c) {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

/**
 * Return how far a point is from a geometry, 0 inside an area.
 * @param {Geometry} geometry
 * @param {Position} p
 */
export function distanceTo(geometry, p) {
  if (geometry.type === "Point") return distance(geometry.coordinates, p);
  if (geometry.type === "Polygon" && isInside(geometry.coordinates, p)) return 0;
  let least = Infinity;
  for (const part of partsOf(geometry)) {
    if (part.length === 1) least = Math.min(least, distance(part[0], p));
    for (const [a, b] of edgesOf(part, geometry.type)) {
      least = Math.min(least, distance(p, nearestOnSegment(p, a, b)));
    }
  }
  return least;
}

/**
 * Return the box around all positions.
 * @param {Position[][]} parts
 * @returns {Box}
 */
export function boxOf(parts) {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  for (const [x, y] of parts.flat()) {
    box.left = Math.min(box.left, x);
    box.right = Math.max(box.right, x);
    box.top = Math.min(box.top, y);
    box.bottom = Math.max(box.bottom, y);
  }
  return box;
}

/**
 * Return the point of a line at a fraction (0 to 1) of its length.
 * @param {Position[]} line
 * @param {number} fraction
 * @returns {Position}
 */
export function pointAlong(line, fraction) {
  const edges = edgesOf(line, "LineString");
  let left = fraction * edges.reduce((sum, [a, b]) => sum + distance(a, b), 0);
  for (const [a, b] of edges) {
    const length = distance(a, b);
    if (length > 0 && left <= length) {
      return [a[0] + ((b[0] - a[0]) * left) / length, a[1] + ((b[1] - a[1]) * left) / length];
    }
    left -= length;
  }
  return line[line.length - 1];
}

/**
 * Return the SVG path of a geometry's parts.
 * @param {Position[][]} parts
 * @param {GeometryType} type
 */
export function pathOf(parts, type) {
  const close = type === "Polygon" ? "Z" : "";
  return parts
    .filter((part) => part.length > 0)
    .map((part) => `M${part.map(([x, y]) => `${x},${y}`).join("L")}${close}`)
    .join("");
}

/**
 * Return the outline of a line whose width is known at each vertex, as one ring.
 * The offset at a vertex stands across the mean direction of its two edges.
 * @param {Position[]} line
 * @param {number[]} widths one a vertex [px]
 * @returns {Position[]}
 */
export function ribbon(line, widths) {
  /** @type {Position[]} */
  const left = [];
  /** @type {Position[]} */
  const right = [];
  line.forEach((at, i) => {
    const before = line[Math.max(0, i - 1)];
    const after = line[Math.min(line.length - 1, i + 1)];
    const length = distance(before, after) || 1;
    const half = (widths[i] ?? 0) / 2 / length;
    const [nx, ny] = [(before[1] - after[1]) * half, (after[0] - before[0]) * half];
    left.push([at[0] + nx, at[1] + ny]);
    right.unshift([at[0] - nx, at[1] - ny]);
  });
  return [...left, ...right];
}
