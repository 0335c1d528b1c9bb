// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** The timer of a log entry: its start is kept by the browser, so a reload or a crash loses nothing. */

/**
 * @param {HTMLElement} place  The element that holds the buttons and knows the dossier.
 */
function runTimer(place) {
  const key = `softmend-timer-${place.dataset.timer}`;
  const start = /** @type {HTMLButtonElement} */ (place.querySelector("[data-timer-start]"));
  const stop = /** @type {HTMLButtonElement} */ (place.querySelector("[data-timer-stop]"));
  const shown = /** @type {HTMLElement} */ (place.querySelector("[data-timer-shown]"));
  const minutes = /** @type {HTMLInputElement} */ (place.querySelector("[data-minutes]"));

  /** @returns {number} Minutes since the start; a started timer counts at least one. */
  function elapsed() {
    return Math.max(1, Math.round((Date.now() - Number(localStorage.getItem(key))) / 60_000));
  }

  function show() {
    const runs = localStorage.getItem(key) !== null;
    start.hidden = runs;
    stop.hidden = !runs;
    shown.textContent = runs ? `${elapsed()} min` : "";
  }

  function fill() {
    minutes.value = String(elapsed());
    for (const chip of place.querySelectorAll("input[type=radio]")) {
      /** @type {HTMLInputElement} */ (chip).checked = false;
    }
    localStorage.removeItem(key);
    show();
  }

  start.addEventListener("click", () => {
    localStorage.setItem(key, String(Date.now()));
    show();
  });
  stop.addEventListener("click", fill);
  // A chip and a typed number are two answers to one question: the last one touched counts.
  place.addEventListener("change", (event) => {
    const touched = /** @type {HTMLInputElement} */ (event.target);
    if (touched.type === "radio") minutes.value = "";
  });
  show();
  setInterval(show, 15_000);
}

for (const place of document.querySelectorAll("[data-timer]")) {
  runTimer(/** @type {HTMLElement} */ (place));
}
