// SPDX-License-Identifier: Apache-2.0
/** What every page holds to: one press sends once, a late answer changes nothing, an answer is shown. */

/**
 * @typedef {object} Asked one request of htmx, as its events carry it
 * @property {Element} sourceElement
 * @property {Element | null} [target]
 * @property {{method: string}} request
 * @property {Record<string, string>} [hx] what the answer's HX- headers say
 * @property {boolean} [keepIndicators] the answer leads to another page
 */

/** A hand that presses twice within this time meant it once [ms]. */
const TWICE_MS = 1000;
/** The next page is awaited this long; what the answer led to may also be a file to keep [ms]. */
const LEAVING_MS = 5000;

/** @type {WeakSet<Element>} what was sent and is not yet answered, or leads to the next page */
const sent = new WeakSet();

/** @param {string} name @param {(asked: Asked, event: Event) => void} does */
function when(name, does) {
  document.addEventListener(name, (event) => {
    does(/** @type {CustomEvent} */ (event).detail.ctx, event);
  });
}

// htmx would keep the second press waiting and send it after the first: an entry written twice.
when("htmx:config:request", ({ sourceElement, request }, event) => {
  if (request.method === "GET") return;
  if (sent.has(sourceElement)) event.preventDefault();
  else sent.add(sourceElement);
});

when("htmx:finally:request", ({ sourceElement, keepIndicators }) => {
  const release = () => sent.delete(sourceElement);
  if (keepIndicators) setTimeout(release, LEAVING_MS);
  else release();
});

window.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !(form instanceof HTMLFormElement) || form.method !== "post") return;
  if (sent.has(form)) {
    event.preventDefault();
    return;
  }
  sent.add(form);
  setTimeout(() => sent.delete(form), TWICE_MS);
});

// A place on the page that we are on: the browser would only scroll to it and show what was before.
when("htmx:after:request", ({ hx }) => {
  if (!hx?.redirect) return;
  const goal = new URL(hx.redirect, location.href);
  const isHere = goal.pathname === location.pathname && goal.search === location.search;
  if (!isHere || goal.hash === "") return;
  history.replaceState(history.state, "", goal);
  [hx.redirect, hx.refresh] = ["", "true"];
});

/** @type {WeakMap<Asked, string>} the part that had the keyboard when its answer came, by its id */
const hadKeyboard = new WeakMap();

when("htmx:before:swap", (asked, event) => {
  // Who asked is no longer on the page: something newer stands there.
  if (!asked.sourceElement.isConnected) event.preventDefault();
  const { target } = asked;
  if (target?.id && target.contains(document.activeElement)) hadKeyboard.set(asked, target.id);
});

// The button that was pressed may be gone with the old part: the keyboard goes on in the new one.
when("htmx:after:swap", (asked) => {
  const part = document.getElementById(hadKeyboard.get(asked) ?? "");
  if (part === null || document.activeElement !== document.body) return;
  if (!part.hasAttribute("tabindex")) part.tabIndex = -1;
  part.focus({ preventScroll: true });
});

export {};
