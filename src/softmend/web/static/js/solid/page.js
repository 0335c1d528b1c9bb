// SPDX-License-Identifier: Apache-2.0
/** A scan's page: the picture and the list beside it do the same things. */
import { coloured, inWords } from "./change.js";
import { readCopy } from "./glb.js";
import { Pads } from "./pads.js";
import { add, placesIn, write } from "./picks.js";
import { Section } from "./section.js";

/** @typedef {import("./scene.js").ScanScene} ScanScene */

const PICKED = 0xffd25e;
const DRAWN = 0xf08a4b;
const RIM = 0x9fc4c9;
const CENTRE = 0xffffff;
const KEPT_CLEAR = 0xd2492a;

const stage = /** @type {HTMLElement} */ (document.querySelector("[data-scan]"));
const data = JSON.parse(stage.dataset.scan ?? "{}");
const hint = /** @type {HTMLElement} */ (document.querySelector("[data-scan-hint]"));
const fields = /** @type {HTMLTextAreaElement[]} */ ([...document.querySelectorAll("[data-picks]")]);
const first = hint.textContent ?? "";

/** @type {ScanScene | null} */
let scene = null;
/** @type {HTMLTextAreaElement | null} */
let active = null;
let isMovingPads = false;
/** @type {Float32Array | null} distances at the corners of the copy, mm */
let distances = null;

const part = /** @type {HTMLElement | null} */ (document.querySelector("[data-pads]"));
const pads = part ? new Pads(part, data) : null;
if (pads) pads.onMoved = (places) => scene?.setPads(places, data.down);

/** @param {string} sentence */
function say(sentence) {
  hint.textContent = sentence;
}

/**
 * Ends of the measured length and middles of patches would hide what they stand on.
 * @param {{name: string | undefined}} field
 */
function isDrawn({ name }) {
  return (name !== "between" && name !== "changed") || active?.dataset.picks === name;
}

function redraw() {
  const picked = fields.map((field) => ({ name: field.dataset.picks, places: placesIn(field) }));
  scene?.show(
    [
      ...data.lines.map((/** @type {any} */ one) => ({ ...one, colour: one.closed ? RIM : DRAWN })),
      ...(data.clear ?? []).map((/** @type {number[][]} */ points) => ({ points, closed: false, colour: KEPT_CLEAR })),
      ...picked
        .filter(isDrawn)
        .map(({ name, places }) => ({ points: places, closed: name === "rim" || name === "hollow_mouth", colour: PICKED })),
    ],
    [
      ...picked
        .filter(isDrawn)
        .flatMap(({ places }) => places.map((at) => ({ at, colour: PICKED }))),
      ...(data.centre ? [{ at: data.centre, colour: CENTRE }] : []),
    ],
  );
}

/** @param {string} name the field that picks go to, or "" to look only */
function choose(name) {
  active = fields.find((field) => field.dataset.picks === name) ?? null;
  isMovingPads = false;
  press();
  if (active) {
    const card = active.closest("details.card");
    if (card instanceof HTMLDetailsElement) card.open = true;
    for (const inner of document.querySelectorAll("details.line")) {
      if (inner instanceof HTMLDetailsElement && inner.contains(active)) inner.open = true;
    }
    // Where the list lies under the picture, the picture stays in sight.
    const side = active.closest(".side");
    if (side && side.scrollHeight > side.clientHeight + 1) active.scrollIntoView({ block: "nearest" });
    say(`${active.labels?.[0]?.textContent ?? ""}: tap the scan, or press Enter for the middle of the picture.`);
  } else say(first);
  redraw();
}

function press() {
  for (const button of document.querySelectorAll("[data-pick]")) {
    const name = /** @type {HTMLElement} */ (button).dataset.pick;
    const isThis = !isMovingPads && (active ? active.dataset.picks === name : name === "");
    button.setAttribute("aria-pressed", String(isThis));
  }
  const tool = document.querySelector("[data-pads-tool]");
  tool?.setAttribute("aria-pressed", String(isMovingPads));
}

/** @param {number[]} place */
async function picked(place) {
  if (isMovingPads && pads) return;
  if (!active) {
    const mm = distances?.[scene?.corner ?? -1];
    if (mm !== undefined) say(inWords(mm, data.level_mm));
    return;
  }
  const field = active; // another tool may be taken while the pick is on its way
  const refused = await add(field, data.snap, place);
  say(refused || `${placesIn(field).length} picked. ${field.labels?.[0]?.textContent ?? ""}.`);
}

document.addEventListener("click", ({ target }) => {
  if (!(target instanceof Element)) return;
  const button = /** @type {HTMLElement | null} */ (
    target.closest("[data-pick], [data-unpick], [data-look], [data-pads-tool], [data-down-now]")
  );
  if (button === null) return;
  const { pick, unpick, look } = button.dataset;
  if (pick !== undefined) choose(active?.dataset.picks === pick ? "" : pick);
  else if (unpick) {
    const field = fields.find((one) => one.dataset.picks === unpick);
    if (field) write(field, placesIn(field).slice(0, -1));
  } else if (look === "all") scene?.showAll();
  else if (look) scene?.closer(look === "in" ? 1.25 : 0.8);
  else if ("padsTool" in button.dataset) movePads();
  else downNow();
});

