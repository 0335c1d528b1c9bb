// SPDX-License-Identifier: Apache-2.0
/** Tracing with help: the person clicks along a crack, the line between the clicks finds its way. */
import { distance } from "./geometry.js";
import { refusal, send } from "./http.js";
import { announce } from "./live.js";
import { Mode } from "./mode.js";
import { Sketch } from "./sketch.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {import("./handles.js").Way} Way
 * @typedef {import("./mode.js").Task} Task
 * @typedef {import("./sketch.js").Vertex} Vertex
 * @typedef {import("./viewer.js").Viewer} Viewer
 * @typedef {{line_px: Position[], weak_percent: number,
 *   stretches: {line_px: Position[], is_weak: boolean}[]}} Traced
 */

/** Two clicks nearer than this are one click twice: it finishes [screen px]. */
const SAME = 6;
/** Anchors nearer than this are one place [image px]. */
const APART = 2;
const FIRST = "Click one end of the crack.";
const NEXT =
  "Click along it: the line finds its way between. Dotted: the picture shows little there. Done, or the last point again, finishes.";

export class TraceMode extends Mode {
  /**
   * @param {Viewer} viewer
   * @param {Task} task
   */
  constructor(viewer, task) {
    super(viewer, new Sketch("LineString"), task);
    this.anchors = new Sketch("LineString");
    /** @type {Way[]} */
    this.ways = [];
    /** @type {Way[]} from the last click to the pointer */
    this.live = [];
    this.isAsking = false;
    this.isAway = false;
    /** Whether the line through the clicks is still on its way. */
    this.isFinding = false;
    this.asked = 0;
    /** @type {Position | null} the newest place of the pointer that was not yet asked about */
    this.waiting = null;
    this.settled = Promise.resolve();
    viewer.handles.hold(this.anchors, this);
    this.url = viewer.page.urls.trace ?? "";
    void this.makeReady();
  }

  async makeReady() {
    const begun = performance.now();
    await send("POST", `${this.url}/ready`, {}).catch(() => null);
    if (performance.now() - begun > 400) announce("The picture is ready for tracing.");
  }

  get hint() {
    return this.anchors?.isEmpty === false ? NEXT : FIRST;
  }

  get can() {
    const { history, isEmpty } = this.anchors;
    return {
      ...super.can,
      undo: history.canUndo,
      redo: history.canRedo,
      remove: !isEmpty,
      done: this.anchors.open.length > 1,
    };
  }

  /** What is drawn in place of straight lines between the anchors. */
  get drawn() {
    // The hand is held before the constructor has come this far.
    return [...(this.ways ?? []), ...(this.live ?? [])];
  }

  /** @param {Position} at */
  click(at) {
    const place = this.viewer.snap(at, true);
    const last = this.anchors.open[this.anchors.open.length - 1];
    if (last && distance(last, place) * this.viewer.overlay.zoom <= SAME) {
      this.done();
      return;
    }
    if (last && distance(last, place) < APART) return;
    this.anchors.add(place);
    announce(`Point ${this.anchors.open.length} set.`);
    this.settled = this.retrace();
  }

  /** Show the way to the pointer; the newest place wins. @param {Position | null} at */
  hover(at) {
    this.waiting = at;
    this.isAway = at === null;
    if (at === null) this.showLive([]);
    else if (!this.isAsking) void this.askLive();
  }

  async askLive() {
    this.isAsking = true;
    while (this.waiting !== null) {
      const last = this.anchors.open[this.anchors.open.length - 1];
      const to = this.viewer.snap(this.waiting, true);
      this.waiting = null;
      if (!last || distance(last, to) < 2 * APART) this.showLive([]);
      else {
        const { asked } = this;
        const found = await this.ask([last, to]);
        if (asked === this.asked && !this.isAway) this.showLive(found ? waysOf(found, true) : []);
      }
    }
    this.isAsking = false;
  }

  /** @param {Way[]} ways */
  showLive(ways) {
    this.live = ways;
    if (this.viewer.mode === this) this.viewer.handles.draw();
  }

  /**
   * @param {Position[]} anchors
   * @returns {Promise<Traced | null>} null when it was refused or not reached
   */
  async ask(anchors) {
    try {
      const answer = await send("POST", this.url, { anchors_px: anchors });
      if (answer.status === 200) return answer.body;
      this.sayHere(refusal(answer));
    } catch {
      this.sayHere("No answer: between these points the line is straight.");
    }
    return null;
  }

  /** Another tool may be in hand when an answer comes. @param {string} sentence */
  sayHere(sentence) {
    if (this.viewer.mode === this) this.viewer.say(sentence);
  }

  /** The anchors have changed: find the line through all of them. */
  async retrace() {
    this.asked += 1;
    const { asked } = this;
    const anchors = /** @type {Position[]} */ (structuredClone(this.anchors.open));
    this.live = [];
    this.isFinding = true;
    const found = anchors.length > 1 ? await this.ask(anchors) : null;
    if (asked !== this.asked) return;
    this.isFinding = false;
    const isHere = this.viewer.mode === this;
    // What was let go is found to its end for Undo to bring back, but it is no draft any more.
    if (!isHere && this.viewer.left?.sketch !== this.sketch) return;
    this.sketch.parts = [found?.line_px ?? anchors];
    this.ways = found ? waysOf(found, false) : [];
    this.sketch.keep();
    if (!isHere) return;
    this.changed();
    if (found && found.weak_percent > 0) {
      const share = Math.round(found.weak_percent);
      this.viewer.say(`On ${share} % of it the picture shows no more of a crack than beside it.`);
    }
  }

  /** @param {-1 | 1} by */
  step(by) {
    this.anchors.step(by);
    this.settled = this.retrace();
  }

  remove() {
    if (this.anchors.removeLast()) this.settled = this.retrace();
  }

  /**
   * @param {Vertex} vertex
   * @param {Position} to
   */
  dragged(vertex, to) {
    this.anchors.move(vertex, this.viewer.snap(to, true));
    this.ways = [];
  }

  dropped() {
    this.anchors.keep();
    this.settled = this.retrace();
  }

  done() {
    if (this.isFinding) void this.settled.then(() => this.end());
    else this.end();
  }

  end() {
    if (this.viewer.mode !== this) return;
    if (this.sketch.open.length < 2) this.viewer.say("Not finished: it needs one more point.");
    else this.viewer.finish(this);
  }
}

/**
 * @param {Traced} found
 * @param {boolean} isLive
 * @returns {Way[]}
 */
function waysOf(found, isLive) {
  return found.stretches.map(({ line_px, is_weak }) => ({ line: line_px, isWeak: is_weak, isLive }));
}
