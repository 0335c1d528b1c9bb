"""A body without a middle line on three pads or more: its whole lower surface, and where to stand.

Nothing bends here: the body is rigid, each pad is as high as the surface over it asks for.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.bed import Bed, Footing, Trough, even_surface
from softmend.science.solid.holding import Plumb
from softmend.science.solid.mesh import Flags, Mesh
from softmend.science.solid.underside import lowest
from softmend.science.uncertain import Array

CELLS, TRIED = 180, 56
"""Cells across the body from below, and about how many places for a pad are tried together."""


@dataclass(frozen=True, eq=False)
class Below:
    """A whole body seen from below, on a square grid about its plumb line.

    `x` and `y` are the lines of the grid [m], `deep` (len(x), len(y)) how far below the centre of
    gravity the surface lies, nan where there is none [m]; `is_open` where the scan has a hole.
    """

    plumb: Plumb
    x: Array
    y: Array
    deep: Array
    is_open: Flags
    edge: float

    @property
    def cell(self) -> float:
        """How far the lines of the grid lie apart [m]."""
        return float(self.x[1] - self.x[0])

    def places(self, rows: slice, columns: slice) -> Array:
        """Return places of the surface in space [m]."""
        x, y = np.meshgrid(self.x[rows], self.y[columns], indexing="ij")
        level = self.plumb.level
        return np.asarray(
            self.plumb.centre
            + x[..., None] * level[0]
            + y[..., None] * level[1]
            + self.deep[rows, columns, None] * self.plumb.down
        )


def seen_below(mesh: Mesh, plumb: Plumb) -> Below:
    """Return the lower surface of a whole body, measured from below.

    Parameters
    ----------
    mesh : Mesh, faces running outward [m]
    plumb : Plumb, down and centre of gravity [m]

    Returns
    -------
    Below [m]

    Source: softmend-solids, section 5b (rays up from each pad).
    Checked against: tests/science/solid/test_stance.py.

    Example
    -------
    >>> corners = np.array([[0, 0, 0], [2, 0, 0], [0, 2, 0], [0, 0, 2.0]])
    >>> tetra = Mesh(corners, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]))
    >>> below = seen_below(tetra, Plumb(np.array([0, 0, -1.0]), np.full(3, 0.5), 0.0))
    >>> round(float(np.nanmax(below.deep)), 6)
    0.5
    """
    plan = plumb.seen_from_above(mesh.points[np.unique(mesh.faces)])
    low, high = plan.min(axis=0), plan.max(axis=0)
    cell = max(float((high - low).max()) / CELLS, 1e-9)
    lines = [low[k] + cell * (np.arange(max(round((high[k] - low[k]) / cell), 2)) + 0.5)
             for k in (0, 1)]  # fmt: skip
    grid = np.stack(np.meshgrid(*lines, indexing="ij"), axis=-1)
    starts = plumb.centre + grid.reshape(-1, 2) @ plumb.level
    ways = np.broadcast_to(plumb.down, starts.shape)
    deep, is_open = lowest(mesh, starts, ways)
    shape = grid.shape[:2]
    deep, is_open = deep.reshape(shape), is_open.reshape(shape)
    return Below(
        plumb, lines[0], lines[1], np.where(is_open, np.nan, deep), is_open, mesh.mean_edge
    )


def body_footing(
    below: Below, middle: Array, size: tuple[float, float], bedding: float,
    carved_to: float | None = None,
) -> Footing:  # fmt: skip
    """Return what a level pad under a body meets, or one that is carved to its surface.

    Parameters
    ----------
    below : Below, the body from below [m]
    middle : array (2,), of the pad from above, from the plumb line [m]
    size : two floats, of the pad in the grid's directions [m], above 0
    bedding : float, modulus over thickness of the pad [Pa/m], above 0
    carved_to : float or None, the slope up to which the pad follows the surface [rad]; None is flat

    Returns
    -------
    Footing

    Raises
    ------
    InputError
        When the scan shows nothing of the underside there.

    Source: softmend-solids, section 5b (elastic foundation under the real underside).
    Checked against: tests/science/solid/test_stance.py.

    Example
    -------
    >>> grid = (np.arange(10) + 0.5) * 0.01
    >>> plumb = Plumb(np.array([0, 0, -1.0]), np.zeros(3), 0.0)
    >>> flat = Below(plumb, grid, grid, np.full((10, 10), 0.2), np.zeros((10, 10), bool), 1e-3)
    >>> foot = body_footing(flat, np.array([0.05, 0.05]), (0.02, 0.02), 1e6)
    >>> round(float(foot.peak(4.0)))
    10000
    """
    rows, columns = (
        slice(*np.searchsorted(line, (middle[k] - size[k] / 2, middle[k] + size[k] / 2)))
        for k, line in enumerate((below.x, below.y))
    )
    deep = below.deep[rows, columns]
    met = np.isfinite(deep)
    if not met.any():
        raise InputError(
            "The scan shows no lower surface over a pad",
            value=f"{1e3 * middle[0]:.0f}, {1e3 * middle[1]:.0f} mm from the plumb line",
            allowed="a place under the object",
            remedy="move the pad, or scan the underside",
        )
    # What lies higher than half the pad's breadth above its lowest place is out of its reach.
    met &= below.deep[rows, columns] >= np.nanmax(deep) - min(size) / 2
    places = below.places(rows, columns)[met]
    x, y = (line - middle[k] for k, line in enumerate((below.x[rows], below.y[columns])))
    grid = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)[met]
    rest, slopes = _evened(grid, deep[met])
    steep = np.hypot(*slopes.T)
    # As many cells as lie within the pad stand for all of it, unless the grid itself ends there.
    parts = [
        size[k] / (line[of].size * below.cell)
        if of.start > 0 and of.stop < len(line)
        else min(1.0, size[k] / (line[of].size * below.cell))
        for k, (line, of) in enumerate(((below.x, rows), (below.y, columns)))
    ]
    area = np.full(len(places), below.cell**2 * parts[0] * parts[1])
    bed: Bed | Trough
    if carved_to is None:
        gaps = deep[met].max() - deep[met]
        order = np.argsort(gaps)
        bed = Bed(gaps[order], area[order], places[order], bedding)
    else:
        held = steep <= np.tan(carved_to)
        held = held if held.any() else steep == steep.min()
        bearing = float((area / np.hypot(1, steep))[held].sum())
        bed = Trough(bearing, float(area[held].sum()), places[held], bedding)
    worst = int(rest.argmax())
    low = places[int(deep[met].argmax())]
    # Slopes to both sides of a knob hold each other: what is left would slide.
    slope = float(np.arctan(np.linalg.norm(slopes.mean(axis=0))))
    unseen = float(below.is_open[rows, columns].sum()) / max(met.size, 1)
    return Footing(
        (bed,), 1.0, low, low, float(np.ptp(rest)), float(rest[worst]), places[worst], unseen, 0.0,
        slope if carved_to is not None else 0.0,
    )  # fmt: skip


def _evened(grid: Array, deep: Array) -> tuple[Array, Array]:
    """Return how far each place lies above an even surface, and that surface's slopes there."""
    size = max(float(np.abs(grid).max()), 1e-12)
    x, y = (grid / size).T
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=1)
    solved = even_surface(terms, deep)
    along = solved[1] + 2 * solved[3] * x + solved[4] * y
    across = solved[2] + solved[4] * x + 2 * solved[5] * y
    return np.asarray(terms @ solved - deep), np.stack([along, across], axis=1) / size


