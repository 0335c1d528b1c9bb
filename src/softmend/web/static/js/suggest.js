// SPDX-License-Identifier: Apache-2.0
/** Cracks suggested inside a drawn region: one slider, each accepted or refused by hand. */
import { refusal, send } from "./http.js";

/**
 * @typedef {import("./geometry.js").Position} Position
 * @typedef {{line_px: Position[], method: string, version: string, sensitivity: number}} Line
 */

const viewer = document.getElementById("viewer");
const panel = document.getElementById("suggest");
const slider = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-suggest-at]"));
const list = document.querySelector("[data-suggest-list]");
const even = /** @type {HTMLInputElement | null} */ (document.querySelector("[data-suggest-even]"));
const working = /** @type {HTMLElement | null} */ (document.querySelector("[data-suggest-working]"));
const bar = working?.querySelector("progress");
const said = document.querySelector("[data-suggest-said]");
const at = panel?.dataset.at ?? "";

/** @type {Position[]} */
let region = [];
/** @type {Line[]} */
let lines = [];
/** @type {Map<string, string>} what was said to a line, by the line */
const answers = new Map();
/** @type {Map<string, Promise<void>>} what is just being said to a line: it is said once */
const going = new Map();
let chosen = -1;
let isAsking = false;
let isWaiting = false;
let hasAccepted = false;
let jobId = "";

/** @param {string} sentence */
function say(sentence) {
  if (said) said.textContent = sentence;
}

/** @param {string} name @param {unknown} detail */
function tell(name, detail) {
  viewer?.dispatchEvent(new CustomEvent(`softmend:${name}`, { detail }));
}

function show() {
  tell("suggested", { lines: lines.map(({ line_px }) => line_px), chosen, region });
}

/** Ask what there is to suggest; a large region is looked at in a job, which can be stopped. */
async function asked() {
  const by = /** @type {HTMLInputElement | null} */ (
    document.querySelector("[data-suggest-by]:checked")
  );
  const body = {
    region_px: region,
    sensitivity: Number(slider?.value ?? 45),
    engine: by?.value ?? "classical",
    even_lines: even?.checked ?? false,
  };
  const answer = await send("POST", at, body).catch(() => null);
  if (answer?.status !== 200 || !answer.body.job_id) return answer;
  jobId = answer.body.job_id;
  const ended = await endOfJob();
  jobId = "";
  if (working) working.hidden = true;
  if (ended?.state === "done") return send("POST", at, body).catch(() => null);
  return { status: 200, body: { lines: [], more: 0, told: ended?.message || "No answer." } };
}

/** Watch the job until it has ended. */
async function endOfJob() {
  if (working) working.hidden = false;
  for (;;) {
    const response = await fetch(`/api/v1/jobs/${jobId}`).catch(() => null);
    if (response?.status !== 200) return null;
    const told = await response.json();
    const { state, done, total, message } = told;
    if (!["waiting", "running"].includes(state)) return told;
    if (bar) [bar.max, bar.value] = [total || 3, done];
    say(`Looking: ${message || "waiting for its turn"} …`);
    await new Promise((resolve) => {
      setTimeout(resolve, 1000);
    });
  }
}

function stop() {
  if (jobId) void send("POST", `${at}/stop/${jobId}`, {}).catch(() => null);
}

/** Look again; the newest place of the slider wins. */
async function look() {
  isWaiting = true;
  if (isAsking) return;
  isAsking = true;
  while (isWaiting) {
    isWaiting = false;
    say("Looking …");
    const lookedIn = region;
    const answer = await asked();
    if (region.length === 0) break;
    // Another region was drawn meanwhile: what was found is not of it.
    if (region !== lookedIn) continue;
    if (answer === null) say("No answer. Move the slider to look again.");
    else if (answer.status !== 200) say(refusal(answer));
    else if (answer.body.told) say(answer.body.told);
    else {
      ({ lines } = answer.body);
      chosen = -1;
      const more = answer.body.more > 0 ? `, and ${answer.body.more} more that are not shown` : "";
      const left = even?.checked ? "" : " Ruled and smooth lines are left out.";
      say(`${lines.length} suggested${more}.${left}`);
      fill();
    }
  }
  isAsking = false;
}

