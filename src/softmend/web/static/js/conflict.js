// SPDX-License-Identifier: Apache-2.0
/** Two versions of one drawing: both are shown, the person chooses. */
import { partsOf, pathOf } from "./geometry.js";
import { announce } from "./live.js";
import { svg } from "./svg.js";

/**
 * @typedef {import("./drafts.js").Theirs} Theirs
 * @typedef {import("./overlay.js").Overlay} Overlay
 */

const SENTENCE = "Changed elsewhere since you began. Nothing was overwritten: both are shown.";

/**
 * Show the other version dashed on the picture and ask; `choose` gets the answer once.
 * @param {Overlay} overlay
 * @param {HTMLElement | null} place
 * @param {Theirs} theirs
 * @param {(isOurs: boolean) => void} choose
 */
export function askWhichVersion(overlay, place, theirs, choose) {
  const d = pathOf(partsOf(theirs.geometry), theirs.geometry.type);
  const ghost = svg(
    "g",
    { class: "conflict" },
    svg("path", { d, class: "halo", "stroke-width": 7 }),
    svg("path", { d, class: "theirs", "stroke-width": 4 }),
  );
  overlay.world.append(ghost);
  const row = document.createElement("span");
  row.className = "actions";
  const answers = /** @type {[string, boolean][]} */ ([
    ["Keep mine", true],
    ["Take the other", false],
  ]);
  for (const [words, isOurs] of answers) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button-quiet";
    button.textContent = words;
    button.addEventListener("click", () => {
      ghost.remove();
      place?.replaceChildren();
      choose(isOurs);
    });
    row.append(button);
  }
  place?.classList.add("is-unsaved");
  place?.replaceChildren(SENTENCE, row);
  announce(SENTENCE);
}