def standing_places(below: Below, size: tuple[float, float], slope: float) -> Array:
    """Return places where a pad finds the surface, and finds it level enough not to slide.

    Parameters
    ----------
    below : Below, the body from below [m]
    size : two floats, of the pad [m], above 0
    slope : float, the steepest surface on which it stays [rad], above 0

    Returns
    -------
    array (n, 2), from the plumb line [m]

    Source: own.
    Checked against: tests/science/solid/test_stance.py.

    Example
    -------
    >>> grid = (np.arange(10) + 0.5) * 0.01
    >>> plumb = Plumb(np.array([0, 0, -1.0]), np.zeros(3), 0.0)
    >>> flat = Below(plumb, grid, grid, np.full((10, 10), 0.2), np.zeros((10, 10), bool), 1e-3)
    >>> len(standing_places(flat, (0.02, 0.02), 0.3)) > 20
    True
    """
    from scipy.ndimage import maximum_filter, uniform_filter

    met = np.isfinite(below.deep)
    filled = np.where(met, below.deep, np.nanmin(below.deep))
    cells = max(round(min(size) / below.cell), 1)
    rise = np.hypot(*np.gradient(uniform_filter(filled, 3), below.cell))
    level = met & (rise <= np.tan(slope))
    # What touches first within the pad's reach must be where the pad's middle is.
    lowest_near = maximum_filter(filled, cells)
    level &= filled >= lowest_near - below.cell
    spots = np.argwhere(level)
    found = np.stack([below.x[spots[:, 0]], below.y[spots[:, 1]]], axis=1)
    if len(found) <= TRIED:
        return found
    chosen = [int((found**2).sum(axis=1).argmax())]
    far = ((found - found[chosen[0]]) ** 2).sum(axis=1)
    while len(chosen) < TRIED:
        # Spread over all of them: the next is the one farthest from those taken.
        chosen.append(int(far.argmax()))
        far = np.minimum(far, ((found - found[chosen[-1]]) ** 2).sum(axis=1))
    return found[chosen]


