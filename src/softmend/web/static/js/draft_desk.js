// SPDX-License-Identifier: Apache-2.0
/** Drafts on the picture: taken up again on loading, shown while they wait, settled when two differ. */
import { askWhichVersion } from "./conflict.js";
import { partsOf } from "./geometry.js";
import { announce } from "./live.js";
import { Sketch } from "./sketch.js";

/**
 * @typedef {import("./contract.js").Draft} Draft
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./drafts.js").Theirs} Theirs
 * @typedef {import("./viewer.js").Viewer} Viewer
 */

/**
 * Return a waiting draft as a mark without a number.
 * @param {Draft} draft
 * @returns {Mark}
 */
export function asMark({ geometry, code, mark_id: markId, draft_id: draftId }) {
  const id = markId ?? draftId ?? crypto.randomUUID();
  const shown = { number: null, term: "not yet recorded", state: null };
  return { mark_id: `draft-${id}`, code: code ?? "?", geometry, ...shown };
}

/**
 * Take a draft in hand where it was left.
 * @param {Viewer} viewer
 * @param {Draft} draft
 */
export function takeUp(viewer, draft) {
  const { tool, code, mark_id: markId, sighting = 0 } = draft;
  const draftId = draft.draft_id ?? markId ?? crypto.randomUUID();
  const task = { tool, code, markId, sighting, draftId };
  viewer.drafts.know(task, draft.revision);
  viewer.resume(task, Sketch.of(draft.geometry));
  viewer.drafts.write("Not yet recorded. This draft was kept from before.");
  announce("A draft was kept from before. It is in hand.");
}

/**
 * Two pages changed one draft: show both, let the person choose.
 * @param {Viewer} viewer
 * @param {string} draftId
 * @param {Theirs} theirs
 */
export function showBoth(viewer, draftId, theirs) {
  askWhichVersion(viewer.overlay, viewer.controls.draftStatus, theirs, (isOurs) => {
    if (isOurs) {
      viewer.drafts.keepOurs(draftId, theirs);
      return;
    }
    viewer.drafts.takeTheirs(draftId, theirs);
    if (viewer.mode === null || viewer.mode.task.draftId !== draftId) return;
    viewer.mode.sketch.parts = partsOf(theirs.geometry);
    viewer.mode.sketch.keep();
    viewer.handles.draw();
    viewer.changedUnsaved();
  });
}
