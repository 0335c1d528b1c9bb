"""How dust falls off with the distance from where people walk."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array

HALVED_OVER_M = 0.5


def dust_share(distance_m: ArrayLike) -> Array:
    """Return the share of the dust beside the visitors' path that falls at a distance from it.

    Parameters
    ----------
    distance_m : float or array, from the path [m], 0 or more

    Returns
    -------
    numpy array, share of the rate at the path [1]

    Raises
    ------
    InputError
        When a distance is negative.

    Source: yoon2001 (half for each half metre).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> float(dust_share(1.5))
    0.125
    """
    distance = np.asarray(distance_m, dtype=np.float64)
    if not np.all(distance >= 0):
        raise InputError("A distance is negative", allowed="0 m or more")
    return np.asarray(0.5 ** (distance / HALVED_OVER_M))
