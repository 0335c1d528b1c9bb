"""A photograph laid along an object: from like places on photograph and scan to distances along."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.solid.beam import Beam
from softmend.science.solid.mesh import Flags
from softmend.science.uncertain import Array

FINE = 1200
MOST_TILT_DEG = 45.0
LONGER_SHARE = 0.15
"""How much longer than on the scan a span may read: a bulge, or a near camera."""
ASTRAY_SHARE = 0.03
STEPS = 400
TURNS = 41
_STEEPEST_DEG = 80.0


@dataclass(frozen=True, eq=False)
class Pairs:
    """The same places on both: pixels (n, 2) [px], points of the scan (n, 3) [m].

    `names` are their numbers as they were picked. `pick_sd` is how far off a pick on the scan may
    lie, one standard deviation [m]; `pixel_sd` the same on the photograph [px].
    """

    pixels: Array
    points: Array
    names: tuple[int, ...]
    pick_sd: float
    pixel_sd: float

    def in_order(self, beam: Beam) -> Pairs:
        """Return them from the first end of the beam to the other."""
        order = np.argsort(nearest_along(beam, self.points), kind="stable")
        names = tuple(self.names[k] for k in order)
        return replace(self, pixels=self.pixels[order], points=self.points[order], names=names)


@dataclass(frozen=True, eq=False)
class SeenAlong:
    """A photograph laid along an object, from the first end of its beam to the other.

    `at` [m] and `pixels` [px] are the picks in order; `sd` [m] is how far off one is along the
    object. Of each stretch between picks, one before the first and one behind the last: `spacing`
    [m], how far the middle line strays from an even run; `leans` [1], the slope that it may have
    to the picture; and `turn` (stretches, 41) [1], how much a place beside the picks is misread,
    evenly along it, for each metre that it lies aside. `radius` [m] is the farthest pick from the
    middle line. `scatter` [m] is None with two picks; `tilts_deg` is how far each stretch leans.
    """

    at: Array
    pixels: Array
    sd: float
    spacing: Array
    leans: Array
    turn: Array
    radius: float
    scatter: float | None
    tilts_deg: Array
    length: float


def nearest_along(beam: Beam, points: ArrayLike) -> Array:
    """Return the distances along a beam that lie nearest to points.

    Parameters
    ----------
    beam : Beam [m]
    points : array-like (n, 3) [m]

    Returns
    -------
    array (n,), from the first end [m]

    Source: own.
    Checked against: tests/science/solid/test_seen_along.py.

    Example
    -------
    >>> along = np.array([[0, 0, 1.0], [0, 0, 1]])
    >>> rod = Beam(np.array([0.1, 0.9]), 1.0, along * [[0.1], [0.9]], along, 0 * along, (),
    ...            np.ones(2) / 2, ())
    >>> nearest_along(rod, [[0.02, 0, 0.25]]).round(3).tolist()
    [0.25]
    """
    fine = np.linspace(0.0, beam.length, FINE + 1)
    off = np.asarray(points, dtype=np.float64)[:, None] - beam.place(fine)[None]
    return np.asarray(fine[np.linalg.norm(off, axis=2).argmin(axis=1)])


def seen_along(beam: Beam, pairs: Pairs, spans: ArrayLike, spans_sd: ArrayLike) -> SeenAlong:
    """Return a photograph laid along an object; one seen end-on or one that misfits is refused.

    Parameters
    ----------
    beam : Beam [m]
    pairs : Pairs, 2 to 20 of them, in order along the beam [px, m]
    spans : array-like (n - 1,), from each to the next by the photograph's own scale [m]
    spans_sd : array-like (n - 1,), their standard deviation [m], 0 or more

    Returns
    -------
    SeenAlong [m, px]

    Raises
    ------
    InputError
        When there are too few picks, two lie too close along the object, a stretch leans by more
        than 45 degrees, reads longer than it is, or a pick lies astray of its neighbours.

    Source: own; the order of picks, linear between them (softmend-solids, section 5b).
    Checked against: tests/science/solid/test_seen_along.py (a camera that the test makes itself).

    Example
    -------
    >>> along = np.array([[0, 0, 1.0], [0, 0, 1]])
    >>> rod = Beam(np.array([0.1, 0.9]), 1.0, along * [[0.1], [0.9]], along, 0 * along, (),
    ...            np.ones(2) / 2, ())
    >>> pairs = Pairs(np.array([[900.0, 5], [100, 5]]), np.array([[0, 0, 0.9], [0, 0, 0.1]]),
    ...               (1, 2), 0.003, 2.0)
    >>> found = seen_along(rod, pairs.in_order(rod), [0.8], [0.01])
    >>> found.pixels[:, 0].tolist(), found.at.round(2).tolist(), round(found.sd, 4)
    ([100.0, 900.0], [0.1, 0.9], 0.0036)
    """
    count = len(pairs.pixels)
    if not 2 <= count <= 20:
        raise InputError(
            "A photograph is laid along a scan by a few places", value=f"{count}",
            allowed="2 to 20 places, each on both", remedy="pick the same places on both",
        )  # fmt: skip
    at, pixels, points = nearest_along(beam, pairs.points), pairs.pixels, pairs.points
    _refuse_close(at, pairs.names, 4 * pairs.pick_sd)
    chords = np.linalg.norm(np.diff(points, axis=0), axis=1)
    seen = np.asarray(spans, dtype=np.float64)
    spread = np.hypot(np.asarray(spans_sd, dtype=np.float64), math.sqrt(2) * pairs.pick_sd)
    _refuse_unlike(seen, spread, chords, pairs.names)
    least = math.cos(math.radians(MOST_TILT_DEG))
    flat = np.clip(seen / chords, least, 1.0)
    # What stands nearer or farther than the picks shifts along a stretch that leans.
    steepest = np.tan(np.arccos(np.clip((seen - 2 * spread) / chords, least, 1.0)))
    radius = float(np.linalg.norm(points - beam.place(at), axis=1).max())
    per_px = np.diff(at) / np.maximum(np.linalg.norm(np.diff(pixels, axis=0), axis=1), 1e-9)
    sd = math.hypot(pairs.pick_sd, pairs.pixel_sd * float(per_px.max()))
    reach = _with_ends(at)
    of = [0, *range(count - 1), count - 2]
    ways = np.diff(points, axis=0)
    wanders = [
        _wandering(beam, reach[k], reach[k + 1], ways[one], flat[one]) for k, one in enumerate(of)
    ]
    scatter = _scatter(beam, at, pairs, sd)
    return SeenAlong(
        at, pixels, max(sd, scatter or 0.0),
        np.array([one[0] for one in wanders]), steepest[of],
        np.array([one[1] for one in wanders]), radius,
        scatter, np.degrees(np.arccos(np.clip(seen / chords, 0, 1))), beam.length,
    )  # fmt: skip


def places_along(
    view: SeenAlong, pixels: ArrayLike, drawn_sd: float = 0.0
) -> tuple[Array, Array, Flags]:
    """Return where places of a photograph lie along the object, how far off, and which are told.

    A place farther beyond the outermost pick than the last two picks lie apart is not told.

    Parameters
    ----------
    view : SeenAlong [m, px]
    pixels : array-like (m, 2) [px]
    drawn_sd : float, how far off a place is drawn, one standard deviation [px], 0 or more

    Returns
    -------
    array (m,), from the first end [m], array (m,), expanded (k = 2) [m], flags (m,)

    Source: own.
    Checked against: tests/science/solid/test_seen_along.py.

    Example
    -------
    >>> view = SeenAlong(np.array([0.1, 0.9]), np.array([[100.0, 0], [900, 0]]), 0.004,
    ...                  np.zeros(3), np.zeros(3), np.zeros((3, 41)), 0.02, None, np.zeros(1), 1.0)
    >>> at, off, told = places_along(view, [[500, 0], [900, 40], [2000, 0]])
    >>> at.round(2).tolist(), off.round(4).tolist(), told.tolist()
    ([0.5, 0.9, 1.0], [0.0057, 0.008, 0.0179], [True, True, False])
    """
    asked = np.asarray(pixels, dtype=np.float64)
    count = len(view.at) - 1
    best = np.full(len(asked), np.inf)
    share = np.zeros(len(asked))
    of = np.zeros(len(asked), dtype=np.int64)
    told = np.ones(len(asked), dtype=bool)
    for k in range(count):
        way = view.pixels[k + 1] - view.pixels[k]
        free = (asked - view.pixels[k]) @ way / (way @ way)
        low, high = (-1.0 if k == 0 else 0.0), (2.0 if k == count - 1 else 1.0)
        held = np.clip(free, low, high)
        off = np.linalg.norm(asked - view.pixels[k] - held[:, None] * way, axis=1)
        nearer = off < best
        best, share, of = (
            np.where(nearer, off, best), np.where(nearer, held, share), np.where(nearer, k, of)
        )  # fmt: skip
        told = np.where(nearer, (free >= low - 1e-9 if k == 0 else True)
                        & (free <= high + 1e-9 if k == count - 1 else True), told)  # fmt: skip
    step = np.diff(view.at)[of]
    per_px = step / np.linalg.norm(np.diff(view.pixels, axis=0), axis=1)[of]
    at = view.at[of] + share * step
    zone = np.where(share < 0, of, np.where(share > 1, of + 2, of + 1))
    sd = view.sd * np.hypot(1 - share, share)
    turn = _turn_at(view, zone, view.at[of] + share * step)
    aside = best * per_px
    # On a round body what lies so far aside stands at most so much nearer or farther.
    near = np.minimum(aside, view.radius)
    relief = view.leans[zone] * np.sqrt(near * (2 * view.radius - near))
    # None of them knows of the others: they add as independent ones do.
    hand = 2 * drawn_sd * per_px
    parts = np.stack([2 * sd, view.spacing[zone], turn * aside, relief, hand])
    expanded = np.sqrt((parts**2).sum(axis=0))
    return np.clip(at, 0.0, view.length), expanded, told


def stretch_along(
    view: SeenAlong, parts: Sequence[ArrayLike], *, is_closed: bool, drawn_sd: float = 0.0
) -> tuple[float, float, float] | None:
    """Return from where to where a drawing runs along the object, or None where it is not told.

    Parameters
    ----------
    view : SeenAlong [m, px]
    parts : sequence of arrays (m, 2), points, lines or outlines [px]
    is_closed : bool, whether each part is an outline
    drawn_sd : float, how far off it is drawn, one standard deviation [px], 0 or more

    Returns
    -------
    float, start [m], float, end [m], float, the larger of both expanded uncertainties (k = 2) [m];
    or None when any of it lies too far beyond the outermost picks

    Source: own.
    Checked against: tests/science/solid/test_seen_along.py.

    Example
    -------
    >>> view = SeenAlong(np.array([0.1, 0.9]), np.array([[100.0, 0], [900, 0]]), 0.004,
    ...                  np.zeros(3), np.zeros(3), np.zeros((3, 41)), 0.02, None, np.zeros(1), 1.0)
    >>> [round(one, 4) for one in stretch_along(view, [[[300, 9], [500, 9]]], is_closed=False)]
    [0.3, 0.5, 0.0063]
    """
    points = np.concatenate([_closely(part, is_closed) for part in parts])
    at, expanded, told = places_along(view, points, drawn_sd)
    if not told.all():
        return None
    low, high = float((at - expanded).min()), float((at + expanded).max())
    first, last = (at - expanded).argmin(), (at + expanded).argmax()
    seen = float(at[first]), float(at[last])
    return seen[0], seen[1], max(seen[0] - low, high - seen[1])


def _turn_at(view: SeenAlong, zone: NDArray[np.int64], at: Array) -> Array:
    """Return how much a place beside the picks is misread where it seems to lie [1]."""
    knots = _with_ends(view.at)
    run = (at - knots[zone]) / np.diff(knots)[zone]
    steps = view.turn.shape[1] - 1
    return np.asarray(view.turn[zone, np.clip(np.rint(run * steps), 0, steps).astype(np.int64)])


def _with_ends(at: Array) -> Array:
    """Return the picks with one before and one behind, as far off as the last two lie apart."""
    return np.concatenate([[2 * at[0] - at[1]], at, [2 * at[-1] - at[-2]]])


def _closely(part: ArrayLike, is_closed: bool) -> Array:
    """Return a drawing with points close together, its own among them."""
    given = np.asarray(part, dtype=np.float64).reshape(-1, 2)
    ring = np.concatenate([given, given[:1]]) if is_closed else given
    if len(ring) < 2:
        return ring
    steps = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    run = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.union1d(np.linspace(0.0, run[-1], STEPS), run)
    return np.stack([np.interp(wanted, run, ring[:, k]) for k in range(2)], axis=1)


def _wandering(
    beam: Beam, start: float, end: float, way: Array, lean: float
) -> tuple[float, Array]:
    """Return how far a stretch of the middle line strays from an even run, and how it turns."""
    low, high = max(start, 0.0), min(end, beam.length)
    if high - low < 1e-9:
        return 0.0, np.zeros(TURNS)
    at = np.linspace(low, high, TURNS)
    line = beam.place(at)
    chord = line[-1] - line[0]
    even = (line - line[0]) @ chord / max(float(chord @ chord), 1e-18)
    stray = float(np.abs(even - (at - low) / (high - low)).max() * (high - low))
    runs = np.gradient(line, at, axis=0)
    cosine = runs @ way / np.maximum(np.linalg.norm(runs, axis=1) * np.linalg.norm(way), 1e-18)
    angle = np.minimum(np.arccos(np.clip(cosine, -1, 1)), math.radians(_STEEPEST_DEG))
    # A place is known along the object to a few steps only: the worst beside it counts.
    worst = np.max([np.roll(np.pad(angle, 2, "edge"), k)[2:-2] for k in range(-2, 3)], axis=0)
    turn = np.tan(worst) / lean
    return stray, np.interp(np.linspace(start, end, TURNS), at, turn)


def _scatter(beam: Beam, at: Array, pairs: Pairs, sd: float) -> float | None:
    """Return the sd of a pick by how each inner one fits between its neighbours; refuse a stray."""
    if len(at) < 3:
        return None
    pixels, points, names = pairs.pixels, pairs.points, pairs.names
    found = []
    for k in range(1, len(at) - 1):
        way = pixels[k + 1] - pixels[k - 1]
        share = float((pixels[k] - pixels[k - 1]) @ way / max(float(way @ way), 1e-18))
        step = at[k + 1] - at[k - 1]
        off = at[k] - at[k - 1] - share * step
        aside = float(np.linalg.norm(pixels[k] - pixels[k - 1] - share * way))
        way_on_scan = points[k + 1] - points[k - 1]
        stray, turns = _wandering(beam, at[k - 1], at[k + 1], way_on_scan, 1.0)
        turn = float(turns.max())
        aside *= step / max(float(np.linalg.norm(way)), 1e-9)
        weight = math.sqrt(1 + (1 - share) ** 2 + share**2)
        free = max(abs(off) - stray - turn * aside, 0.0)
        if free > max(3 * weight * sd, ASTRAY_SHARE * beam.length):
            raise InputError(
                f"Place {names[k]} does not fit the places beside it",
                value=f"{1e3 * abs(off):.0f} mm off along the object",
                allowed=f"{1e3 * (stray + turn * aside + 3 * weight * sd):.0f} mm",
                remedy="pick it again on both, or leave it out",
            )
        found.append((free / weight) ** 2)
    return math.sqrt(sum(found) / len(found))


def _refuse_close(at: Array, names: tuple[int, ...], least: float) -> None:
    for k, step in enumerate(np.diff(at)):
        if step < least:
            raise InputError(
                f"Places {names[k]} and {names[k + 1]} lie too close along the object",
                value=f"{1e3 * step:.0f} mm",
                allowed=f"{1e3 * least:.0f} mm apart or more",
                remedy="leave one out, or pick farther along",
            )


def _refuse_unlike(seen: Array, spread: Array, chords: Array, names: tuple[int, ...]) -> None:
    least = math.cos(math.radians(MOST_TILT_DEG))
    for k, (one, sd, chord) in enumerate(zip(seen, spread, chords, strict=True)):
        pair = f"places {names[k]} and {names[k + 1]}"
        read = f"{1e3 * one:.0f} mm on the photograph, {1e3 * chord:.0f} mm on the scan"
        if one - 2 * sd > (1 + LONGER_SHARE) * chord:
            raise InputError(
                f"The photograph and the scan do not fit between {pair}", value=read,
                allowed="no longer than on the scan",
                remedy="check that both are the same places, and the photograph's scale",
            )  # fmt: skip
        if one + 2 * sd < least * chord:
            raise InputError(
                f"The photograph sees the object too much end-on between {pair}", value=read,
                allowed=f"within {MOST_TILT_DEG:.0f}° of square",
                remedy="use a view from the side, or check that both are the same places",
            )  # fmt: skip
