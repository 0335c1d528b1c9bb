// SPDX-License-Identifier: Apache-2.0
/** The one way our pages call their own server. */

const NOT_REACHED = "Softmend did not answer. See that its window is still open, then try again.";

/**
 * Send JSON and return the status and what came back; rejects only when the server is not reached.
 * @param {"PUT" | "POST" | "DELETE"} method
 * @param {string} url
 * @param {unknown} body
 * @param {AbortSignal} [signal]
 * @returns {Promise<{status: number, body: any}>}
 */
export async function send(method, url, body, signal) {
  const response = await fetch(url, {
    method,
    signal,
    headers: { "Content-Type": "application/json", "X-Softmend": "1" },
    body: JSON.stringify(body),
  });
  const text = await response.text();
  const isJson = response.headers.get("Content-Type")?.includes("json");
  return { status: response.status, body: isJson && text ? JSON.parse(text) : null };
}

/**
 * Send JSON as `send` does; where the server is not reached, the answer says so.
 * @param {"PUT" | "POST" | "DELETE"} method
 * @param {string} url
 * @param {unknown} body
 * @returns {Promise<{status: number, body: any}>}
 */
export function sendAnyhow(method, url, body) {
  return send(method, url, body).catch(() => ({ status: 0, body: { error: { sentence: NOT_REACHED } } }));
}

/**
 * Return the sentence of an error body, or one of our own.
 * @param {{status: number, body: any}} answer
 */
export function refusal(answer) {
  const said = answer.body?.error?.sentence;
  return typeof said === "string" ? said : `The server answered ${answer.status}.`;
}
