"""The colour correction of a photograph that holds a chart, and how well it does.

Numbers of the camera are linear in light, 0 to 1.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.tint.colorimetry import lab
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.uncertain import Array

Flags = NDArray[np.bool_]
FEWEST_PATCHES = {"linear": 6, "root-polynomial": 10}
UNEVEN = 0.05
"""Change of the light over the chart above which the page warns."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What turns a camera's numbers into X, Y, Z, and how well it does on patches it has not seen.

    `off` is the difference of each usable patch when it was left out of the fit.
    """

    method: str
    matrix: Array
    off: Array
    white: Array

    def xyz(self, camera: Array) -> Array:
        """Return X, Y, Z of the camera's numbers, colours in the last axis."""
        return np.asarray(terms(camera, self.method) @ self.matrix.T)

    def lab(self, camera: Array) -> Array:
        """Return CIELAB of the camera's numbers."""
        return lab(self.xyz(camera), self.white)

    def lab_spread(self, camera: Array, spread: Array) -> Array:
        """Return how far L*, a*, b* reach when all numbers move together by their spread."""
        middle = self.lab(camera)
        steps = [self.lab(camera + spread * axis) - middle for axis in np.eye(3)]
        return np.asarray(np.abs(np.sum(steps, axis=0)))


def terms(camera: Array, method: str) -> Array:
    """Return the terms of the camera's numbers that a correction multiplies.

    Parameters
    ----------
    camera : array, linear light, colours in the last axis [1], 0 or more
    method : str, linear or root-polynomial [1]

    Returns
    -------
    array, three or six terms in the last axis [1]; twice the light gives twice each term

    Raises
    ------
    InputError
        When the method is not known.

    Source: finlayson2015, root polynomials of degree 2.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> terms(np.array([0.04, 0.09, 0.16]), "root-polynomial").round(3).tolist()
    [0.04, 0.09, 0.16, 0.06, 0.12, 0.08]
    """
    if method not in FEWEST_PATCHES:
        raise InputError(
            "That colour correction is not known", value=method, allowed=", ".join(FEWEST_PATCHES)
        )
    light = np.maximum(np.asarray(camera, np.float64), 0)
    if method == "linear":
        return light
    r, g, b = light[..., 0], light[..., 1], light[..., 2]
    roots = np.stack([np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=-1)
    return np.concatenate([light, roots], axis=-1)


def correction(camera: Array, xyz: Array, white: Array, method: str) -> Correction:
    """Return the correction that fits the patches, and its error on patches left out.

    Parameters
    ----------
    camera : array, patches by three, linear light [1]
    xyz : array, patches by X, Y, Z as the chart is known [1]
    white : array, X, Y, Z of the white of those values [1]
    method : str, linear or root-polynomial [1]

    Returns
    -------
    Correction, with the CIEDE2000 of each patch left out in turn [1]

    Raises
    ------
    InputError
        When there are too few patches for the method.

    Source: finlayson2015; least squares, each patch weighted by one over its lightness.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> rng = np.random.default_rng(0)
    >>> seen = rng.random((24, 3))
    >>> found = correction(seen, 100 * seen, np.full(3, 100.0), "linear")
    >>> bool(found.off.max() < 1e-6)
    True
    """
    if camera.shape[0] < FEWEST_PATCHES.get(method, 0):
        raise InputError(
            "There are too few usable patches",
            value=camera.shape[0],
            allowed=f"{FEWEST_PATCHES[method]} or more for the {method} correction",
            remedy="Expose so that no patch is full white or black, or use “linear”",
        )
    # A step of XYZ shows more on a dark patch: the slope of lightness is the weight.
    weight = (np.maximum(xyz[:, 1], 1.0) / 100) ** (-2 / 3)
    basis = terms(camera, method)
    matrix = _fit(basis, xyz, weight)
    off = np.empty(camera.shape[0])
    for patch in range(camera.shape[0]):
        rest = np.arange(camera.shape[0]) != patch
        without = _fit(basis[rest], xyz[rest], weight[rest])
        found = lab(basis[patch] @ without.T, white)
        off[patch] = colour_difference_ciede2000(found, lab(xyz[patch], white))
    return Correction(method, matrix, off, np.asarray(white, np.float64))


def unevenness(
    camera: Array, usable: Flags, xyz: Array, matrix_of: Correction, rows: int, columns: int
) -> float:
    """Return how much the light changes over the chart, from edge to edge.

    Parameters
    ----------
    camera : array, all patches by three, linear light [1]
    usable : array of bool, which of them the camera could read
    xyz : array, all patches by X, Y, Z as the chart is known [1]
    matrix_of : Correction, the correction that fits them
    rows, columns : int, of patches on the chart [1]

    Returns
    -------
    float, range of a plane through the ratios of light found to light expected [1]

    Source: own; a plane through what is left.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> seen = np.linspace(0.1, 0.9, 18).reshape(6, 3)
    >>> fit = correction(seen + np.eye(6, 3) / 9, 100 * seen, np.full(3, 100.0), "linear")
    >>> unevenness(seen, np.ones(6, dtype=bool), fit.xyz(seen), fit, 2, 3) < 1e-9
    True
    """
    ratio = matrix_of.xyz(camera)[:, 1] / xyz[:, 1]
    down, across = np.divmod(np.arange(rows * columns), columns)
    at = np.stack([np.ones(rows * columns), down / max(rows - 1, 1) - 0.5,
                   across / max(columns - 1, 1) - 0.5], axis=1)  # fmt: skip
    plane = np.linalg.lstsq(at[usable], ratio[usable], rcond=None)[0]
    return float(abs(plane[1]) + abs(plane[2]))


def _fit(basis: Array, xyz: Array, weight: Array) -> Array:
    found = np.linalg.lstsq(basis * weight[:, None], xyz * weight[:, None], rcond=None)[0]
    return np.asarray(found.T)
