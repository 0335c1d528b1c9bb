"""Four surfaces with cracks drawn by a wandering pen, to score suggestions; no photograph goes in.

The pen turns by chance at every step, which is another law than the one the network learned from.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

HEIGHT_PX, WIDTH_PX = 800, 1000
Plane = NDArray[np.float32]
Mask = NDArray[np.uint8]


def scene(kind: str, seed: int) -> tuple[Plane, Mask]:
    """Return a picture of one kind, 0 to 255, and the middle lines of its cracks."""
    rng = np.random.default_rng([seed, KINDS.index(kind)])
    ground, truth = DRAWN[kind](rng)
    ground = cv2.GaussianBlur(ground, (0, 0), rng.uniform(0.6, 1.1))
    ground = ground + rng.uniform(1.5, 4) * rng.standard_normal(ground.shape)
    eight = np.clip(ground, 0, 255).astype(np.uint8)
    coded = cv2.imencode(".jpg", eight, [cv2.IMWRITE_JPEG_QUALITY, 88])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE), np.float32), truth


def wander(
    rng: np.random.Generator, start: tuple[float, float], angle: float, steps: int, turn: float
) -> NDArray[np.float64]:
    """Return a line of 2 px steps whose heading turns by chance and is drawn back to its own."""
    heading, points, lean = angle, [np.array(start)], 0.0
    for _ in range(steps):
        lean = 0.9 * lean + turn * rng.normal()
        points.append(points[-1] + 2 * np.array([np.cos(heading + lean), np.sin(heading + lean)]))
        heading += 0.02 * turn * rng.normal()
    return np.stack(points)


def darken(
    rng: np.random.Generator, ground: Plane, truth: Mask, line: NDArray[np.float64],
    width: float, depth: float,
) -> None:  # fmt: skip
    """Draw one crack of drifting width into the picture, and its middle into the truth."""
    large = np.zeros((HEIGHT_PX * 4, WIDTH_PX * 4), np.uint8)
    drift = np.exp(0.3 * np.interp(np.arange(len(line)), np.linspace(0, len(line), 8),
                                   rng.normal(size=8)))  # fmt: skip
    places = np.round(4 * line).astype(int).tolist()
    for a, b, w in zip(places[:-1], places[1:], width * drift, strict=False):
        cv2.line(large, a, b, 255, max(1, round(4 * w)))
    cover = cv2.resize(large, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_AREA) / 255
    ground -= (depth * cover).astype(np.float32)
    cv2.polylines(truth, [np.floor(line).astype(np.int32)], False, 1)


def hairlines(rng: np.random.Generator) -> tuple[Plane, Mask]:
    """Fine cracks on a grained surface among ruled and smoothly drawn lines."""
    ground = _noise(rng, 150, ((2, 5), (20, 4)))
    grain = rng.standard_normal((HEIGHT_PX, 40)).astype(np.float32)
    ground += 5 * cv2.resize(grain, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_LINEAR)
    truth = np.zeros((HEIGHT_PX, WIDTH_PX), np.uint8)
    for _ in range(14):
        a, b = rng.uniform(0, 1, (2, 2)) * (WIDTH_PX, HEIGHT_PX)
        dark = rng.uniform(15, 55)
        layer = np.zeros_like(ground)
        cv2.line(layer, tuple(a.astype(int).tolist()), tuple(b.astype(int).tolist()), 1.0,
                 int(rng.integers(1, 4)), cv2.LINE_AA)  # fmt: skip
        ground -= dark * layer
    for _ in range(5):
        start = tuple(rng.uniform(0.1, 0.9, 2) * (WIDTH_PX, HEIGHT_PX))
        line = wander(rng, start, rng.uniform(0, 6.3), int(rng.integers(80, 260)), 0.12)
        darken(rng, ground, truth, line, rng.uniform(0.8, 1.6), rng.uniform(28, 60))
    return ground, truth


def road(rng: np.random.Generator) -> tuple[Plane, Mask]:
    """Wide cracks in coarse grit."""
    ground = _noise(rng, 120, ((1.5, 14), (4, 10), (60, 8)))
    truth = np.zeros((HEIGHT_PX, WIDTH_PX), np.uint8)
    for _ in range(3):
        start = (0.0, float(rng.uniform(0.1, 0.9) * HEIGHT_PX))
        line = wander(rng, start, rng.normal(0, 0.3), 480, 0.22)
        darken(rng, ground, truth, line, rng.uniform(2.5, 6), rng.uniform(35, 70))
    return ground, truth


def brick(rng: np.random.Generator) -> tuple[Plane, Mask]:
    """Cracks across courses of joints."""
    ground = _noise(rng, 140, ((2, 7), (8, 6), (90, 10)))
    joints = np.zeros((HEIGHT_PX, WIDTH_PX), np.float32)
    for row, y in enumerate(range(20, HEIGHT_PX, 90)):
        cv2.line(joints, (0, y), (WIDTH_PX, y + int(rng.integers(-4, 5))), 1.0, 9)
        for x in range(60 + 110 * (row % 2), WIDTH_PX, 220):
            cv2.line(joints, (x, y), (x, y + 90), 1.0, 9)
    ground += rng.choice([-1, 1]) * 35 * cv2.GaussianBlur(joints, (0, 0), 1.2)
    truth = np.zeros((HEIGHT_PX, WIDTH_PX), np.uint8)
    for _ in range(3):
        start = (float(rng.uniform(0.1, 0.9) * WIDTH_PX), 0.0)
        line = wander(rng, start, 1.57 + rng.normal(0, 0.2), 390, 0.2)
        darken(rng, ground, truth, line, rng.uniform(1.5, 4), rng.uniform(40, 75))
    return ground, truth


def ceramic(rng: np.random.Generator) -> tuple[Plane, Mask]:
    """A net of fine cracks in a glazed, shining surface with specks."""
    ground = _noise(rng, 170, ((1.5, 4), (5, 5), (120, 14)))
    for _ in range(150):
        centre = tuple(int(v) for v in rng.uniform(0, 1, 2) * (WIDTH_PX, HEIGHT_PX))
        cv2.circle(ground, centre, int(rng.integers(1, 4)), float(rng.uniform(70, 150)), -1)
    truth = np.zeros((HEIGHT_PX, WIDTH_PX), np.uint8)
    for _ in range(16):
        start = tuple(rng.uniform(0, 1, 2) * (WIDTH_PX, HEIGHT_PX))
        line = wander(rng, start, rng.uniform(0, 6.3), int(rng.integers(60, 200)), 0.14)
        darken(rng, ground, truth, line, rng.uniform(0.9, 2.2), rng.uniform(22, 50))
    x, y = np.meshgrid(np.arange(WIDTH_PX), np.arange(HEIGHT_PX))
    lamp = np.exp(-(((x - 640) / 90) ** 2) - ((y - 260) / 60) ** 2)
    return np.asarray(ground + 130 * lamp, np.float32), truth


def _noise(rng: np.random.Generator, level: float, parts: tuple[tuple[float, float], ...]) -> Plane:
    ground = np.full((HEIGHT_PX, WIDTH_PX), level, np.float32)
    for cell, spread in parts:
        small = rng.standard_normal((int(HEIGHT_PX / cell) + 2, int(WIDTH_PX / cell) + 2))
        ground += spread * cv2.resize(small.astype(np.float32), (WIDTH_PX, HEIGHT_PX),
                                      interpolation=cv2.INTER_CUBIC)  # fmt: skip
    return ground


DRAWN = {"hairlines": hairlines, "road": road, "brick": brick, "ceramic": ceramic}
KINDS = tuple(DRAWN)
