"""A room's record run through many cases at once, and through the objects in them.

One exact exponential step a row, at that row's temperature: water is conserved, and no leak is too
fast. Rows are worked in blocks, so that ten years of a thousand cases fit the cache.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.climate.air import VAPOUR_GAS_CONSTANT, humidity
from softmend.science.climate.saturation import KELVIN, log_saturation
from softmend.science.climate.surface_film import WEAKEST, film_modes
from softmend.science.moisture.diffusion import Form, modes
from softmend.science.uncertain import Array

BLOCK = 16_384
"""Numbers in one block of rows: a few of them fit the processor's near memory."""
MODES = 12
TAPERED = 6
"""The last modes of the core are weighted down, so that their cutting off leaves no false wave."""
REFERENCE_DEGC = 20.0


@dataclass(frozen=True, slots=True)
class Room:
    """A room's record at even steps: step [s], humidity [%RH], temperature [degC], none missing."""

    step_s: float
    rh: Array
    temperature: Array


@dataclass(frozen=True, slots=True)
class Cases:
    """Cases, one a sample: air changes [1/s], buffer [kg/m3], what it takes up [kg/kg per %RH].

    `drift` is how far the buffer's humidity rises with temperature [%RH/K]; `warming` how much
    warmer than the room the case is [K]; `start` its humidity at first [%RH].
    """

    exchange: Array
    buffer: Array
    capacity: Array
    drift: Array
    warming: Array
    start: Array


@dataclass(frozen=True, slots=True)
class Bodies:
    """Objects, one a sample: form, size [m], diffusivity [m2/s], Biot number [1] or None (bare)."""

    form: Form
    size: Array
    diffusivity: Array
    biot: float | None = None
    # One Biot number for all samples: the roots of each would cost more than the run itself.


@dataclass(slots=True)
class Tally:
    """What is kept of a humidity over all rows, one number a sample [%RH; hours are rows]."""

    least: Array
    most: Array
    total: Array
    squares: Array
    rows_below: Array
    rows_above: Array
    rows: int = 0

    @property
    def mean(self) -> Array:
        """The mean over all rows [%RH]."""
        return np.asarray(self.total / self.rows)

    @property
    def sd(self) -> Array:
        """The standard deviation over all rows [%RH]."""
        return np.sqrt(np.maximum(self.squares / self.rows - self.mean**2, 0.0))


@dataclass(slots=True)
class Ran:
    """Tallies of the room in the case, of the object's places, and rows kept for a picture."""

    case: Tally
    surface: Tally | None = None
    mean: Tally | None = None
    core: Tally | None = None
    held_apart: Array | None = None
    """Largest mean minus surface: how much the surface is drier than the body [%RH]."""
    kept_rows: list[int] = field(default_factory=list)
    kept: dict[str, list[Array]] = field(default_factory=dict)


def case_humidity(room: Room, cases: Cases) -> Array:
    """Return the humidity in each case, one row a reading, one column a case.

    Parameters
    ----------
    room : Room, record of the room
    cases : Cases, one a sample

    Returns
    -------
    numpy array, rows by samples [%RH]

    Raises
    ------
    InputError
        When the record or a value is out of range.

    Source: softmend-climate, section 1.5, C3.
    Checked against: tests/checks/softmend-climate-oracle.csv.

    Example
    -------
    >>> one = np.ones(1)
    >>> still = Room(3600.0, np.full(3, 50.0), np.full(3, 20.0))
    >>> leaky = Cases(one / 3600, 0 * one, 0 * one, 0 * one, 0 * one, 40 * one)
    >>> case_humidity(still, leaky).round(2).ravel().tolist()
    [40.0, 46.32, 48.65]
    """
    _check(room, cases)
    return np.concatenate([block for _, block in _blocks(room, cases)])


