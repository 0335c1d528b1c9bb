// SPDX-License-Identifier: Apache-2.0
/**
 * The pen marks of a bench sheet under the marks of a view, to be traced. They lie in the pixels of
 * the picture itself: the whole of an underlay is the whole of the view, whatever its own size.
 */

const SVG_NAMES = "http://www.w3.org/2000/svg";
const pictured = document.getElementById("viewer");

/**
 * Show an underlay, or take it away.
 * @param {HTMLInputElement} choice
 */
function layUnder(choice) {
  const world = pictured?.querySelector("svg.overlay g.world");
  const id = `underlay-${choice.value}`;
  document.getElementById(id)?.remove();
  if (!world || !choice.checked) return;
  const { width_px, height_px } = JSON.parse(pictured?.dataset.view ?? "{}");
  const image = document.createElementNS(SVG_NAMES, "image");
  for (const [name, value] of Object.entries({
    id,
    href: choice.dataset.underlay ?? "",
    x: "0",
    y: "0",
    width: String(width_px),
    height: String(height_px),
    preserveAspectRatio: "none",
  }))
    image.setAttribute(name, value);
  world.prepend(image);
}

document.addEventListener("change", ({ target }) => {
  if (target instanceof HTMLInputElement && target.dataset.underlay) layUnder(target);
});
