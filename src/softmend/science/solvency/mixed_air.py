"""Limits of mixtures, and what burns: indices, flammable limits, and the flash point of a blend."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

ATMOSPHERE = 101_325.0
MOLAR_VOLUME_UK, MOLAR_VOLUME_US = 0.02405526, 0.02445
"""Of a gas at 20 and 25 degC [m3/mol]: the British and the American lists convert with these."""
ALARM_SHARE = 0.25
"""Share of the lower flammable limit at which a room is left."""
ALCOHOL_MEETS_HYDROCARBON = 10.0
"""Kelvin below the lowest flash point of the parts; our estimate, covers all cases computed."""


@dataclass(frozen=True, slots=True)
class MixtureIndex:
    """Sum of concentration over limit, and for how many of the parts a limit is known.

    `known` is None when no part has a limit: a missing limit is never zero.
    """

    known: float | None
    careful: float
    with_limit: int
    parts: int

    @property
    def is_complete(self) -> bool:
        """Whether every part has a limit."""
        return self.with_limit == self.parts


def mixture_index(
    concentrations: Sequence[float], limits: Sequence[float | None], stand_ins: Sequence[float]
) -> MixtureIndex:
    """Return the index of several vapours that act alike, above 1 being over the limit.

    Parameters
    ----------
    concentrations : sequence of float, one a part [any unit], 0 or more
    limits : sequence of float or None, in the same unit and for the same time [same unit], above
        0; None is not known
    stand_ins : sequence of float, careful figure for a part without a limit [same unit], above 0

    Returns
    -------
    MixtureIndex: over the parts with a limit, and over all with the careful figures [1]

    Raises
    ------
    InputError
        When the three do not pair, or a number is out of range.

    Source: osha-1910-1000, paragraph d.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(mixture_index([500, 45, 40], [1000, 200, 200], [1, 1, 1]).known, 3)
    0.925
    >>> mixture_index([5.0], [None], [50.0]).known is None
    True
    """
    if not concentrations or not len(concentrations) == len(limits) == len(stand_ins):
        raise InputError(
            "The parts of a mixture do not pair with their limits",
            value=f"{len(concentrations)} parts, {len(limits)} limits",
            allowed="one limit, known or not, for each part",
        )
    for one in (*filter(lambda found: found is not None, limits), *stand_ins):
        if one is None or not one > 0:
            raise InputError(
                "A limit is not above zero",
                value=one,
                allowed="above 0",
                remedy="Leave a limit out that is not known: it is never zero",
            )
    if min(concentrations) < 0:
        raise InputError("A concentration is negative", value=min(concentrations))
    pairs = list(zip(concentrations, limits, stand_ins, strict=True))
    have = [amount / limit for amount, limit, _ in pairs if limit is not None]
    lack = [amount / careful for amount, limit, careful in pairs if limit is None]
    return MixtureIndex(sum(have) if have else None, sum(have) + sum(lack), len(have), len(pairs))


def reciprocal_limit(shares: ArrayLike, limits: ArrayLike) -> float:
    """Return the limit of a liquid mixture whose vapour is as its liquid, by reciprocals.

    Parameters
    ----------
    shares : array, by mass, shape (n,) [1], 0 or more, not all 0
    limits : array, of the parts, shape (n,) [any unit], above 0

    Returns
    -------
    float, limit of the mixture [unit of the limits]

    Raises
    ------
    InputError
        When the two do not pair, or a number is out of range.

    Source: hse-eh40, the reciprocal calculation procedure (recalled); acgih-tlv (recalled).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(reciprocal_limit([0.52, 0.27, 0.21], [1200, 800, 500]), 1)
    839.7
    """
    parts, bounds = _paired(shares, limits)
    return float(parts.sum() / (parts / bounds).sum())


def flammable_limit(vapour_shares: ArrayLike, limits: ArrayLike) -> float:
    """Return the lower flammable limit of a vapour mixture.

    Parameters
    ----------
    vapour_shares : array, mole shares of the vapour, shape (n,) [1], 0 or more, not all 0
    limits : array, lower flammable limits, shape (n,) [1], share of the air, above 0

    Returns
    -------
    float, share of the air by volume [1]

    Raises
    ------
    InputError
        When the two do not pair, or a number is out of range.

    Source: le-chatelier-1891 (recalled).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(100 * flammable_limit([0.6, 0.4], [0.025, 0.010]), 4)
    1.5625
    """
    return reciprocal_limit(vapour_shares, limits)


def flammable_share(concentrations: ArrayLike, molar_masses: ArrayLike, limits: ArrayLike) -> float:
    """Return how far vapours are on the way to the lower flammable limit; a quarter is alarm.

    Parameters
    ----------
    concentrations : array, shape (n,) [kg/m3], 0 or more
    molar_masses : array, shape (n,) [kg/mol], above 0
    limits : array, lower flammable limits, shape (n,) [1], above 0

    Returns
    -------
    float, share of the lower flammable limit [1]

    Raises
    ------
    InputError
        When the arrays do not pair, or a number is out of range.

    Source: le-chatelier-1891 (recalled).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(flammable_share([19 * 0.785e-3], [0.05808], [0.025]), 2)
    0.25
    """
    amounts, masses = _paired(concentrations, molar_masses, or_none=True)
    _, bounds = _paired(concentrations, limits, or_none=True)
    return float((amounts / masses * MOLAR_VOLUME_UK / bounds).sum())


def saturated_share(vapour_pressure: float, limit: float) -> float:
    """Return how many times the lower flammable limit the air over a liquid holds.

    Parameters
    ----------
    vapour_pressure : float [Pa], 0 or more
    limit : float, lower flammable limit [1], share of the air, above 0

    Returns
    -------
    float, times the limit [1]

    Raises
    ------
    InputError
        When a number is out of range.

    Source: derived; vapour pressure over the pressure of the air is the share of the air.
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(saturated_share(24700, 0.025), 1)
    9.8
    """
    if vapour_pressure < 0 or not 0 < limit <= 1:
        raise InputError(
            "A vapour pressure or a limit is out of range", value=(vapour_pressure, limit)
        )
    return vapour_pressure / ATMOSPHERE / limit


def blend_flash(
    flashes: Sequence[float | None], *, has_alcohol: bool, has_hydrocarbon: bool
) -> float | None:
    """Return the flash point to reckon with: the lowest of the parts, or lower; never a mean.

    A blend can flash below every one of its parts. None: no part has a flash point that is known.

    Parameters
    ----------
    flashes : sequence of float or None, of the parts [degC]; None is none, or not known
    has_alcohol, has_hydrocarbon : bool, whether the blend holds one

    Returns
    -------
    float or None [degC]

    Source: vidal2006 (the warning; the rule is ours and covers every case computed).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> blend_flash([12.0, 13.0], has_alcohol=True, has_hydrocarbon=True)
    2.0
    """
    known = [one for one in flashes if one is not None]
    if not known:
        return None
    lower = ALCOHOL_MEETS_HYDROCARBON if has_alcohol and has_hydrocarbon else 0.0
    return min(known) - lower


def mass_concentration(ppm: float, molar_mass: float, gas_volume: float) -> float:
    """Return the mass in a cubic metre of air of a share in parts per million.

    Parameters
    ----------
    ppm : float, parts per million by volume [ppm], 0 or more
    molar_mass : float [kg/mol], above 0
    gas_volume : float, molar volume of a gas by the list's own temperature [m3/mol]

    Returns
    -------
    float, concentration [kg/m3]

    Raises
    ------
    InputError
        When a number is out of range.

    Source: hse-eh40 (recalled; 24.05526 L/mol at 20 degC); osha-1910-1000 (24.45 at 25 degC).
    Checked against: tests/checks/softmend-solvents-air.csv.

    Example
    -------
    >>> round(mass_concentration(500, 0.05808, MOLAR_VOLUME_UK) * 1e6)
    1207
    """
    if ppm < 0 or molar_mass <= 0 or gas_volume <= 0:
        raise InputError("A share of the air is out of range", value=ppm, allowed="0 ppm or more")
    return ppm * 1e-6 * molar_mass / gas_volume


def _paired(first: ArrayLike, second: ArrayLike, *, or_none: bool = False) -> tuple[Array, Array]:
    parts, bounds = (np.atleast_1d(np.asarray(o, dtype=np.float64)) for o in (first, second))
    fine = parts.shape == bounds.shape and bool(np.all(parts >= 0) and np.all(bounds > 0))
    if not fine or (parts.sum() <= 0 and not or_none):
        raise InputError(
            "The parts of a mixture are impossible",
            value=f"{parts.size} and {bounds.size}",
            allowed="one above 0 for each part, parts 0 or more",
        )
    return parts, bounds
