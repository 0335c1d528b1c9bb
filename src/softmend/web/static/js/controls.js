// SPDX-License-Identifier: Apache-2.0
/** The page's own buttons and fields that belong to the viewer. */
import { zoomBy } from "./picture.js";

/**
 * @typedef {import("./mode.js").Mode} Mode
 * @typedef {import("./viewer.js").Viewer} Viewer
 */

const FIELDS = [
  "geometry",
  "geometryCode",
  "geometryMark",
  "geometryRevision",
  "geometryDraft",
  "geometryHow",
];

export class Controls {
  /** @param {Viewer} viewer */
  constructor(viewer) {
    this.viewer = viewer;
    this.hint = /** @type {HTMLElement | null} */ (document.querySelector("[data-tool-hint]"));
    this.readout = /** @type {HTMLElement | null} */ (document.querySelector("[data-readout]"));
    this.draftStatus = /** @type {HTMLElement | null} */ (
      document.querySelector("[data-draft-status]")
    );
    this.resting = this.hint?.textContent ?? "";
    document.addEventListener("click", (event) => this.press(event));
  }

  /** The room that the buttons over the picture take, so that Home shows all of it beside them. */
  get margins() {
    const mat = this.viewer.element.closest(".mat");
    const tools = mat?.querySelector(".tools");
    const edit = mat?.querySelector(".tools-edit");
    const margins = { left: 12, top: 12, right: 12, bottom: (edit?.clientHeight ?? 0) + 24 };
    if (!tools) return margins;
    const isColumn = tools.clientHeight > tools.clientWidth;
    if (isColumn) margins.left = tools.clientWidth + 28;
    else margins.top = tools.clientHeight + 28;
    return margins;
  }

  /** What the buttons cover of the picture. @returns {import("./geometry.js").Box[]} */
  get covered() {
    const mat = this.viewer.element.closest(".mat");
    if (mat === null) return [];
    const frame = mat.getBoundingClientRect();
    return [...mat.querySelectorAll(".tools, .hint, .tools-edit > *")].map((element) => {
      const box = element.getBoundingClientRect();
      return {
        left: box.left - frame.left,
        top: box.top - frame.top,
        right: box.right - frame.left,
        bottom: box.bottom - frame.top,
      };
    });
  }

  /** @param {Event} event */
  press(event) {
    const { target } = event;
    if (!(target instanceof Element)) return;
    const button = /** @type {HTMLElement | null} */ (
      target.closest("[data-tool]:not(#viewer), [data-command]")
    );
    if (button === null) return;
    const { tool, command, code } = button.dataset;
    if (tool) {
      this.viewer.setTool(tool, code ?? null);
      if (this.viewer.mode === null) return;
      this.viewer.canvas.focus({ preventScroll: true });
      // A button pressed by key: the keyboard will draw, so its pointer stands ready.
      const isByKey = event instanceof MouseEvent && event.detail === 0;
      if (isByKey && tool !== "edit") this.viewer.crossHair.put(this.viewer.crossHair.place);
    } else if (command) {
      this.run(command);
      // What can be pressed no more lets the keyboard go; it goes on in the picture.
      if (button instanceof HTMLButtonElement && button.disabled) {
        this.viewer.canvas.focus({ preventScroll: true });
      }
    }
  }

  /** @param {string} command */
  run(command) {
    const { viewer } = this;
    /** @type {Record<string, () => void>} */
    const commands = {
      undo: () => viewer.step(-1),
      redo: () => viewer.step(1),
      done: () => viewer.mode?.done(),
      cancel: () => viewer.cancel(),
      remove: () => viewer.mode?.remove(),
      insert: () => viewer.mode?.insert(),
      snap: () => {
        viewer.isSnapping = !viewer.isSnapping;
        this.show();
      },
      "zoom-in": () => zoomBy(viewer.picture, 1.5),
      "zoom-out": () => zoomBy(viewer.picture, 1 / 1.5),
      home: () => viewer.picture.viewport.goHome(),
    };
    commands[command]?.();
  }

  /** Show which tool is in hand, what can be done now, and what to do. */
  show() {
    const { mode, left, isSnapping, overlay } = this.viewer;
    const inHand = mode?.task.tool ?? "browse";
    for (const button of buttons("[data-tool]:not(#viewer)")) {
      const { tool, code } = button.dataset;
      const isSame = tool === inHand && (!code || !mode || mode.task.code === code);
      button.setAttribute("aria-pressed", String(isSame));
      if (tool === "edit" || tool === "hole") button.disabled = overlay.selected === null;
    }
    /** @type {Record<string, boolean>} */
    const can = mode?.can ?? { undo: left !== null };
    for (const button of buttons("[data-command]")) {
      const command = button.dataset.command ?? "";
      if (command === "snap") button.setAttribute("aria-pressed", String(isSnapping));
      else if (["undo", "redo", "done", "cancel", "remove", "insert"].includes(command)) {
        button.disabled = !can[command];
      }
    }
    this.writeHint(mode?.hint ?? this.resting);
    overlay.foot = this.margins.bottom + 4;
    overlay.reserved = this.covered;
    this.viewer.follow();
  }

  /** @param {string} sentence */
  writeHint(sentence) {
    if (this.hint) this.hint.textContent = sentence;
  }

  /** @param {Mode} mode */
  fillGeometry({ sketch, task }) {
    const revision = this.viewer.drafts.revisionOf(task.draftId);
    this.fill("geometry", sketch.isComplete ? JSON.stringify(sketch.geometry()) : "");
    this.fill("geometryCode", task.code ?? "");
    this.fill("geometryMark", task.markId ?? "");
    this.fill("geometryDraft", task.draftId);
    this.fill("geometryHow", task.tool === "trace" ? "trace" : "");
    this.fill("geometryRevision", revision === null ? "" : String(revision));
  }

  clearGeometry() {
    for (const field of FIELDS) this.fill(field, "");
  }

  /** @param {object | null} reading */
  fillScale(reading) {
    this.fill("scalePoints", reading === null ? "" : JSON.stringify(reading));
  }

  /**
   * @param {string} name as in dataset
   * @param {string} value
   */
  fill(name, value) {
    const attribute = name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
    for (const field of document.querySelectorAll(`input[data-${attribute}]`)) {
      const input = /** @type {HTMLInputElement} */ (field);
      if (input.value === value) continue;
      input.value = value;
      input.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }
}

/**
 * @param {string} selector
 * @returns {HTMLButtonElement[]}
 */
function buttons(selector) {
  return [...document.querySelectorAll(selector)].filter(
    (element) => element instanceof HTMLButtonElement,
  );
}
