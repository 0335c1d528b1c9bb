// SPDX-License-Identifier: Apache-2.0
/** Messages for those who hear the page. */

/** @type {HTMLElement | null} */
let region = null;

/**
 * Say a sentence politely; the same sentence twice is said twice.
 * @param {string} sentence
 */
export function announce(sentence) {
  if (region === null) {
    region = document.createElement("p");
    region.className = "visually-hidden";
    region.setAttribute("role", "status");
    document.body.append(region);
  }
  const said = region.textContent === sentence ? `${sentence}\u00a0` : sentence;
  region.textContent = said;
}
