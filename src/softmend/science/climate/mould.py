"""The humidity above which mould can grow on the kindest material."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


def mould_humidity(temperature_degc: ArrayLike) -> Array:
    """Return the relative humidity below which mould is not known to start on pine.

    Parameters
    ----------
    temperature_degc : float or array, of the surface [degC], 0 to 50

    Returns
    -------
    numpy array, relative humidity [%]

    Raises
    ------
    InputError
        When a temperature is outside 0 to 50 degC.

    Source: hukka1999, equation 1; recalled.
    Checked against: tests/checks/hukka1999.csv.

    Example
    -------
    >>> [round(float(mould_humidity(t)), 1) for t in (5, 10, 20)]
    [88.0, 82.0, 80.0]
    """
    t = np.asarray(temperature_degc, dtype=np.float64)
    if not np.all((t >= 0) & (t <= 50)):
        raise InputError(
            "The limit of mould is not known at that temperature", allowed="0 to 50 °C"
        )
    cold = ((-0.00267 * t + 0.160) * t - 3.13) * t + 100
    return np.where(t > 20, 80.0, cold)
