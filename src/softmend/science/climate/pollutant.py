"""Gases in a case, both ways: a tight case keeps the room's gases out, and its own in."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


def share_from_room(
    exchange_per_s: ArrayLike, deposition_m_s: ArrayLike, surface_per_m: ArrayLike
) -> Array:
    """Return the share of the room's gas that stands in the case when both have settled.

    Parameters
    ----------
    exchange_per_s : float or array, air changes [1/s], 0 or more
    deposition_m_s : float or array, speed with which surfaces take the gas up [m/s], 0 or more
    surface_per_m : float or array, surface in each volume of the case [m2/m3], 0 or more

    Returns
    -------
    numpy array, share [1]

    Raises
    ------
    InputError
        When a value is negative, or nothing goes in or out.

    Source: softmend-climate, section 1.7, P1.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(float(share_from_room(1 / 86400, 1.3 / 3600, 6)), 4)
    0.0053
    """
    exchange, sink = _rates(exchange_per_s, deposition_m_s, surface_per_m)
    return np.asarray(exchange / (exchange + sink))


def concentration(
    exchange_per_s: ArrayLike,
    emission_kg_m2_s: ArrayLike,
    source_per_m: ArrayLike,
    deposition_m_s: ArrayLike,
    surface_per_m: ArrayLike,
    room_kg_m3: ArrayLike = 0.0,
) -> Array:
    """Return the gas in a case that gives off some of its own, when all has settled.

    Parameters
    ----------
    exchange_per_s : float or array, air changes [1/s], 0 or more
    emission_kg_m2_s : float or array, given off by the source [kg/(m2 s)], 0 or more
    source_per_m : float or array, surface of the source in each volume [m2/m3], 0 or more
    deposition_m_s : float or array, speed with which surfaces take the gas up [m/s], 0 or more
    surface_per_m : float or array, surface in each volume of the case [m2/m3], 0 or more
    room_kg_m3 : float or array, gas in the room [kg/m3], 0 or more

    Returns
    -------
    numpy array, concentration [kg/m3]

    Raises
    ------
    InputError
        When a value is negative, or nothing goes out.

    Source: softmend-climate, section 1.7, P2.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> found = concentration(1 / 86400, 1e-8 / 3600, 2, 0.01 / 3600, 6)
    >>> round(1e9 * float(found))
    197
    """
    exchange, sink = _rates(exchange_per_s, deposition_m_s, surface_per_m)
    given = np.asarray(emission_kg_m2_s) * np.asarray(source_per_m)
    if not (np.all(given >= 0) and np.all(np.asarray(room_kg_m3) >= 0)):
        raise InputError("An emission or a concentration is negative", allowed="0 or more")
    return np.asarray((given + exchange * np.asarray(room_kg_m3)) / (exchange + sink))


def _rates(
    exchange_per_s: ArrayLike, deposition_m_s: ArrayLike, surface_per_m: ArrayLike
) -> tuple[Array, Array]:
    exchange, speed, surface = (
        np.asarray(v, dtype=np.float64) for v in (exchange_per_s, deposition_m_s, surface_per_m)
    )
    sink = np.asarray(speed * surface)
    if not (np.all(exchange >= 0) and np.all(speed >= 0) and np.all(surface >= 0)):
        raise InputError("Exchange, deposition and surface cannot be negative", allowed="0 or more")
    if not np.all(exchange + sink > 0):
        raise InputError("Nothing takes the gas out of the case: it would rise without end")
    return exchange, sink
