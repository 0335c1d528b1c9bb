"""A thousand showcases through ten years of hourly readings, each with the object inside.

Target: 8 s of processor time, all cores added up. Compared, in one run, with a general integrator
(LSODA of scipy) that solves the same equations sample by sample to the same 0.002 %RH; it runs few
samples over few weeks and is scaled up.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
import time

import numpy as np
from scipy.integrate import solve_ivp

from softmend.science.climate.case_run import (
    MODES,
    REFERENCE_DEGC,
    Bodies,
    Cases,
    Room,
    run_cases,
    saturation_density,
)
from softmend.science.moisture.diffusion import Form, modes

TARGET_S, TARGET_RATIO, AGREE = 8.0, 500.0, 2e-3
SAMPLES, YEARS, HOUR, DAY = 1000, 10, 3600.0, 86400.0
COMPARED_SAMPLES, COMPARED_DAYS = 3, 100


def room(hours: int) -> Room:
    """Return an invented room: season, day and weather."""
    rng = np.random.default_rng(0)
    days = np.arange(hours) / 24
    weather = np.zeros(hours)
    push = rng.normal(0, 5 * np.sqrt(1 - np.exp(-2 / 72)), hours)
    for i in range(1, hours):
        weather[i] = weather[i - 1] * np.exp(-1 / 72) + push[i]
    rh = 48 + 12 * np.sin(2 * np.pi * days / 365) + 3 * np.sin(2 * np.pi * days) + weather
    warm = 20 + 2 * np.sin(2 * np.pi * days / 365) + np.sin(2 * np.pi * days)
    return Room(HOUR, np.clip(rh, 2, 98), warm)


def samples() -> tuple[Cases, Bodies]:
    """Return cases and objects that nobody has measured well."""
    rng = np.random.default_rng(1)
    cases = Cases(
        0.5 / DAY * np.exp(rng.normal(0, 0.8, SAMPLES)),
        rng.uniform(2, 8, SAMPLES),
        np.full(SAMPLES, 2e-3),
        rng.uniform(0.1, 0.35, SAMPLES),
        rng.uniform(0, 2, SAMPLES),
        np.full(SAMPLES, 48.0),
    )
    return cases, Bodies(
        Form.CYLINDER, np.full(SAMPLES, 0.03), 5e-11 * np.exp(rng.normal(0, 0.7, SAMPLES))
    )


def integrated(air: Room, cases: Cases, bodies: Bodies, sample: int) -> float:
    """Solve one sample by the general integrator and return the mean of the object at the end."""
    rates, weights, _ = (part[:MODES] for part in modes(Form.CYLINDER))
    pace = rates * bodies.diffusivity[sample] / bodies.size[sample] ** 2
    hours = np.arange(air.rh.size) * HOUR
    vapour = air.rh * saturation_density(air.temperature)
    held = cases.buffer[sample] * cases.capacity[sample]
    drift, warming = cases.drift[sample], cases.warming[sample]

    def flow(at: float, state: np.ndarray) -> np.ndarray:
        warm = np.interp(at, hours, air.temperature) + warming
        full = float(saturation_density(warm))
        inside = (state[0] + held * drift * (warm - REFERENCE_DEGC)) / (full + held)
        outside = np.interp(at, hours, vapour)
        found = np.empty_like(state)
        found[0] = cases.exchange[sample] * (outside - full * inside)
        found[1:] = pace * (inside - state[1:])
        return found

    warm = air.temperature[0] + warming
    water = 48 * (float(saturation_density(warm)) + held) - held * drift * (warm - REFERENCE_DEGC)
    start = np.concatenate([[water], np.full(MODES, 48.0)])
    ended = solve_ivp(
        flow, (0, hours[-1]), start, method="LSODA", rtol=1e-6, atol=1e-8, max_step=HOUR
    )
    warm = air.temperature[-1] + warming
    full = float(saturation_density(warm))
    inside = (ended.y[0, -1] + held * drift * (warm - REFERENCE_DEGC)) / (full + held)
    # What the modes leave out of the mean is with the air of the case, here as there.
    return float(weights @ ended.y[1:, -1] + (1 - weights.sum()) * inside)


def main() -> int:
    """Measure both ways, print them, and return 1 when a target is missed."""
    cases, bodies = samples()
    long, short = room(YEARS * 365 * 24), room(COMPARED_DAYS * 24)
    near = run_cases(short, cases, bodies, keep_every=1).kept["mean"][-1][:COMPARED_SAMPLES]
    started = time.process_time()
    ran = run_cases(long, cases, bodies)
    ours = time.process_time() - started
    started = time.process_time()
    other = [integrated(short, cases, bodies, sample) for sample in range(COMPARED_SAMPLES)]
    share = COMPARED_SAMPLES * COMPARED_DAYS / (SAMPLES * YEARS * 365)
    theirs = (time.process_time() - started) / share
    apart = float(np.max(np.abs(near - other)))
    lowest = float(np.median(ran.case.least))
    sys.stdout.write(
        f"{SAMPLES} cases x {YEARS} years hourly: {ours:.1f} s of processor time (target "
        f"{TARGET_S:.0f} s), median of the lowest humidity {lowest:.1f} %; a general integrator "
        f"{theirs / 3600:.1f} h, {theirs / ours:.0f} times as long (target {TARGET_RATIO:.0f}); "
        f"largest difference {apart:.1g} %RH\n"
    )
    return int(ours > TARGET_S or theirs / ours < TARGET_RATIO or apart > AGREE)


if __name__ == "__main__":
    raise SystemExit(main())
