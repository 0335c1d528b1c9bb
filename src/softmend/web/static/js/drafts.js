// SPDX-License-Identifier: Apache-2.0
/** Every gesture is kept as a draft at once, outside the record, until it is done or left. */
import { refusal, send } from "./http.js";

/**
 * @typedef {import("./contract.js").Page} Page
 * @typedef {import("./geometry.js").Geometry} Geometry
 * @typedef {import("./mode.js").Task} Task
 * @typedef {{geometry: Geometry, revision: number | string, saved_at?: string}} Theirs
 *
 * @typedef {object} Kept one draft as this page knows it
 * @property {Task} task
 * @property {number | string | null} revision the last one this page saw
 * @property {Geometry | null} waiting newest geometry that the server has not got
 * @property {boolean} isBusy
 * @property {boolean} isStopped a conflict waits for the person
 * @property {boolean} isLetGo recorded or let go: an answer that comes late changes nothing
 * @property {Promise<void>} sending the newest saving, ended or on its way
 * @property {number} tries
 * @property {number} timer
 */

const LONGEST_WAIT_S = 30;

export class Drafts {
  /**
   * @param {Page} page
   * @param {HTMLElement | null} status
   * @param {(draftId: string, theirs: Theirs) => void} onConflict
   */
  constructor(page, status, onConflict) {
    this.page = page;
    this.status = status;
    this.onConflict = onConflict;
    /** @type {Map<string, Kept>} */
    this.kept = new Map();
    /** @type {Map<string, Promise<void>>} drafts on their way out, by their ids */
    this.leaving = new Map();
    window.addEventListener("online", () => this.retry());
    window.addEventListener("beforeunload", (event) => {
      if (this.hasUnsaved) event.preventDefault();
    });
  }

  get hasUnsaved() {
    return [...this.kept.values()].some(({ waiting, isBusy }) => waiting !== null || isBusy);
  }

  /** @param {string} draftId */
  revisionOf(draftId) {
    return this.kept.get(draftId)?.revision ?? null;
  }

  /**
   * Know a draft that came with the page, or the other version after a conflict.
   * @param {Task} task
   * @param {number | string | null} revision
   */
  know(task, revision) {
    const known = this.kept.get(task.draftId);
    if (known) {
      [known.task, known.revision] = [task, revision];
      return;
    }
    const sending = Promise.resolve();
    const isNot = { isBusy: false, isStopped: false, isLetGo: false };
    const fresh = { task, revision, waiting: null, tries: 0, timer: 0, sending, ...isNot };
    this.kept.set(task.draftId, fresh);
  }

  /**
   * Keep a drawing; while one is on its way, only the newest of those that follow is sent.
   * @param {Task} task
   * @param {Geometry} geometry
   */
  save(task, geometry) {
    if (!this.page.urls.draft) return;
    if (!this.kept.has(task.draftId)) this.know(task, null);
    const kept = /** @type {Kept} */ (this.kept.get(task.draftId));
    kept.waiting = geometry;
    this.push(kept);
  }

  /** @param {Kept} kept */
  push(kept) {
    if (kept.isBusy || kept.isStopped || kept.isLetGo || kept.waiting === null) return;
    clearTimeout(kept.timer);
    const geometry = kept.waiting;
    [kept.isBusy, kept.waiting] = [true, null];
    kept.sending = this.put(kept, geometry);
  }

  /**
   * @param {Kept} kept
   * @param {Geometry} geometry
   */
  async put(kept, geometry) {
    await this.leaving.get(kept.task.draftId);
    try {
      const url = /** @type {string} */ (this.page.urls.draft);
      this.settle(kept, geometry, await send("PUT", url, this.bodyOf(kept, geometry)));
    } catch {
      this.failed(kept, geometry);
    }
    kept.isBusy = false;
    if (kept.tries === 0) this.push(kept);
  }

