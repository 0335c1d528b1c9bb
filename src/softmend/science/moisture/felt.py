"""How far an object itself moves through a record of the air, when its diffusivity is uncertain."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.moisture.diffusion import Form, response
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Uncertain

NODES = 17
HALF_TIME = {Form.SLAB: 0.04918, Form.CYLINDER: 0.06306}
"""D t over size squared at which half a step has been taken up on the mean (Crank)."""


@dataclass(frozen=True, slots=True)
class Felt:
    """The largest fall and rise of the object's mean from a start [%RH], and its half time [s]."""

    fall: Spread
    rise: Spread
    half_time: Spread


def felt_swings(
    form: Form,
    rh_percent: ArrayLike,
    step_s: float,
    size: Uncertain,
    diffusivity: Uncertain,
    placed_percent: float,
    n: int = 4000,
    seed: int = 0,
) -> Felt:
    """Return how far the mean moisture of a body falls and rises through a record of the air.

    Parameters
    ----------
    form : Form, slab or cylinder
    rh_percent : array, readings at even steps [%], 0 to 100, at least two
    step_s : float, time between readings [s], above 0
    size : Uncertain, thickness of the slab or radius of the cylinder [m], above 0
    diffusivity : Uncertain, moisture diffusivity across [m2/s], above 0
    placed_percent : float, humidity from which fall and rise are counted [%], 0 to 100
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Felt, swings as humidity in equilibrium [%RH] and half time of a step [s]

    Raises
    ------
    InputError
        When a value or the record is out of range.

    Source: crank1975 (see `response`); jcgm101, section 7.
    Checked against: tests/science/moisture/test_felt.py.

    Example
    -------
    >>> air = 50 + 10 * np.sin(np.arange(730) / 730 * 4 * np.pi)
    >>> found = felt_swings(
    ...     Form.SLAB, air, 86400.0, Uncertain.exact(0.002), Uncertain.exact(1e-11), 50.0
    ... )
    >>> round(found.fall.mean, 1)
    10.0
    """
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    if not 0 <= placed_percent <= 100:
        raise InputError(
            "A relative humidity is out of range", value=placed_percent, allowed="0 to 100 %"
        )
    rng = np.random.default_rng(seed)
    draws = {"size": size.draw(n, rng), "diffusivity": diffusivity.draw(n, rng)}
    if not all(np.all(values > 0) for values in draws.values()):
        raise InputError("Size and diffusivity must be positive in every draw")
    pace = np.log(draws["diffusivity"] / draws["size"] ** 2)
    nodes = np.unique(np.linspace(pace.min(), pace.max(), NODES))
    means = [response(form, rh_percent, step_s, 1.0, float(np.exp(one))).mean for one in nodes]
    # Between paces the swing runs smoothly: from nothing, too slow, to that of the air.
    falls, rises = (
        np.interp(
            pace, nodes, [max(0.0, float(np.max(sign * (placed_percent - m)))) for m in means]
        )
        for sign in (1, -1)
    )
    return Felt(
        spread(falls, draws), spread(rises, draws), spread(HALF_TIME[form] / np.exp(pace), draws)
    )
