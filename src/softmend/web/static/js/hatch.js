// SPDX-License-Identifier: Apache-2.0
/** The legend's patterns as SVG: each stroke has a light casing, so it shows on any picture. */
import { svg } from "./svg.js";

/** @typedef {import("./contract.js").LegendEntry} LegendEntry */

/** Area patterns: size of the tile [screen px], path, stroke width. A "h0" is a round dot. */
/** @type {Record<string, {size: number, d: string, width: number}>} */
const AREAS = {
  diagonal: { size: 12, d: "M-3,3L3,-3M0,12L12,0M9,15L15,9", width: 1.8 },
  "diagonal-back": { size: 12, d: "M-3,9L3,15M0,0L12,12M9,-3L15,3", width: 1.8 },
  "diagonal-back-dense": { size: 7, d: "M-2,5L2,9M0,0L7,7M5,-2L9,2", width: 1.4 },
  "cross-hatch": { size: 12, d: "M0,0L12,12M0,12L12,0", width: 1.5 },
  horizontal: { size: 9, d: "M0,4.5H9", width: 1.8 },
  wavy: { size: 16, d: "M-4,8q2,5 4,0q4,-10 8,0t8,0q2,-5 4,0", width: 1.8 },
  triangles: { size: 18, d: "M9,4.5L13,12H5Z", width: 1.8 },
  dots: { size: 9, d: "M4.5,4.5h0", width: 3 },
  stipple: { size: 20, d: "M4,5h0M14,9h0M7,15h0", width: 2.6 },
  circles: { size: 17, d: "M4.5,8.5a4,4 0 1 0 8,0a4,4 0 1 0 -8,0", width: 1.6 },
  grid: { size: 11, d: "M0,5.5H11M5.5,0V11", width: 1.5 },
  dashes: { size: 16, d: "M1,4h6M9,12h6", width: 2 },
  vertical: { size: 9, d: "M4.5,0V9", width: 1.8 },
  plus: { size: 16, d: "M8,4.5v7M4.5,8h7", width: 1.8 },
  squares: { size: 17, d: "M5,5h7v7h-7Z", width: 1.6 },
  question: { size: 22, d: "M7,8q0,-4 4,-4q4,0 4,3.5q0,2.5 -4,4.5v2M11,18h0", width: 2 },
  empty: { size: 20, d: "", width: 0 },
};

/** Dashes of line patterns [screen px]. */
/** @type {Record<string, string>} */
export const DASHES = { "dash-dot": "11 6 1 6", chain: "16 6 5 6", dotted: "2.5 5" };

/**
 * Return the pattern element of a legend entry, or null for an unhatched one.
 * @param {LegendEntry} entry
 * @returns {SVGPatternElement | null}
 */
export function patternOf(entry) {
  const area = AREAS[entry.pattern];
  if (area === undefined || area.d === "") return null;
  const strokes = { fill: "none", "stroke-linecap": "round", "stroke-linejoin": "round" };
  const casing = { d: area.d, class: "halo", "stroke-width": area.width + 2.2, ...strokes };
  const core = { d: area.d, stroke: entry.colour, "stroke-width": area.width, ...strokes };
  return svg(
    "pattern",
    {
      id: patternId(entry.code),
      patternUnits: "userSpaceOnUse",
      width: area.size,
      height: area.size,
    },
    svg("path", casing),
    svg("path", core),
  );
}

/**
 * Return the id of a code's pattern.
 * @param {string} code
 */
export function patternId(code) {
  return `hatch-${[...code].map((sign) => (/\w/.test(sign) ? sign : sign.charCodeAt(0))).join("")}`;
}

/** Symbols of point marks, drawn about 0,0 in screen px. */
/** @type {Record<string, string>} */
const SYMBOLS = {
  square: "M-7,-7H7V7H-7Z",
  cross: "M-7,-7L7,7M-7,7L7,-7",
  number: "M-15,0a15,15 0 1 0 30,0a15,15 0 1 0 -30,0",
};

/**
 * Return the path of a point mark's symbol; a ring when the legend names none.
 * @param {string} pattern
 */
export function symbolOf(pattern) {
  return SYMBOLS[pattern] ?? "M-6,0a6,6 0 1 0 12,0a6,6 0 1 0 -12,0";
}
