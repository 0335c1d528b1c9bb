"""What pads carry: reactions on springs and their worst case, tipping, sliding, pressure."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

IN_LINE = 0.02
"""Pads whose plan is narrower than this share of its length stand in a line."""
DIRECTIONS = 72


@dataclass(frozen=True, eq=False)
class Reactions:
    """Upward forces [N] on springs, and the least and most each pad may carry by statics alone.

    `stands` is false where no forces that only push can hold the weight: it tips.
    """

    forces: Array
    low: Array
    high: Array
    stands: bool


@dataclass(frozen=True, eq=False)
class Tipping:
    """The largest push, as a share of the weight, in each direction before it tips.

    `tilt_deg` is the slope at which it tips by itself in the worst direction; with a friction
    coefficient below `least` it slips first. `edge_distance` is from the plumb line [m].
    """

    shares: Array
    least: float
    direction_deg: float
    tilt_deg: float
    edge_distance: float


def reactions(
    places: ArrayLike,
    centre: ArrayLike,
    weight: float,
    stiffness: ArrayLike | None = None,
    reach: float = 0.0,
) -> Reactions:
    """Return what each pad carries of a rigid body on springs that only push, and the worst case.

    Parameters
    ----------
    places : array-like (n, 2), pads in plan [m], 1 to 12
    centre : array-like (2,), plumb line of the centre of gravity in plan [m]
    weight : float, of the object [N], above 0
    stiffness : array-like (n,) or None, of each pad [N/m], above 0; None is all alike
    reach : float, how far each support touches to either side of its middle [m], 0 or more; pads
        and plumb line within it of one line stand in a line, and the supports hold the sides

    Returns
    -------
    Reactions [N]; with four pads or more, or three in line, statics leaves a range

    Raises
    ------
    InputError
        When there is no pad, too many, no weight, or a stiffness is not above 0.

    Source: softmend-solids, section 5b (models 1 and 2).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> table = [[0, 0], [1, 0], [1, 1], [0, 1]]
    >>> found = reactions(table, [0.5, 0.5], 1.0)
    >>> found.forces.round(3).tolist(), found.low.tolist(), found.high.round(3).tolist()
    ([0.25, 0.25, 0.25, 0.25], [0.0, 0.0, 0.0, 0.0], [0.5, 0.5, 0.5, 0.5])
    """
    plan = np.asarray(places, dtype=np.float64).reshape(-1, 2)
    spring = np.ones(len(plan)) if stiffness is None else np.asarray(stiffness, dtype=np.float64)
    if not 1 <= len(plan) <= 12 or len(spring) != len(plan):
        raise InputError(
            "The number of pads is out of range", value=len(plan), allowed="1 to 12 pads"
        )
    if not weight > 0 or not (spring > 0).all():
        raise InputError(
            "The weight and the stiffness of every pad must be above 0", value=f"{weight:g} N"
        )
    plumb = np.asarray(centre, dtype=np.float64)
    own, at = _in_line(plan, plumb, reach)
    forces = _on_springs(own, at, spring)
    low, high = _bounds(own, at)
    stands = bool(np.isfinite(low).all()) and forces is not None
    nothing = np.full(len(plan), np.nan)
    if forces is None or not stands:
        return Reactions(nothing, nothing, nothing, stands=False)
    return Reactions(weight * forces, weight * low, weight * high, stands=True)


def _in_line(plan: Array, plumb: Array, reach: float) -> tuple[Array, Array]:
    """Return pads and plumb line along their line where they stand in one, else as they are."""
    middle = plan.mean(axis=0)
    _, sizes, ways = np.linalg.svd(plan - middle)
    aside = np.abs((np.concatenate([plan, plumb[None]]) - middle) @ ways[1])
    narrow = len(sizes) < 2 or sizes[1] <= IN_LINE * sizes[0]
    if len(plan) >= 2 and (narrow or aside.max() <= reach):
        return (plan - middle) @ ways[:1].T, (plumb - middle) @ ways[:1].T
    size = max(float(sizes[0]), 1e-12) if len(sizes) else 1.0
    return (plan - middle) / size, (plumb - middle) / size


def _on_springs(plan: Array, plumb: Array, spring: Array) -> Array | None:
    """Return each pad's share by an active set: pads that would pull are let go."""
    terms = np.concatenate([np.ones((len(plan), 1)), plan], axis=1)
    wanted = np.concatenate([[1.0], plumb])
    scale = np.maximum(np.abs(terms).max(axis=0), 1e-12)
    terms, wanted = terms / scale, wanted / scale
    active = np.ones(len(plan), dtype=bool)
    for _ in range(4 * len(plan)):
        held = terms[active]
        matrix = (held * spring[active, None]).T @ held
        sunk = np.linalg.lstsq(matrix, wanted, rcond=None)[0]
        forces = np.where(active, spring * (terms @ sunk), 0.0)
        if np.abs(terms.T @ forces - wanted).max() > 1e-6:
            return None
        if (forces >= -1e-9).all():
            # A pad that was let go and now sinks below the body takes up load again.
            again = ~active & (terms @ sunk > 1e-9)
            if not again.any():
                return np.maximum(forces, 0.0)
            active |= again
        else:
            active[forces.argmin()] = False
    return np.maximum(forces, 0.0)