def widest_stance(
    plumb: Plumb, feet: Sequence[Footing], weight: float, pressure: float, margin: float
) -> tuple[tuple[int, int, int] | None, float]:
    """Return the three feet on which a body stands farthest from tipping within a pressure.

    Parameters
    ----------
    plumb : Plumb, down and centre of gravity [m]
    feet : sequence of Footing, tried three at a time, 3 to 60
    weight : float, of the body [N], above 0
    pressure : float, allowed under each [Pa], above 0
    margin : float, least push over the weight that may tip it [1]

    Returns
    -------
    three numbers of feet or None where none is steady enough, and the least pressure that can be
    had with that margin [Pa]; inf where there is none

    Source: softmend-solids, section 5b (F/W = d/h); own search over every three.
    Checked against: tests/science/solid/test_stance.py.

    Example
    -------
    >>> widest_stance(Plumb(np.array([0, 0, -1.0]), np.zeros(3), 0.0), [], 1.0, 1e4, 0.3)
    (None, inf)
    """
    if len(feet) < 3:
        return None, float("inf")
    middles = [foot.touched(weight / 3)[0].mean(axis=0) for foot in feet]
    plan = plumb.seen_from_above(np.array(middles))
    low = np.array([float((foot.low - plumb.centre) @ plumb.down) for foot in feet])
    sets = np.array(list(itertools.combinations(range(len(feet)), 3)))
    a, b, c = (plan[sets[:, k]] for k in range(3))
    whole = _crossed(b - a, c - a)
    with np.errstate(divide="ignore", invalid="ignore"):
        shares = np.stack([_crossed(b, c), _crossed(c, a), _crossed(a, b)], axis=1) / whole[:, None]
        edges = np.stack(
            [np.linalg.norm(one - other, axis=1) for one, other in ((b, c), (c, a), (a, b))], axis=1
        )
        distance = (shares * np.abs(whole)[:, None] / edges).min(axis=1) - plumb.spread
        steady = distance / np.maximum(low[sets].max(axis=1), 1e-6)
    good = np.flatnonzero((shares >= 0).all(axis=1) & (steady >= margin))
    if not len(good):
        return None, float("inf")
    levels = weight * np.geomspace(1e-3, 1.0, 48)
    table = np.array([foot.peak(levels) for foot in feet])
    peaks = np.max([
        [np.interp(weight * shares[n, k], levels, table[sets[n, k]]) for n in good]
        for k in range(3)
    ], axis=0)  # fmt: skip
    within = good[peaks <= pressure]
    best = within[steady[within].argmax()] if len(within) else None
    if best is None:
        return None, float(peaks.min())
    one, two, three = (int(n) for n in sets[best])
    return (one, two, three), float(peaks.min())


def _crossed(one: Array, other: Array) -> Array:
    return np.asarray(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
