"""How much a crack or void holds, from its length, widths and depths, each with its uncertainty."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np

from softmend.errors import InputError
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array, Uncertain, stratified


class Section(StrEnum):
    """The shape taken for a crack across, or for a void down to its deepest place."""

    RECTANGLE = "rectangle"
    V = "V"
    LENS = "lens"


class Errors(StrEnum):
    """Whether the readings at the stations err together, as one person's guess does, or apart."""

    TOGETHER = "together"
    APART = "apart"


CRACK_SHARE: Mapping[Section, float] = {
    Section.RECTANGLE: 1.0,
    Section.V: 1 / 2,
    Section.LENS: 2 / 3,
}
"""Area of the section over width times depth; the lens is bounded by a parabola."""

VOID_SHARE: Mapping[Section, float] = {
    Section.RECTANGLE: 1.0,
    Section.V: 1 / 3,
    Section.LENS: 1 / 2,
}
"""Volume over area times greatest depth: flat bottom, cone on any outline, paraboloid."""

LENGTH, WIDTH, DEPTH, AREA, VOLUME = "length", "width", "depth", "area", "volume"


@dataclass(frozen=True, slots=True)
class Station:
    """A reading at a share of the way along a crack (0 to 1)."""

    along: float
    value: Uncertain


class Hollow(Protocol):
    """Something that can be filled."""

    def drawn(self, n: int, rng: np.random.Generator) -> tuple[Array, dict[str, Array]]:
        """Return n volumes [m3] and the draws of each source."""
        ...


@dataclass(frozen=True, slots=True)
class Crack:
    """A crack by its length [m], widths and depths [m] at stations, and its section.

    Between stations width and depth run straight; before the first and after the last they stay.
    """

    length: Uncertain
    widths: Sequence[Station]
    depths: Sequence[Station]
    section: Section
    widths_err: Errors = Errors.APART
    depths_err: Errors = Errors.TOGETHER

    def drawn(self, n: int, rng: np.random.Generator) -> tuple[Array, dict[str, Array]]:
        """Return n volumes [m3] and the draws of length, widths and depths [m]."""
        length = self.length.draw(n, rng)
        widths, depths = _profile(self.widths), _profile(self.depths)
        width_draws = _station_draws(widths, self.widths_err, n, rng)
        depth_draws = _station_draws(depths, self.depths_err, n, rng)
        mean_product = _mean_product(
            [s.along for s in widths], width_draws, [s.along for s in depths], depth_draws
        )
        volume = CRACK_SHARE[self.section] * length * mean_product
        return volume, {LENGTH: length, WIDTH: width_draws, DEPTH: depth_draws}


@dataclass(frozen=True, slots=True)
class Void:
    """A void by the area of its mouth [m2] and its greatest depth [m]."""

    area: Uncertain
    depth: Uncertain
    section: Section

    def drawn(self, n: int, rng: np.random.Generator) -> tuple[Array, dict[str, Array]]:
        """Return n volumes [m3] and the draws of area [m2] and depth [m]."""
        area, depth = self.area.draw(n, rng), self.depth.draw(n, rng)
        return VOID_SHARE[self.section] * area * depth, {AREA: area, DEPTH: depth}


@dataclass(frozen=True, slots=True)
class Measured:
    """A void whose volume [m3] was measured as such, on a scan."""

    volume: Uncertain

    def drawn(self, n: int, rng: np.random.Generator) -> tuple[Array, dict[str, Array]]:
        """Return n volumes [m3], never below zero, and the same as their one source."""
        volume = np.maximum(self.volume.draw(n, rng), 0.0)
        return volume, {VOLUME: volume}


def fill_volumes(
    hollows: Mapping[str, Hollow], n: int = 2000, seed: int = 0
) -> tuple[dict[str, Spread], Spread]:
    """Return the volume of each crack and void, and their total.

    Parameters
    ----------
    hollows : mapping, name to Crack, Void or Measured, at least one
    n : int, draws [1], 100 to 100 000
    seed : int, seed of the random numbers [1]

    Returns
    -------
    tuple, Spread by name and Spread of the total [m3]; hollows err apart from each other

    Raises
    ------
    InputError
        When there is nothing to fill or n is out of range.

    Source: jcgm101, section 7.
    Checked against: tests/science/test_fill.py.

    Example
    -------
    >>> box = Void(Uncertain.exact(1e-4), Uncertain.exact(0.01), Section.RECTANGLE)
    >>> each, total = fill_volumes({"7": box, "8": box})
    >>> round(each["7"].mean * 1e6, 6), round(total.mean * 1e6, 6)
    (1.0, 2.0)
    """
    if not hollows:
        raise InputError("There is nothing to fill", allowed="at least one crack or void")
    if not 100 <= n <= 100_000:
        raise InputError("The number of draws is out of range", value=n, allowed="100 to 100 000")
    rng = np.random.default_rng(seed)
    drawn = {name: hollow.drawn(n, rng) for name, hollow in hollows.items()}
    each = {name: spread(volume, sources) for name, (volume, sources) in drawn.items()}
    volumes = {name: volume for name, (volume, _) in drawn.items()}
    return each, spread(np.sum(list(volumes.values()), axis=0), volumes)


def _profile(stations: Sequence[Station]) -> list[Station]:
    ordered = sorted(stations, key=lambda station: station.along)
    if not ordered or not 0 <= ordered[0].along <= ordered[-1].along <= 1:
        raise InputError(
            "A crack needs a width and a depth at one station or more",
            value=[station.along for station in ordered],
            allowed="stations between both ends",
        )
    if any(station.value.band.low < 0 for station in ordered):
        raise InputError("A width or depth may be negative", allowed="0 or more")
    if len({station.along for station in ordered}) < len(ordered):
        raise InputError("Two stations stand at the same place", allowed="one reading a place")
    return ordered


def _station_draws(
    stations: Sequence[Station], errors: Errors, n: int, rng: np.random.Generator
) -> Array:
    """Return draws at each station, shape (n, k), never below zero."""
    if errors is Errors.TOGETHER:
        share = stratified(n, rng)
        columns = [station.value.quantile(share) for station in stations]
    else:
        columns = [station.value.draw(n, rng) for station in stations]
    return np.maximum(np.column_stack(columns), 0.0)


def _mean_product(
    width_at: Sequence[float], widths: Array, depth_at: Sequence[float], depths: Array
) -> Array:
    """Return the mean of width times depth along the crack: exact, by Simpson between stations."""
    cuts = np.unique(np.concatenate([[0.0, 1.0], width_at, depth_at]))
    middles = (cuts[1:] + cuts[:-1]) / 2

    def product(at: Array) -> Array:
        return _at(at, width_at, widths) * _at(at, depth_at, depths)

    ends = product(cuts)
    simpson = (ends[:, :-1] + 4 * product(middles) + ends[:, 1:]) / 6
    return np.asarray(simpson @ np.diff(cuts))


def _at(places: Array, stations: Sequence[float], draws: Array) -> Array:
    """Return a profile at places, straight between its stations, for every draw."""
    weights = [np.interp(places, stations, unit) for unit in np.eye(len(stations))]
    return np.asarray(draws @ np.array(weights))
