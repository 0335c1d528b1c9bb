"""A picture as it is seen from a distance: fills of any outline, and the surround's own texture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.tint.chart import inside_outline
from softmend.science.tint.colorimetry import lab, xyz_of_lab
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.visibility import OPPONENT, XYZ_OF_OPPONENT, transfer
from softmend.science.uncertain import Array

PAD_DEG = 2.0
SAMPLES_WANTED, LEAST_ACROSS, MOST_ACROSS, BORDER = 120.0, 8.0, 900.0, 10
LARGEST_IMAGE = 40_000_000


def as_seen(xyz: Array, samples_per_degree: float) -> Array:
    """Return a picture as it is seen from where so many of its pixels fill one degree.

    Parameters
    ----------
    xyz : array, rows by columns by X, Y, Z [1]
    samples_per_degree : float, pixels of the picture in one degree [px], 1 or more

    Returns
    -------
    array, blurred X, Y, Z of the same shape [1]

    Raises
    ------
    InputError
        When the picture is no colour picture, too large, or too coarse.

    Source: zhang1996, S-CIELAB.
    Checked against: tests/science/tint/test_visibility.py.

    Example
    -------
    >>> even = np.full((8, 9, 3), 50.0)
    >>> bool(np.allclose(as_seen(even, 60.0), even))
    True
    """
    if xyz.ndim != 3 or xyz.shape[2] != 3 or min(xyz.shape) < 1:
        raise InputError("A picture needs rows, columns and three colours", value=xyz.shape)
    if not samples_per_degree >= 1:
        raise InputError(
            "The picture is too coarse for this distance",
            value=f"{samples_per_degree:g} px a degree",
            allowed="1 or more, better 60",
        )
    # The wide, weak Gaussian needs no more than the edge's own colour beyond the edge.
    pad = min(round(PAD_DEG * samples_per_degree), max(xyz.shape[:2]))
    padded = np.pad(xyz @ OPPONENT.T, ((pad, pad), (pad, pad), (0, 0)), mode="edge")
    if padded.size > 3 * LARGEST_IMAGE:
        raise InputError(
            "The picture is too large to be seen through",
            value=f"{xyz.shape[1]} x {xyz.shape[0]} px",
            allowed="about 4000 x 4000 px",
            remedy="Use a smaller part of it",
        )
    rows = np.fft.fftfreq(padded.shape[0])[:, None] * samples_per_degree
    columns = np.fft.rfftfreq(padded.shape[1])[None, :] * samples_per_degree
    gain = transfer(np.hypot(rows, columns))
    blurred = np.fft.irfft2(
        np.fft.rfft2(padded, axes=(0, 1)) * gain, s=padded.shape[:2], axes=(0, 1)
    )
    inside = blurred[pad : pad + xyz.shape[0], pad : pad + xyz.shape[1]]
    return np.asarray(inside @ XYZ_OF_OPPONENT.T)


def seen_difference_of_mask(
    mask: NDArray[np.bool_],
    fill: ArrayLike,
    ground: ArrayLike,
    white: ArrayLike,
    samples_per_degree: float,
) -> float:
    """Return the largest difference that is left inside a fill of any outline on an even ground.

    Parameters
    ----------
    mask : array, True on the fill, rows by columns [1]
    fill, ground : array, L*, a*, b* under one lamp, 2 degrees [1]
    white : array, X, Y, Z of that lamp's white [1]
    samples_per_degree : float, pixels in one degree [px], 1 or more

    Returns
    -------
    float, CIEDE2000 as seen [1]

    Raises
    ------
    InputError
        When nothing of the mask is True.

    Source: zhang1996, S-CIELAB.
    Checked against: tests/science/tint/test_visibility.py.

    Example
    -------
    >>> whole = np.ones((20, 20), dtype=bool)
    >>> found = seen_difference_of_mask(whole, [78, 2, 18], [80, 2, 18], [95.047, 100, 108.883], 60)
    >>> round(found, 2)
    1.4
    """
    if not np.any(mask):
        raise InputError("The mask marks no fill", remedy="Draw the outline of the fill")
    below = xyz_of_lab(ground, white)
    picture = np.where(mask[..., None], xyz_of_lab(fill, white), below)
    seen = lab(as_seen(picture, samples_per_degree), white)
    return float(colour_difference_ciede2000(seen, np.asarray(ground, np.float64))[mask].max())


def seen_difference_of_outline(
    outline: ArrayLike, fill: ArrayLike, ground: ArrayLike, white: ArrayLike, distance: float
) -> float:
    """Return the largest difference that is left inside a fill from its outline and the distance.

    Parameters
    ----------
    outline : array, points round the fill [m], three or more
    fill, ground : array, L*, a*, b* under one lamp, 2 degrees [1]
    white : array, X, Y, Z of that lamp's white [1]
    distance : float, from the eye [m], 0.05 to 100

    Returns
    -------
    float, CIEDE2000 as seen [1]

    Raises
    ------
    InputError
        When the outline has no area.

    Source: zhang1996, S-CIELAB.
    Checked against: tests/catalogue/test_sight.py.

    Example
    -------
    >>> bar = [[0, 0], [0.02, 0], [0.02, 0.002], [0, 0.002]]
    >>> day = [95.047, 100, 108.883]
    >>> round(seen_difference_of_outline(bar, [78, 2, 18], [80, 2, 18], day, 1.829), 1)
    1.5
    """
    points = np.asarray(outline, np.float64)
    size = np.ptp(points, axis=0)
    if not np.all(size > 0):
        raise InputError("The outline of the fill has no area", remedy="Draw it again")
    fine = SAMPLES_WANTED / samples_per_degree(1.0, distance)
    scale = min(max(fine, LEAST_ACROSS / size.min()), MOST_ACROSS / size.max())
    moved = (points - points.min(axis=0)) * scale + BORDER
    rows, columns = (int(np.ceil(v)) + 2 * BORDER for v in size[::-1] * scale)
    mask = inside_outline((rows, columns), moved)
    samples = max(samples_per_degree(scale, distance), 1.0)
    return seen_difference_of_mask(mask, fill, ground, white, samples)


def surround_noise(
    picture: Array, white: ArrayLike, samples_per_degree: float, window: tuple[int, int]
) -> tuple[float, float]:
    """Return how much places of the surround differ among themselves, and its grain, as seen.

    Parameters
    ----------
    picture : array, X, Y, Z of the surround, rows by columns by three [1]
    white : array, X, Y, Z of the lamp's white [1]
    samples_per_degree : float, pixels in one degree [px], 1 or more
    window : rows and columns of the fill's shape in the picture [px], 1 or more

    Returns
    -------
    N, rms CIEDE2000 of the means of windows from their mean, and sigma, rms CIEDE2000 of the
    pixels from their mean [1]

    Raises
    ------
    InputError
        When fewer than four windows fit into the picture.

    Source: softmend-colour, section 5.4.
    Checked against: tests/science/tint/test_visibility.py.

    Example
    -------
    >>> noise, grain = surround_noise(np.full((30, 30, 3), 40.0), np.full(3, 100.0), 60, (3, 9))
    >>> round(noise, 9), round(grain, 9)
    (0.0, 0.0)
    """
    rows, columns = (max(1, side) for side in window)
    down, across = picture.shape[0] // rows, picture.shape[1] // columns
    if down * across < 4:
        raise InputError(
            "The picture of the surround is too small for this fill",
            value=f"{picture.shape[1]} x {picture.shape[0]} px, the fill {columns} x {rows} px",
            allowed="at least four times the fill",
            remedy="Use a larger part of the object, or leave the surround out",
        )
    seen = as_seen(picture, samples_per_degree)
    means = seen[: down * rows, : across * columns].reshape(down, rows, across, columns, 3)
    windows = means.mean(axis=(1, 3)).reshape(-1, 3)
    return _rms_from_mean(windows, white), _rms_from_mean(seen.reshape(-1, 3), white)


def samples_per_degree(px_per_length: float, distance: float) -> float:
    """Return how many pixels of a picture fill one degree from a distance.

    Parameters
    ----------
    px_per_length : float, pixels of the picture in one metre of the object [px/m], above 0
    distance : float, from the eye [m], 0.05 to 100

    Returns
    -------
    float, pixels in one degree [px]

    Source: common practice, geometry.
    Checked against: tests/science/tint/test_visibility.py.

    Example
    -------
    >>> round(samples_per_degree(4000.0, 1.829), 1)
    127.7
    """
    return px_per_length * 2 * distance * math.tan(math.radians(0.5))


def _rms_from_mean(xyz: Array, white: ArrayLike) -> float:
    middle = lab(xyz.mean(axis=0), white)
    off = colour_difference_ciede2000(lab(xyz, white), middle)
    return float(np.sqrt(np.mean(off**2)))