/** What runs is stopped, since something else is asked now. */
function again() {
  stop();
  void look();
}

function fill() {
  list?.replaceChildren(...lines.map(row));
  show();
}

/** @param {Line} line @param {number} index */
function row(line, index) {
  const item = document.createElement("li");
  item.className = "list-row";
  const name = button(`Show ${index + 1}`, () => {
    chosen = index;
    show();
    tell("look", { line: line.line_px });
  });
  const end = document.createElement("span");
  end.className = "end row";
  const answered = answers.get(keyOf(line));
  if (answered) end.textContent = answered;
  else {
    const both = [
      button("Accept", () => answerOnce(line, true), index),
      button("Refuse", () => answerOnce(line, false), index),
    ];
    for (const one of both) one.disabled = going.has(keyOf(line));
    end.append(...both);
  }
  item.append(name, end);
  return item;
}

/**
 * @param {string} text
 * @param {() => void} does
 * @param {number} [index]
 */
function button(text, does, index) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "button-quiet";
  made.textContent = text;
  if (index !== undefined) made.setAttribute("aria-label", `${text} suggestion ${index + 1}`);
  made.addEventListener("click", does);
  return made;
}

/** @param {Line} line @param {boolean} isAccepted */
async function answer(line, isAccepted) {
  const body = { ...line, is_accepted: isAccepted };
  const told = await send("POST", `${at}/answer`, body).catch(() => null);
  if (told === null || told.status !== 200) {
    say(told ? `Not recorded: ${refusal(told)}` : "Not recorded: no answer.");
    return;
  }
  hasAccepted ||= isAccepted;
  const word = isAccepted ? `mark ${told.body.mark_number}` : "refused";
  answers.set(keyOf(line), word);
  say(isAccepted ? `Accepted as mark ${told.body.mark_number}, marked as suggested.` : "Refused.");
}

/** @param {Line} line */
function keyOf(line) {
  return JSON.stringify(line.line_px);
}

/** @param {Line} line @param {boolean} isAccepted */
function answerOnce(line, isAccepted) {
  const key = keyOf(line);
  if (going.has(key)) return;
  const sent = answer(line, isAccepted).finally(() => {
    going.delete(key);
    fill();
    // The row that had the keyboard is drawn anew: the next one that waits has it now.
    if (document.activeElement !== document.body) return;
    const next = list?.querySelector("[aria-label^=Accept]:not(:disabled)") ??
      document.querySelector("[data-suggest-done]");
    if (next instanceof HTMLElement) next.focus({ preventScroll: true });
  });
  going.set(key, sent);
  fill();
}

viewer?.addEventListener("softmend:drawn", (event) => {
  const { geometry, code } = /** @type {CustomEvent} */ (event).detail;
  if (code !== "S" || panel === null) return;
  [region] = geometry.coordinates;
  panel.hidden = false;
  panel.querySelector("h2")?.focus({ preventScroll: true });
  panel.scrollIntoView({ block: "nearest" });
  void look();
});
slider?.addEventListener("input", () => {
  if (jobId === "") void look();
});
slider?.addEventListener("change", again);
even?.addEventListener("change", again);
for (const by of document.querySelectorAll("[data-suggest-by]")) by.addEventListener("change", again);
document.querySelector("[data-suggest-stop]")?.addEventListener("click", stop);
document.querySelector("[data-suggest-done]")?.addEventListener("click", async () => {
  await Promise.all(going.values());
  if (hasAccepted) location.reload();
  stop();
  if (panel) panel.hidden = true;
  [region, lines, chosen] = [[], [], -1];
  show();
});
