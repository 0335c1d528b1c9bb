// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** Taps instead of typing: a place on a photograph, a bottle of the shelf. */

/**
 * @param {SVGSVGElement} picture
 * @param {PointerEvent | MouseEvent} event
 * @returns {DOMPoint | null}  The tapped place in pixels of the view.
 */
function placeOf(picture, event) {
  const seen = picture.getScreenCTM();
  return seen ? new DOMPoint(event.clientX, event.clientY).matrixTransform(seen.inverse()) : null;
}

/**
 * @param {SVGSVGElement} picture
 * @param {number} turn
 * @param {DOMPoint} at
 */
function show(picture, turn, at) {
  const named = `[data-tapped="${turn}"]`;
  const known = picture.querySelector(named);
  const ring = known ?? document.createElementNS("http://www.w3.org/2000/svg", "circle");
  const wide = picture.viewBox.baseVal.width;
  ring.setAttribute("data-tapped", String(turn));
  ring.setAttribute("cx", String(at.x));
  ring.setAttribute("cy", String(at.y));
  ring.setAttribute("r", String(wide / 90));
  ring.setAttribute("stroke-width", String(wide / 260));
  if (!known) picture.append(ring);
}

/** @param {HTMLElement} place  The frame of one photograph, with the names of its fields. */
function listen(place) {
  const picture = place.querySelector("svg");
  const form = document.getElementById(place.dataset.form ?? "");
  const names = (place.dataset.place ?? "").split(",");
  if (!(picture instanceof SVGSVGElement) || !(form instanceof HTMLFormElement)) return;
  let turn = 0;
  picture.addEventListener("click", (event) => {
    const at = placeOf(picture, event);
    if (!at) return;
    const pair = names.slice(2 * turn, 2 * turn + 2);
    [at.x, at.y].forEach((value, index) => {
      const field = form.elements.namedItem(pair[index]);
      if (field instanceof HTMLInputElement) field.value = value.toFixed(1);
    });
    show(picture, turn, at);
    turn = (turn + 1) % (names.length / 2);
  });
}

for (const place of document.querySelectorAll("[data-place]")) {
  listen(/** @type {HTMLElement} */ (place));
}

// A bottle of the shelf is tapped instead of typed: hands wear gloves.
for (const button of document.querySelectorAll("[data-fill]")) {
  button.addEventListener("click", () => {
    const field = button.closest("form")?.querySelector("[name=solvent]");
    if (field instanceof HTMLInputElement) field.value = button.getAttribute("data-fill") ?? "";
  });
}

export {};
