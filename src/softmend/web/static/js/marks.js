// SPDX-License-Identifier: Apache-2.0
/** One mark drawn: white halo, dark core, the legend's hatch and colour. */
import { partsOf, pathOf, ribbon } from "./geometry.js";
import { DASHES, patternId, symbolOf } from "./hatch.js";
import { svg } from "./svg.js";

/**
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./contract.js").LegendEntry} LegendEntry
 */

/** How a code is drawn that the legend does not name. */
export const UNKNOWN_ENTRY = { code: "?", pattern: "solid", colour: "#596168", width: 2 };

/**
 * Return a mark in image pixels; stroke widths stay those of the screen.
 * @param {Mark} mark
 * @param {LegendEntry} entry
 * @returns {SVGGElement}
 */
export function drawnMark(mark, entry) {
  const group = svg("g", { "data-mark-shape": mark.mark_id });
  if (mark.number === null) group.classList.add("is-draft");
  if (mark.geometry.type === "Point") return group;
  const d = pathOf(partsOf(mark.geometry), mark.geometry.type);
  if (mark.geometry.type === "LineString") group.append(...drawnLine(mark, entry, d));
  else group.append(...drawnArea(entry, d));
  return group;
}

/**
 * @param {Mark} mark
 * @param {LegendEntry} entry
 * @param {string} d
 */
function drawnLine(mark, entry, d) {
  const [line] = partsOf(mark.geometry);
  const widths = mark.widths_px;
  if (widths && widths.length === line.length) {
    const outline = pathOf([ribbon(line, widths)], "Polygon");
    return [
      svg("path", { d: outline, class: "halo", "stroke-width": 5 }),
      svg("path", { d: outline, class: "core", "stroke-width": 1.5 }),
      svg("path", { d: outline, class: "measured", fill: entry.colour }),
    ];
  }
  const width = entry.width;
  const isDouble = entry.pattern === "double";
  /** @type {Record<string, string>} */
  const dash = DASHES[entry.pattern] ? { "stroke-dasharray": DASHES[entry.pattern] } : {};
  const outer = isDouble ? width * 2 + 4 : width + 2;
  const core = {
    d,
    class: "stroke",
    stroke: entry.colour,
    "stroke-width": isDouble ? outer - 2 : width,
    ...dash,
  };
  return [
    svg("path", { d, class: "halo", "stroke-width": outer + 3 }),
    svg("path", { d, class: "core", "stroke-width": outer, ...dash }),
    svg("path", core),
    ...(isDouble ? [svg("path", { d, class: "halo", "stroke-width": 2.5 })] : []),
  ];
}

/**
 * @param {LegendEntry} entry
 * @param {string} d
 */
function drawnArea(entry, d) {
  const hatch = { d, class: "hatched", fill: `url(#${patternId(entry.code)})` };
  return [
    svg("path", { ...hatch, "fill-rule": "evenodd" }),
    svg("path", { d, class: "halo", "stroke-width": entry.width + 5 }),
    svg("path", { d, class: "core", "stroke-width": entry.width + 2 }),
    svg("path", { d, class: "stroke", stroke: entry.colour, "stroke-width": entry.width }),
  ];
}

/**
 * Return the symbol of a point mark, about 0,0 in screen pixels.
 * @param {Mark} mark
 * @param {LegendEntry} entry
 * @returns {SVGGElement}
 */
export function drawnSymbol(mark, entry) {
  const d = symbolOf(entry.pattern);
  return svg(
    "g",
    { "data-mark-shape": mark.mark_id, class: mark.number === null ? "is-draft" : "" },
    svg("path", { d, class: "halo", "stroke-width": 6.5 }),
    svg("path", { d, class: "core", "stroke-width": 4 }),
    svg("path", { d, class: "stroke", stroke: entry.colour, "stroke-width": 2 }),
  );
}