  /**
   * The server was not reached: keep the newest geometry and try again, ever less often.
   * @param {Kept} kept
   * @param {Geometry} geometry
   */
  failed(kept, geometry) {
    if (kept.isLetGo) return;
    kept.waiting ??= geometry;
    kept.tries += 1;
    const wait = Math.min(LONGEST_WAIT_S, 2 ** (kept.tries - 1));
    kept.timer = window.setTimeout(() => this.push(kept), wait * 1000);
    this.write(`Could not save: no answer. Trying again in ${wait} s; keep this page open.`, true);
  }

  /**
   * @param {Kept} kept
   * @param {Geometry} geometry
   * @param {{status: number, body: any}} answer
   */
  settle(kept, geometry, answer) {
    kept.tries = 0;
    if (kept.isLetGo) {
      kept.revision = answer.body?.revision ?? kept.revision;
      return;
    }
    if (answer.status === 409 && answer.body?.theirs) {
      kept.waiting ??= geometry;
      kept.isStopped = true;
      this.onConflict(kept.task.draftId, answer.body.theirs);
    } else if (answer.status >= 400) {
      this.write(`Could not save: ${refusal(answer)}`, true);
    } else {
      kept.revision = answer.body?.revision ?? null;
      if (kept.waiting === null) this.write(`Not yet recorded. Kept as a draft at ${clock()}.`);
    }
  }

  /**
   * @param {Kept} kept
   * @param {Geometry} geometry
   */
  bodyOf({ task, revision }, geometry) {
    return {
      draft_id: task.draftId,
      mark_id: task.markId,
      sighting: task.sighting,
      tool: task.tool,
      code: task.code,
      geometry,
      author_id: this.page.author_id,
      based_on: revision,
      entry_id: this.page.marks.find(({ mark_id }) => mark_id === task.markId)?.entry_id ?? null,
    };
  }

  /** Try at once what could not be saved. */
  retry() {
    for (const kept of this.kept.values()) this.push(kept);
  }

  /**
   * Keep ours over theirs: the person has seen both.
   * @param {string} draftId
   * @param {Theirs} theirs
   */
  keepOurs(draftId, theirs) {
    const kept = /** @type {Kept} */ (this.kept.get(draftId));
    [kept.revision, kept.isStopped] = [theirs.revision, false];
    this.push(kept);
  }

  /**
   * Take theirs: what waited here is let go.
   * @param {string} draftId
   * @param {Theirs} theirs
   */
  takeTheirs(draftId, theirs) {
    const kept = /** @type {Kept} */ (this.kept.get(draftId));
    [kept.revision, kept.isStopped, kept.waiting] = [theirs.revision, false, null];
    this.write(`Not yet recorded. The other version is in hand.`);
  }

  /**
   * Forget a draft that was recorded; the server has dropped it with the recording.
   * @param {string} draftId
   */
  forget(draftId) {
    const kept = this.kept.get(draftId);
    if (kept) {
      clearTimeout(kept.timer);
      [kept.isLetGo, kept.waiting] = [true, null];
    }
    this.kept.delete(draftId);
    this.write("");
  }

  /**
   * Let a draft go on the server too, after what is on its way there.
   * @param {Task} task
   */
  discard(task) {
    const kept = this.kept.get(task.draftId);
    this.forget(task.draftId);
    if (!kept || !this.page.urls.draft) return;
    const gone = this.remove(kept, this.page.urls.draft).finally(() => {
      if (this.leaving.get(task.draftId) === gone) this.leaving.delete(task.draftId);
    });
    this.leaving.set(task.draftId, gone);
  }

  /**
   * @param {Kept} kept
   * @param {string} url
   */
  async remove(kept, url) {
    await kept.sending;
    const { geometry: _, ...body } = this.bodyOf(kept, { type: "Point", coordinates: [0, 0] });
    try {
      const answer = await send("DELETE", url, body);
      if (answer.status >= 400) this.write(`The draft stays: ${refusal(answer)}`, true);
    } catch {
      this.write("The draft could not be let go: no answer. It will come back on loading.", true);
    }
  }

  /**
   * @param {string} sentence
   * @param {boolean} [isUnsaved]
   */
  write(sentence, isUnsaved = false) {
    if (this.status === null) return;
    this.status.classList.toggle("is-unsaved", isUnsaved);
    this.status.textContent = sentence;
  }
}

function clock() {
  return new Date().toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
}
