"""Light on an object: dose, ultraviolet, and how long a budget or a fade that shows takes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array


def light_dose(illuminance_lux: ArrayLike, lit_s: ArrayLike) -> Array:
    """Return the dose of light that falls in a time.

    Parameters
    ----------
    illuminance_lux : float or array, on the object [lx], 0 or more
    lit_s : float or array, time lit [s], 0 or more

    Returns
    -------
    numpy array, dose [lx s]

    Raises
    ------
    InputError
        When a value is negative.

    Source: cie157 (definition).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> float(light_dose(50, 8 * 300 * 3600)) / 3600
    120000.0
    """
    lux, lit = np.asarray(illuminance_lux, dtype=np.float64), np.asarray(lit_s, dtype=np.float64)
    if not (np.all(lux >= 0) and np.all(lit >= 0)):
        raise InputError("Light and time cannot be negative", allowed="0 or more")
    return np.asarray(lux * lit)


def ultraviolet(illuminance_lux: ArrayLike, share_w_lm: ArrayLike) -> Array:
    """Return the ultraviolet that falls with the light.

    Parameters
    ----------
    illuminance_lux : float or array, on the object [lx], 0 or more
    share_w_lm : float or array, ultraviolet of the lamp for each lumen [W/lm], 0 or more

    Returns
    -------
    numpy array, irradiance [W/m2]

    Raises
    ------
    InputError
        When a value is negative.

    Source: cie157 (definition).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> round(1e3 * float(ultraviolet(200, 75e-6)), 3)
    15.0
    """
    lux, share = (np.asarray(v, dtype=np.float64) for v in (illuminance_lux, share_w_lm))
    if not (np.all(lux >= 0) and np.all(share >= 0)):
        raise InputError("Light and ultraviolet cannot be negative", allowed="0 or more")
    return np.asarray(lux * share)


def time_to_dose(dose_lux_s: ArrayLike, illuminance_lux: ArrayLike, lit_share: ArrayLike) -> Array:
    """Return how long it takes until a dose has fallen.

    Parameters
    ----------
    dose_lux_s : float or array, dose [lx s], 0 or more
    illuminance_lux : float or array, while lit [lx], above 0
    lit_share : float or array, share of the time that is lit [1], above 0 to 1

    Returns
    -------
    numpy array, time [s]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: cie157 (definition).
    Checked against: tests/checks/softmend-climate.csv.

    Example
    -------
    >>> year = 365.25 * 86400
    >>> round(float(time_to_dose(0.3e6 * 3600, 50, 3000 * 3600 / year)) / year, 2)
    2.0
    """
    dose, lux, share = (
        np.asarray(v, dtype=np.float64) for v in (dose_lux_s, illuminance_lux, lit_share)
    )
    if not (np.all(dose >= 0) and np.all(lux > 0) and np.all((share > 0) & (share <= 1))):
        raise InputError("Light, its share of the time and its dose cannot be used")
    return np.asarray(dose / (lux * share))
