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
from softmend.science.tint.visibility import KERNELS, OPPONENT, XYZ_OF_OPPONENT, transfer
from softmend.science.uncertain import Array

PAD_DEG, NEAR_PAD_DEG = 2.0, 0.8
WIDE = (KERNELS[0][2][0] / sum(w for w, _ in KERNELS[0]), KERNELS[0][2][1])
SAMPLES_WANTED, LEAST_ACROSS, MOST_ACROSS, BORDER = 120.0, 16.0, 400.0, 10
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
    from scipy.fft import irfft2, next_fast_len, rfft2

    pad = min(round(PAD_DEG * samples_per_degree), max(xyz.shape[:2]))
    rows, columns = (side + 2 * pad for side in xyz.shape[:2])
    if rows * columns > LARGEST_IMAGE:
        raise InputError(
            "The picture is too large to be seen through",
            value=f"{xyz.shape[1]} x {xyz.shape[0]} px",
            allowed="about 4000 x 4000 px",
            remedy="Use a smaller part of it",
        )
    # Beyond the padding the picture goes on as its edge until both sides suit the transform.
    more = [next_fast_len(side, real=True) - side for side in (rows, columns)]
    around = [(pad, pad + extra) for extra in more]
    down = np.asarray(np.fft.fftfreq(rows + more[0]) * samples_per_degree, np.float64)
    across = np.asarray(np.fft.rfftfreq(columns + more[1]) * samples_per_degree, np.float64)
    seen = np.empty(xyz.shape)
    for axis, channel in enumerate(np.moveaxis(xyz @ OPPONENT.T, -1, 0)):
        padded = np.pad(channel, around, mode="edge")
        blurred = irfft2(rfft2(padded) * _gain(KERNELS[axis], down, across), s=padded.shape)
        seen[..., axis] = blurred[pad : pad + xyz.shape[0], pad : pad + xyz.shape[1]]
    return np.asarray(seen @ XYZ_OF_OPPONENT.T)


def _gain(kernel: tuple[tuple[float, float], ...], down: Array, across: Array) -> Array:
    """Return what is left of a channel at frequencies down and across; a Gaussian is a product."""
    parts = [
        np.outer(w * np.exp(-((np.pi * s * down) ** 2)), np.exp(-((np.pi * s * across) ** 2)))
        for w, s in kernel
    ]
    return np.asarray(sum(parts) / sum(w for w, _ in kernel))


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


def outline_gains(outline: ArrayLike, distance: float) -> Array:
    """Return how much of a fill's difference is left where most is, in each opponent channel.

    Blurring is linear, so these few rows stand for the whole fill in whatever colour it has.

    Parameters
    ----------
    outline : array, points round the fill [m], three or more
    distance : float, from the eye [m], 0.05 to 100

    Returns
    -------
    array, a row a place, gains of lightness, red-green and yellow-blue [1]

    Raises
    ------
    InputError
        When the outline has no area.

    Source: zhang1996, S-CIELAB.
    Checked against: tests/science/tint/test_visibility.py.

    Example
    -------
    >>> bar = [[0, 0], [0.02, 0], [0.02, 0.002], [0, 0.002]]
    >>> outline_gains(bar, 1.829).max(axis=0).round(2).tolist()
    [0.91, 0.47, 0.37]
    """
    points = np.asarray(outline, np.float64)
    size = np.ptp(points, axis=0)
    if not np.all(size > 0):
        raise InputError("The outline of the fill has no area", remedy="Draw it again")
    from scipy.fft import irfft2, next_fast_len, rfft2

    fine = SAMPLES_WANTED / samples_per_degree(1.0, distance)
    scale = min(max(fine, LEAST_ACROSS / size.min()), MOST_ACROSS / size.max())
    samples = max(samples_per_degree(scale, distance), 1.0)
    pad = BORDER + round(NEAR_PAD_DEG * samples)
    moved = (points - points.min(axis=0)) * scale + pad
    rows, columns = (
        next_fast_len(int(np.ceil(v)) + 2 * pad, real=True) for v in size[::-1] * scale
    )
    mask = inside_outline((rows, columns), moved)
    if not np.any(mask):
        raise InputError("The outline of the fill has no area", remedy="Draw it again")
    cycles = np.hypot(
        np.fft.fftfreq(rows)[:, None] * samples, np.fft.rfftfreq(columns)[None, :] * samples
    )
    # The wide, weak Gaussian reaches beyond any border: it is taken as of a disc, at its middle.
    wide, reach = WIDE[0], WIDE[1] * samples
    gain = transfer(cycles)
    gain[..., 0] -= wide * np.exp(-((np.pi * WIDE[1] * cycles) ** 2))
    spread = rfft2(mask.astype(float))
    left = np.stack(
        [irfft2(spread * gain[..., axis], s=mask.shape)[mask] for axis in range(3)], axis=1
    )
    left[:, 0] += wide * (1 - np.exp(-mask.sum() / (np.pi * reach**2)))
    most = [*left.argmax(axis=0), left.sum(axis=1).argmax()]
    return np.asarray(left[np.unique(most)])


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
