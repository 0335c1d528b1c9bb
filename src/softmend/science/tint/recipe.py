"""Mixtures that match a colour under several lamps: every small set of paints, solved together.

Each set of paints is one row; all rows take the damped Gauss-Newton steps of their own in the same
few array operations. Steps are judged on CIEDE2000 made straight at the target; what is reported is
the true CIEDE2000.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.tint.colorimetry import Weights, lab, lab_slopes
from softmend.science.tint.difference import colour_difference_ciede2000, metric_at
from softmend.science.tint.film import film_slopes
from softmend.science.tint.palette import Palette, Skin, check_palette, mixed, skin_reflectance
from softmend.science.uncertain import Array

Rows = NDArray[np.intp]
Flags = NDArray[np.bool_]

MOST_PAINTS = 4
MOST_SETS = 20_000
STEPS, PASSES = 40, 4
STARTS = ((0.02, 0.004), (0.02, 0.04), (0.15, 0.004), (0.15, 0.04), (0.15, 0.15), (0.4, 0.02))
"""White and all colours together, as shares of the paint allowed, from which each set may start."""
OPEN, CONVERGED = 1e9, 1e-6


@dataclass(frozen=True, slots=True)
class Target:
    """The colour wanted: L*, a*, b* under each lamp, and the lamps."""

    labs: Array
    lamps: tuple[Weights, ...]


@dataclass(frozen=True, slots=True)
class Solved:
    """The best mixture of each set of paints, best first.

    `amounts` has one column for each paint of the palette; `by_lamp` one for each lamp; `worst` is
    the largest difference over the lamps.
    """

    amounts: Array
    by_lamp: Array
    worst: Array
    counts: Array


@dataclass(frozen=True, slots=True)
class _Problem:
    palette: Palette
    skin: Skin
    target: Target
    metrics: Array  # lamps x 3 x 3
    matrix: Array  # wavelengths x (lamps * 3)
    whites: Array  # lamps x 3
    rises: tuple[Array, Array]  # of K and S with each paint's share


def all_sets(
    target: Target, palette: Palette, skin: Skin, most_paints: int = MOST_PAINTS
) -> Solved:
    """Return the best mixture of every set of up to four paints, the white always allowed.

    Parameters
    ----------
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness, surface, most paint
    most_paints : int, colours in one mixture, white not counted [1], 1 to 4

    Returns
    -------
    Solved, one row a set, the smallest worst difference first

    Raises
    ------
    InputError
        When the number of paints in a mixture is out of range, or there are too many sets.

    Source: own; batched damped least squares.
    Checked against: tests/science/tint/test_recipe.py; tests/checks/softmend-tint-oracle.csv.

    Example
    -------
    >>> from softmend.science.tint.film import Surface
    >>> eye = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> paints = Palette(np.diag([20.0, 20, 20]), np.full((3, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> skin = Skin(np.full(3, 0.8), 0.06, Surface(0, 0))
    >>> made = eye.lab(skin_reflectance(paints, np.array([0.1, 0.05, 0.0]), skin))
    >>> found = all_sets(Target(made[None], (eye,)), paints, skin, 2)
    >>> found.amounts[0].round(3).tolist(), bool(found.worst[0] < 0.01)
    ([0.1, 0.05, 0.0], True)
    """
    if not 1 <= most_paints <= MOST_PAINTS:
        raise InputError(
            "The number of paints in a mixture is out of range",
            value=most_paints,
            allowed=f"1 to {MOST_PAINTS}",
        )
    check_palette(palette, skin)
    sets: list[tuple[int, ...]] = [()] if palette.white is not None else []
    for size in range(1, most_paints + 1):
        sets += list(combinations(palette.colours, size))
    if len(sets) > MOST_SETS:
        raise InputError(
            "There are too many sets of paints to try",
            value=len(sets),
            allowed=f"up to {MOST_SETS}",
            remedy="Leave out the paints that are not wanted, or allow fewer in one mixture",
        )
    return solve_sets(target, palette, skin, sets)


def solve_sets(
    target: Target, palette: Palette, skin: Skin, sets: Sequence[tuple[int, ...]]
) -> Solved:
    """Return the best mixture of each named set of paints, best first.

    Parameters
    ----------
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, ground, thickness, surface, most paint
    sets : sequence of tuples, rows of the palette, the white left out [1]

    Returns
    -------
    Solved, one row a set

    Source: own; batched damped least squares.
    Checked against: tests/checks/softmend-tint-oracle.csv.

    Example
    -------
    >>> from softmend.science.tint.film import Surface
    >>> eye = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> paints = Palette(np.diag([20.0, 20, 20]), np.full((3, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> skin = Skin(np.full(3, 0.8), 0.06, Surface(0, 0))
    >>> made = eye.lab(skin_reflectance(paints, np.array([0.1, 0.0, 0.0]), skin))
    >>> found = solve_sets(Target(made[None], (eye,)), paints, skin, [(0,), (1,)])
    >>> found.amounts[0].round(3).tolist()
    [0.1, 0.0, 0.0]
    """
    problem = _problem(target, palette, skin)
    slots, used = _slots(palette, sets)
    upper = np.where(used, skin.most_share, 0.0)
    start = _started(problem, slots, used)
    found = _descended(problem, slots, start, np.zeros_like(upper), upper)
    return _solved(problem, slots, found)


def solve_near(
    target: Target, palette: Palette, skin: Skin, amounts: Array, within: float
) -> Solved:
    """Return the best mixture of the same paints, each amount within a share of what it was.

    Parameters
    ----------
    target : Target, the colour wanted and the lamps
    palette : Palette, K and S of paints and binder [1 over the unit of the thickness]
    skin : Skin, with the offset that a drawdown has shown
    amounts : array, share of each paint in the first mixture [1]
    within : float, largest relative change [1], above 0, below 1

    Returns
    -------
    Solved, one row

    Source: own; damped least squares within bounds.
    Checked against: tests/science/tint/test_correction.py.

    Example
    -------
    >>> from softmend.science.tint.film import Surface
    >>> eye = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> paints = Palette(np.diag([20.0, 20, 20]), np.full((3, 3), 5.0), np.zeros(3), np.zeros(3))
    >>> skin = Skin(np.full(3, 0.8), 0.06, Surface(0, 0))
    >>> first = np.array([0.1, 0.05, 0.0])
    >>> made = eye.lab(skin_reflectance(paints, first * 1.1, skin))
    >>> solve_near(Target(made[None], (eye,)), paints, skin, first, 0.3).amounts.round(3).tolist()
    [[0.11, 0.055, 0.0]]
    """
    problem = _problem(target, palette, skin)
    rows = np.flatnonzero(amounts > 0)
    slots = rows[None, :]
    start = amounts[rows][None, :]
    found = _descended(problem, slots, start, start * (1 - within), start * (1 + within))
    return _solved(problem, slots, found)


def lab_by_lamp(reflectance: Array, lamps: Sequence[Weights]) -> Array:
    """Return the colour of reflectances under each lamp.

    Parameters
    ----------
    reflectance : array, wavelengths in the last axis [1]
    lamps : sequence of Weights, one a lamp

    Returns
    -------
    array, lamps before L*, a*, b* in the last two axes [1]

    Source: cie-15, CIELAB.
    Checked against: tests/science/tint/test_recipe.py.

    Example
    -------
    >>> eye = Weights("day", np.eye(3) * 100, np.full(3, 100.0))
    >>> lab_by_lamp(np.ones(3), [eye, eye]).round(3).tolist()
    [[100.0, 0.0, 0.0], [100.0, 0.0, 0.0]]
    """
    return np.stack([lamp.lab(reflectance) for lamp in lamps], axis=-2)


def _problem(target: Target, palette: Palette, skin: Skin) -> _Problem:
    return _Problem(
        palette=palette,
        skin=skin,
        target=target,
        metrics=np.array([metric_at(one) for one in target.labs]),
        matrix=np.vstack([lamp.matrix for lamp in target.lamps]).T,
        whites=np.array([lamp.white for lamp in target.lamps]),
        rises=(
            palette.absorption - palette.binder_absorption,
            palette.scattering - palette.binder_scattering,
        ),
    )


def _slots(palette: Palette, sets: Sequence[tuple[int, ...]]) -> tuple[Rows, Flags]:
    """Return the rows of the palette in each set, and which of them are used."""
    width = max(len(one) for one in sets) + (palette.white is not None)
    width = max(width, 1)
    slots = np.zeros((len(sets), width), dtype=np.intp)
    used = np.zeros((len(sets), width), dtype=bool)
    for index, one in enumerate(sets):
        members = (*one, palette.white) if palette.white is not None else one
        slots[index, : len(members)] = members
        used[index, : len(members)] = True
    return slots, used


def _started(problem: _Problem, slots: Rows, used: Flags) -> Array:
    """Return, for each set, the best of a few plain mixtures."""
    is_white = used & (slots == problem.palette.white)
    coloured = used & ~is_white
    each = np.maximum(coloured.sum(axis=1, keepdims=True), 1)
    best, least = np.zeros(slots.shape), np.full(slots.shape[0], OPEN)
    for white, colour in STARTS:
        tried = problem.skin.most_share * (white * is_white + colour * coloured / each)
        cost = np.sum(_differences(problem, slots, tried) ** 2, axis=1)
        better = cost < least
        best[better], least[better] = tried[better], cost[better]
    return best


def _descended(problem: _Problem, slots: Rows, start: Array, lower: Array, upper: Array) -> Array:
    """Return the amounts at which no set gets better; sets that have come to rest are left out."""
    amounts = start.copy()
    damping = np.full(slots.shape[0], 1e-3)
    going = np.arange(slots.shape[0])
    residual, slopes = _residual(problem, slots, amounts)
    cost = np.sum(residual**2, axis=1)
    for _ in range(STEPS):
        bounds = (amounts[going], lower[going], upper[going])
        step = _step(problem, residual, slopes, bounds, damping[going])
        tried = _allowed(problem, amounts[going] + step, lower[going], upper[going])
        new_residual, new_slopes = _residual(problem, slots[going], tried)
        new_cost = np.sum(new_residual**2, axis=1)
        better = new_cost < cost[going]
        gain = np.where(better, np.sqrt(cost[going]) - np.sqrt(new_cost), np.inf)
        hit = going[better]
        amounts[hit], cost[hit] = tried[better], new_cost[better]
        residual = np.where(better[:, None], new_residual, residual)
        slopes = np.where(better[:, None, None], new_slopes, slopes)
        damping[going] = np.where(better, np.maximum(damping[going] / 6, 1e-9), damping[going] * 6)
        moving = (gain > CONVERGED) & (damping[going] < OPEN) & (cost[going] > CONVERGED**2)
        going, residual, slopes = going[moving], residual[moving], slopes[moving]
        if going.size == 0:
            break
    return amounts


def _step(
    problem: _Problem,
    residual: Array,
    slopes: Array,
    amounts: tuple[Array, Array, Array],
    damping: Array,
) -> Array:
    """Return one damped step of each set.

    An amount that would leave its bound stays there, and a set that has no room left for more paint
    trades one for another. `amounts` are where each set stands, and its bounds.
    """
    at, lower, upper = amounts
    pull = np.einsum("ijr,ir->ij", slopes, residual)
    normal = slopes @ slopes.transpose(0, 2, 1)
    size = np.einsum("ijj->i", normal)[:, None]
    full = at.sum(axis=1, keepdims=True) >= problem.skin.most_share - 1e-9
    held = ((at <= lower) & (pull >= 0)) | ((at >= upper) & (pull <= 0)) | (upper <= lower)
    step = np.zeros_like(at)
    # Amounts that would pass a bound are set on it, and the others find their own way again.
    for _ in range(PASSES):
        free = ~held
        own = np.where(free[:, :, None] & free[:, None, :], normal, 0.0)
        diagonal = np.where(free, damping[:, None] * size + 1e-12, 1.0)
        own[:, np.arange(at.shape[1]), np.arange(at.shape[1])] += diagonal
        carried = pull + np.einsum("ijk,ik->ij", normal, np.where(held, step, 0.0))
        sides = np.stack([np.where(free, -carried, 0.0), free.astype(np.float64)], axis=-1)
        both = np.linalg.solve(own, sides)
        more = (np.where(held, step, both[..., 0])).sum(axis=1, keepdims=True)
        room = np.maximum(both[..., 1].sum(axis=1, keepdims=True), 1e-300)
        trade = np.where(full & (more > 0), more / room, 0.0)
        wanted = np.where(held, step, both[..., 0] - trade * both[..., 1])
        step = np.clip(wanted, lower - at, upper - at)
        passed = step != wanted
        if not passed.any():
            break
        held = held | passed
    return step


def _allowed(problem: _Problem, amounts: Array, lower: Array, upper: Array) -> Array:
    """Return amounts within their bounds and, together, within the most paint allowed."""
    over = np.clip(amounts, lower, upper) - lower
    room = problem.skin.most_share - lower.sum(axis=1, keepdims=True)
    total = over.sum(axis=1, keepdims=True)
    return np.asarray(lower + over * np.minimum(room / np.maximum(total, 1e-12), 1.0))


def _residual(problem: _Problem, slots: Rows, amounts: Array) -> tuple[Array, Array]:
    """Return the straightened differences of each set, and how they change with each amount."""
    skin, surface = problem.skin, problem.skin.surface
    k, s = mixed(problem.palette, _dense(problem.palette, slots, amounts), skin)
    r, r_k, r_s = film_slopes(k * skin.thickness, s * skin.thickness, skin.ground)
    through = (1 - surface.k1) * (1 - surface.k2)
    glass = 1 - surface.k2 * r
    read = surface.seen * surface.k1 + through * r / glass
    widen = skin.thickness * through / glass**2
    lamps = problem.whites.shape[0]
    xyz = (read @ problem.matrix).reshape(-1, lamps, 3)
    turned = problem.metrics @ lab_slopes(xyz, problem.whites)
    labs = lab(xyz, problem.whites)
    residual = np.einsum("lij,slj->sli", problem.metrics, labs - problem.target.labs)
    rise_k, rise_s = problem.rises
    by_amount = (r_k * widen)[:, None, :] * rise_k[slots] + (r_s * widen)[:, None, :] * rise_s[
        slots
    ]
    xyz_slopes = (by_amount @ problem.matrix).reshape(*slots.shape, lamps, 3)
    slopes = np.einsum("slij,splj->spli", turned, xyz_slopes)
    return residual.reshape(slots.shape[0], -1), slopes.reshape(*slots.shape, -1)


def _differences(problem: _Problem, slots: Rows, amounts: Array) -> Array:
    """Return the straightened differences of each set, without their slopes."""
    dense = _dense(problem.palette, slots, amounts)
    read = skin_reflectance(problem.palette, dense, problem.skin)
    xyz = (read @ problem.matrix).reshape(-1, problem.whites.shape[0], 3)
    off = lab(xyz, problem.whites) - problem.target.labs
    return np.asarray(np.einsum("lij,slj->sli", problem.metrics, off)).reshape(slots.shape[0], -1)


def _dense(palette: Palette, slots: Rows, amounts: Array) -> Array:
    """Return amounts with one column for each paint of the palette."""
    dense = np.zeros((slots.shape[0], palette.absorption.shape[0]))
    # The slots that a set leaves unused point at the first paint with an amount of 0: add them up.
    rows = np.repeat(np.arange(slots.shape[0]), slots.shape[1])
    np.add.at(dense, (rows, slots.ravel()), amounts.ravel())
    return dense


def _solved(problem: _Problem, slots: Rows, amounts: Array) -> Solved:
    palette, target = problem.palette, problem.target
    dense = _dense(palette, slots, amounts)
    labs = lab_by_lamp(skin_reflectance(palette, dense, problem.skin), target.lamps)
    by_lamp = colour_difference_ciede2000(labs, target.labs)
    worst = by_lamp.max(axis=1)
    coloured = dense[:, list(palette.colours)] > 0
    order = np.argsort(worst, kind="stable")
    return Solved(dense[order], by_lamp[order], worst[order], coloured.sum(axis=1)[order])
