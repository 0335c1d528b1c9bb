"""Colours for a screen: a hint for the eye, never a reference; the numbers stand beside them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from softmend.science.tint.chart import SRGB_XYZ, linear_light
from softmend.science.tint.colorimetry import lab, xyz_of_lab

NOT_A_REFERENCE = "A screen is no colour reference: judge the dry skin itself, under the lamps."
# The white of a screen is white: whatever lamp a colour belongs to, the eye is taken as adapted.
_WHITE = SRGB_XYZ.sum(axis=1)
_FROM_XYZ = np.linalg.inv(SRGB_XYZ)
_LIFT, _STEEP, _KNEE = 0.055, 12.92, 0.0031308


def coded(light: Any) -> Any:
    """Return linear shares of red, green and blue as the bytes of a screen."""
    share = np.clip(light, 0.0, 1.0)
    bent = np.where(
        share <= _KNEE,
        _STEEP * share,
        (1 + _LIFT) * np.maximum(share, _KNEE) ** (1 / 2.4) - _LIFT,
    )
    return np.round(255 * bent).astype(np.uint8)


def screen_pixels(xyz: Any, white: Any) -> Any:
    """Return a picture in X, Y, Z under a lamp's white as the bytes of a screen."""
    return coded((np.asarray(xyz) / np.asarray(white) * _WHITE) @ _FROM_XYZ.T)


def screen_hex(colour: Sequence[float]) -> str:
    """Return the nearest colour of a screen to L*, a*, b*: "#c9b48a"."""
    red, green, blue = screen_pixels(xyz_of_lab(list(colour), _WHITE), _WHITE)
    return f"#{red:02x}{green:02x}{blue:02x}"


def lab_of_screen(srgb: Sequence[int]) -> tuple[float, float, float]:
    """Return L*, a*, b* of a colour of a screen, relative to its white."""
    light = linear_light(np.asarray(srgb, dtype=np.uint8), 255.0)
    found = lab(light @ SRGB_XYZ.T, _WHITE)
    return (round(float(found[0]), 2), round(float(found[1]), 2), round(float(found[2]), 2))
