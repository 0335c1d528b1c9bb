"""How surely the fit of a flake in a loss is known: both scales and the drawn edge let go."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cmath
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.fragment_seat import (
    MIRRORED,
    EdgeAllowance,
    Fit,
    Seat,
    checked_outline,
)
from softmend.science.propagation import Spread, spread
from softmend.science.uncertain import Array

DRAWS = 60
SCALES, EDGES = "the two scales against each other", "how truly both edges are drawn"
SMOOTH_STEPS = 3
"""Over so many steps along the edge a drawn outline lies off to the same side."""


@dataclass(frozen=True, slots=True)
class SeatSpread:
    """Scatter and length of the matched edge [m], and the lead over the best other loss [1]."""

    residual: Spread
    matched: Spread
    uniqueness: Spread


def seat_spreads(
    flake_m: ArrayLike,
    placed: Sequence[tuple[ArrayLike, Seat]],
    allowance: EdgeAllowance | None = None,
    relative_sd: float = 0.0,
    edge_sd: float = 5e-5,
    seed: int = 0,
) -> tuple[SeatSpread, ...]:
    """Return how surely each candidate's fit is known, one result a candidate.

    Each draw makes the flake a little larger or smaller, shifts its edge in and out, and lets it
    settle again in every loss; the uniqueness of a draw is its score less the best other one.

    Parameters
    ----------
    flake_m : array-like, outline of the flake, shape (m, 2) [m]
    placed : sequence of pairs, outline of a loss, shape (m, 2) [m], and the seat found in it
    allowance : EdgeAllowance or None, as when the seats were found [m]
    relative_sd : float, sd of the flake's scale against that of the losses [1], 0 to 0.5
    edge_sd : float, sd of both drawn edges together [m], 0 to 0.005
    seed : int, seed of the random numbers [1]

    Returns
    -------
    tuple of SeatSpread [m, m, 1]

    Raises
    ------
    InputError
        When a standard deviation is out of range.

    Source: jcgm101, section 7.
    Checked against: refits by hand in tests/science/photo/test_fragment_spread.py.

    Example
    -------
    >>> from softmend.science.photo.fragment_seat import candidates
    >>> turn = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    >>> radius = 0.01 * (1 + 0.2 * np.cos(2 * turn) + 0.1 * np.sin(3 * turn))
    >>> flake = np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])
    >>> seat = candidates(flake, {7: flake + 0.05})[0].seat
    >>> found = seat_spreads(flake, [(flake + 0.05, seat)], edge_sd=1e-4)[0]
    >>> found.residual.mean < 2e-4, 0 <= found.matched.sd < 0.01
    (True, True)
    """
    if not 0 <= relative_sd <= 0.5 or not 0 <= edge_sd <= 5e-3:
        raise InputError(
            "The uncertainty of a flake's outline is out of range",
            value=f"{100 * relative_sd:g} % and {1e3 * edge_sd:g} mm",
            allowed="0 to 50 % and 0 to 5 mm",
            remedy="Set the scales of both photographs again",
        )
    rule = allowance or EdgeAllowance()
    rng = np.random.default_rng(seed)
    flake = np.asarray(flake_m, dtype=np.float64)
    ways = {seat.is_turned_over for _, seat in placed}
    lying = {way: checked_outline(flake * MIRRORED if way else flake, "flake") for way in ways}
    fits = [
        (Fit.of(lying[seat.is_turned_over], checked_outline(loss, "loss"), rule), seat)
        for loss, seat in placed
    ]
    factors = 1 + relative_sd * rng.standard_normal(DRAWS)
    offs = _smooth_offs(rng, len(fits[0][0].edge) if fits else 1) * edge_sd
    drawn = [
        [_again(fit, seat, factor, off) for factor, off in zip(factors, offs, strict=True)]
        for fit, seat in fits
    ]
    scores = np.array([[seat.score for seat in row] for row in drawn]).reshape(len(fits), DRAWS)
    found = np.array([[seat.score] for _, seat in fits])
    sources = {SCALES: factors - 1}
    return tuple(
        SeatSpread(
            spread(_about(seat.residual_m, [one.residual_m for one in row]), sources, EDGES),
            spread(_about(seat.matched_m, [one.matched_m for one in row]), sources, EDGES),
            spread(_about(float(_lead(found, number)[0]), _lead(scores, number)), sources, EDGES),
        )
        for number, (row, (_, seat)) in enumerate(zip(drawn, fits, strict=True))
    )


def _about(value: float, drawn: ArrayLike) -> Array:
    """Return draws about the value itself: what was measured stands, the draws give its spread."""
    draws = np.asarray(drawn, dtype=np.float64)
    return np.asarray(np.maximum(value + draws - np.median(draws), 0.0))


def _again(fit: Fit, seat: Seat, factor: float, off: Array) -> Seat:
    """Return the seat that the flake settles in when its outline was drawn a little otherwise."""
    edge = fit.edge
    run = np.roll(edge, -1) - np.roll(edge, 1)
    inward = 1j * run / np.maximum(np.abs(run), 1e-15)
    middle = edge.mean()
    changed = middle + (edge - middle) * factor + inward * off
    turn = cmath.exp(1j * seat.turn_rad)
    return Fit(changed, fit.rim, fit.field, fit.step * factor, fit.rule).seat_from(
        turn, complex(*seat.shift_m)
    )


def _smooth_offs(rng: np.random.Generator, points: int) -> Array:
    """Return how far an edge lies off at each point, alike over a few points, sd 1."""
    white = rng.standard_normal((DRAWS, points))
    steps = np.minimum(np.arange(points), points - np.arange(points))
    kernel = np.exp(-0.5 * (steps / SMOOTH_STEPS) ** 2)
    soft: NDArray[np.float64] = np.fft.irfft(
        np.fft.rfft(white, axis=1) * np.fft.rfft(kernel), points, axis=1
    )
    return np.asarray(soft / np.sqrt(np.sum(kernel**2)))


def _lead(scores: Array, number: int) -> Array:
    others = np.delete(scores, number, axis=0)
    best = others.max(axis=0) if len(others) else np.zeros(scores.shape[1])
    return np.asarray(np.maximum(scores[number] - best, 0.0))