def run_cases(
    room: Room,
    cases: Cases,
    bodies: Bodies | None = None,
    low: float = 40.0,
    high: float = 65.0,
    keep_every: int = 0,
) -> Ran:
    """Return what a room's record does in many cases, and to the objects in them.

    Parameters
    ----------
    room : Room, record of the room
    cases : Cases, one a sample
    bodies : Bodies or None, the objects, one a sample
    low : float, rows below it are counted [%RH]
    high : float, rows above it are counted [%RH]
    keep_every : int, every so many rows all samples are kept for a picture; 0 keeps none [1]

    Returns
    -------
    Ran, tallies and kept rows [%RH]

    Raises
    ------
    InputError
        When the record or a value is out of range.

    Source: softmend-climate, section 1.5, C3; crank1975, equation 5.22.
    Checked against: tests/science/climate/test_case_run.py.

    Example
    -------
    >>> one = np.ones(1)
    >>> still = Room(3600.0, np.full(30, 50.0), np.full(30, 20.0))
    >>> tight = Cases(one / 86400, 0 * one, 0 * one, 0 * one, 2 * one, 50 * one)
    >>> float(run_cases(still, tight).case.most[0].round(1))
    50.0
    """
    _check(room, cases)
    samples = cases.exchange.size
    body = _Body(bodies, room.step_s, samples) if bodies is not None else None
    ran = Ran(_tally(samples))
    if body is not None:
        ran.surface, ran.mean, ran.core = (_tally(samples) for _ in range(3))
        ran.held_apart = np.full(samples, -np.inf)
    for first, block in _blocks(room, cases):
        places = {"case": block}
        if body is not None:
            places |= body.through(block)
        _count(ran, places, low, high)
        if keep_every:
            for row in range(-first % keep_every, len(block), keep_every):
                ran.kept_rows.append(first + row)
                for name, values in places.items():
                    ran.kept.setdefault(name, []).append(values[row].copy())
    return ran


def saturation_density(temperature_degc: ArrayLike) -> Array:
    """Return the vapour in air that can hold no more, for each %RH that it then has: 100.

    Parameters
    ----------
    temperature_degc : float or array, of the air [degC], -40 to 100

    Returns
    -------
    numpy array, density for each %RH [kg/m3]

    Source: derived from the ideal gas.
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(1e5 * float(saturation_density(20.0)), 2)
    17.29
    """
    t = np.asarray(temperature_degc, dtype=np.float64)
    return np.asarray(np.exp(log_saturation(t)) / (100 * VAPOUR_GAS_CONSTANT * (t + KELVIN)))


