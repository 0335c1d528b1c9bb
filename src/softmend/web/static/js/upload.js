// SPDX-License-Identifier: Apache-2.0
// Photographs dropped on the page or chosen: sent one after the other, each with its progress and stop.

/** @typedef {{file: File, id: string, row: HTMLLIElement, bar: HTMLProgressElement, words: HTMLElement, stop: HTMLButtonElement, request: XMLHttpRequest | null, isStopped: boolean, hasEnded: boolean, isAsking: boolean}} Waiting */

const form = /** @type {HTMLFormElement | null} */ (document.querySelector("[data-uploads]"));
const list = /** @type {HTMLUListElement | null} */ (document.querySelector("[data-upload-list]"));

/** @type {Waiting[]} */
const queue = [];
let isSending = false;
let refusals = 0;

if (form && list) {
  const chooser = /** @type {HTMLInputElement} */ (form.querySelector("input[type=file]"));
  chooser.addEventListener("change", () => {
    add([...(chooser.files ?? [])]);
    chooser.value = "";
  });
  for (const name of ["dragenter", "dragover"]) {
    form.addEventListener(name, (event) => {
      event.preventDefault();
      form.classList.add("is-over");
    });
  }
  form.addEventListener("dragleave", () => form.classList.remove("is-over"));
  form.addEventListener("drop", (event) => {
    event.preventDefault();
    form.classList.remove("is-over");
    add([...(event.dataTransfer?.files ?? [])]);
  });
}

/** @param {File[]} files */
function add(files) {
  for (const file of files) {
    const row = document.createElement("li");
    const name = document.createElement("strong");
    const words = document.createElement("span");
    const bar = document.createElement("progress");
    const stop = document.createElement("button");
    name.textContent = file.name;
    words.className = "small block";
    words.textContent = "waiting";
    bar.className = "progress";
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute("aria-label", file.name);
    stop.type = "button";
    stop.className = "button-quiet";
    stop.textContent = "Stop";
    row.append(name, words, bar, stop);
    list?.append(row);
    /** @type {Waiting} */
    const waiting = {
      file,
      id: crypto.randomUUID(),
      row,
      bar,
      words,
      stop,
      request: null,
      isStopped: false,
      hasEnded: false,
      isAsking: false,
    };
    stop.addEventListener("click", () => halt(waiting));
    queue.push(waiting);
  }
  void sendAll();
}

async function sendAll() {
  if (isSending) return;
  isSending = true;
  let taken = 0;
  for (let waiting = queue.shift(); waiting; waiting = queue.shift()) {
    if (waiting.isStopped) continue;
    if (await send(waiting)) taken += 1;
  }
  isSending = false;
  // The page is shown anew only when nothing is left to read on it.
  if (taken && !refusals) location.reload();
}

/**
 * @param {Waiting} waiting
 * @returns {Promise<boolean>} whether the photograph was taken
 */
function send(waiting) {
  const body = new FormData();
  body.append("upload_id", waiting.id);
  body.append("photograph", waiting.file);
  const request = new XMLHttpRequest();
  waiting.request = request;
  request.open("POST", form?.action ?? "");
  request.setRequestHeader("HX-Request", "true");
  request.upload.addEventListener("progress", (event) => {
    if (event.lengthComputable) show(waiting, "sending", (event.loaded / event.total) * 0.4);
  });
  return new Promise((resolve) => {
    const asking = setInterval(() => void ask(waiting), 500);
    request.addEventListener("loadend", () => {
      clearInterval(asking);
      waiting.hasEnded = true;
      // A button that goes takes the keyboard with it.
      if (document.activeElement === waiting.stop) form?.querySelector("input")?.focus();
      waiting.stop.remove();
      const isTaken = request.status >= 200 && request.status < 300;
      if (isTaken) show(waiting, "brought in", 1);
      else refuse(waiting, request.responseText);
      resolve(isTaken);
    });
    request.send(body);
  });
}

/**
 * How far the house is with it. One question at a time, and an answer that comes after the end changes nothing:
 * the last words stand.
 * @param {Waiting} waiting
 */
async function ask(waiting) {
  if (waiting.isAsking || waiting.bar.value < 0.4) return;
  waiting.isAsking = true;
  try {
    const answer = await fetch(`/uploads/${waiting.id}`);
    if (!answer.ok || answer.status === 204) return;
    const { doing, share } = await answer.json();
    if (waiting.hasEnded) return;
    show(waiting, waiting.isStopped ? "stopping" : doing, 0.4 + 0.6 * share);
    // The press may have come before the house had begun to read it.
    if (waiting.isStopped) await stopReading(waiting);
  } catch {
    // The request that sends it says what became of it; a question without an answer says nothing.
  } finally {
    waiting.isAsking = false;
  }
}

/** @param {Waiting} waiting */
function halt(waiting) {
  waiting.isStopped = true;
  waiting.stop.disabled = true;
  if (waiting.request && waiting.bar.value >= 0.4) {
    void stopReading(waiting);
    return;
  }
  waiting.request?.abort();
  waiting.bar.remove();
  waiting.words.textContent = "stopped; nothing of it was kept";
}

/** @param {Waiting} waiting */
async function stopReading(waiting) {
  // Without an answer the next question asks again; the end says what became of it.
  await fetch(`/uploads/${waiting.id}/stop`, { method: "POST" }).catch(() => null);
}

/**
 * @param {Waiting} waiting
 * @param {string} words
 * @param {number} share
 */
function show(waiting, words, share) {
  waiting.words.textContent = words;
  waiting.bar.value = share;
}

/**
 * @param {Waiting} waiting
 * @param {string} html our own part of a page, already escaped
 */
function refuse(waiting, html) {
  waiting.bar.remove();
  if (waiting.isStopped) {
    waiting.words.textContent = "stopped; nothing of it was kept";
    return;
  }
  refusals += 1;
  const part = new DOMParser().parseFromString(html, "text/html").querySelector(".notice");
  if (part) waiting.words.replaceWith(part);
  else waiting.words.textContent = "Softmend did not answer; nothing of it was kept";
}
