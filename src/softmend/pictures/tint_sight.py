"""A fill painted into the user's own photograph, and that as it is seen from two distances."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from softmend.errors import InputError
from softmend.pictures.tint_colour import screen_pixels
from softmend.records.mark import Position
from softmend.science.tint.chart import SRGB_XYZ, inside_outline, picture_xyz
from softmend.science.tint.colorimetry import lab, xyz_of_lab
from softmend.science.tint.seen_picture import as_seen, samples_per_degree
from softmend.science.tint.surround import round_a_fill

_WHITE = 100 * SRGB_XYZ.sum(axis=1)
_AROUND, _LEAST_AROUND_PX = 0.35, 6.0
"""The mean colour is taken so much of the fill's narrower side round it, and so far at least."""
_MM_PER_M = 1000.0


@dataclass(frozen=True)
class Hatching:
    """A hatch on the fill: how far its lines differ from the mean in L*, and their distance."""

    step: float
    period_mm: float


@dataclass(frozen=True)
class Painted:
    """A part of a photograph with the tinted fill in it, in X, Y, Z, and the surround's colour."""

    xyz: Any
    surround_lab: tuple[float, float, float]
    fill_lab: tuple[float, float, float]
    px_per_mm: float


def painted(
    crop: Any,
    outline: Sequence[Position],
    step: Sequence[float],
    px_per_mm: float,
    hatching: Hatching | None = None,
) -> Painted:
    """Return a crop in which the fill has the surround's mean colour plus a step in L*, a*, b*."""
    pixels = np.asarray(crop)
    mask = inside_outline(pixels.shape[:2], outline)
    if not mask.any():
        raise InputError("The fill is not in this part of the picture", remedy="Draw it again")
    sides = [np.ptp(np.nonzero(mask)[axis]) + 1 for axis in (0, 1)]
    around = round_a_fill(mask, max(_AROUND * min(sides), _LEAST_AROUND_PX))
    xyz = np.array(picture_xyz(pixels[..., :3], _WHITE))
    ground = lab(xyz[around if around.any() else ~mask].mean(axis=0), _WHITE)
    fill = ground + np.asarray(step, dtype=float)
    xyz[mask] = xyz_of_lab(fill, _WHITE)
    if hatching is not None:
        _hatch(xyz, mask, fill, hatching, px_per_mm)
    return Painted(xyz, _three(ground), _three(fill), px_per_mm)


def seen_from(made: Painted, distance_mm: float) -> Any:
    """Return the pixels of a painted crop as the eye resolves it from a distance."""
    samples = samples_per_degree(made.px_per_mm * _MM_PER_M, distance_mm / _MM_PER_M)
    return screen_pixels(as_seen(made.xyz, max(samples, 1.0)), _WHITE)


def _hatch(xyz: Any, mask: Any, fill: Any, hatching: Hatching, px_per_mm: float) -> None:
    """Draw the hatch slanting, half its lines lighter and half darker, so that the mean stays."""
    down, across = np.nonzero(mask)
    phase = 2 * np.pi * (across + down) / np.sqrt(2.0) / (hatching.period_mm * px_per_mm)
    change = np.zeros((down.size, 3))
    change[:, 0] = hatching.step * np.sin(phase)
    xyz[down, across] = xyz_of_lab(fill + change, _WHITE)


def _three(values: Any) -> tuple[float, float, float]:
    return (float(values[0]), float(values[1]), float(values[2]))
