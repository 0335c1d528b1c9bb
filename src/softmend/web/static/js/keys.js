// SPDX-License-Identifier: Apache-2.0
/** The keys of the picture; docs/viewer.md lists them. */
import { ARROWS } from "./cross_hair.js";
import { panBy, zoomBy } from "./picture.js";

/** @typedef {import("./viewer.js").Viewer} Viewer */

const PAN = 80;

/**
 * @param {Viewer} viewer
 * @param {KeyboardEvent} event
 */
export function takeKeys(viewer, event) {
  const isTaken =
    commandKey(viewer, event) ||
    (viewer.mode !== null && !event.ctrlKey && !event.metaKey && viewer.mode.key(event)) ||
    lookKey(viewer, event);
  if (!isTaken) return;
  event.preventDefault();
  event.stopPropagation();
}

/**
 * Undo, redo, cancel.
 * @param {Viewer} viewer
 * @param {KeyboardEvent} event
 */
function commandKey(viewer, event) {
  const key = event.key.toLowerCase();
  const isControl = event.ctrlKey || event.metaKey;
  if (isControl && (key === "y" || (key === "z" && event.shiftKey))) {
    viewer.step(1);
    return true;
  }
  if (isControl && key === "z") {
    viewer.step(-1);
    return true;
  }
  if (event.key !== "Escape") return false;
  if (viewer.mode === null) viewer.select(null);
  else viewer.cancel();
  return true;
}

/**
 * Move and zoom the picture.
 * @param {Viewer} viewer
 * @param {KeyboardEvent} event
 */
function lookKey(viewer, event) {
  const arrow = ARROWS[event.key];
  if (arrow) {
    panBy(viewer.picture, arrow[0] * PAN, arrow[1] * PAN);
    return true;
  }
  if (event.ctrlKey || event.metaKey) return false;
  if (event.key === "+" || event.key === "=") zoomBy(viewer.picture, 1.3);
  else if (event.key === "-") zoomBy(viewer.picture, 1 / 1.3);
  else if (event.key === "0") viewer.picture.viewport.goHome();
  else return false;
  return true;
}
