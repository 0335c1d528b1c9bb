"""A reflectance curve where only a colour is known; always an estimate, and said so."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend.errors import InputError
from softmend.science.tint.colorimetry import Weights
from softmend.science.uncertain import Array

OTHER_LAMP_ERROR = (0.5, 2.0)
"""Usual and largest CIEDE2000 under another lamp of a curve made from a colour alone."""
LEAST_LOCAL = 10


def smoothest_spectrum(xyz: Array, weights: Weights) -> Array:
    """Return the smoothest reflectance that has a colour.

    Parameters
    ----------
    xyz : array, X, Y, Z [1], Y of a white 100
    weights : Weights, of the lamp and observer of that colour

    Returns
    -------
    array, reflectance at the wavelengths of the weights [1]; it may leave 0 to 1 for a colour that
    no smooth surface has

    Source: own; least sum of squared steps under three conditions, in closed form.
    Checked against: tests/science/tint/test_spectrum.py.

    Example
    -------
    >>> eye = np.array([[0, 0, 1, 99], [0, 50, 50, 0], [99, 1, 0, 0.0]])
    >>> day = Weights("day", eye, np.full(3, 100.0))
    >>> smoothest_spectrum(np.full(3, 50.0), day).round(6).tolist()
    [0.5, 0.5, 0.5, 0.5]
    """
    count = weights.matrix.shape[1]
    steps = np.diff(np.eye(count), axis=0)
    system = np.block([[2 * steps.T @ steps, weights.matrix.T], [weights.matrix, np.zeros((3, 3))]])
    side = np.concatenate([np.zeros(count), np.asarray(xyz, np.float64)])
    return np.asarray(np.linalg.solve(system, side)[:count])


def spectrum_like(xyz: Array, weights: Weights, local: Array) -> Array:
    """Return the reflectance that has a colour and is built like a set of local readings.

    Parameters
    ----------
    xyz : array, X, Y, Z [1], Y of a white 100
    weights : Weights, of the lamp and observer of that colour
    local : array, ten or more reflectances of similar places, one a row [1], 0 to 1

    Returns
    -------
    array, reflectance at the wavelengths of the weights [1]

    Raises
    ------
    InputError
        When there are fewer than ten local readings.

    Source: own; mean and three principal components under three conditions.
    Checked against: tests/science/tint/test_spectrum.py.

    Example
    -------
    >>> rng = np.random.default_rng(0)
    >>> w = Weights("day", np.eye(3, 5) * 100, np.full(3, 100.0))
    >>> spectrum_like(np.array([50.0, 40, 30]), w, rng.random((12, 5)))[:3].round(6).tolist()
    [0.5, 0.4, 0.3]
    """
    if local.shape[0] < LEAST_LOCAL:
        raise InputError(
            "There are too few local readings to build on",
            value=local.shape[0],
            allowed=f"{LEAST_LOCAL} or more",
        )
    mean = local.mean(axis=0)
    parts = np.linalg.svd(local - mean, full_matrices=False)[2][:3]
    amounts = np.linalg.solve(weights.matrix @ parts.T, xyz - weights.matrix @ mean)
    return np.asarray(mean + amounts @ parts)