function movePads() {
  if (!pads) {
    say("Pads can be moved once unit, matter and holding are said and computed.");
    return;
  }
  active = null;
  isMovingPads = true;
  press();
  say("Drag a pad along the object; what each carries stands in the list.");
}

/** Take what points down on the screen as down, to three figures. */
function downNow() {
  const field = document.querySelector("[data-down]");
  if (!scene || !(field instanceof HTMLInputElement)) return;
  field.value = scene.look().up.map((/** @type {number} */ x) => String(Number((-x).toFixed(3)))).join(" ");
}

/** Drag pads on the picture. @param {ScanScene} view */
function dragging(view) {
  let held = -1;
  view.canvas.addEventListener(
    "pointerdown",
    (event) => {
      held = isMovingPads ? view.padAt(event.clientX, event.clientY) : -1;
      view.controls.enabled = held < 0;
    },
    { capture: true },
  );
  view.canvas.addEventListener("pointermove", (event) => {
    if (held < 0 || !pads) return;
    // The finger goes along under the object, where the pads stand, and hits nothing of it.
    pads.set(held, pads.along(event.clientX, event.clientY, (place) => view.screen(place)));
  });
  for (const name of ["pointerup", "pointercancel"]) {
    view.canvas.addEventListener(name, () => {
      held = -1;
      view.controls.enabled = true;
    });
  }
}

const cutAxis = /** @type {HTMLSelectElement} */ (document.querySelector("[data-cut-axis]"));
const cutAt = /** @type {HTMLInputElement} */ (document.querySelector("[data-cut-at]"));
const sectionPart = /** @type {HTMLElement | null} */ (document.querySelector("[data-section]"));
const section = sectionPart?.querySelector("[data-section-across]") ? new Section(sectionPart) : null;
if (section) {
  section.onCut = (cut) => {
    cutAxis.value = cut.across;
    cutAt.value = String(cut.percent);
    if (cut.origin && cut.way) scene?.cutAt(cut.origin, cut.way);
    else drawCut();
  };
}

/** Cut the picture at once; the plane across its own length comes from the server. */
function drawCut() {
  const axis = cutAxis.value;
  if (axis === "length") return;
  scene?.cut(axis === "" ? null : /** @type {"x" | "y" | "z"} */ (axis), cutAt.valueAsNumber / 100);
}

/** Cut as the picture's own controls say, and let the list follow. */
function cut() {
  drawCut();
  if (cutAxis.value === "length" && !section) say("Confirm its unit by one measured length first.");
  if (cutAxis.value !== "") section?.take(cutAxis.value, cutAt.valueAsNumber);
}

/** Before a still is asked for, say how the picture is turned. */
function tellLook() {
  const look = scene?.look();
  if (!look) return;
  for (const input of document.querySelectorAll("[data-still]")) {
    if (!(input instanceof HTMLInputElement)) continue;
    const value = look[/** @type {keyof typeof look} */ (input.dataset.still)];
    input.value = Array.isArray(value) ? value.map((x) => Number(x.toPrecision(7))).join(" ") : String(value);
  }
}

for (const field of fields) field.addEventListener("input", redraw);
// Beside a photograph there is nothing to cut with.
cutAxis?.addEventListener("change", cut);
cutAt?.addEventListener("input", cut);
document.querySelector("[data-still-form]")?.addEventListener("pointerdown", tellLook, { capture: true });
document.querySelector("[data-still-form]")?.addEventListener("focusin", tellLook);

/**
 * Look along a direction of the file from as far off as all is shown.
 * @param {ScanScene} view
 * @param {number[]} toward
 */
function lookAlong(view, toward) {
  const { camera, controls } = view;
  const far = camera.position.distanceTo(controls.target);
  camera.position.set(...toward).setLength(far).negate().add(controls.target);
  controls.update();
  view.draw();
}

async function begin() {
  if (!("read" in stage.dataset)) return;
  const answer = await fetch(data.glb);
  if (!answer.ok) throw new Error(`the copy for the eye did not come: ${answer.status}`);
  const { ScanScene } = await import("./scene.js");
  scene = new ScanScene(stage, readCopy(await answer.arrayBuffer()), data.down);
  scene.onPick = (place) => void picked(place);
  dragging(scene);
  if (pads) scene.setPads(pads.under(), data.down);
  if (data.colours) {
    distances = new Float32Array(await (await fetch(data.colours)).arrayBuffer());
    scene.paint(coloured(distances, data.level_mm, data.full_mm));
    if (data.toward) lookAlong(scene, data.toward);
  }
  redraw();
  stage.dataset.ready = "true";
}

begin().catch((/** @type {Error} */ error) => {
  document.querySelector("[data-no-picture]")?.removeAttribute("hidden");
  for (const one of document.querySelectorAll(".needs-picture")) one.setAttribute("hidden", "");
  say("No picture can be drawn here; the list does everything without it.");
  stage.dataset.failed = error.message;
});
