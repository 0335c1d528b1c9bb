"""Cracks drawn with exact widths, for the tests of everything that looks at photographs."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
from scipy.special import erf


def coded(light: np.ndarray, noise: float, rng: np.random.Generator) -> np.ndarray:
    """Return linear light as an 8-bit sRGB picture with noise."""
    curve = np.where(
        light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055
    )
    return np.clip(np.round(255 * curve + noise * rng.standard_normal(light.shape)), 0, 255).astype(
        np.uint8
    )


def wandering(start, end, roughness: float, rng: np.random.Generator, halvings: int = 7):
    """Return a line between two points, each middle displaced at random."""
    points = np.array([start, end], dtype=float)
    for _ in range(halvings):
        run = np.diff(points, axis=0)
        square = np.stack([-run[:, 1], run[:, 0]], axis=1)
        middle = (points[1:] + points[:-1]) / 2
        middle += square * (roughness * rng.standard_normal(len(run)))[:, None]
        woven = np.empty((len(points) + len(middle), 2))
        woven[::2], woven[1::2] = points, middle
        points = woven
    return points


def add_crack(picture: np.ndarray, points: np.ndarray, width: float, share: float) -> None:
    """Darken a picture along a line by a share of its brightness, drawn eight times finer."""
    fine = 8
    low = np.maximum(np.floor(points.min(axis=0) - 2 * width - 4).astype(int), 0)
    high = np.minimum(np.ceil(points.max(axis=0) + 2 * width + 4).astype(int), picture.shape[1::-1])
    size = high - low
    mask = np.zeros((size[1] * fine, size[0] * fine), np.uint8)
    place = np.round(((points - low) * fine - 0.5) * 16).astype(np.int32)
    thick = max(1, round(width * fine))
    cv2.polylines(mask, [place.reshape(-1, 1, 2)], False, 255, thick, cv2.LINE_AA, 4)
    cover = cv2.resize(mask, tuple(size.tolist()), interpolation=cv2.INTER_AREA) / 255.0
    picture[low[1] : high[1], low[0] : high[0]] *= 1 - share * cover


def textured(shape: tuple[int, int], rng: np.random.Generator, level: float = 170) -> np.ndarray:
    """Return a mottled surface in grey levels."""
    rows, columns = shape
    coarse = rng.standard_normal((rows // 16 + 1, columns // 16 + 1)).astype(np.float32)
    fine = rng.standard_normal(shape).astype(np.float32)
    return (
        level
        + 4 * cv2.resize(coarse, (columns, rows), interpolation=cv2.INTER_CUBIC)
        + 6 * cv2.GaussianBlur(fine, (0, 0), 1.5)
    )


def slab_picture(
    width: float, blur: float, seed: int = 0, *, noise: float = 2.0, bright: float = 0.5
) -> tuple[np.ndarray, np.ndarray]:
    """Return a picture with one gently bent crack and a slanted edge below it, and its middle.

    Width and blur are exact: the light across both is written down, not drawn.
    """
    rng = np.random.default_rng(seed)
    rows, columns, dark = 200, 1100, 0.03
    y, x = np.mgrid[0:rows, 0:columns] + 0.5
    spread = np.hypot(blur, 12**-0.5) * np.sqrt(2)
    slope = 0.03 + 6 / 170 * np.cos(x / 170)
    off = (y - crack_y(x)) / np.sqrt(1 + slope**2)
    light = bright - (bright - dark) / 2 * (
        erf((off + width / 2) / spread) - erf((off - width / 2) / spread)
    )
    below = (1 + erf((y - 150 - 0.04 * (x - 100)) / np.hypot(1, 0.04) / spread)) / 2
    light = light * (1 - below) + 0.04 * below
    along = np.arange(60.0, 1040.0, 10.0)
    return coded(light, noise, rng), np.column_stack([along, crack_y(along)])


EDGE_PX = ([100.0, 150.0], [500.0, 166.0])


def crack_y(x: np.ndarray) -> np.ndarray:
    """Return how far down the crack of `slab_picture` lies."""
    return 60 + 0.03 * x + 6 * np.sin(x / 170)
