"""Where a flake may have come from: candidate seats among losses, by the fit of their outlines.

Both outlines are walked in equal steps. Every stretch of the flake's edge is laid on every stretch
of the loss's edge by the rigid movement that fits best (turned over only when asked); the best of
these are refined and judged by how much of the flake's edge then runs along the edge of the loss.
This lists candidates and nothing more: it places nothing.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.fragment_field import EdgeField
from softmend.science.photo.surface import point_array
from softmend.science.uncertain import Array

STEPS_ROUND = 120
"""Points round a flake."""

STRETCHES = (0.25, 0.5)
"""Shares of a flake's outline that are laid on the loss."""

TRIED, STARTS = 150, 5
"""So many movements are tried for each length of stretch; so many are refined."""

ROUGH_M = 6e-4
ROUNDS = 7
SMALLEST_M, LARGEST_M = 1e-3, 0.5
COVERED_WEIGHT = 0.3
"""How much of the score a loss adds that is filled all round by this one flake."""

AGREE_COSINE = 0.8
MIRRORED = np.array([-1.0, 1.0])
"""What turns a flake over: x becomes -x."""


@dataclass(frozen=True, slots=True)
class EdgeAllowance:
    """How far the edges of flake and loss may lie apart [m].

    `wear` is the scatter of a worn edge; `gap` how much smaller a flake may look all round, by wear
    and by the slope of its edge; `over` how much larger, by the thickness of its edge.
    """

    wear: float = 2e-4
    gap: float = 5e-4
    over: float = 3e-4

    @property
    def matched(self) -> float:
        """How far from its usual distance an edge point may lie to count as matched [m]."""
        return 1.75 * self.wear


@dataclass(frozen=True, slots=True)
class Seat:
    """One candidate: the movement (turn [rad], shift [m]) from flake to loss, and how it fits.

    `matched_m` is the length of the flake's edge along the edge of the loss, `matched_share` its
    share of the flake's outline, `residual_m` the scatter of their distance, `gap_m` their usual
    distance, `covered_share` the share of the loss's edge with the flake along it, `outside_share`
    the share of the flake's edge that would lie over the edge of the loss. `is_turned_over` says
    that the flake's other side is up, mirrored (x becomes -x) before it is moved.
    """

    turn_rad: float
    shift_m: tuple[float, float]
    score: float
    matched_m: float
    matched_share: float
    residual_m: float
    gap_m: float
    covered_share: float
    outside_share: float
    is_turned_over: bool = False

    def placed(self, points_m: ArrayLike) -> Array:
        """Return points of the flake moved into the loss [m]."""
        points = np.asarray(points_m, dtype=np.float64)
        if self.is_turned_over:
            points = points * MIRRORED
        cos, sin = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]) + np.array(self.shift_m))


@dataclass(frozen=True, slots=True)
class Candidate:
    """A loss by its number, its best seat, and its lead over the next candidate's (0 to 1)."""

    number: int
    seat: Seat
    uniqueness: float


def candidates(
    flake_m: ArrayLike,
    losses_m: Mapping[int, ArrayLike],
    allowance: EdgeAllowance | None = None,
    most: int = 5,
    *,
    either_side: bool = False,
) -> tuple[Candidate, ...]:
    """Return the losses into which a flake fits best, the best first; nothing is placed by it.

    Parameters
    ----------
    flake_m : array-like, outline of the flake, its outer side up, shape (m, 2) [m]
    losses_m : mapping, number of a loss to its outline, shape (m, 2) [m]
    allowance : EdgeAllowance or None, how far edges may lie apart [m]
    most : int, so many candidates at most [1], 1 or more
    either_side : bool, try the flake turned over as well [1]; for one whose sides look alike

    Returns
    -------
    tuple of Candidate; the uniqueness of each is how much its score leads that of the best other
    loss, 0 when another fits better: a poor fit is never unique [1]

    Raises
    ------
    InputError
        When an outline is too small, too large, or crosses nothing.

    Source: umeyama1991 (best rigid movement); own score, by simulated breakage.
    Checked against: benchmarks/fragment.py and tests/science/photo/test_fragment.py.

    Example
    -------
    >>> turn = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    >>> radius = 0.01 * (1 + 0.2 * np.cos(2 * turn) + 0.1 * np.sin(3 * turn))
    >>> flake = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    >>> rotated = flake @ np.array([[0.0, 1.0], [-1.0, 0.0]]) + 0.05
    >>> round_one = 0.011 * np.column_stack([np.cos(turn), np.sin(turn)])
    >>> found = candidates(flake, {4: round_one, 7: rotated})
    >>> found[0].number, found[0].seat.matched_share > 0.95
    (7, True)
    """
    rule = allowance or EdgeAllowance()
    flake = checked_outline(flake_m, "flake")
    lying = {False: flake}
    if either_side:
        lying[True] = checked_outline(flake * MIRRORED, "flake")
    seats = {}
    for number, outline in losses_m.items():
        loss = checked_outline(outline, f"loss {number}")
        tried = [
            replace(best_seat(way, loss, rule), is_turned_over=is_turned)
            for is_turned, way in lying.items()
        ]
        seats[number] = max(tried, key=lambda seat: seat.score)
    ordered = sorted(seats, key=lambda number: -seats[number].score)
    found = []
    for number in ordered[:most]:
        own = seats[number].score
        other = max((seats[one].score for one in ordered if one != number), default=0.0)
        found.append(Candidate(number, seats[number], max(0.0, own - other)))
    return tuple(found)


