// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** A case's own record beside the computed one; drawn anew whenever the answer above it changes. */

/**
 * @typedef {object} Beside
 * @property {number[]} at_s
 * @property {number[]} room
 * @property {number[]} case_low
 * @property {number[]} case_typical
 * @property {number[]} case_high
 * @property {(number | null)[]} own_least
 * @property {(number | null)[]} own_most
 * @property {number} sensor
 */

/** @param {string} name */
function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/**
 * @param {(number | null)[]} values
 * @param {number} by
 */
function shifted(values, by) {
  return values.map((value) => (value === null ? null : value + by));
}

/** @param {number} at */
function month(at) {
  return new Date(at * 1000).toISOString().slice(0, 7);
}

/** @param {HTMLElement} figure */
async function draw(figure) {
  const place = /** @type {HTMLElement} */ (figure.querySelector("[data-plot=beside]"));
  const answer = await fetch(figure.dataset.beside ?? "", { headers: { accept: "application/json" } });
  if (!answer.ok) return;
  /** @type {Beside} */
  const found = await answer.json();
  if (!figure.isConnected) return;
  const accent = colour("--accent");
  const soft = colour("--accent-soft");
  const ink = colour("--ink-2");
  const warm = colour("--warm");
  const grid = { stroke: colour("--line"), width: 1 };
  const axis = { stroke: ink, grid, ticks: grid, font: "13px 'Source Sans 3'" };
  const hidden = { points: { show: false } };
  const plot = new uPlot(
    {
      width: place.clientWidth,
      height: 272,
      legend: { show: false },
      cursor: { drag: { x: false, y: false }, points: { show: false } },
      scales: { x: { time: true } },
      axes: [
        { ...axis, space: 80, values: (_plot, splits) => splits.map(month) },
        { ...axis, label: "%RH", labelFont: "13px 'Source Sans 3'", size: 52, labelSize: 18 },
      ],
      series: [
        {},
        { ...hidden, label: "less the sensor", stroke: soft, width: 1 },
        { ...hidden, label: "and the sensor", stroke: soft, width: 1 },
        { ...hidden, label: "read, least", stroke: accent, width: 1 },
        { ...hidden, label: "read, most", stroke: accent, width: 1 },
        { ...hidden, label: "the room", stroke: ink, width: 1, dash: [2, 3] },
        { ...hidden, label: "computed, low", stroke: warm, width: 2, dash: [6, 4] },
        { ...hidden, label: "computed, high", stroke: warm, width: 2, dash: [6, 4] },
        { ...hidden, label: "computed, typical", stroke: colour("--ink"), width: 2 },
      ],
      bands: [
        { series: [2, 1], fill: soft },
        { series: [4, 3], fill: accent },
      ],
    },
    /** @type {uPlot.AlignedData} */ ([
      found.at_s,
      shifted(found.own_least, -found.sensor),
      shifted(found.own_most, found.sensor),
      found.own_least,
      found.own_most,
      found.room,
      found.case_low,
      found.case_high,
      found.case_typical,
    ]),
    place,
  );
  new ResizeObserver(() => {
    if (place.clientWidth && place.clientWidth !== plot.width) {
      plot.setSize({ width: place.clientWidth, height: plot.height });
    }
  }).observe(figure);
}

/** Draw every figure that is new on the page. */
function drawNew() {
  for (const one of document.querySelectorAll("[data-beside]:not([data-drawn])")) {
    const figure = /** @type {HTMLElement} */ (one);
    figure.dataset.drawn = "";
    void draw(figure);
  }
}

// Whoever tries another case is not to lose it to the whole answer of the recorded one.
document.querySelector("#try")?.addEventListener("input", () => {
  document.querySelector("#whole")?.replaceChildren();
});

const told = document.querySelector("#told");
if (told) new MutationObserver(drawNew).observe(told, { childList: true, subtree: true });
drawNew();

export {};
