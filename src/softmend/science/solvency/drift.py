"""What is left of a blend as it dries, if its parts evaporate as ideal ones do."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solvency.hansen import volume_shares
from softmend.science.uncertain import Array

HALVINGS = 200


def left_after(
    volumes: ArrayLike, molar_volumes: ArrayLike, vapour_pressures: ArrayLike, lost: float
) -> Array:
    """Return the composition of a blend by volume once a share of it has evaporated.

    Parameters
    ----------
    volumes : array, parts by volume at the start, shape (n,) [1], 0 or more
    molar_volumes : array, shape (n,) [m3/mol], above 0
    vapour_pressures : array, of the pure parts, shape (n,) [Pa], 0 or more
    lost : float, share of the volume that is gone [1], 0 to 0.999

    Returns
    -------
    numpy array, shares of what is left by volume, summing to 1, shape (n,) [1]

    Raises
    ------
    InputError
        When the arrays do not pair, a number is out of range, or so much cannot evaporate.

    Source: rayleigh1902 (recalled); Raoult's rule, ideal.
    Checked against: tests/science/solvency/test_drift.py, against an integration step by step.

    Example
    -------
    >>> left_after([50, 50], [1e-4, 1e-4], [5000, 5000], 0.9).tolist()
    [0.5, 0.5]
    """
    shares = volume_shares(volumes)
    sizes, pressures = (np.asarray(one, dtype=float) for one in (molar_volumes, vapour_pressures))
    if not shares.shape == sizes.shape == pressures.shape:
        raise InputError(
            "The parts of a blend do not pair with their vapour pressures",
            value=f"{shares.size} parts, {pressures.size} pressures",
            allowed="one for each part",
        )
    if not 0 <= lost <= 0.999 or np.any(sizes <= 0) or np.any(pressures < 0):
        raise InputError(
            "A share that evaporated is out of range", value=lost, allowed="0 to 0.999"
        )
    if lost == 0:
        return shares
    stays = float(shares[pressures == 0].sum())
    if 1 - lost < stays:
        raise InputError(
            "So much of the blend cannot evaporate",
            value=f"{100 * lost:g} %",
            allowed=f"up to {100 * (1 - stays):g} %",
        )
    # Each part's moles fall as exp(-P s) of one common clock s, whatever the rest does.
    scaled = pressures / pressures.max()
    low, high = 0.0, 1.0
    while _kept(shares, scaled, high) > 1 - lost:
        high *= 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if _kept(shares, scaled, middle) > 1 - lost else (low, middle)
    return volume_shares(shares * np.exp(-scaled * high))


def _kept(shares: Array, scaled: Array, clock: float) -> float:
    return float((shares * np.exp(-scaled * clock)).sum())
