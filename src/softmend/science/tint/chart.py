"""Colours from a photograph that holds a chart: its patches by four clicks.

Numbers of the camera are linear in light, 0 to 1. Places on the picture are in pixels, the origin
at the top left corner of the picture, so that pixel (0, 0) covers 0 to 1.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.uncertain import Array

CENTRE = 0.6
"""Share of a patch's side that is read: its middle."""
SRGB_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
DARKEST, BRIGHTEST = 0.01, 0.98
PATCHY, PATCHY_TIMES = 0.1, 3.0
PIXELS_WANTED = 1000


@dataclass(frozen=True, slots=True)
class Patch:
    """One patch as read: mean and spread of the camera's numbers, pixels, outline of what was read.

    `usable` is False when it is too bright or too dark for the camera. `patchy` is the range of its
    four quarters over their mean: a lamp mirrored in it, or dirt, makes it large.
    """

    mean: Array
    spread: Array
    pixels: int
    outline: Array
    usable: bool
    patchy: float = 0.0


def linear_light(coded: ArrayLike, largest: float) -> Array:
    """Return the light behind the numbers of an ordinary picture (sRGB's curve undone).

    Parameters
    ----------
    coded : array, the picture's numbers [1], 0 to largest
    largest : float, the number of full white [1], 255 or 65535

    Returns
    -------
    array, light [1], 0 to 1

    Source: iec61966, the curve of sRGB.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> linear_light([0, 188, 255], 255).round(3).tolist()
    [0.0, 0.503, 1.0]
    """
    numbers = np.asarray(coded)
    kinds = np.iinfo(numbers.dtype).max + 1 if numbers.dtype in (np.uint8, np.uint16) else None
    if kinds is not None and numbers.size > kinds:
        # A picture holds far fewer numbers than pixels: each is worked out once.
        return np.asarray(linear_light(np.arange(kinds), largest)[numbers])
    share = numbers.astype(np.float64) / largest
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def place_on_picture(corners: ArrayLike) -> Array:
    """Return the projection that takes the unit square to four clicked corners.

    Parameters
    ----------
    corners : array, four points [px]: top left, top right, bottom right, bottom left of the chart

    Returns
    -------
    array, three by three [px]

    Raises
    ------
    InputError
        When the corners do not go round a four-sided figure.

    Source: common practice, plane projection of four points.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> h = place_on_picture([[0, 0], [60, 0], [60, 40], [0, 40]])
    >>> (h @ np.array([0.5, 0.5, 1.0])).round(6).tolist()
    [30.0, 20.0, 1.0]
    """
    points = np.asarray(corners, np.float64)
    sides = np.roll(points, -1, axis=0) - points
    after = np.roll(sides, -1, axis=0)
    turns = sides[:, 0] * after[:, 1] - sides[:, 1] * after[:, 0]
    if points.shape != (4, 2) or not (np.all(turns > 1) or np.all(turns < -1)):
        raise InputError(
            "The four corners do not go round the chart",
            value=points.round(0).tolist(),
            allowed="top left, top right, bottom right, bottom left of the chart as printed",
            remedy="Click them again in that order",
        )
    rows, side = [], []
    for (u, v), (x, y) in zip(((0, 0), (1, 0), (1, 1), (0, 1)), points, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -u * x, -v * x], [0, 0, 0, u, v, 1, -u * y, -v * y]]
        side += [x, y]
    found = np.linalg.solve(np.array(rows, np.float64), np.array(side))
    return np.append(found, 1.0).reshape(3, 3)


def patches(picture: Array, corners: ArrayLike, rows: int, columns: int) -> list[Patch]:
    """Return the patches of a chart, row by row from its top left.

    Parameters
    ----------
    picture : array, linear light, rows by columns by three [1], 0 to 1
    corners : array, four corners of the field of patches [px]
    rows, columns : int, of patches on the chart [1], 1 to 40

    Returns
    -------
    list of Patch, camera's numbers [1]

    Raises
    ------
    InputError
        When the chart is not inside the picture, or its patches are too small to read.

    Source: softmend-colour, section 4.1 (the middle 60 % of each patch).
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> grey = np.full((40, 60, 3), 0.25)
    >>> one = patches(grey, [[0, 0], [60, 0], [60, 40], [0, 40]], 2, 3)[0]
    >>> one.mean.tolist(), one.pixels
    ([0.25, 0.25, 0.25], 144)
    """
    if not (1 <= rows <= 40 and 1 <= columns <= 40):
        raise InputError(
            "The chart has an impossible number of patches",
            value=f"{rows} x {columns}",
            allowed="1 to 40 rows and columns",
        )
    h = place_on_picture(corners)
    found = []
    for row in range(rows):
        for column in range(columns):
            found.append(_patch(picture, h, (row, column), (rows, columns)))
    return found


