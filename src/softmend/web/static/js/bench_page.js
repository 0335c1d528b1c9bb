// SPDX-License-Identifier: Apache-2.0
/** The page around the picture: what is drawn or chosen there gets its panel beside it. */

const viewer = document.getElementById("viewer");
const panel = document.getElementById("panel");
const base = viewer?.dataset.base ?? "";
/** @type {{marks: {mark_id: string, entry_id: string, kind?: string}[]}} */
const data = JSON.parse(viewer?.dataset.view ?? '{"marks": []}');

let turn = 0;

/**
 * Show a panel beside the picture; the newest wins, and one that is still on its way is let go.
 * @param {string} address
 * @param {Record<string, string>} asked
 * @returns {Promise<boolean>} whether it is the one that stands there now
 */
async function show(address, asked) {
  const query = new URLSearchParams(asked);
  const mine = clear();
  await window.htmx.ajax("GET", `${address}?${query}`, { source: "#panel", target: "#panel" });
  if (mine !== turn) return false;
  panel?.scrollIntoView({ block: "nearest" });
  return true;
}

/** Take the panel away, and let go of one that is on its way; return whose turn it is now. */
function clear() {
  turn += 1;
  window.htmx.trigger("#panel", "htmx:abort");
  // htmx would carry the height of a field that was dragged over as a style, which the policy refuses.
  panel?.replaceChildren();
  return turn;
}

/** The drawing is done: what comes next is said in the panel. */
function focusPanel() {
  document.getElementById("panel-title")?.focus({ preventScroll: true });
}

/** @param {string} markId the entry that this page showed of it, the ground of every change */
function entryOf(markId) {
  return data.marks.find((mark) => mark.mark_id === markId)?.entry_id ?? "";
}

/** @param {string} markId */
function panelOf(markId) {
  const isZone = data.marks.find((mark) => mark.mark_id === markId)?.kind === "zone";
  return `${base}/${isZone ? "zones" : "marks"}/${markId}`;
}

function draftId() {
  const field = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-geometry-draft]"));
  return field?.value ?? "";
}

viewer?.addEventListener("softmend:drawn", async (event) => {
  const { geometry, code } = /** @type {CustomEvent} */ (event).detail;
  // A region to look in is no mark: suggest.js has its panel.
  if (code === "S") return;
  const kind = code === "Z" ? "zones" : "marks";
  const asked = { draft_id: draftId(), shape: geometry.type, code: code ?? "" };
  if (await show(`${base}/${kind}/new`, asked)) focusPanel();
});

viewer?.addEventListener("softmend:edited", (event) => {
  const { mark_id } = /** @type {CustomEvent} */ (event).detail;
  void show(panelOf(mark_id), { based_on: entryOf(mark_id), edited: "true" }).then((isThere) => {
    if (isThere) focusPanel();
  });
});

viewer?.addEventListener("softmend:select", (event) => {
  const { mark_id } = /** @type {CustomEvent} */ (event).detail;
  const isKnown = mark_id !== null && entryOf(mark_id) !== "";
  // What was drawn and not yet said stays in sight; a click beside it must not put it away.
  const isWaiting = panel?.querySelector("[name=draft_id]:not([value=''])") !== null;
  if (isKnown) void show(panelOf(mark_id), { based_on: entryOf(mark_id) });
  else if (!isWaiting) clear();
});

const WAYS = /** @type {Record<string, string>} */ ({
  "scale-bar": "two_clicks",
  "scale-rectangle": "rectangle",
  "scale-edges": "edges",
  "scale-axis": "axis",
});

/** A scale tool taken in hand is the way that the form asks about. */
document.addEventListener("click", ({ target }) => {
  const tool = target instanceof Element ? target.closest("[data-tool^=scale-]") : null;
  const way = WAYS[tool instanceof HTMLElement ? (tool.dataset.tool ?? "") : ""];
  const choice = document.querySelector(`#scale-form [name=way][value="${way}"]`);
  // The edges are clicked for a cone as well.
  const isCone = document.querySelector("#scale-form [name=way][value=cone]:checked") !== null;
  if (way === "edges" && isCone) return;
  if (choice instanceof HTMLInputElement) choice.checked = true;
});

viewer?.addEventListener("softmend:scale", () => {
  const details = document.getElementById("set-scale");
  if (!(details instanceof HTMLDetailsElement)) return;
  details.open = true;
  details.scrollIntoView({ block: "nearest" });
  const ways = details.querySelectorAll(".way input");
  const first = [...ways].find((field) => field instanceof HTMLElement && field.offsetParent);
  if (first instanceof HTMLElement) first.focus();
});

/** A mark named in the address is shown large once the picture is there. */
function zoomToNamed() {
  const markId = new URLSearchParams(location.search).get("mark");
  if (!markId || !viewer) return;
  const choose = () =>
    viewer.dispatchEvent(
      new CustomEvent("softmend:choose", { detail: { mark_id: markId, zoom: true } }),
    );
  if (viewer.dataset.ready) choose();
  else {
    const watch = new MutationObserver(() => {
      if (!viewer.dataset.ready) return;
      watch.disconnect();
      choose();
    });
    watch.observe(viewer, { attributes: true, attributeFilter: ["data-ready"] });
  }
}

zoomToNamed();
