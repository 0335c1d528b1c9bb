"""Uneven patterns from a fixed seed: streaks, pits and pearls, closed round the object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter, map_coordinates

from tools.demo.camera import Array


@dataclass(frozen=True)
class Grain:
    """A field of mean 0 and deviation 1, periodic both ways, on a net of `step_mm`."""

    values: Array
    step_mm: float

    def at(self, row_mm: Array, across_mm: Array) -> Array:
        """Return the field at points; it repeats beyond its ends."""
        where = np.stack([row_mm / self.step_mm, across_mm / self.step_mm])
        return np.asarray(map_coordinates(self.values, where, order=1, mode="grid-wrap"))


def grain(
    seed: int, along_mm: float, across_mm: float, size_mm: tuple[float, float], step_mm: float
) -> Grain:
    """Return a field whose spots are about twice `along_mm` long and twice `across_mm` wide."""
    shape = (round(size_mm[0] / step_mm), round(size_mm[1] / step_mm))
    white = np.random.default_rng(seed).standard_normal(shape).astype(np.float32)
    soft = gaussian_filter(white, (along_mm / step_mm, across_mm / step_mm), mode="wrap")
    return Grain((soft - soft.mean()) / soft.std(), step_mm)


def between(low: Array | float, high: Array | float, share: Array) -> Array:
    """Return low at share 0 and high at 1, evenly between."""
    return np.asarray(low + (high - low) * share)


def soft_step(value: Array, start: float, end: float) -> Array:
    """Return 0 before start and 1 after end, smooth between."""
    share = np.clip((value - start) / (end - start), 0.0, 1.0)
    return np.asarray(share * share * (3 - 2 * share))


def coloured(base: Array, colour: tuple[float, float, float], cover: Array) -> Array:
    """Return colours with another laid over them where it covers."""
    return between(base, np.array(colour), np.asarray(cover)[..., None])