def region(picture: Array, outline: ArrayLike) -> tuple[Array, Array, int]:
    """Return the mean and the spread of the camera's numbers inside an outline.

    Parameters
    ----------
    picture : array, linear light, rows by columns by three [1], 0 to 1
    outline : array, points round the place [px], three or more

    Returns
    -------
    mean, standard deviation and number of pixels [1]

    Raises
    ------
    InputError
        When the outline holds fewer than nine pixels of the picture.

    Source: common practice, pixels whose centre lies inside.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> region(np.full((20, 20, 3), 0.5), [[2, 2], [8, 2], [8, 8], [2, 8]])[2]
    36
    """
    inside, values = _inside(picture, np.asarray(outline, np.float64))
    if inside < 9:
        raise InputError(
            "The outline holds too few pixels of the picture",
            value=inside,
            allowed="9 or more, better 1000",
            remedy="Draw it larger, inside the picture",
        )
    return values.mean(axis=0), values.std(axis=0), inside


def even_light(picture: Array, card: Array) -> Array:
    """Return a picture divided by one of an even grey card that fills the frame.

    Parameters
    ----------
    picture : array, linear light, rows by columns by three [1], 0 to 1
    card : array, linear light of the card, of the same size [1], above 0

    Returns
    -------
    array, linear light as if the light were even [1]

    Raises
    ------
    InputError
        When the sizes differ, or the card is black or full white somewhere.

    Source: common practice, flat field.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> shade = np.linspace(0.5, 0.6, 4).reshape(2, 2, 1) * np.ones(3)
    >>> bool(np.ptp(even_light(shade / 2, shade)) < 1e-12)
    True
    """
    if picture.shape != card.shape:
        raise InputError(
            "The picture of the grey card has another size",
            value=f"{card.shape[1]} x {card.shape[0]} px",
            allowed=f"{picture.shape[1]} x {picture.shape[0]} px",
        )
    level = card.mean(axis=2)
    if np.quantile(level, 0.01) < DARKEST or np.quantile(level, 0.99) > BRIGHTEST:
        raise InputError(
            "The grey card is too dark or too bright in places",
            value=f"{level.min():.2f} to {level.max():.2f} of full white",
            allowed=f"{DARKEST} to {BRIGHTEST}",
            remedy="Expose the card to about half of full white",
        )
    return np.asarray(picture * (level.mean() / level)[..., None])


def _patch(picture: Array, h: Array, at: tuple[int, int], size: tuple[int, int]) -> Patch:
    edge = (1 - CENTRE) / 2
    corners = np.array([(edge, edge), (1 - edge, edge), (1 - edge, 1 - edge), (edge, 1 - edge)])
    on_chart = (corners + np.array([at[1], at[0]])) / np.array([size[1], size[0]])
    projected = np.column_stack([on_chart, np.ones(4)]) @ h.T
    outline = projected[:, :2] / projected[:, 2:]
    pixels, values = _inside(picture, outline)
    if pixels < 9:
        raise InputError(
            "A patch of the chart holds too few pixels, or lies outside the picture",
            value=f"row {at[0] + 1}, column {at[1] + 1}: {pixels} px",
            allowed="9 or more, better 1000",
            remedy="Click the corners of the field of patches again, or come nearer",
        )
    mean = values.mean(axis=0)
    usable = bool(mean.max() >= DARKEST and np.quantile(values, 0.99) <= BRIGHTEST)
    return Patch(mean, values.std(axis=0), pixels, outline, usable, _patchy(picture, outline))


