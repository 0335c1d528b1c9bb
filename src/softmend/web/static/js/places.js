// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** A place's record: least and most of each spell, fetched anew for every zoom; keys as well. */

/**
 * @typedef {object} Told
 * @property {number[]} at_s
 * @property {(number | null)[]} rh_low
 * @property {(number | null)[]} rh_high
 * @property {(number | null)[]} [degc_low]
 * @property {(number | null)[]} [degc_high]
 * @property {number} sensor
 * @property {number} start_s
 * @property {number} end_s
 * @property {{ at_s: number[], level: number[], low: number[], high: number[] }} band
 */

const DAY = 86400;

/** @param {string} name */
function colour(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/**
 * The nearest day of the band for each moment, or nothing where the band says nothing.
 * @param {number[]} moments
 * @param {number[]} days
 * @param {number[]} values
 */
function onMoments(moments, days, values) {
  let at = 0;
  return moments.map((moment) => {
    while (at + 1 < days.length && days[at + 1] <= moment) at += 1;
    return days.length && Math.abs(days[at] - moment) < 2 * DAY ? values[at] : null;
  });
}

/**
 * @param {(number | null)[]} values
 * @param {number} by
 */
function shifted(values, by) {
  return values.map((value) => (value === null ? null : value + by));
}

/**
 * @param {string} label
 * @param {Partial<uPlot.Series>} [more]
 * @returns {uPlot.Series}
 */
function line(label, more) {
  return { label, points: { show: false }, ...more };
}

/**
 * Words under the axis: the day and its hour, or the month and its year, as this house writes dates.
 * @param {(at: number) => Date} wall
 * @returns {uPlot.Axis.DynamicValues}
 */
function dates(wall) {
  const two = (/** @type {number} */ value) => String(value).padStart(2, "0");
  return (_plot, splits, _axis, _space, step) => {
    let before = "";
    return splits.map((at) => {
      const day = wall(at);
      const month = `${day.getFullYear()}-${two(day.getMonth() + 1)}`;
      const fine = step < DAY;
      const upper = fine ? `${two(day.getHours())}:${two(day.getMinutes())}` : two(day.getDate());
      const lower = fine ? `${month}-${two(day.getDate())}` : month;
      if (step >= 28 * DAY) return month;
      const words = lower === before ? upper : `${upper}\n${lower}`;
      before = lower;
      return words;
    });
  };
}

/** @param {HTMLElement} figure */
function draw(figure) {
  const address = figure.dataset.series ?? "";
  const shown = /** @type {HTMLElement} */ (figure.querySelector(".series-shown"));
  /** @type {uPlot[]} */
  let plots = [];
  /** @type {Told | null} */
  let told = null;
  let whole = [0, 0];
  let asked = 0;
  const zone = figure.dataset.zone || "Etc/UTC";
  const wall = (/** @type {number} */ at) => uPlot.tzDate(new Date(at * 1000), zone);

  /** @param {Told} found */
  function columns(found) {
    const { at_s: at, rh_low: low, rh_high: high, band } = found;
    const rh = [
      at,
      shifted(low, -found.sensor),
      shifted(high, found.sensor),
      low,
      high,
      onMoments(at, band.at_s, band.level),
      onMoments(at, band.at_s, band.low),
      onMoments(at, band.at_s, band.high),
    ];
    const degc = found.degc_low ? [at, found.degc_low, found.degc_high ?? []] : null;
    return { rh: /** @type {uPlot.AlignedData} */ (rh), degc: /** @type {any} */ (degc) };
  }

  /**
   * @param {HTMLElement} place
   * @param {string} unit
   * @param {number} height
   * @param {uPlot.Series[]} series
   * @param {uPlot.Band[]} bands
   * @param {uPlot.AlignedData} data
   */
  function plot(place, unit, height, series, bands, data) {
    const ink = colour("--ink-2");
    const grid = { stroke: colour("--line"), width: 1 };
    const axis = { stroke: ink, grid, ticks: grid, font: "13px 'Source Sans 3'" };
    const made = new uPlot(
      {
        width: place.clientWidth,
        height,
        series: [{}, ...series],
        bands,
        legend: { show: false },
        cursor: { drag: { x: true, y: false }, sync: { key: "place" }, points: { show: false } },
        scales: { x: { time: true } },
        tzDate: wall,
        axes: [{ ...axis, values: dates(wall), space: 64 }, { ...axis, label: unit, labelFont: "13px 'Source Sans 3'", size: 52, labelSize: 18 }],
        hooks: {
          setSelect: [
            (u) => {
              if (u.select.width < 4) return;
              const from = u.posToVal(u.select.left, "x");
              const to = u.posToVal(u.select.left + u.select.width, "x");
              u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
              void show(from, to);
            },
          ],
        },
      },
      data,
      place,
    );
    plots.push(made);
  }

  /** @param {Told} found */
  function first(found) {
    const accent = colour("--accent");
    const soft = colour("--accent-soft");
    const data = columns(found);
    const rh = /** @type {HTMLElement} */ (figure.querySelector("[data-plot=rh]"));
    plot(
      rh,
      "%RH",
      304,
      [
        line("less the sensor", { stroke: soft, width: 1 }),
        line("and the sensor", { stroke: soft, width: 1 }),
        line("least", { stroke: accent, width: 1 }),
        line("most", { stroke: accent, width: 1 }),
        line("level", { stroke: colour("--ink"), width: 2 }),
        line("band, low", { stroke: colour("--warm"), width: 2, dash: [6, 4] }),
        line("band, high", { stroke: colour("--warm"), width: 2, dash: [6, 4] }),
      ],
      [
        { series: [2, 1], fill: soft },
        { series: [4, 3], fill: accent },
      ],
      data.rh,
    );
    const degc = /** @type {HTMLElement} */ (figure.querySelector("[data-plot=degc]"));
    if (!data.degc) {
      degc.hidden = true;
      return;
    }
    const ink = colour("--ink-2");
    plot(
      degc,
      "°C",
      150,
      [line("least", { stroke: ink, width: 1 }), line("most", { stroke: ink, width: 1 })],
      [{ series: [2, 1], fill: ink }],
      data.degc,
    );
  }

  /**
   * @param {number | null} from
   * @param {number | null} to
   */
  async function show(from, to) {
    const turn = ++asked;
    const span = from === null || to === null ? "" : `&from_s=${from}&to_s=${to}`;
    const answer = await fetch(address + span, { headers: { accept: "application/json" } });
    if (!answer.ok || turn !== asked) return;
    /** @type {Told} */
    const found = await answer.json();
    if (turn !== asked) return;
    if (!told) {
      whole = [found.start_s, found.end_s];
      first(found);
    } else {
      const data = columns(found);
      plots[0]?.setData(data.rh);
      if (data.degc) plots[1]?.setData(data.degc);
    }
    told = found;
    const day = (/** @type {number} */ s) => new Date(s * 1000).toISOString().slice(0, 10);
    shown.textContent = `${day(found.start_s)} – ${day(found.end_s)}`;
  }

  /** @param {number} days */
  function span(days) {
    if (!told) return;
    if (days === 0) {
      void show(null, null);
      return;
    }
    const wide = Math.min(days * DAY, whole[1] - whole[0]);
    const middle = (told.start_s + told.end_s) / 2;
    const from = Math.max(whole[0], Math.min(middle - wide / 2, whole[1] - wide));
    void show(from, from + wide);
  }

  /** @param {number} steps */
  function step(steps) {
    if (!told) return;
    const wide = told.end_s - told.start_s;
    const from = Math.max(whole[0], Math.min(told.start_s + steps * wide, whole[1] - wide));
    void show(from, from + wide);
  }

  for (const button of figure.querySelectorAll("button")) {
    button.addEventListener("click", () => {
      if (button.dataset.days) span(Number(button.dataset.days));
      if (button.dataset.step) step(Number(button.dataset.step));
    });
  }
  new ResizeObserver(() => {
    for (const one of plots) {
      const place = one.root.parentElement;
      if (place?.clientWidth && place.clientWidth !== one.width) {
        one.setSize({ width: place.clientWidth, height: one.height });
      }
    }
  }).observe(figure);
  void show(null, null);
}

for (const figure of document.querySelectorAll("[data-series]")) {
  draw(/** @type {HTMLElement} */ (figure));
}

export {};
