"""The brightness of a picture as science reads it: coded as stored, or in linear light."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError

Plane = NDArray[np.float32]
Box = tuple[int, int, int, int]

LUMINANCE = (0.2126, 0.7152, 0.0722)
"""What red, green and blue light of sRGB add to brightness."""

SMALLEST_PX, LARGEST_PX = 16, 60_000


def linear_light(picture: NDArray[Any], box: Box | None = None) -> Plane:
    """Return the brightness of a picture in linear light, with the sRGB curve undone.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3), 8 or 16 bit, coded as sRGB [1]
    box : tuple or None, left, top, right, bottom of the part wanted, whole numbers [px]

    Returns
    -------
    numpy array, shape (h, w), 0 for black to 1 for white [1]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: iec61966 (sRGB: two-part curve and the primaries' luminance).
    Checked against: tests/science/photo/test_light.py.

    Example
    -------
    >>> light = linear_light(np.full((20, 20), 188, dtype=np.uint8))
    >>> round(float(light[0, 0]), 3)
    0.503
    """
    part = checked_picture(picture)
    if box is not None:
        left, top, right, bottom = box
        part = part[max(top, 0) : bottom, max(left, 0) : right]
    most = int(np.iinfo(part.dtype).max)
    coded = np.arange(most + 1) / most
    curve = np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)
    if part.ndim == 2:
        return np.asarray(curve.astype(np.float32)[part], dtype=np.float32)
    total = np.zeros(part.shape[:2], dtype=np.float32)
    for channel, share in enumerate(LUMINANCE):
        total += (share * curve).astype(np.float32)[part[..., channel]]
    return total


def light_as_stored(picture: NDArray[Any]) -> Plane:
    """Return the brightness of a picture that was stored in linear light.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3), 8 or 16 bit, linear [1]

    Returns
    -------
    numpy array, shape (h, w), 0 for black to 1 for white [1]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: iec61966 (the primaries' luminance).
    Checked against: tests/science/photo/test_light.py.

    Example
    -------
    >>> float(light_as_stored(np.full((20, 20, 3), 65535, dtype=np.uint16))[3, 3])
    1.0
    """
    part = checked_picture(picture)
    most = np.float32(np.iinfo(part.dtype).max)
    if part.ndim == 2:
        return np.asarray(part / most, dtype=np.float32)
    return np.asarray(part @ np.array(LUMINANCE, dtype=np.float32) / most, dtype=np.float32)


def coded_grey(picture: NDArray[Any]) -> Plane:
    """Return the brightness of a picture as it is coded, which is near to how an eye grades it.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3), 8 or 16 bit [1]

    Returns
    -------
    numpy array, shape (h, w), 0 to 255 [1]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: common practice, no source (green, red and blue weighed 0.587, 0.299, 0.114).
    Checked against: tests/science/photo/test_light.py.

    Example
    -------
    >>> float(coded_grey(np.full((20, 20), 65535, dtype=np.uint16))[3, 3])
    255.0
    """
    import cv2

    part = checked_picture(picture)
    plane = cv2.cvtColor(part, cv2.COLOR_RGB2GRAY) if part.ndim == 3 else part
    scale = 255.0 / float(np.iinfo(part.dtype).max)
    return np.asarray(plane, dtype=np.float32) * np.float32(scale)


def checked_picture(picture: NDArray[Any]) -> NDArray[Any]:
    """Return the picture without any transparency, after a look at its shape.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3 or more), 8 or 16 bit [1]

    Returns
    -------
    numpy array, shape (h, w) or (h, w, 3) [1]

    Raises
    ------
    InputError
        When shape or kind is wrong.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_light.py.

    Example
    -------
    >>> checked_picture(np.zeros((20, 30, 4), dtype=np.uint8)).shape
    (20, 30, 3)
    """
    is_shaped = picture.ndim == 2 or (picture.ndim == 3 and picture.shape[2] >= 3)
    sides = picture.shape[:2]
    if (
        not is_shaped
        or picture.dtype not in {np.dtype(np.uint8), np.dtype(np.uint16)}
        or min(sides) < SMALLEST_PX
        or max(sides) > LARGEST_PX
    ):
        raise InputError(
            "The picture is not one that can be measured",
            value=f"{' x '.join(map(str, picture.shape))}, {picture.dtype}",
            allowed=f"grey or RGB, 8 or 16 bit, {SMALLEST_PX} to {LARGEST_PX} px a side",
            remedy="Save the photograph anew as TIFF, PNG or JPEG",
        )
    return picture[..., :3] if picture.ndim == 3 else picture