def glaring(read: list[Patch]) -> NDArray[np.bool_]:
    """Return which patches vary in themselves far more than the others: glare, dirt, a finger.

    Parameters
    ----------
    read : list of Patch, as `patches` gives them

    Returns
    -------
    array of bool, a patch each [1]

    Source: own; a quarter of a patch against its other quarters.
    Checked against: tests/catalogue/test_hard_chart.py.

    Example
    -------
    >>> grey = np.full((40, 60, 3), 0.25)
    >>> glaring(patches(grey, [[0, 0], [60, 0], [60, 40], [0, 40]], 2, 3)).any().item()
    False
    """
    each = np.array([one.patchy for one in read])
    return np.asarray((each > PATCHY) & (each > PATCHY_TIMES * np.median(each)))


def _patchy(picture: Array, outline: Array) -> float:
    """Return the range of light over the four quarters of a patch, as a share of their mean."""
    middle = outline.mean(axis=0)
    sides = (outline + np.roll(outline, -1, axis=0)) / 2
    light = []
    for place in range(4):
        quarter = np.array([outline[place], sides[place], middle, sides[place - 1]])
        pixels, values = _inside(picture, quarter)
        if pixels:
            light.append(float(values.mean()))
    mean = float(np.mean(light)) if light else 0.0
    return float(np.ptp(light)) / mean if mean > 0 else 0.0


def picture_xyz(coded: Array, white: Array) -> Array:
    """Return an ordinary picture as X, Y, Z whose white is that of a lamp; colours are relative.

    Parameters
    ----------
    coded : array, rows by columns, with or without three colours, 8 or 16 bits [1]
    white : array, X, Y, Z of the lamp's white [1]

    Returns
    -------
    array, rows by columns by X, Y, Z [1]

    Source: iec61966, primaries and curve of sRGB.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> picture_xyz(np.full((1, 1), 255, dtype=np.uint8), np.array([95.0, 100, 109])).tolist()
    [[[95.0, 100.0, 109.0]]]
    """
    light = linear_light(coded, 255.0 if coded.dtype.itemsize == 1 else 65535.0)
    if light.ndim == 2:
        light = light[..., None] * np.ones(3)
    return np.asarray((light @ SRGB_XYZ.T) / SRGB_XYZ.sum(axis=1) * white)


def inside_outline(shape: tuple[int, ...], outline: ArrayLike) -> NDArray[np.bool_]:
    """Return which pixels of a picture have their centre inside an outline.

    Parameters
    ----------
    shape : tuple of int, rows and columns of the picture [px]
    outline : array, points round the place [px]

    Returns
    -------
    array of bool, rows by columns [1]

    Source: common practice, crossings of a ray.
    Checked against: tests/science/tint/test_photograph.py.

    Example
    -------
    >>> int(inside_outline((10, 10), [[2, 2], [8, 2], [8, 8], [2, 8]]).sum())
    36
    """
    x, y = (np.arange(side, dtype=np.float64) + 0.5 for side in shape[1::-1])
    return _crossed(x, y, np.asarray(outline, np.float64))


def _crossed(x: Array, y: Array, outline: Array) -> NDArray[np.bool_]:
    """Return which centres lie inside; an edge is looked at in the rows that it spans alone."""
    inside = np.zeros((y.size, x.size), dtype=bool)
    for (x1, y1), (x2, y2) in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        if y1 != y2:
            first, last = np.searchsorted(y, (min(y1, y2), max(y1, y2)))
            met = (x2 - x1) * (y[first:last] - y1) / (y2 - y1) + x1
            inside[first:last] ^= x[None, :] < met[:, None]
    return inside


def _inside(picture: Array, outline: Array) -> tuple[int, Array]:
    """Return the number and the values of the pixels whose centre lies inside an outline."""
    low = np.clip(np.floor(outline.min(axis=0)).astype(int), 0, None)
    high = np.minimum(np.ceil(outline.max(axis=0)).astype(int), picture.shape[1::-1])
    if np.any(high <= low):
        return 0, np.zeros((0, 3))
    x, y = (np.arange(a, b, dtype=np.float64) + 0.5 for a, b in zip(low, high, strict=True))
    inside = _crossed(x, y, outline)
    values = picture[low[1] : high[1], low[0] : high[0]][inside]
    return int(inside.sum()), values
