"""How different a fill looks from a stated distance: colours blurred as the eye blurs them.

S-CIELAB with the kernels of the 1996 paper: three opponent channels, each blurred by a sum of
Gaussians, then CIELAB and CIEDE2000 as for large patches. Lengths are in metres, angles in degrees.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.tint.colorimetry import lab, xyz_of_lab
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.uncertain import Array

OPPONENT = np.array([
    [0.2787336, 0.7218031, -0.1065520],
    [-0.4487736, 0.2898056, 0.0771569],
    [0.0859513, -0.5899859, 0.5011089],
])  # fmt: skip
XYZ_OF_OPPONENT = np.linalg.inv(OPPONENT)
# Weight and spread [deg] of each Gaussian, w exp(-(x/s)^2): lightness, red-green, yellow-blue.
KERNELS = (
    ((0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336)),
    ((0.531, 0.0392), (0.330, 0.494)),
    ((0.488, 0.0536), (0.371, 0.386)),
)
NOTICED = 1.0
"""Difference that draws the eye (T0), about twice what a trained eye can just detect."""
NOISE_WEIGHT = 2.0
FOUND = 1.5
"""How many times the noticed difference a fill needs so that it is found when looked for."""
NEAREST, FURTHEST = 0.05, 100.0


@dataclass(frozen=True, slots=True)
class Bar:
    """A straight fill: its width and length, and the distance it is seen from."""

    width: float
    length: float
    distance: float

    def __post_init__(self) -> None:
        """Refuse sizes and distances at which nothing is looked at."""
        for name, value, low, high, unit in (
            ("width", self.width, 1e-5, 10.0, "0.01 mm to 10 m"),
            ("length", self.length, 1e-5, 10.0, "0.01 mm to 10 m"),
            ("distance", self.distance, NEAREST, FURTHEST, "50 mm to 100 m"),
        ):
            if not low <= value <= high:
                raise InputError(
                    f"The {name} is out of range", value=f"{1e3 * value:g} mm", allowed=unit
                )


def visual_angle(size: ArrayLike, distance: float) -> Array:
    """Return the angle under which a length is seen.

    Parameters
    ----------
    size : array, length across the line of sight [m], 0 or more
    distance : float, from the eye [m], 0.05 to 100

    Returns
    -------
    array, angle [deg]

    Raises
    ------
    InputError
        When the distance is out of range.

    Source: common practice, geometry.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> round(60 * float(visual_angle(0.001, 0.25)), 2)
    13.75
    """
    if not NEAREST <= distance <= FURTHEST:
        raise InputError(
            "The distance is out of range", value=f"{1e3 * distance:g} mm", allowed="50 mm to 100 m"
        )
    return np.asarray(2 * np.rad2deg(np.arctan(np.asarray(size, np.float64) / (2 * distance))))


def bar_gains(bar: Bar) -> Array:
    """Return how much of a bar's difference is left at its middle, in each opponent channel.

    Parameters
    ----------
    bar : Bar, its size and distance [m]

    Returns
    -------
    array, gain of lightness, red-green and yellow-blue [1]; a little above 1 is real

    Source: zhang1996, kernels; integrated over a rectangle in closed form.
    Checked against: tests/checks/zhang1996.csv; tests/checks/softmend-tint-oracle.csv.

    Example
    -------
    >>> bar_gains(Bar(0.001, 0.01, 1.829)).round(3).tolist()
    [0.582, 0.269, 0.191]
    """
    wide, long = (float(visual_angle(size, bar.distance)) for size in (bar.width, bar.length))
    return np.array(
        [
            sum(w * math.erf(wide / (2 * s)) * math.erf(long / (2 * s)) for w, s in kernel)
            / sum(w for w, _ in kernel)
            for kernel in KERNELS
        ]
    )


def wave_gains(period: float, distance: float) -> Array:
    """Return how much of an even hatch is left, in each opponent channel.

    Parameters
    ----------
    period : float, from line to line [m], above 0
    distance : float, from the eye [m], 0.05 to 100

    Returns
    -------
    array, gain of the fundamental of lightness, red-green, yellow-blue [1]

    Source: zhang1996, kernels; Fourier transform of a sum of Gaussians.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> round(float(wave_gains(0.0008, 0.25)[0]), 3)
    0.794
    """
    cycles = 1 / float(visual_angle(period, distance))
    return transfer(np.array(cycles))


def seen_difference(fill: ArrayLike, ground: ArrayLike, white: ArrayLike, gains: Array) -> Array:
    """Return the difference that is left of a fill on an even ground.

    Parameters
    ----------
    fill, ground : array, L*, a*, b* under one lamp, 2 degrees [1]
    white : array, X, Y, Z of that lamp's white [1]
    gains : array, how much of each opponent channel is left, channels in the last axis [1]

    Returns
    -------
    array, CIEDE2000 as seen [1]

    Source: zhang1996, S-CIELAB; sharma2005, difference.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> day = [95.047, 100, 108.883]
    >>> e = seen_difference([78, 2, 18], [80, 2, 18], day, bar_gains(Bar(0.002, 0.02, 1.829)))
    >>> round(float(e), 2)
    1.47
    """
    below = xyz_of_lab(ground, white)
    step = (xyz_of_lab(fill, white) - below) @ OPPONENT.T
    seen = below + (step * gains) @ XYZ_OF_OPPONENT.T
    return colour_difference_ciede2000(lab(seen, white), np.asarray(ground, np.float64))


def index(difference: ArrayLike, noise: float = 0.0, noticed: float = NOTICED) -> Array:
    """Return how much a difference stands out of its surround; below 1 it does not draw the eye.

    Parameters
    ----------
    difference : array, CIEDE2000 as seen [1], 0 or more
    noise : float, what the surround's own places differ by [1], 0 or more
    noticed : float, what this observer notices on an even ground [1], above 0

    Returns
    -------
    array, index V [1]

    Source: softmend-colour, section 5.4 (conventions, not measurements).
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> float(index(2.0, noise=0.75**0.5))
    1.0
    """
    return np.asarray(np.asarray(difference, np.float64) / limit(noise, noticed))


def limit(noise: float = 0.0, noticed: float = NOTICED) -> float:
    """Return the difference at which the index is 1.

    Parameters
    ----------
    noise : float, what the surround's own places differ by [1], 0 or more
    noticed : float, what this observer notices on an even ground [1], above 0

    Returns
    -------
    float, CIEDE2000 as seen [1]

    Raises
    ------
    InputError
        When a value is out of range.

    Source: softmend-colour, section 5.4.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> limit()
    1.0
    """
    if not (0 <= noise <= 100 and 0.05 <= noticed <= 20):
        raise InputError(
            "Noise or noticed difference is out of range",
            value=f"noise {noise:g}, noticed {noticed:g}",
            allowed="0 to 100, and 0.05 to 20",
        )
    return math.hypot(noticed, NOISE_WEIGHT * noise)


def transfer(cycles: Array) -> Array:
    """Return the gain of each opponent channel at spatial frequencies.

    Parameters
    ----------
    cycles : array, spatial frequency [cycles a degree], 0 or more

    Returns
    -------
    array, gain of lightness, red-green, yellow-blue in the last axis [1]

    Source: zhang1996, kernels; Fourier transform of a sum of Gaussians.
    Checked against: tests/checks/zhang1996.csv.

    Example
    -------
    >>> transfer(np.array(0.0)).round(6).tolist()
    [1.0, 1.0, 1.0]
    """
    each = [
        sum(w * np.exp(-((np.pi * s * cycles) ** 2)) for w, s in kernel) / sum(w for w, _ in kernel)
        for kernel in KERNELS
    ]
    return np.stack(each, axis=-1)
