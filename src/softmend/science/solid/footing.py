"""What one support meets of the real lower surface: how it presses, how high it must stand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from softmend.errors import InputError
from softmend.science.solid.bed import Bed, Footing, Trough, even_surface
from softmend.science.solid.mesh import Faces, Flags
from softmend.science.solid.underside import Underside
from softmend.science.uncertain import Array

CENTRAL = 0.7
"""Unevenness is told within this share of what touches: towards its edges every round runs off."""


@dataclass(frozen=True, eq=False)
class _Cells:
    """The part of an underside over one support, and what is known of it."""

    own: Underside
    rows: Faces
    weights: Array
    depth: Array
    across: Array

    @property
    def areas(self) -> Array:
        """The area of each cell seen along the way down [m2]."""
        step = self.across[:, 1] - self.across[:, 0]
        size = self.own.run[self.rows] * self.weights * step
        return np.broadcast_to(size[:, None], self.depth.shape)

    @property
    def places(self) -> Array:
        """The places of the surface in the cells [m]."""
        return self.own.surface(self.rows)


def _cells(under: Underside, at: float, length: float, half_width: float | None) -> _Cells:
    step = under.step
    overlap = np.minimum(under.at + step / 2, at + length / 2) - np.maximum(
        under.at - step / 2, at - length / 2
    )
    rows = np.flatnonzero(overlap > 1e-9).astype(np.int64)
    depth = under.depth[rows]
    if half_width is not None:
        depth = np.where(np.abs(under.across[rows]) <= half_width, depth, np.nan)
    if not np.isfinite(depth).any():
        raise InputError(
            "The scan shows no lower surface over a pad",
            value=f"{1e3 * at:.0f} mm along the object",
            allowed="a place where the underside was scanned",
            remedy="move the pad, or scan the underside",
        )
    return _Cells(under, rows, overlap[rows] / step, depth, under.across[rows])


def saddle_footing(
    under: Underside, at: float, length: float, half_angle: float, bedding: float
) -> Footing:
    """Return what a saddle carved to the object meets, as far round as its half angle reaches.

    Parameters
    ----------
    under : Underside, seen straight from below [m]
    at : float, middle of the saddle along the object [m]
    length : float, of the saddle along the object [m], above 0
    half_angle : float, slope of the surface up to which it reaches [rad], above 0 to 1.55
    bedding : float, modulus over thickness of its lining [Pa/m], above 0

    Returns
    -------
    Footing; pressure falls with the cosine of the slope, as on a round one

    Raises
    ------
    InputError
        When the scan shows nothing of the underside there.

    Source: softmend-solids, section 5b (cosine pressure); derived for any outline: p0 = R over
        the sum of cos(slope) times the area seen from below.
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> float(Trough(0.01, 0.012, np.zeros((1, 3)), 6e6).peak(100.0))
    10000.0
    """
    cells = _cells(under, at, length, None)
    mean = np.nanmean(np.where(np.isfinite(cells.depth).any(0), cells.depth, -np.inf), axis=0)
    across = cells.across.mean(axis=0)
    slopes = _hull_slopes(across, mean)
    reached = np.abs(slopes) <= np.tan(half_angle)
    reached &= np.isfinite(mean)
    if not reached.any():
        reached = np.asarray(mean == np.nanmax(mean))
    cosine = 1 / np.hypot(1.0, slopes)
    inside = reached[None] & np.isfinite(cells.depth)
    bearing = float((cells.areas * cosine)[inside].sum())
    bed = Trough(bearing, float(cells.areas[inside].sum()), cells.places[inside], bedding)
    return _footing(cells, (bed,), 1.0, np.broadcast_to(reached, cells.depth.shape))


def flat_footing(
    under: Underside, at: float, length: float, bedding: float, half_width: float | None = None
) -> Footing:
    """Return what a level flat pad meets: the lowest material across its length and width.

    Parameters
    ----------
    under : Underside, seen straight from below [m]
    at : float, middle of the pad along the object [m]
    length : float, of the pad along the object [m], above 0
    bedding : float, modulus over thickness of the pad [Pa/m], above 0
    half_width : float or None, half its width across [m], above 0; None reaches right across

    Returns
    -------
    Footing; pressure = bedding times how deep the surface sinks in

    Raises
    ------
    InputError
        When the scan shows nothing of the underside there.

    Source: softmend-solids, section 5b (elastic foundation under the real underside).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> bed = Bed(np.array([0.0, 0.001]), np.array([1e-4, 1e-4]), np.zeros((2, 3)), 1e6)
    >>> float(bed.sink(0.05).round(6)), float(bed.sink(0.3).round(6))
    (0.0005, 0.002)
    """
    cells = _cells(under, at, length, half_width)
    down = under.ways[0]
    heights = np.where(np.isfinite(cells.depth), cells.places @ down, np.nan)
    bed = _bed(cells, np.nanmax(heights) - heights, bedding)
    return _footing(cells, (bed,), 1.0, _near_lowest(cells))


def v_footing(
    flanks: tuple[Underside, Underside], at: float, length: float, half_opening: float,
    bedding: float,
) -> Footing:  # fmt: skip
    """Return what a padded V block set to the slope of the object meets with its two flanks.

    Parameters
    ----------
    flanks : two Undersides, looked at square to the one and the other flank [m]
    at : float, middle of the block along the object [m]
    length : float, of the block along the object [m], above 0
    half_opening : float, half the angle between the flanks [rad], 0.1 to 1.5
    bedding : float, modulus over thickness of the padding [Pa/m], above 0

    Returns
    -------
    Footing; each flank carries F / (2 sin of half the opening)

    Raises
    ------
    InputError
        When the scan shows nothing of a flank there, or the opening is out of range.

    Source: derived (support lines of the section's outline; elastic foundation on each flank).
    Checked against: tests/science/solid/test_footing.py.

    Example
    -------
    >>> flank = Bed(np.array([0.0, 0.001]), np.array([1e-4, 1e-4]), np.zeros((2, 3)), 1e6)
    >>> block = Footing((flank, flank), 1 / (2 * np.sin(np.pi / 6)), np.zeros(3), np.zeros(3),
    ...                 0.0, 0.0, np.zeros(3), 0.0, 0.0, 0.0)
    >>> round(float(block.peak(0.05))), round(float(block.sink(0.05)), 6)
    (500, 0.001)
    """
    if not 0.1 <= half_opening <= 1.5:
        raise InputError(
            "The opening of the V is out of range",
            value=f"{np.degrees(2 * half_opening):.0f} degrees",
            allowed="12 to 170 degrees",
        )
    both = [_cells(under, at, length, None) for under in flanks]
    beds, reaches = [], []
    for cells in both:
        lowest = np.nanmax(cells.depth, axis=1)
        rows = cells.own.at[cells.rows]
        fit = _line(rows, lowest, cells.weights)
        gaps = fit[:, None] - cells.depth
        beds.append(_bed(cells, gaps - np.nanmin(gaps), bedding))
        reaches.append(float(fit.mean() - np.nanmin(gaps)))
    share = 1 / (2 * np.sin(half_opening))
    whole = both[0] if both[0].depth.size >= both[1].depth.size else both[1]
    found = _footing(whole, tuple(beds), share, _near_lowest(whole))
    middle = flanks[0].origins[both[0].rows].mean(axis=0)
    one, other = (
        flanks[0].ways[both[0].rows].mean(axis=0),
        flanks[1].ways[both[1].rows].mean(axis=0),
    )
    # The flanks meet where both support lines cross.
    upright, level = (one + other) / 2, (one - other) / 2
    apex = middle + sum(reaches) / 2 * upright / float(upright @ upright)
    apex = apex + (reaches[0] - reaches[1]) / 2 * level / float(level @ level)
    return replace(found, apex=apex, low=_lowest_of(both))


def _lowest_of(both: list[_Cells]) -> Array:
    down = np.sum([cells.own.ways[cells.rows].mean(axis=0) for cells in both], axis=0)
    places = np.concatenate([cells.places[np.isfinite(cells.depth)] for cells in both])
    return np.asarray(places[(places @ down).argmax()])


def _bed(cells: _Cells, gaps: Array, bedding: float) -> Bed:
    met = np.isfinite(gaps)
    order = np.argsort(gaps[met])
    return Bed(
        gaps[met][order], cells.areas[met][order], cells.places[met][order], bedding
    )  # fmt: skip


def _line(at: Array, values: Array, weights: Array) -> Array:
    """Return the straight line through values, each by its weight."""
    good = np.isfinite(values)
    if good.sum() < 2:
        return np.full(len(at), float(np.nanmean(values)))
    return np.asarray(np.polyval(np.polyfit(at[good], values[good], 1, w=weights[good]), at))


def _hull_slopes(across: Array, depth: Array) -> Array:
    """Return the slope of the tightest even curve under a profile, at each of its places."""
    known = np.flatnonzero(np.isfinite(depth))
    chain: list[int] = []
    for n in known:
        while len(chain) > 1:
            i, j = chain[-2:]
            rise = (depth[j] - depth[i]) * (across[n] - across[i])
            if rise > (depth[n] - depth[i]) * (across[j] - across[i]):
                break
            chain.pop()
        chain.append(int(n))
    if len(chain) < 2:
        return np.zeros(len(across))
    x, z = across[chain], depth[chain]
    middles, slopes = (x[1:] + x[:-1]) / 2, np.diff(z) / np.diff(x)
    return np.interp(across, middles, slopes)


def _near_lowest(cells: _Cells) -> Flags:
    """Say of each cell whether it lies about the lowest line, where a flat face may touch."""
    mean = np.nanmean(np.where(np.isfinite(cells.depth).any(0), cells.depth, -np.inf), axis=0)
    slopes = _hull_slopes(cells.across.mean(axis=0), mean)
    flat = (np.abs(slopes) <= np.tan(np.radians(20))) & np.isfinite(mean)
    if not flat.any():
        flat = np.asarray(mean == np.nanmax(mean))
    return np.broadcast_to(flat, cells.depth.shape)


def _footing(
    cells: _Cells, beds: tuple[Bed | Trough, ...], share: float, reached: Flags
) -> Footing:
    under, rows = cells.own, cells.rows
    down = under.ways[rows].mean(axis=0)
    places = cells.places
    met = np.isfinite(cells.depth)
    heights = np.where(met, places @ down, -np.inf)
    low = places[np.unravel_index(heights.argmax(), heights.shape)]
    rest, slope = _evened(cells, reached & met)
    worst = np.unravel_index(np.nanargmax(rest), rest.shape)
    spread = float(np.nanmax(rest) - np.nanmin(rest))
    total = max(int(reached.sum()), 1)
    # A place without a hit beside places with one is not seen; beyond the outline there is none.
    unseen = float((under.is_open[rows] & reached).sum()) / total
    other = float(under.is_other[rows].mean())
    return Footing(
        beds, share, low, low, spread, float(np.nanmax(rest)), places[worst], unseen, other, slope
    )  # fmt: skip


def _evened(cells: _Cells, used: Flags) -> tuple[Array, float]:
    """Return how far each cell lies above an even surface (a dip is positive), and its slope."""
    at = np.broadcast_to(cells.own.at[cells.rows][:, None], cells.depth.shape)
    rows = np.flatnonzero(used.any(axis=0))
    cut = round((1 - CENTRAL) / 2 * len(rows))
    inner = np.zeros(used.shape, dtype=bool)
    inner[:, rows[cut : len(rows) - cut]] = True
    used = used & inner if (used & inner).sum() >= 12 else used
    x, y, z = at[used], cells.across[used], cells.depth[used]
    x = (x - x.mean()) / max(float(np.ptp(x)) / 2, 1e-12)
    y = (y - y.mean()) / max(float(np.ptp(y)) / 2, 1e-12)
    terms = [np.ones_like(x), y, y**2, y**3, y**4]
    length = float(np.ptp(at[used])) / 2
    if length > 0:
        terms += [x, x * y, x**2]
    matrix = np.stack(terms, axis=1)
    solved = even_surface(matrix, z)
    rest = np.full(used.shape, np.nan)
    rest[used] = matrix @ solved - z
    way = np.gradient(cells.own.origins[cells.rows], axis=0) if len(cells.rows) > 1 else None
    if way is None or length <= 0:
        return rest, 0.0
    # The surface runs with the middle line and falls from it by the fitted slope.
    down = cells.own.ways[cells.rows].mean(axis=0)
    mean = way.mean(axis=0)
    fall = float(mean @ down)
    level = max(float(np.linalg.norm(mean - fall * down)), 1e-12)
    own = float(solved[5]) / length * float(np.linalg.norm(mean)) / level
    return rest, float(np.arctan(fall / level + own))
