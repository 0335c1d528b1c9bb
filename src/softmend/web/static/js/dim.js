// SPDX-License-Identifier: Apache-2.0
/** The dark room: a button anywhere dims the page, and it stays dim for this sitting. */

const KEY = "softmend-mode";
const root = document.documentElement;

/** Take up what was chosen, and listen for `data-command="dim"`. */
export function startDim() {
  const chosen = sessionStorage.getItem(KEY);
  if (chosen !== null) root.dataset.mode = chosen;
  show();
  document.addEventListener("click", ({ target }) => {
    if (!(target instanceof Element) || !target.closest('[data-command="dim"]')) return;
    root.dataset.mode = root.dataset.mode === "dim" ? "light" : "dim";
    sessionStorage.setItem(KEY, root.dataset.mode);
    show();
  });
}

function show() {
  const isDim = root.dataset.mode === "dim";
  for (const button of document.querySelectorAll('[data-command="dim"]')) {
    button.setAttribute("aria-pressed", String(isDim));
  }
}
