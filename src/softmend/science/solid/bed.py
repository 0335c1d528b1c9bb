"""A face of a support under an object: how deep it sinks in, how hard it presses, what touches."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from softmend.science.uncertain import Array


@dataclass(frozen=True, eq=False)
class Bed:
    """One face of a support under the object: gaps from its first touch and areas, by gap [m, m2].

    `places` (n, 3) are the places of the surface [m], `bedding` the modulus over thickness [Pa/m].
    """

    gaps: Array
    areas: Array
    places: Array
    bedding: float

    def sink(self, force: float | Array) -> Array:
        """Return how deep the object sinks into it [m] under a force square to it [N]."""
        area = np.cumsum(self.areas)
        moment = np.cumsum(self.areas * self.gaps)
        # The force at which the next part of the surface begins to touch.
        steps = self.gaps[1:] * area[:-1] - moment[:-1]
        wanted = np.asarray(force, dtype=np.float64) / self.bedding
        last = np.searchsorted(steps, wanted, side="left")
        return np.asarray((wanted + moment[last]) / area[last])

    def peak(self, force: float | Array) -> Array:
        """Return the greatest pressure [Pa] under a force [N]."""
        return self.bedding * self.sink(force)

    def touched(self, force: float) -> tuple[Array, float]:
        """Return the places that touch under a force, and their area [m2]."""
        touching = self.gaps <= self.sink(force)
        return self.places[touching], float(self.areas[touching].sum())


@dataclass(frozen=True, eq=False)
class Trough:
    """A support carved to the object: what it carries for each Pa at its lowest line [m2].

    `places` (n, 3) are the places of the surface on it [m], `area` theirs seen from below [m2].
    """

    bearing: float
    area: float
    places: Array
    bedding: float

    def sink(self, force: float | Array) -> Array:
        """Return how deep the object sinks into it [m] under a force [N]."""
        return self.peak(force) / self.bedding

    def peak(self, force: float | Array) -> Array:
        """Return the greatest pressure [Pa] under a force [N]."""
        return np.asarray(force, dtype=np.float64) / self.bearing

    def touched(self, _force: float) -> tuple[Array, float]:
        """Return the places that touch, and their area seen from below [m2]."""
        return self.places, self.area


@dataclass(frozen=True, eq=False)
class Footing:
    """A support at one place along an object, and the surface that it meets.

    `beds` are its faces (two for a V), each carrying `share` of the load. `low` is the lowest
    place of the object over it [m]; `apex` the lowest line of the support itself, where the flanks
    of a V meet [m]. `uneven` is how far the surface departs from an even one, up to down, `dip` the
    deepest place that it leaves free [m], and `dip_place` where; `unseen` and `other` the shares
    that the scan does not show, and where another part of the object hangs lower [1]. `slope` is
    that of the surface along the run [rad].
    """

    beds: tuple[Bed | Trough, ...]
    share: float
    low: Array
    apex: Array
    uneven: float
    dip: float
    dip_place: Array
    unseen: float
    other: float
    slope: float

    def peak(self, force: float | Array) -> Array:
        """Return the greatest pressure [Pa] under a force [N]."""
        return np.asarray(np.max([bed.peak(self.share * force) for bed in self.beds], axis=0))

    def sink(self, force: float) -> float:
        """Return how far the object sinks under a force [N], straight down [m]."""
        found = float(np.mean([bed.sink(self.share * force) for bed in self.beds]))
        # Into two flanks it sinks square to each; straight down that is farther.
        return found if len(self.beds) == 1 else found * 2 * self.share

    def touched(self, force: float) -> tuple[Array, float]:
        """Return the places that touch under a force [N], and their area [m2]."""
        found = [bed.touched(self.share * force) for bed in self.beds]
        return np.concatenate([one[0] for one in found]), float(sum(one[1] for one in found))


def even_surface(terms: Array, depths: Array) -> Array:
    """Return the weights of the even surface through depths; grooves and steps do not draw it.

    Parameters
    ----------
    terms : array (n, k), what the surface is made of at each place [1]
    depths : array (n,), how deep it lies there [m]

    Returns
    -------
    array (k,) [m]

    Source: own; least squares, three times over on what lies within three middle deviations.
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> x = np.linspace(-1, 1, 101)
    >>> depths = np.where(np.abs(x) < 0.1, 5.0, 1 + x)
    >>> even_surface(np.stack([np.ones(101), x], axis=1), depths).round(3).tolist()
    [1.0, 1.0]
    """
    used = np.ones(len(depths), dtype=bool)
    solved = np.asarray(np.zeros(terms.shape[1]))
    for _ in range(4):
        own = terms[used]
        solved = np.asarray(np.linalg.lstsq(own.T @ own, own.T @ depths[used], rcond=None)[0])
        off = np.abs(terms @ solved - depths)
        used = off <= 3 * float(np.median(off)) + 1e-12
    return np.asarray(solved)
