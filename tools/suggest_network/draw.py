"""Masks drawn by chance for the suggestion network: cracks, and what looks like one and is none.

No photograph goes in. `scene.py` lays the masks on drawn surfaces.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Array = NDArray[Any]
Rng = np.random.Generator

SIDE_PX = 256
FINER = 4
"""Lines are drawn so many times larger and brought down, so that their edges are soft."""


def noise(rng: Rng, side: int, cell: float) -> Array:
    """Return smooth noise of unit spread in cells of so many px."""
    count = max(2, round(side / cell))
    field = cv2.resize(rng.standard_normal((count, count)).astype(np.float32), (side, side),
                       interpolation=cv2.INTER_CUBIC)  # fmt: skip
    return np.asarray(field / (field.std() + 1e-6), np.float32)


def cracks(rng: Rng) -> tuple[Array, Array]:
    """Return how much of each pixel is dark, and where the cracks run, breaks between included."""
    size = SIDE_PX * FINER
    dark, course = np.zeros((size, size), np.uint8), np.zeros((size, size), np.uint8)
    width = float(np.exp(rng.uniform(np.log(0.7), np.log(14))))
    broken = float(rng.uniform(0.1, 0.55)) if rng.random() < 0.35 else 0.0
    chips = int(rng.integers(2, 25)) if rng.random() < 0.3 else 0
    if rng.random() < 0.22:
        net(rng, dark, course, min(width, 4.0), broken)
    else:
        for _ in range(int(rng.integers(1, 5))):
            ends = rng.uniform(-0.2, 1.2, (2, 2)) * size
            thick = width * rng.uniform(0.6, 1.4)
            crack(rng, dark, course, ends, thick, int(rng.integers(0, 3)), broken, chips)
    return _smaller(dark), _smaller(course)


def crack(
    rng: Rng, dark: Array, course: Array, ends: Array, width: float, branches: int,
    broken: float, chips: int,
) -> None:  # fmt: skip
    """Draw one crack by halving its course again and again, each time moved aside by chance."""
    points = ends.astype(np.float64)
    rough = float(np.exp(rng.uniform(np.log(0.015), np.log(0.22))))
    while len(points) < 500 and np.linalg.norm(points[1] - points[0]) > 3:
        part = np.diff(points, axis=0)
        aside = np.stack([-part[:, 1], part[:, 0]], 1) * rng.normal(0, rough, (len(part), 1))
        grown = np.empty((2 * len(points) - 1, 2))
        grown[::2], grown[1::2] = points, points[:-1] + part / 2 + aside
        points = grown
    t = np.linspace(0, 1, len(points))
    taper = 1 - rng.uniform(0, 0.9) * t if rng.random() < 0.7 else np.ones_like(t)
    slow = np.interp(t, np.linspace(0, 1, 9), np.exp(rng.normal(0, 0.35, 9)))
    thick = np.clip(np.round(FINER * width * taper * slow), 1, None).astype(int)
    seen = _seen(rng, len(points), broken)
    for a, b, w, shows in zip(points[:-1], points[1:], thick, seen, strict=False):
        cv2.line(course, _at(a), _at(b), 255, int(w), cv2.LINE_8)
        if shows:
            cv2.line(dark, _at(a), _at(b), 255, int(w), cv2.LINE_8)
    for number in rng.integers(0, len(points), chips):
        size = max(1, int(thick[min(number, len(thick) - 1)] * rng.uniform(0.3, 1.2)))
        axes = (max(1, int(size * rng.uniform(0.5, 1.5))), size)
        turn = float(rng.uniform(0, 180))
        cv2.ellipse(dark, _at(points[number]), axes, turn, 0, 360, 255, -1)
    for _ in range(branches):
        start = points[int(rng.integers(len(points)))]
        end = start + rng.normal(0, 0.3, 2) * len(dark)
        thin = width * rng.uniform(0.3, 0.8)
        crack(rng, dark, course, np.stack([start, end]), thin, 0, broken, 0)


def net(rng: Rng, dark: Array, course: Array, width: float, broken: float) -> None:
    """Draw a net of cracks along the borders of the cells about scattered points."""
    side = len(dark)
    cells = cv2.Subdiv2D((-side, -side, 3 * side, 3 * side))
    for x, y in rng.uniform(-0.3, 1.3, (int(rng.integers(6, 60)), 2)) * side:
        cells.insert((float(x), float(y)))
    drawn: set[tuple[int, ...]] = set()
    for facet in cells.getVoronoiFacetList([])[0]:
        for a, b in zip(facet, np.roll(facet, -1, axis=0), strict=True):
            border = tuple(sorted((*_at(np.asarray(a)), *_at(np.asarray(b)))))
            if border not in drawn and rng.random() < 0.7:  # each border belongs to two cells
                drawn.add(border)
                thin = width * rng.uniform(0.5, 1.2)
                crack(rng, dark, course, np.stack([a, b]), thin, 0, broken, 0)


def spots(rng: Rng) -> Array:
    """Return pores, stains and scratches, dark below 0 and bright above."""
    sheet = np.zeros((SIDE_PX, SIDE_PX), np.float32)
    for _ in range(int(rng.integers(1, 60))):
        mask = np.zeros_like(sheet)
        centre = tuple(int(v) for v in rng.integers(0, SIDE_PX, 2))
        size = rng.exponential(4) + 1
        axes = (max(1, int(size)), max(1, int(size * rng.uniform(0.4, 1))))
        cv2.ellipse(mask, centre, axes, float(rng.uniform(0, 180)), 0, 360, 1.0, -1)
        sheet += rng.normal(-15, 25) * cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 2.5))
    return np.clip(sheet, -120, 120)


def joints(rng: Rng) -> Array:
    """Return courses of joints, brick-like, waving a little, dark below 0 and bright above."""
    side = SIDE_PX
    mask: Array = np.zeros((2 * side, 2 * side), np.float32)
    height, length = rng.uniform(40, 130), rng.uniform(60, 260)
    thick = int(rng.integers(2, 14))
    for row, y in enumerate(np.arange(rng.uniform(0, height), 2 * side, height)):
        cv2.line(mask, (0, int(y)), (2 * side, int(y)), 1.0, thick)
        for x in np.arange((row % 2) * length / 2, 2 * side, length):
            cv2.line(mask, (int(x), int(y)), (int(x), int(y + height)), 1.0, thick)
    by = rng.uniform(0, 2.5)
    y, x = np.mgrid[0 : 2 * side, 0 : 2 * side].astype(np.float32)
    aside, down = by * noise(rng, 2 * side, 30), by * noise(rng, 2 * side, 30)
    mask = cv2.remap(mask, x + aside, y + down, cv2.INTER_LINEAR)
    turn = cv2.getRotationMatrix2D((side, side), rng.uniform(-20, 20) + 90 * rng.integers(2), 1.0)
    mask = cv2.warpAffine(mask, turn, (2 * side, 2 * side))[side // 2 :, side // 2 :][:side, :side]
    mask = cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 2.5))
    rough = 1 + 0.3 * noise(rng, side, rng.uniform(2, 8))
    told = rng.choice([-1, 1]) * rng.uniform(8, 80) * mask * rough
    return np.asarray(np.clip(told, -120, 120), np.float32)


def lines(rng: Rng) -> Array:
    """Return ruled and smoothly drawn lines, dark and bright, alone or in rows."""
    side = SIDE_PX
    sheet = np.zeros((side, side), np.float32)
    for _ in range(int(rng.integers(1, 5))):
        mask = np.zeros((side * FINER, side * FINER), np.uint8)
        thick = max(1, int(FINER * rng.uniform(0.6, 5)))
        angle, bow = rng.uniform(0, np.pi), rng.normal(0, 0.15) * (rng.random() < 0.5)
        across = np.array([-np.sin(angle), np.cos(angle)])
        along = np.array([np.cos(angle), np.sin(angle)])
        middle, gap = rng.uniform(0.1, 0.9, 2), rng.uniform(0.02, 0.2)
        low, high = sorted(rng.uniform(-1.2, 1.2, 2)) if rng.random() < 0.6 else (-1.5, 1.5)
        for number in range(int(rng.integers(1, 9)) if rng.random() < 0.4 else 1):
            t = np.linspace(low, high, 60)[:, None]
            points = middle + number * gap * across + t * along + bow * t**2 * across
            cv2.polylines(mask, [np.round(points * side * FINER).astype(np.int32)], False, 255,
                          thick, cv2.LINE_AA)  # fmt: skip
        sheet += rng.choice([-1.6, 1]) * rng.uniform(8, 60) * _smaller(mask) / 255
    return np.clip(sheet, -120, 120)


def _seen(rng: Rng, count: int, broken: float) -> Array:
    """Return which parts of a crack show: dirt and light leave breaks of some px in old ones."""
    if broken <= 0:
        return rng.random(count) > 0.004
    slow = np.interp(np.arange(count), *_knots(rng, count))
    return slow > np.quantile(slow, broken)


def _knots(rng: Rng, count: int) -> tuple[Array, Array]:
    every = rng.uniform(3, 18)
    places = np.arange(0, count + every, every)
    return places, rng.standard_normal(len(places))


def _smaller(large: Array) -> Array:
    return cv2.resize(large, (SIDE_PX, SIDE_PX), interpolation=cv2.INTER_AREA)


def _at(point: Array) -> tuple[int, int]:
    return round(float(point[0])), round(float(point[1]))
