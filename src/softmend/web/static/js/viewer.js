// SPDX-License-Identifier: Apache-2.0
/**
 * The picture viewer: a photograph, the marks on it, and one mode at a time to draw or mend them.
 * The contract with the page (JSON, markup, events, calls, keys) is docs/viewer.md; its types are
 * in contract.js. Everything is in upright image pixels, origin at the top-left corner.
 */
import { Controls } from "./controls.js";
import { isOf, readPage } from "./contract.js";
import { CrossHair } from "./cross_hair.js";
import { DRAWN_TYPES, DrawMode } from "./draw.js";
import { Drafts } from "./drafts.js";
import { asMark, showBoth, takeUp } from "./draft_desk.js";
import { EditMode } from "./edit.js";
import { boxOf, partsOf } from "./geometry.js";
import { Handles } from "./handles.js";
import { MarkList } from "./list.js";
import { announce } from "./live.js";
import { Loupe } from "./loupe.js";
import { Overlay } from "./overlay.js";
import { matrixOf, openPicture, zoomTo } from "./picture.js";
import { takeKeys } from "./keys.js";
import { Readout } from "./readout.js";
import { Recorder } from "./recorder.js";
import { FIGURES, ScaleMode } from "./scale_tool.js";
import { Sketch } from "./sketch.js";
import { snapped } from "./snap.js";
import { TraceMode } from "./trace.js";

/**
 * @typedef {import("./contract.js").Mark} Mark
 * @typedef {import("./geometry.js").Geometry} Geometry
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./mode.js").Mode} Mode
 * @typedef {import("./mode.js").Task} Task
 */

const SNAP_REACH = 12;
const REACH = { mouse: 10, touch: 22 };

export class Viewer {
  /** @param {HTMLElement} element */
  constructor(element) {
    this.element = element;
    this.page = readPage(element);
    this.controls = new Controls(this);
    this.picture = openPicture(element, this.page, this.controls.margins);
    this.canvas = this.picture.canvas;
    this.overlay = new Overlay(this.canvas, this.page);
    this.loupe = new Loupe(this.canvas, () => this.canvas.querySelector("canvas:not(.loupe)"));
    this.handles = new Handles(this.overlay, this.loupe);
    this.crossHair = new CrossHair(this.overlay);
    this.drafts = new Drafts(this.page, this.controls.draftStatus, (id, theirs) =>
      showBoth(this, id, theirs),
    );
    this.readout = new Readout(this.controls.readout, this.page.urls.measure);
    this.recorder = new Recorder(this);
    this.list = new MarkList({
      select: (markId) => this.select(markId),
      zoom: (markId) => this.zoomToMark(markId),
    });
    /** @type {Mode | null} null: looking */
    this.mode = null;
    /** @type {{task: Task, sketch: Sketch} | null} what Cancel left, for Undo to bring back */
    this.left = null;
    /** The drawing last clicked, of the selected mark: it may have several on one view. */
    this.picked = 0;
    this.isSnapping = true;
    this.nameCanvas();
    this.listen();
  }

  nameCanvas() {
    this.canvas.setAttribute("role", "application");
    this.canvas.setAttribute("aria-label", `Picture: ${this.page.name}`);
    if (this.controls.hint) {
      this.controls.hint.id ||= "viewer-hint";
      this.canvas.setAttribute("aria-describedby", this.controls.hint.id);
    }
  }

  listen() {
    const { picture } = this;
    picture.addHandler("open", () => this.begin());
    picture.addHandler("update-viewport", () => this.follow());
    picture.addHandler("resize", () => {
      picture.viewport.setMargins(this.controls.margins);
      this.overlay.reserved = this.controls.covered;
      this.settle();
    });
    picture.addHandler("animation-finish", () => this.settle());
    picture.addHandler("canvas-click", (event) => {
      if (event.quick) this.click(event);
    });
    this.canvas.addEventListener("pointermove", (event) => {
      if (this.mode === null || event.pointerType === "touch" || this.handles.drag) return;
      this.crossHair.put(null);
      this.mode.hover(this.overlay.unproject(this.handles.placeOf(event)));
    });
    this.canvas.addEventListener("pointerleave", () => this.mode?.hover(null));
    this.canvas.addEventListener("keydown", (event) => takeKeys(this, event));
    this.element.addEventListener("softmend:marks", (event) => {
      this.setMarks(/** @type {CustomEvent} */ (event).detail.marks);
    });
    this.element.addEventListener("softmend:suggested", (event) => {
      this.overlay.suggest(/** @type {CustomEvent} */ (event).detail);
    });
    this.element.addEventListener("softmend:look", (event) => {
      zoomTo(this.picture, boxOf([/** @type {CustomEvent} */ (event).detail.line]));
    });
    this.element.addEventListener("softmend:choose", (event) => {
      const { mark_id, zoom } = /** @type {CustomEvent} */ (event).detail;
      if (zoom) this.zoomToMark(mark_id);
      else this.select(mark_id);
    });
  }

