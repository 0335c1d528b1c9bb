// SPDX-License-Identifier: Apache-2.0
/** The list of marks beside the picture: one stop of the Tab key, arrows within, Enter zooms. */

/**
 * @typedef {object} Choice
 * @property {(markId: string) => void} select
 * @property {(markId: string) => void} zoom
 */

export class MarkList {
  /**
   * @param {Choice} choice
   * @param {Document} page
   */
  constructor(choice, page = document) {
    this.page = page;
    /** @type {string | null} */
    this.selected = null;
    // The list is swapped by the server's answers, so we listen above it.
    page.addEventListener("click", (event) => {
      const row = rowAt(event.target);
      if (row) choice.select(row.dataset.mark ?? "");
    });
    page.addEventListener("keydown", (event) => {
      const row = rowAt(event.target);
      if (!row) return;
      if (event.key === "Enter") choice.zoom(row.dataset.mark ?? "");
      else if (!this.move(row, event.key, choice)) return;
      event.preventDefault();
    });
    this.show(null);
  }

  /** @returns {HTMLElement[]} */
  get rows() {
    return [...this.page.querySelectorAll("[data-marks] [data-mark]")].filter(
      (row) => row instanceof HTMLElement,
    );
  }

  /**
   * Show which mark is selected, and make it the list's Tab stop.
   * @param {string | null} markId
   */
  show(markId) {
    this.selected = markId;
    const { rows } = this;
    const at = Math.max(0, rows.findIndex((row) => row.dataset.mark === markId));
    rows.forEach((row, i) => {
      row.tabIndex = i === at ? 0 : -1;
      if (row.dataset.mark === markId) row.setAttribute("aria-current", "true");
      else row.removeAttribute("aria-current");
    });
    if (markId !== null) rows[at]?.scrollIntoView({ block: "nearest" });
  }

  /**
   * @param {HTMLElement} from
   * @param {string} key
   * @param {Choice} choice
   * @returns {boolean} whether the key was ours
   */
  move(from, key, choice) {
    const { rows } = this;
    const at = rows.indexOf(from);
    /** @type {Record<string, number>} */
    const goals = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: rows.length - 1 };
    const row = rows[goals[key] ?? -1];
    if (!row) return key in goals;
    row.focus();
    choice.select(row.dataset.mark ?? "");
    return true;
  }
}

/**
 * @param {EventTarget | null} target
 * @returns {HTMLElement | null}
 */
function rowAt(target) {
  if (!(target instanceof Element)) return null;
  return target.closest("[data-marks] [data-mark]");
}
