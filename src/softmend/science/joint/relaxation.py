"""How much of its stiffness a material keeps against a slow load, and what re-wetting leaves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

QUICK_S, SLOW_S = 3600.0, 90 * 86400.0
"""Within an hour nothing has relaxed; after a season all that will."""


def slow_share(duration_s: float) -> float:
    """Return how far a load of some duration is a slow one: 0 an hour or less, 1 a season or more.

    Between the two it runs straight with the logarithm of time, as creep does.

    Parameters
    ----------
    duration_s : float, time over which the load builds up [s], above 0

    Returns
    -------
    float, share 0 to 1 [1]

    Raises
    ------
    InputError
        When the duration is not above zero.

    Source: common practice, no source (power-law creep between two known ends).
    Checked against: tests/science/joint/test_relaxation.py.

    Example
    -------
    >>> slow_share(60.0), slow_share(1e9)
    (0.0, 1.0)
    """
    if not duration_s > 0:
        raise InputError("A duration is not above zero", value=duration_s)
    return min(1.0, max(0.0, math.log(duration_s / QUICK_S) / math.log(SLOW_S / QUICK_S)))


def relaxed(modulus: ArrayLike, factor: ArrayLike, duration_s: float) -> Array:
    """Return the modulus that a load of some duration meets.

    Parameters
    ----------
    modulus : float or array, quick modulus [Pa], 0 or more
    factor : float or array, share of it that is left after a season [1], above 0 to 1
    duration_s : float, time over which the load builds up [s], above 0

    Returns
    -------
    numpy array, modulus [Pa]

    Raises
    ------
    InputError
        When a factor is outside 0 to 1 or the duration is not above zero.

    Source: common practice, no source (power-law creep between two known ends).
    Checked against: tests/science/joint/test_relaxation.py.

    Example
    -------
    >>> float(relaxed(8e9, 0.5, 3600.0)), float(relaxed(8e9, 0.5, 3e7))
    (8000000000.0, 4000000000.0)
    """
    left = np.asarray(factor, dtype=np.float64)
    if not np.all((left > 0) & (left <= 1)):
        raise InputError(
            "A relaxation factor is out of range", value=float(left.min()), allowed="above 0 to 1"
        )
    return np.asarray(np.asarray(modulus, dtype=np.float64) * left ** slow_share(duration_s))


@dataclass(frozen=True, slots=True)
class Yielding:
    """How a fill gives way when it is squeezed, and when its bond lets go.

    Crush is the pressure at which it shortens for good, creep the time in which a held squeeze
    falls to 1/e (infinite: never), bond the pull at which it lets go of a wall (infinite: never).
    """

    crush_pa: float
    creep_s: float = math.inf
    bond_pa: float = math.inf


@dataclass(frozen=True, slots=True)
class Ratchet:
    """What a history does: openings [m], pulls [Pa], how much the fill has shortened [m].

    `gap_m` is the width between fill and wall at the end if the bond has let go, `loose_at` the
    reading at which it did.
    """

    opening_m: Array
    traction_pa: Array
    shortened_m: Array
    gap_m: float
    loose_at: int | None


def ratchet(
    wanted_m: Array, step_s: float, object_pa_m: float, fill_pa_m: float, fill: Yielding
) -> Ratchet:
    """Return how a filled crack works through a history of dry and damp spells.

    Object and fill are one spring each, means over the depth. Squeezed in a damp spell the fill is
    crushed or creeps and is shorter for good; in the next dry spell it pulls sooner, or, if the
    bond lets go, a gap stands beside it that the damp closes again.

    Parameters
    ----------
    wanted_m : numpy array, mean opening that the empty crack would have, at even steps [m]
    step_s : float, time between the steps [s], above 0
    object_pa_m : float, stiffness of the object at the crack [Pa/m], above 0
    fill_pa_m : float, stiffness of the fill [Pa/m], 0 or more
    fill : Yielding, how the fill gives way

    Returns
    -------
    Ratchet, as long as the history [m, Pa]

    Raises
    ------
    InputError
        When a step, stiffness or strength is not possible.

    Source: softmend-mechanics-joint, section 4h, limits (time stepping; implicit Maxwell creep).
    Checked against: tests/science/joint/test_relaxation.py (closed forms of one cycle).

    Example
    -------
    >>> import numpy as np
    >>> damp_then_dry = np.array([0.0, -1e-4, 0.0])
    >>> worked = ratchet(damp_then_dry, 86400.0, 1e11, 1e11, Yielding(crush_pa=1e6))
    >>> round(float(worked.traction_pa[1]) / 1e6, 3), round(float(worked.traction_pa[2]) / 1e6, 3)
    (-1.0, 4.0)
    """
    if not min(step_s, object_pa_m, fill.crush_pa, fill.creep_s, fill.bond_pa) > 0 or fill_pa_m < 0:
        raise InputError("Steps, stiffnesses and strengths of a history must be positive")
    kept = 0.0 if math.isinf(fill.creep_s) else step_s / fill.creep_s
    opening, pull, short = (np.zeros(wanted_m.size) for _ in range(3))
    rest, loose_at = 0.0, None
    together = object_pa_m * fill_pa_m / (object_pa_m + fill_pa_m)
    for i, wanted in enumerate(wanted_m.tolist()):
        force = together * (wanted - rest)
        if force < 0 and kept:
            # The squeeze of this step relaxes while the object goes on pressing.
            flow = kept * together / fill_pa_m
            force /= 1 + flow
            rest += kept * force / fill_pa_m
        if force < -fill.crush_pa:
            force = -fill.crush_pa
            rest = wanted - force / together
        if loose_at is None and force > fill.bond_pa:
            loose_at = i
        if loose_at is not None and force > 0:
            force = 0.0
        pull[i], short[i] = force, -rest
        opening[i] = wanted - force / object_pa_m
    last = float(opening[-1]) - rest if loose_at is not None and wanted_m.size else 0.0
    return Ratchet(opening, pull, short, max(0.0, last), loose_at)
