// SPDX-License-Identifier: Apache-2.0
// A test of the eyes by the arrow keys: left for the left field, right for the right one.

const KEYS = { ArrowLeft: "l", ArrowRight: "r" };

document.addEventListener("keydown", (event) => {
  const said = KEYS[/** @type {keyof typeof KEYS} */ (event.key)];
  const form = document.querySelector("[data-eyes]");
  if (!said || !form || event.repeat) return;
  event.preventDefault();
  /** @type {HTMLButtonElement | null} */ (form.querySelector(`button[value="${said}"]`))?.click();
});
