"""Samples of a case that is not well known, run together; bands and what drives them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.case_run import Bodies, Cases, Ran, Room, Tally, run_cases
from softmend.science.climate.showcase import time_constant
from softmend.science.moisture.diffusion import Form
from softmend.science.uncertain import HIGH, LOW, Array, Uncertain

KEPT_ROWS = 370
YEAR_H = 8766.0


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a case: exchange [1/s], buffer [kg/m3], capacity [kg/kg per %RH].

    `drift`: of the buffer's humidity with temperature [%RH/K]; `warming`: case minus room [K].
    """

    exchange_per_s: Uncertain
    buffer_kg_m3: float
    capacity: Uncertain
    drift: Uncertain
    warming: Uncertain


@dataclass(frozen=True, slots=True)
class Sampled:
    """A run of many samples, the draws that went in by name, and the half-times [s]."""

    ran: Ran
    draws: dict[str, Array]
    half_time_s: Array


def run_samples(
    room: tuple[Array, Array, float],
    case: Known,
    body: tuple[Form, Uncertain, Uncertain, float] | None,
    start_percent: float,
    limits: tuple[float, float],
    samples: int,
    seed: int,
) -> Sampled:
    """Return many samples of a case, and of the object in it, through a room's record.

    Parameters
    ----------
    room : tuple of humidity [%RH], temperature [degC] and step [s]
    case : Known, what is known of the case
    body : tuple of form, size [m], diffusivity [m2/s] and Biot number [1], or None
    start_percent : float, humidity of the case at first [%]
    limits : tuple of floats, rows below and above are counted [%RH]
    samples : int, how many [1], 10 to 10 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Sampled, tallies [%RH], draws and half-times [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-climate, sections 1.5 and 3; jcgm101, section 7.
    Checked against: tests/science/climate/test_case_run.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> case = Known(exact(1 / 86400), 0.0, exact(0.0), exact(0.2), exact(0.0))
    >>> still = (np.full(50, 50.0), np.full(50, 20.0), 3600.0)
    >>> found = run_samples(still, case, None, 50.0, (40.0, 65.0), 10, 0)
    >>> round(float(found.half_time_s[0]) / 86400, 2)
    0.69
    """
    if not 10 <= samples <= 10_000:
        raise InputError(
            "The number of samples is out of range", value=samples, allowed="10 to 10 000"
        )
    rng = np.random.default_rng(seed)
    named = {
        "air exchange": case.exchange_per_s,
        "capacity of the buffer": case.capacity,
        "drift of the buffer": case.drift,
        "case warmer than room": case.warming,
    }
    if body is not None:
        named |= {"size of the object": body[1], "diffusivity of the object": body[2]}
    draws = {name: value.draw(samples, rng) for name, value in named.items()}
    if np.any(draws["air exchange"] <= 0):
        raise InputError("An air exchange may be zero or less", allowed="above 0 in every draw")
    buffer = np.full(samples, case.buffer_kg_m3)
    cases = Cases(
        draws["air exchange"],
        buffer,
        draws["capacity of the buffer"],
        draws["drift of the buffer"],
        draws["case warmer than room"],
        np.full(samples, start_percent),
    )
    bodies = None
    if body is not None:
        bodies = Bodies(
            body[0], draws["size of the object"], draws["diffusivity of the object"], body[3]
        )
    every = max(1, math.ceil(room[0].size / KEPT_ROWS))
    ran = run_cases(Room(room[2], room[0], room[1]), cases, bodies, *limits, every)
    lag = time_constant(cases.exchange, buffer, cases.capacity)
    varying = {name: values for name, values in draws.items() if np.ptp(values) > 0}
    return Sampled(ran, varying, math.log(2) * lag)


def kept_bands(rows: Sequence[ArrayLike]) -> Array:
    """Return the 5, 50 and 95 % points of each kept row of samples.

    Parameters
    ----------
    rows : sequence of arrays, samples at one moment each [%RH]

    Returns
    -------
    numpy array, one row a moment, three columns [%RH]

    Source: own.
    Checked against: tests/science/climate/test_case_run.py.

    Example
    -------
    >>> kept_bands([[50.0, 50.0], [40.0, 60.0]])[:, 1].tolist()
    [50.0, 50.0]
    """
    return np.asarray(np.quantile(np.asarray(rows), (LOW, 0.5, HIGH), axis=1).T)


def rows_to_hours(rows: Array, tally: Tally, step_s: float) -> Array:
    """Return counted rows as hours of a year.

    Parameters
    ----------
    rows : numpy array, rows counted in each sample [1]
    tally : Tally, that they were counted in
    step_s : float, step of the record [s], above 0

    Returns
    -------
    numpy array, hours of a year [h]

    Raises
    ------
    InputError
        When the step is not positive.

    Source: own.
    Checked against: tests/science/climate/test_case_run.py.

    Example
    -------
    >>> none = np.zeros(1)
    >>> rows_to_hours(np.array([50.0]), Tally(none, none, none, none, none, none, 100), 3600.0)
    array([4383.])
    """
    if not step_s > 0:
        raise InputError("A step is not positive", value=step_s)
    return np.asarray(YEAR_H * rows / tally.rows)