  /** The picture is there: show the marks, take up the newest draft. */
  begin() {
    this.follow();
    const [newest, ...others] = this.page.drafts ?? [];
    const waiting = others.map(asMark);
    this.setMarks([...this.page.marks, ...waiting]);
    this.setTool("browse");
    if (newest) takeUp(this, newest);
    this.element.dataset.ready = "true";
  }

  /**
   * @param {Task} task
   * @param {Sketch} sketch
   */
  resume(task, sketch) {
    // A traced line that is there is mended by hand, as any other.
    const isTraced = task.tool === "trace" && sketch.isComplete;
    const isDrawing =
      task.tool !== "edit" && !isTraced && (!sketch.isComplete || sketch.type !== "Point");
    this.overlay.hide(this.overlay.marks.find((mark) => isOf(mark, task)) ?? null);
    this.begins(isDrawing ? new DrawMode(this, task, sketch) : new EditMode(this, task, sketch));
    this.changedUnsaved();
  }

  /** @param {Mark[]} marks */
  setMarks(marks) {
    this.overlay.setMarks(marks);
    this.list.show(this.overlay.selected);
  }

  follow() {
    if (this.picture.world.getItemCount() === 0) return;
    this.overlay.moveTo(matrixOf(this.picture, this.page));
    this.handles.follow();
    this.crossHair.follow();
  }

  settle() {
    this.follow();
    this.overlay.settle();
  }

  /** @param {OpenSeadragon.CanvasClickEvent} event */
  click(event) {
    const { x, y } = event.position;
    const at = this.overlay.unproject([x, y]);
    const pointer = /** @type {PointerEvent} */ (event.originalEvent);
    this.canvas.focus({ preventScroll: true });
    if (this.mode !== null) {
      this.crossHair.put(null);
      this.mode.click(at, pointer.altKey);
      return;
    }
    const reach = pointer.pointerType === "touch" ? REACH.touch : REACH.mouse;
    const found = this.overlay.markAt(at, reach);
    this.picked = found?.sighting ?? 0;
    this.select(found?.mark_id ?? null);
  }

  /** The drawing that Mend and Hole would work on. */
  get selectedMark() {
    const { marks, selected } = this.overlay;
    const drawings = marks.filter((mark) => mark.mark_id === selected);
    return drawings.find(({ sighting = 0 }) => sighting === this.picked) ?? drawings[0] ?? null;
  }

  /** @param {string | null} markId */
  select(markId) {
    if (markId === this.overlay.selected) return;
    this.overlay.select(markId);
    this.list.show(markId);
    this.emit("select", { mark_id: markId });
    const mark = this.selectedMark;
    if (mark) announce(`${mark.number ?? "Not yet recorded"}: ${mark.term}, ${mark.state ?? ""}`);
    this.controls.show();
  }

  /** @param {string} markId */
  zoomToMark(markId) {
    this.select(markId);
    const drawings = this.overlay.marks.filter((mark) => mark.mark_id === markId);
    const parts = drawings.flatMap((mark) => partsOf(mark.geometry));
    if (parts.length > 0) zoomTo(this.picture, boxOf(parts));
  }

  /** Keep a place away from the picture's rim. @param {Position} at */
  keepInSight(at) {
    const [x, y] = this.overlay.project(at);
    const { width, height } = this.overlay.frame;
    const isOut = x < 40 || y < 40 || x > width - 40 || y > height - 40;
    if (isOut) {
      const point = new OpenSeadragon.Point(...at);
      this.picture.viewport.panTo(this.picture.world.getItemAt(0).imageToViewportCoordinates(point));
    }
  }

  /**
   * Take a tool in hand. What is in hand is left first: complete, it is done; else it stays a draft.
   * @param {string} tool
   * @param {string | null} [code]
   */
  setTool(tool, code = null) {
    if (this.mode instanceof TraceMode && this.mode.isFinding) {
      // Its line is waited for; it would be lost.
      void this.mode.settled.then(() => this.setTool(tool, code));
      return;
    }
    if (this.mode !== null) this.leave();
    const mark = this.selectedMark;
    if (tool === "edit" || tool === "hole") {
      if (!mark || (tool === "hole" && mark.geometry.type !== "Polygon")) {
        this.say(tool === "edit" ? "Choose a mark first." : "Choose an area first.");
        this.controls.show();
        return;
      }
      this.beginOn(mark, tool);
      return;
    }
    const task = { tool, code, markId: null, sighting: 0, draftId: crypto.randomUUID() };
    if (FIGURES[tool]) this.begins(new ScaleMode(this, task));
    else if (tool === "trace") this.begins(new TraceMode(this, task));
    else if (DRAWN_TYPES[tool]) this.begins(new DrawMode(this, task));
    else this.begins(null);
  }

