// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** The page of a photograph's colours: what was clicked on the picture goes into its form. */

const viewer = document.getElementById("viewer");
const corners = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-corners]"));
const state = document.querySelector("[data-corners-state]");
const list = document.querySelector("[data-places]");
const pattern = /** @type {HTMLTemplateElement | null} */ (
  document.querySelector("[data-place-pattern]")
);
let count = 0;

/** @param {[number, number][]} outline  A place of the object that was clicked. */
function addPlace(outline) {
  const made = pattern?.content.firstElementChild?.cloneNode(true);
  if (!(made instanceof HTMLElement)) return;
  count += 1;
  const name = /** @type {HTMLInputElement} */ (made.querySelector("[name=place_name]"));
  const points = /** @type {HTMLInputElement} */ (made.querySelector("[name=place_outline]"));
  name.value = `${name.value} ${count}`;
  points.value = JSON.stringify(outline);
  made.querySelector("button")?.addEventListener("click", () => made.remove());
  list?.append(made);
  name.focus();
  name.select();
}

viewer?.addEventListener("softmend:scale", (event) => {
  const { method, corners: clicked, outline } = /** @type {CustomEvent} */ (event).detail;
  if (method === "chart" && corners && state) {
    corners.value = JSON.stringify(clicked);
    state.textContent = state.getAttribute("data-set");
  } else if (method === "place") addPlace(outline);
});

/** The buttons below the picture bring it back into sight. */
for (const button of document.querySelectorAll("#colour-form [data-tool]")) {
  button.addEventListener("click", () => viewer?.scrollIntoView({ block: "center" }));
}

export {};
