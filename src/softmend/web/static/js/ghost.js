// SPDX-License-Identifier: Apache-2.0
/** A trial shot under the ghost of the earlier view; the shot never leaves this browser. */

const file = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-ghost-file]"));
const trial = /** @type {HTMLImageElement | null} */ (document.querySelector("[data-ghost-new]"));
const ghost = /** @type {HTMLImageElement | null} */ (document.querySelector("[data-ghost-old]"));
const strength = /** @type {HTMLInputElement | null} */ (
  document.querySelector("[data-ghost-strength]")
);

function show() {
  if (!ghost || !strength || !trial) return;
  ghost.style.opacity = trial.hidden ? "1" : String(Number(strength.value) / 100);
}

file?.addEventListener("change", () => {
  const [chosen] = file.files ?? [];
  if (!chosen || !trial) return;
  URL.revokeObjectURL(trial.src);
  trial.src = URL.createObjectURL(chosen);
  trial.alt = chosen.name;
  trial.hidden = false;
  show();
});
strength?.addEventListener("input", show);