  /**
   * @param {Mark} mark
   * @param {string} tool
   */
  beginOn(mark, tool) {
    const { code, mark_id: markId, sighting = 0 } = mark;
    const draftId = sighting === 0 ? markId : crypto.randomUUID();
    const task = { tool, code, markId, sighting, draftId };
    const sketch = Sketch.of(mark.geometry);
    this.overlay.hide(mark);
    if (tool === "edit") this.begins(new EditMode(this, task, sketch));
    else {
      const parts = [...sketch.parts, /** @type {Position[]} */ ([])];
      this.begins(new DrawMode(this, task, new Sketch("Polygon", parts)));
    }
  }

  /** @param {Mode | null} mode */
  begins(mode) {
    this.mode = mode;
    this.element.dataset.tool = mode?.task.tool ?? "browse";
    if (mode === null) {
      this.handles.hold(null, null);
      this.crossHair.put(null);
      this.crossHair.hold(null);
      this.overlay.hide(null);
      this.readout.show(null);
    }
    this.controls.show();
  }

  /** Leave what is in hand: complete, it is done; unfinished, it is let go and Undo has it. */
  leave() {
    const { mode } = this;
    if (mode === null) return;
    const isChanged = mode.sketch.history.canUndo || this.drafts.kept.has(mode.task.draftId);
    if (mode.sketch.isComplete && isChanged) mode.done();
    else this.cancel();
  }

  /** @param {Mode} mode */
  changed(mode) {
    const isRegion = mode.task.code === "S";
    if (mode instanceof ScaleMode) this.controls.fillScale(mode.reading);
    else if (isRegion) this.controls.clearGeometry();
    else if (mode.sketch.isEmpty) this.drafts.discard(mode.task);
    else this.drafts.save(mode.task, mode.sketch.geometry());
    this.changedUnsaved();
  }

  /** Show what the change means, without saving it. */
  changedUnsaved() {
    const { mode } = this;
    if (mode === null) return;
    if (!(mode instanceof ScaleMode)) this.controls.fillGeometry(mode);
    this.measure(mode);
    this.controls.show();
  }

  /** @param {Mode} mode */
  measure(mode) {
    const isScale = mode instanceof ScaleMode;
    const isMeasured = mode.sketch.isComplete && mode.sketch.type !== "Point";
    if (!isScale) this.readout.show(isMeasured ? mode.sketch.geometry() : null);
  }

  /** What is in hand is done. @param {Mode} mode */
  finish(mode) {
    this.left = null;
    if (mode instanceof ScaleMode) {
      const reading = mode.reading;
      if (reading === null) return;
      this.begins(null);
      this.emit("scale", reading);
      return;
    }
    this.recorder.finish(mode);
  }

  /** Let go of what is in hand; Undo brings it back. */
  cancel() {
    const { mode } = this;
    if (mode === null) return;
    const { task, sketch } = mode;
    this.begins(null);
    if (mode instanceof ScaleMode) return;
    if (!sketch.history.canUndo && sketch.isEmpty) return;
    this.left = sketch.history.canUndo ? { task, sketch } : null;
    this.drafts.discard(task);
    this.controls.clearGeometry();
    if (this.left) this.say("Let go. Undo brings it back.");
    this.controls.show();
  }

  /** @param {-1 | 1} by */
  step(by) {
    if (this.mode !== null) this.mode.step(by);
    else if (by === -1 && this.left) {
      const { task, sketch } = this.left;
      this.left = null;
      this.resume(task, sketch);
      if (this.mode !== null) this.changed(this.mode);
    }
  }

  /**
   * Return a place inside the picture, on a neighbour's vertex or edge if one is near.
   * @param {Position} to
   * @param {boolean} isFree
   * @returns {Position}
   */
  snap(to, isFree) {
    const { width_px, height_px } = this.page;
    const reach = SNAP_REACH / this.overlay.zoom;
    const isHeld = this.isSnapping && !isFree;
    const found = isHeld ? snapped(to, reach, this.overlay.visibleMarks) : null;
    this.crossHair.hold(found);
    const [x, y] = found ?? to;
    return [Math.min(width_px, Math.max(0, x)), Math.min(height_px, Math.max(0, y))];
  }

  /** Say a sentence to eye and ear. @param {string} sentence */
  say(sentence) {
    this.controls.writeHint(sentence);
    announce(sentence);
  }

  /**
   * @param {string} name
   * @param {unknown} detail
   */
  emit(name, detail) {
    this.element.dispatchEvent(new CustomEvent(`softmend:${name}`, { bubbles: true, detail }));
  }
}
