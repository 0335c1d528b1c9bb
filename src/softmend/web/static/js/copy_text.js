// SPDX-License-Identifier: Apache-2.0
/** "Copy as text": a section of the report on the clipboard; where that is refused, it is selected. */

document.addEventListener("click", async ({ target }) => {
  const button = target instanceof Element ? target.closest("[data-copy]") : null;
  if (!(button instanceof HTMLElement)) return;
  const id = button.dataset.copy ?? "";
  const text = document.getElementById(id);
  const said = document.querySelector(`[data-copied="${id}"]`);
  if (!text || !said) return;
  try {
    await navigator.clipboard.writeText(text.textContent ?? "");
    said.textContent = "copied";
  } catch {
    getSelection()?.selectAllChildren(text);
    said.textContent = "selected: copy it with the keyboard";
  }
});
