// SPDX-License-Identifier: Apache-2.0
/** Done: the drawing becomes an entry, or goes to the page's own form. */
import { askWhichVersion } from "./conflict.js";
import { isOf } from "./contract.js";
import { partsOf } from "./geometry.js";
import { refusal, send } from "./http.js";

/**
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./mode.js").Mode} Mode
 * @typedef {import("./viewer.js").Viewer} Viewer
 */

export class Recorder {
  /** @param {Viewer} viewer */
  constructor(viewer) {
    this.viewer = viewer;
  }

  /** @param {Mode} mode */
  async finish(mode) {
    const { viewer } = this;
    const { task } = mode;
    const geometry = mode.sketch.geometry();
    const revision = viewer.drafts.revisionOf(task.draftId);
    viewer.controls.fillGeometry(mode);
    // A region to look in is no mark, and was never kept as a draft.
    if (task.code !== "S") this.show(mode);
    viewer.begins(null);
    viewer.emit(task.markId === null ? "drawn" : "edited", { geometry, revision, ...named(mode) });
    const url = viewer.page.urls.record;
    if (url) await this.record(url, mode);
  }

  /**
   * Show the drawing as a mark that is not yet recorded, or an edited mark as it now is.
   * @param {Mode} mode
   */
  show({ task, sketch }) {
    const { marks } = this.viewer.overlay;
    const geometry = sketch.geometry();
    const others = marks.filter((mark) => !isOf(mark, task));
    const edited = marks.find((mark) => isOf(mark, task));
    /** @type {Mark} */
    const mark = edited
      ? { ...edited, geometry, widths_px: null }
      : {
          mark_id: task.draftId,
          number: null,
          code: task.code ?? "?",
          term: "not yet recorded",
          state: null,
          geometry,
        };
    this.viewer.setMarks([...others, mark]);
  }

  /**
   * @param {string} url
   * @param {Mode} mode
   */
  async record(url, mode) {
    const { viewer } = this;
    const { task } = mode;
    const body = {
      draft_id: task.draftId,
      geometry: mode.sketch.geometry(),
      author_id: viewer.page.author_id,
      based_on: viewer.drafts.revisionOf(task.draftId),
      ...named(mode),
    };
    try {
      this.settle(mode, await send("POST", url, body));
    } catch {
      viewer.drafts.write("Could not record: no answer. It stays a draft; press Done again.", true);
      viewer.resume(task, mode.sketch);
    }
  }

  /**
   * @param {Mode} mode
   * @param {{status: number, body: any}} answer
   */
  settle(mode, answer) {
    const { viewer } = this;
    const { task } = mode;
    if (answer.status === 409 && answer.body?.theirs) {
      const { theirs } = answer.body;
      viewer.resume(task, mode.sketch);
      askWhichVersion(viewer.overlay, viewer.controls.draftStatus, theirs, (isOurs) => {
        viewer.drafts.know(task, theirs.revision);
        if (!isOurs) mode.sketch.parts = partsOf(theirs.geometry);
        mode.sketch.keep();
        viewer.changedUnsaved();
        viewer.handles.draw();
      });
    } else if (answer.status >= 400) {
      viewer.drafts.write(`Not recorded: ${refusal(answer)}`, true);
      viewer.resume(task, mode.sketch);
    } else {
      viewer.drafts.forget(task.draftId);
      const shown = { ...task, markId: task.markId ?? task.draftId };
      const others = viewer.overlay.marks.filter((mark) => !isOf(mark, shown));
      viewer.setMarks([...others, answer.body.mark]);
      viewer.controls.clearGeometry();
      viewer.emit("recorded", answer.body);
    }
  }
}

/** @param {Mode} mode */
function named({ task }) {
  const { tool, code, markId, sighting } = task;
  return { tool, code, mark_id: markId, sighting };
}
