// SPDX-License-Identifier: Apache-2.0
/**
 * What a page gives the viewer, as types; docs/viewer.md says it in words.
 *
 * @typedef {import("./geometry.js").Geometry} Geometry
 * @typedef {import("./geometry.js").Position} Position
 *
 * @typedef {object} Mark one sighting of a mark on this view
 * @property {string} mark_id
 * @property {number | null} number null: not yet recorded
 * @property {string} code
 * @property {string} term
 * @property {string | null} state null: no sign (a fill, an old number)
 * @property {Geometry} geometry
 * @property {string} [label]
 * @property {number[] | null} [widths_px]
 * @property {number} [sighting] which drawing of the mark on this view, from 0
 * @property {string} [entry_id] the entry that the page showed; a draft names it as its ground
 *
 * @typedef {{code: string, pattern: string, colour: string, width: number}} LegendEntry
 *
 * @typedef {object} Draft
 * @property {string | null} mark_id null: a new mark
 * @property {string} [draft_id] made by the page that began it; the mark's id for an edit
 * @property {string} tool
 * @property {string | null} code
 * @property {number} [sighting]
 * @property {Geometry} geometry may be unfinished: a line of one position, a ring of two
 * @property {number | string | null} revision
 * @property {string} [saved_at]
 *
 * @typedef {{px_per_mm: number, relative_expanded: number, text?: string}} PictureScale
 * @typedef {{draft?: string | null, measure?: string | null, record?: string | null,
 *   trace?: string | null}} Urls
 *
 * @typedef {object} Page
 * @property {string} view_id
 * @property {number} width_px
 * @property {number} height_px
 * @property {string} name
 * @property {string} tile_url
 * @property {number} [tile_size]
 * @property {number} [tile_overlap]
 * @property {PictureScale | null} scale
 * @property {Position[][][]} [shaded]
 * @property {Mark[]} marks
 * @property {LegendEntry[]} legend
 * @property {Draft[]} [drafts]
 * @property {Urls} urls
 * @property {string | null} author_id
 */

/** The sign of a state, shown beside the number and never part of the code. */
const STATE_SIGNS = new Map([
  ["not known", "?"],
  ["no change shown", "="],
  ["grown", "↔"],
  ["breathes with RH", "~"],
]);

/**
 * Return the page's JSON.
 * @param {HTMLElement} element
 * @returns {Page}
 */
export function readPage(element) {
  return JSON.parse(element.dataset.view ?? "{}");
}

/**
 * Whether a mark on the picture is the drawing that a task is about.
 * @param {Mark} mark
 * @param {{markId: string | null, sighting: number}} task
 */
export function isOf(mark, task) {
  return mark.mark_id === task.markId && (mark.sighting ?? 0) === task.sighting;
}

/**
 * Return the sign that stands beside a mark's number.
 * @param {string | null} state
 */
export function stateSign(state) {
  return STATE_SIGNS.get(state ?? "") ?? "";
}

/**
 * Return a mark's number as shown: "7", or "·" while it is not yet recorded.
 * @param {Mark} mark
 */
export function shownNumber(mark) {
  return mark.number === null ? "·" : String(mark.number);
}
