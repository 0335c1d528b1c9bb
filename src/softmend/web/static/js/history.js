// SPDX-License-Identifier: Apache-2.0

/**
 * The steps of one drawing, to walk back and forth.
 * @template T
 */
export class History {
  /** @param {T} first */
  constructor(first) {
    /** @type {T[]} */
    this.steps = [structuredClone(first)];
    this.at = 0;
  }

  /**
   * Keep a step; what was undone before it is gone.
   * @param {T} state
   */
  keep(state) {
    this.steps.length = this.at + 1;
    this.steps.push(structuredClone(state));
    this.at += 1;
  }

  get canUndo() {
    return this.at > 0;
  }

  get canRedo() {
    return this.at < this.steps.length - 1;
  }

  /**
   * Step back (-1) or forth (+1) and return the state there.
   * @param {-1 | 1} by
   * @returns {T}
   */
  step(by) {
    this.at = Math.min(this.steps.length - 1, Math.max(0, this.at + by));
    return structuredClone(this.steps[this.at]);
  }
}