def checked_outline(outline_m: ArrayLike, name: str) -> Array:
    """Return an outline that runs so that its area is positive, after a look at its size.

    Parameters
    ----------
    outline_m : array-like, outline, shape (m, 2) [m]
    name : str, what it is, for the refusal

    Returns
    -------
    numpy array, shape (m, 2) [m]

    Raises
    ------
    InputError
        When it encloses nothing, or its size is a slip of the pen.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> checked_outline([[0, 0], [0, 0.01], [0.01, 0.01]], "flake").tolist()[0]
    [0.01, 0.01]
    """
    ring = point_array(outline_m, 3)
    x, y = ring.T
    area = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    size = float(np.ptp(ring, axis=0).max())
    if not SMALLEST_M <= size <= LARGEST_M or abs(area) < 0.02 * size**2:
        raise InputError(
            f"The outline of the {name} cannot be one",
            value=f"{1e3 * size:.2f} mm long, {1e6 * abs(area):.2f} mm²",
            allowed="1 to 500 mm long, not a mere line",
            remedy="Set the scale of its photograph, or draw its outline again",
        )
    return np.asarray(ring if area > 0 else ring[::-1])


def best_seat(flake: Array, loss: Array, allowance: EdgeAllowance) -> Seat:
    """Return the best seat of a flake in one loss.

    Parameters
    ----------
    flake, loss : numpy array, outlines of positive area, shape (m, 2) [m]
    allowance : EdgeAllowance, how far edges may lie apart [m]

    Returns
    -------
    Seat [m]

    Source: umeyama1991; own score.
    Checked against: tests/science/photo/test_fragment.py.

    Example
    -------
    >>> square = 0.01 * np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
    >>> seat = best_seat(square, square + 0.02, EdgeAllowance())
    >>> round(seat.matched_share, 1), round(1e3 * seat.residual_m, 1)
    (1.0, 0.0)
    """
    fit = Fit.of(flake, loss, allowance)
    starts = _starts(fit.edge, fit.rim, fit.field)
    return max((fit.seat_from(*start) for start in starts), key=lambda seat: seat.score)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """One flake at one loss: points round its edge, points round the rim, and the rim's field."""

    edge: NDArray[np.complex128]
    rim: NDArray[np.complex128]
    field: EdgeField
    step: float
    rule: EdgeAllowance

    @classmethod
    def of(cls, flake: Array, loss: Array, rule: EdgeAllowance) -> Fit:
        """Return flake and loss, each walked in equal steps."""
        step = _length(flake) / STEPS_ROUND
        edge = _even_ring(flake, STEPS_ROUND)
        rim = _even_ring(loss, max(round(_length(loss) / step), 24))
        return cls(edge, rim, EdgeField.of(loss), step, rule)

    def seat_from(self, turn: complex, shift: complex) -> Seat:
        """Return the seat that is found from a first movement."""
        refined = _refined(self.edge, self.field, turn, shift, self.rule)
        return _judged(self.edge, self.rim, self.field, *refined, self.step, self.rule)


def _starts(
    edge: NDArray[np.complex128], rim: NDArray[np.complex128], field: EdgeField
) -> list[tuple[complex, complex]]:
    """Return the movements that lay stretches of the edge on stretches of the rim best."""
    turns, shifts = [], []
    for share in STRETCHES:
        count = min(round(share * len(edge)), len(rim))
        here, here_mean = _stretches(edge, count)
        there, there_mean = _stretches(rim, count)
        cross = here.conj() @ there.T
        power = np.sum(np.abs(here) ** 2, axis=1)[:, None] + np.sum(np.abs(there) ** 2, axis=1)
        misfit = (power - 2 * np.abs(cross)).ravel()
        best = np.argpartition(misfit, min(TRIED, misfit.size) - 1)[:TRIED]
        i, j = np.unravel_index(best, cross.shape)
        turn = cross[i, j] / np.maximum(np.abs(cross[i, j]), 1e-30)
        turns.append(turn)
        shifts.append(there_mean[j] - turn * here_mean[i])
    turn, shift = np.concatenate(turns), np.concatenate(shifts)
    placed = turn[:, None] * edge[None, ::3] + shift[:, None]
    distance, _ = field.at(placed)
    fit = np.mean(np.exp(-((distance / ROUGH_M) ** 2)), axis=1)
    fit -= np.mean(distance < -ROUGH_M, axis=1)
    size = float(np.abs(edge - edge.mean()).max())
    middle = placed.mean(axis=1)
    kept: list[int] = []
    for number in np.argsort(-fit, kind="stable").tolist():
        told = (
            abs(turn[number] - turn[k]) > 0.1 or abs(middle[number] - middle[k]) > 0.1 * size
            for k in kept
        )
        if all(told):
            kept.append(number)
        if len(kept) == STARTS:
            break
    return [(complex(turn[k]), complex(shift[k])) for k in kept]