def _blocks(room: Room, cases: Cases) -> Iterator[tuple[int, Array]]:
    """Yield the first row and the humidity of each block of rows."""
    samples = cases.exchange.size
    held = cases.buffer * cases.capacity
    tilt = held * cases.drift
    vapour = humidity(room.rh) * saturation_density(room.temperature)
    warm = room.temperature[:1, None] + cases.warming
    water = saturation_density(warm[0]) * cases.start + held * cases.start
    water -= tilt * (warm[0] - REFERENCE_DEGC)
    yield 0, cases.start[None, :].copy()
    rows = max(4, BLOCK // samples)
    for first in range(1, room.rh.size, rows):
        part = slice(first, min(first + rows, room.rh.size))
        before = slice(first - 1, part.stop - 1)
        warm = room.temperature[part, None] + cases.warming
        air = saturation_density(warm)
        whole = air + held
        offset = tilt * (warm - REFERENCE_DEGC)
        x = (cases.exchange * room.step_s) * air / whole
        kept = np.exp(-x)
        lost = -np.expm1(-x)
        share = np.divide(lost, x, out=np.ones_like(x), where=x > 0)
        gain = whole / air
        pushed = ((1 - share) * vapour[part, None] + (share - kept) * vapour[before, None]) * gain
        pushed -= lost * offset
        for row in range(len(kept)):
            water = kept[row] * water + pushed[row]
            pushed[row] = water
        # More vapour than the air can hold is dew on the glass: the case stays at 100.
        yield first, np.minimum((pushed + offset) / whole, 100.0)


class _Body:
    """The modes of many objects, carried from block to block."""

    def __init__(self, bodies: Bodies, step_s: float, samples: int) -> None:
        """Take the first modes, those of the core weighted down towards the last."""
        rates, weights = _weights(bodies)
        pace = np.outer(rates, bodies.diffusivity / bodies.size**2) * step_s
        self.kept = np.exp(-pace)
        self.gained = -np.expm1(-pace) / pace
        self.weights = weights
        self.behind = np.zeros((rates.size, samples))
        self.last: Array | None = None

    def through(self, block: Array) -> dict[str, Array]:
        """Return surface, mean and core while the air runs through a block."""
        start = block[0] if self.last is None else self.last
        rises = np.diff(block, axis=0, prepend=start[None, :])
        found = np.empty((len(self.weights), *block.shape))
        pushed = np.empty_like(self.behind)
        for row in range(len(block)):
            np.multiply(self.gained, rises[row], out=pushed)
            self.behind *= self.kept
            self.behind += pushed
            found[:, row] = self.weights @ self.behind
        self.last = block[-1].copy()
        mean, core = block - found[0], block - found[1]
        surface = block - found[2] if len(found) > 2 else block
        return {"surface": surface, "mean": mean, "core": core}


def _weights(bodies: Bodies) -> tuple[Array, Array]:
    taper = np.ones(MODES)
    taper[-TAPERED:] = _fading(TAPERED)
    if bodies.biot is None:
        rates, mean, core = (part[:MODES] for part in modes(bodies.form))
        return rates, np.array([mean, core * taper])
    found = film_modes(bodies.form, max(bodies.biot, WEAKEST), MODES)
    return found.rates, np.array([found.mean, found.core * taper, found.surface])


def _fading(count: int) -> Array:
    """Return weights that sum an alternating row as Euler does: halves of halves."""
    chances = np.array([1.0])
    for _ in range(count):
        chances = np.convolve(chances, [0.5, 0.5])
    return np.asarray(1 - np.cumsum(chances)[:-1])


def _tally(samples: int) -> Tally:
    def none() -> Array:
        return np.zeros(samples)

    return Tally(none() + np.inf, none() - np.inf, none(), none(), none(), none())


def _count(ran: Ran, places: dict[str, Array], low: float, high: float) -> None:
    for name, values in places.items():
        tally: Tally = getattr(ran, name)
        np.minimum(tally.least, values.min(axis=0), out=tally.least)
        np.maximum(tally.most, values.max(axis=0), out=tally.most)
        tally.total += values.sum(axis=0)
        tally.rows += len(values)
        if name in {"case", "mean"}:
            tally.squares += np.einsum("ij,ij->j", values, values)
            tally.rows_below += (values < low).sum(axis=0)
            tally.rows_above += (values > high).sum(axis=0)
    if ran.held_apart is not None:
        apart = (places["mean"] - places["surface"]).max(axis=0)
        np.maximum(ran.held_apart, apart, out=ran.held_apart)


def _check(room: Room, cases: Cases) -> None:
    humidity(room.rh)
    if room.rh.shape != room.temperature.shape or room.rh.size < 2 or not room.step_s > 0:
        raise InputError("A room's record cannot be used", allowed="two readings or more")
    warm = room.temperature[:, None] + np.array([cases.warming.min(), cases.warming.max()])
    if not np.all((warm >= -40) & (warm <= 100)):
        raise InputError("A temperature is out of range", allowed="-40 to 100 °C")
    humidity(cases.start)
    sizes = {one.shape for one in (cases.exchange, cases.buffer, cases.capacity, cases.drift)}
    if len(sizes | {cases.warming.shape, cases.start.shape}) != 1:
        raise InputError("The cases are not as many in every value")
    if not np.all((cases.exchange >= 0) & (cases.buffer >= 0) & (cases.capacity >= 0)):
        raise InputError("Exchange, buffer and capacity cannot be negative")
