"""Twelve invented paints, a white, a binder, a pulp and forty targets: curves only, no product.

The first two paints, the white, the binder and the pulp are those of the worked example in
tests/checks/softmend-colour.csv; K and S are in 1/mm.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend import tables
from softmend.science.tint.colorimetry import EVERY_NM, Weights, interpolation, weights
from softmend.science.tint.film import Surface
from softmend.science.tint.palette import Palette, Skin

GRID = np.arange(400.0, 701.0, 10.0)
Array = np.ndarray


def logistic(at: float, width: float, low: float, high: float) -> Array:
    return low + (high - low) / (1 + np.exp((GRID - at) / width))


def rising(at: float, width: float, low: float, high: float) -> Array:
    """A logistic that is low in the blue: a blue or a green absorbs the red."""
    return low + (high - low) / (1 + np.exp((at - GRID) / width))


def gauss(at: float, width: float, height: float) -> Array:
    return height * np.exp(-(((GRID - at) / width) ** 2))


def power(level: float, slope: float) -> Array:
    return level * (GRID / 550) ** slope


ABSORPTION = np.array([
    logistic(515, 18, 2.5, 60) + gauss(640, 60, 2) + gauss(435, 25, 8),  # yellow ochre
    logistic(560, 70, 14, 48),  # raw umber
    logistic(530, 25, 3, 45) + gauss(660, 70, 4),  # raw sienna
    logistic(575, 22, 4, 55) + gauss(680, 60, 2),  # burnt sienna
    logistic(590, 60, 18, 60),  # burnt umber
    logistic(555, 14, 1.5, 50),  # orange earth
    logistic(585, 12, 5, 90),  # red earth
    power(140, -0.15),  # bone black
    power(220, -0.05),  # iron black
    rising(530, 30, 2, 70) + gauss(600, 45, 30),  # blue
    rising(600, 25, 6, 40) + logistic(450, 20, 0, 35),  # green
    logistic(480, 14, 0.3, 40),  # bright yellow
])  # fmt: skip
SCATTERING = np.array([
    power(35, -0.6), power(8, -0.2), power(15, -0.3), power(14, -0.2), power(9, -0.1),
    power(25, -0.3), power(45, 0.2), power(2, 0.0), power(4, 0.0), power(3, -0.3),
    power(20, -0.4), power(12, -0.5),
])  # fmt: skip
NAMES = (
    "yellow ochre", "raw umber", "raw sienna", "burnt sienna", "burnt umber", "orange earth",
    "red earth", "bone black", "iron black", "blue", "green", "bright yellow",
)  # fmt: skip
WHITE = (logistic(405, 6, 0.15, 25) + 0.02, power(115, -0.35))
BINDER = (logistic(430, 25, 0.01, 0.12), power(0.15, -1.0))
PULP = 0.90 - 0.10 * np.exp(-(GRID - 400) / 60)
THICKNESS_MM = 0.06
SKIN = Skin(PULP, THICKNESS_MM, Surface(0.04, 0.6), 0.4)


def palette(count: int = 12) -> Palette:
    """Return the first paints and the white, which stands last."""
    return Palette(
        np.vstack([ABSORPTION[:count], WHITE[0]]),
        np.vstack([SCATTERING[:count], WHITE[1]]),
        *BINDER,
        white=count,
    )


def lamp(name: str, degrees: int = 2, grid: Array = GRID) -> Weights:
    """Return the weights of a lamp of the tables."""
    return weights(name, grid, power_of(name), observer(degrees))


def power_of(name: str) -> Array:
    rows = tables.table("lamps").rows
    at = [row["wavelength_nm"] for row in rows]
    return np.interp(EVERY_NM, at, [row[name] for row in rows])


def observer(degrees: int) -> Array:
    rows = tables.table("observers").rows
    return np.array([[row[f"{axis}bar{degrees}"] for axis in "xyz"] for row in rows])


def targets(count: int = 40) -> Array:
    """Return reflectances like old tusk and bone, not made of these paints: smooth, warm curves."""
    rng = np.random.default_rng(20)
    at = np.array([380, 420, 460, 500, 550, 600, 650, 720.0])
    rows = []
    for _ in range(count):
        top = rng.uniform(0.34, 0.80)
        low = top * rng.uniform(0.45, 0.72)
        curve = low + (top - low) * (1 - np.exp(-(at - 380) / rng.uniform(70, 150)))
        rows.append(interpolation(at, GRID) @ (curve * (1 + rng.normal(0, 0.006, at.size))))
    return np.clip(np.array(rows), 0.02, 0.97)