def _stretches(
    ring: NDArray[np.complex128], count: int
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Return every stretch of so many points of a ring, each about its mean, and the means."""
    numbers = (np.arange(len(ring))[:, None] + np.arange(count)[None]) % len(ring)
    parts = ring[numbers]
    mean = parts.mean(axis=1)
    return parts - mean[:, None], mean


def _refined(
    edge: NDArray[np.complex128],
    field: EdgeField,
    turn: complex,
    shift: complex,
    allowance: EdgeAllowance,
) -> tuple[complex, complex]:
    """Return the movement that brings the edge to an even distance inside the rim, robustly."""
    for number in range(ROUNDS):
        placed = turn * edge + shift
        distance, slope = field.at(placed)
        reach = max(1.5e-3 * (1 - number / ROUNDS), 2 * allowance.matched)
        near = np.abs(distance) < reach
        if near.sum() < 6:
            break
        gap = float(np.clip(np.median(distance[near]), -allowance.over, allowance.gap))
        left = distance[near] - gap
        weight = 1 / (1 + (left / allowance.matched) ** 2)
        size = np.abs(slope[near])
        way = slope[near] / np.maximum(size, 1e-9)
        lever = placed[near] - placed.mean()
        by_turn = (way.conj() * (1j * lever)).real
        terms = np.column_stack([way.real, way.imag, by_turn])
        normal = (terms * weight[:, None]).T @ terms
        normal[np.diag_indices(3)] *= 1.01
        normal[np.diag_indices(3)] += 1e-9 * np.trace(normal) + 1e-15
        step = np.linalg.solve(normal, -(terms * weight[:, None]).T @ left)
        spin = complex(math.cos(step[2]), math.sin(step[2]))
        centre = placed.mean()
        shift = spin * (shift - centre) + centre + complex(step[0], step[1])
        turn = spin * turn
    return turn, shift


def _judged(
    edge: NDArray[np.complex128],
    rim: NDArray[np.complex128],
    field: EdgeField,
    turn: complex,
    shift: complex,
    step: float,
    allowance: EdgeAllowance,
) -> Seat:
    placed = turn * edge + shift
    distance, slope = field.at(placed)
    near = np.abs(distance) < allowance.gap + allowance.over + allowance.matched
    middle = float(np.median(distance[near])) if near.any() else 0.0
    gap = float(np.clip(middle, -allowance.over, allowance.gap))
    run = np.roll(placed, -1) - np.roll(placed, 1)
    inward = 1j * run / np.maximum(np.abs(run), 1e-15)
    along = (inward.conj() * slope).real / np.maximum(np.abs(slope), 1e-9)
    matched = (np.abs(distance - gap) <= allowance.matched) & (along > AGREE_COSINE)
    share = float(matched.mean())
    left = distance[matched] - gap
    residual = float(np.sqrt(np.mean(left**2))) if matched.any() else allowance.matched
    outside = float(np.mean(distance < -(allowance.over + allowance.wear)))
    apart = np.abs(rim[:, None] - placed[matched][None]).min(axis=1) if matched.any() else None
    reach = abs(gap) + allowance.matched + step
    covered = float(np.mean(apart < reach)) if apart is not None else 0.0
    tight = math.exp(-((residual / (2 * allowance.wear)) ** 2))
    whole = 1 - COVERED_WEIGHT + COVERED_WEIGHT * covered
    score = share * tight * whole * max(0.0, 1 - 3 * outside)
    return Seat(
        math.atan2(turn.imag, turn.real),
        (float(shift.real), float(shift.imag)),
        score,
        float(matched.sum()) * step,
        share,
        residual,
        gap,
        covered,
        outside,
    )


def _length(outline: Array) -> float:
    return float(np.hypot(*(np.roll(outline, -1, axis=0) - outline).T).sum())


def _even_ring(outline: Array, count: int) -> NDArray[np.complex128]:
    """Return so many points at even steps round an outline."""
    closed = np.concatenate([outline, outline[:1]])
    place = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    wanted = np.arange(count) * place[-1] / count
    x, y = (np.interp(wanted, place, closed[:, axis]) for axis in (0, 1))
    return np.asarray(x + 1j * y, dtype=np.complex128)
