// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** What is tried out on a page of a tint: numbers beside sliders, pictures that follow. */

/** @param {HTMLElement} row  One slider with its number. */
function keepTogether(row) {
  const range = /** @type {HTMLInputElement} */ (row.querySelector("input[type=range]"));
  const typed = /** @type {HTMLInputElement} */ (row.querySelector("input[type=number]"));
  range.addEventListener("input", () => {
    typed.value = range.value;
  });
  typed.addEventListener("input", () => {
    if (typed.validity.valid) range.value = typed.value;
  });
}

const form = document.querySelector("#try");
if (form instanceof HTMLFormElement) {
  for (const row of form.querySelectorAll("[data-slider]")) {
    keepTogether(/** @type {HTMLElement} */ (row));
  }
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => {
    // The fields have their first values only after this event.
    setTimeout(() => form.dispatchEvent(new Event("input", { bubbles: true })), 0);
  });
}

export {};