def _bounds(plan: Array, plumb: Array) -> tuple[Array, Array]:
    """Return the least and most share of each pad over all balances that only push.

    The extremes of such a programme lie where no more pads carry than there are equations, so all
    of these sets are tried.
    """
    n, dimensions = plan.shape
    terms = np.concatenate([np.ones((n, 1)), plan], axis=1)
    wanted = np.concatenate([[1.0], plumb])
    low, high = np.full(n, np.inf), np.full(n, -np.inf)
    for size in range(1, dimensions + 2):
        sets = np.array(list(itertools.combinations(range(n), size)))
        if not len(sets):
            continue
        matrices = terms[sets].transpose(0, 2, 1)
        shares = (np.linalg.pinv(matrices, rcond=1e-9) @ wanted[:, None])[..., 0]
        off = np.abs((matrices @ shares[..., None])[..., 0] - wanted).max(axis=1)
        good = (off < 1e-7) & (shares >= -1e-9).all(axis=1)
        for members, values in zip(sets[good], shares[good], strict=True):
            full = np.zeros(n)
            full[members] = np.maximum(values, 0.0)
            low, high = np.minimum(low, full), np.maximum(high, full)
    return low, high


def tipping(
    corners: ArrayLike, centre: ArrayLike, height: float, push_height: float, spread: float = 0.0
) -> Tipping:
    """Return the push, as a share of the weight, at which an object tips, in every direction.

    Parameters
    ----------
    corners : array-like (n, 2), where it touches its supports, in plan [m], 3 or more
    centre : array-like (2,), plumb line of the centre of gravity in plan [m]
    height : float, of the centre of gravity above the supports [m], above 0
    push_height : float, where it is pushed, above the supports [m], above 0
    spread : float, how far the centre of gravity may lie off [m], 0 or more

    Returns
    -------
    Tipping [1, degrees, m], with the worst centre of gravity; 0 where it tips by itself

    Raises
    ------
    InputError
        When there are fewer than three corners or a height is not above 0.

    Source: softmend-solids, section 5b (F/W = d/h).
    Checked against: tests/checks/softmend-solids.csv.

    Example
    -------
    >>> found = tipping([[0, 0], [1, 0], [1, 1], [0, 1]], [0.5, 0.5], 0.5, 1.0)
    >>> round(found.least, 6), round(found.tilt_deg, 6)
    (0.5, 45.0)
    """
    plan = np.asarray(corners, dtype=np.float64).reshape(-1, 2)
    if len(plan) < 3 or not height > 0 or not push_height > 0 or spread < 0:
        raise InputError(
            "Tipping needs three corners and heights above 0",
            value=f"{len(plan)} corners, {height:g} m, {push_height:g} m",
            allowed="3 or more corners, heights above 0",
        )
    hull = _hull(plan)
    ahead = np.roll(hull, -1, axis=0)
    edges = ahead - hull
    outward = np.stack([edges[:, 1], -edges[:, 0]], axis=1)
    outward /= np.maximum(np.linalg.norm(outward, axis=1, keepdims=True), 1e-300)
    plumb = np.asarray(centre, dtype=np.float64)
    distance = ((hull - plumb) * outward).sum(axis=1) - spread
    angle = 2 * np.pi * np.arange(DIRECTIONS) / DIRECTIONS
    pushed = np.stack([np.cos(angle), np.sin(angle)], axis=1) @ outward.T
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(pushed > 1e-9, distance / pushed, np.inf).min(axis=1)
    shares = np.maximum(reach, 0.0) / push_height
    # The worst direction is square to the nearest edge, which need not be one of the 72.
    nearest = int(distance.argmin())
    least = max(float(distance[nearest]), 0.0)
    return Tipping(
        shares,
        least / push_height,
        float(np.degrees(np.arctan2(outward[nearest, 1], outward[nearest, 0]))),
        float(np.degrees(np.arctan2(least, height))),
        float(distance[nearest]),
    )


def _hull(points: Array) -> Array:
    """Return the corners of the convex hull, counter-clockwise (Andrew's chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})

    def chain(sequence: list[tuple[float, float]]) -> list[tuple[float, float]]:
        found: list[tuple[float, float]] = []
        for x, y in sequence:
            while len(found) > 1:
                (x1, y1), (x2, y2) = found[-2:]
                if (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1) > 0:
                    break
                found.pop()
            found.append((x, y))
        return found

    return np.array(chain(ordered)[:-1] + chain(ordered[::-1])[:-1])
