// SPDX-License-Identifier: Apache-2.0
/** Picks in the fields of the list: typed or set on the picture, three numbers a line. */
import { refusal, sendAnyhow } from "../http.js";

const DIGITS = 9;

/**
 * Return the places of a field, in the file's coordinates; a line that is no place is left out.
 * @param {HTMLTextAreaElement} field
 * @param {number} [numbers] of each place
 * @returns {number[][]}
 */
export function placesIn(field, numbers = 3) {
  return field.value
    .split("\n")
    .map((line) => line.replaceAll(",", " ").trim().split(/\s+/).map(Number))
    .filter((place) => place.length === numbers && place.every(Number.isFinite));
}

/**
 * Write places into a field as they are typed.
 * @param {HTMLTextAreaElement} field
 * @param {number[][]} places
 */
export function write(field, places) {
  field.value = places
    .map((place) => place.map((x) => String(Number(x.toPrecision(DIGITS)))).join(" "))
    .join("\n");
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/**
 * Take a pick to the measuring mesh and add it to a field; return the server's refusal or "".
 * @param {HTMLTextAreaElement} field
 * @param {string} url
 * @param {number[]} place
 */
export async function add(field, url, place) {
  const answer = await sendAnyhow("POST", url, { places: [place] });
  if (answer.status !== 200) return refusal(answer);
  const most = Number(field.dataset.most ?? 200);
  write(field, [...placesIn(field), ...answer.body.places].slice(-most));
  return "";
}
