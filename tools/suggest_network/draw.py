"""Patches of surface with cracks, drawn by chance: what the suggestion network learns from.

No photograph goes in. Everything that looks like a crack and is none (grain, pores, joints, ruled
and smoothly drawn lines, growth rings, steps of brightness, outlines, glints) is drawn as well and
never labelled.
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
"""Cracks are drawn so many times larger and brought down, so that their edges are soft."""


def patch(rng: Rng, side: int = SIDE_PX) -> tuple[Array, Array]:
    """Return a patch of brightness, 0 to 255, and where its cracks are, 0 or 1."""
    picture = surface(rng, side)
    for distract, chance in ((spots, 0.5), (joints, 0.2), (lines, 0.5), (rings, 0.25)):
        if rng.random() < chance:
            picture = distract(rng, picture)
    cover = np.zeros((side, side), np.float32)
    if rng.random() < 0.85:
        cover = crack_cover(rng, side)
        picture = darkened(rng, picture, cover)
    label = (cover > 0.25).astype(np.float32)
    if rng.random() < 0.25:
        picture, label = outlined(rng, picture, label)
    if rng.random() < 0.2:
        picture, label = glinted(rng, picture, label)
    return photographed(rng, picture), label


def noise(rng: Rng, side: int, cell: float, stretch: float = 1.0) -> Array:
    """Return smooth noise of unit spread in cells of so many px, stretched along one direction."""
    wide = int(side * 1.5)
    down = max(2, round(wide / cell))
    along = max(2, round(wide / (cell * stretch)))
    field = cv2.resize(rng.standard_normal((down, along)).astype(np.float32), (wide, wide),
                       interpolation=cv2.INTER_CUBIC)  # fmt: skip
    turn = cv2.getRotationMatrix2D((wide / 2, wide / 2), rng.uniform(0, 180), 1.0)
    turn = turn - np.array([[0, 0, 1], [0, 0, 1]]) * (wide - side) / 2
    field = cv2.warpAffine(field, turn, (side, side), flags=cv2.INTER_LINEAR,
                           borderMode=cv2.BORDER_REFLECT)  # fmt: skip
    return np.asarray(field / (field.std() + 1e-6), np.float32)


def surface(rng: Rng, side: int) -> Array:
    """Return a bare surface: noise of several sizes, often with a grain, a slope of light."""
    picture = np.full((side, side), rng.uniform(70, 210), np.float32)
    for cell in (1.2, 2.5, 5, 10, 24, 60):
        if rng.random() < 0.7:
            picture += rng.exponential(5.0) * noise(rng, side, cell)
    if rng.random() < 0.5:
        for _ in range(int(rng.integers(1, 4))):
            grain = noise(rng, side, rng.uniform(1.5, 8), rng.uniform(4, 40))
            picture += rng.exponential(8.0) * grain
    if rng.random() < 0.3:
        coarse = noise(rng, side, rng.uniform(2, 7))
        picture += rng.uniform(-35, 35) * (coarse > rng.uniform(0.3, 1.5))
    if rng.random() < 0.3:
        edge = noise(rng, side, rng.uniform(60, 200))
        picture += rng.uniform(-60, 60) * _step(edge * rng.uniform(3, 20))
    slope = np.add.outer(np.linspace(-1, 1, side) * rng.normal(), np.linspace(-1, 1, side))
    return np.asarray(picture + rng.normal(0, 15) * slope, np.float32)


def spots(rng: Rng, picture: Array) -> Array:
    """Return the picture with pores, stains and scratches that are none of ours."""
    side = len(picture)
    for _ in range(int(rng.integers(1, 60))):
        mask = np.zeros_like(picture)
        centre = tuple(int(v) for v in rng.integers(0, side, 2))
        size = rng.exponential(4) + 1
        axes = (max(1, int(size)), max(1, int(size * rng.uniform(0.4, 1))))
        cv2.ellipse(mask, centre, axes, float(rng.uniform(0, 180)), 0, 360, 1.0, -1)
        mask = cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 2.5))
        picture = picture + rng.normal(-15, 25) * mask
    return picture


def joints(rng: Rng, picture: Array) -> Array:
    """Return the picture with courses of joints, brick-like, waving a little."""
    side = len(picture)
    mask: Array = np.zeros((2 * side, 2 * side), np.float32)
    height, length = rng.uniform(40, 130), rng.uniform(60, 260)
    thick = int(rng.integers(2, 12))
    for row, y in enumerate(np.arange(rng.uniform(0, height), 2 * side, height)):
        cv2.line(mask, (0, int(y)), (2 * side, int(y)), 1.0, thick)
        for x in np.arange((row % 2) * length / 2, 2 * side, length):
            cv2.line(mask, (int(x), int(y)), (int(x), int(y + height)), 1.0, thick)
    mask = _bent(rng, mask, rng.uniform(0, 2.5))
    turn = cv2.getRotationMatrix2D((side, side), rng.uniform(-20, 20) + 90 * rng.integers(2), 1.0)
    mask = cv2.warpAffine(mask, turn, (2 * side, 2 * side))[side // 2 :, side // 2 :][:side, :side]
    mask = cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.5, 2.5))
    rough = 1 + 0.3 * noise(rng, side, rng.uniform(2, 8))
    return np.asarray(picture + rng.choice([-1, 1]) * rng.uniform(8, 70) * mask * rough, np.float32)


def lines(rng: Rng, picture: Array) -> Array:
    """Return the picture with ruled and smoothly drawn lines, dark and bright, alone or in rows."""
    side = len(picture)
    for _ in range(int(rng.integers(1, 5))):
        mask = np.zeros((side * FINER, side * FINER), np.uint8)
        thick = max(1, int(FINER * rng.uniform(0.6, 4)))
        angle, bow = rng.uniform(0, np.pi), rng.normal(0, 0.15) * (rng.random() < 0.5)
        across = np.array([-np.sin(angle), np.cos(angle)])
        along = np.array([np.cos(angle), np.sin(angle)])
        middle = rng.uniform(0.1, 0.9, 2)
        gap = rng.uniform(0.02, 0.2)
        low, high = sorted(rng.uniform(-1.2, 1.2, 2)) if rng.random() < 0.6 else (-1.5, 1.5)
        for number in range(int(rng.integers(1, 9)) if rng.random() < 0.4 else 1):
            t = np.linspace(low, high, 60)[:, None]
            points = middle + number * gap * across + t * along + bow * t**2 * across
            cv2.polylines(mask, [np.round(points * side * FINER).astype(np.int32)], False, 255,
                          thick, cv2.LINE_AA)  # fmt: skip
        soft = cv2.resize(mask, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32)
        picture = picture + rng.choice([-1.6, 1]) * rng.uniform(8, 60) * soft / 255
    return np.asarray(picture, np.float32)


def rings(rng: Rng, picture: Array) -> Array:
    """Return the picture with growth lines: many calm curves side by side, each of its own tone."""
    side = len(picture)
    y, x = np.mgrid[0:side, 0:side].astype(np.float32)
    centre = rng.uniform(-4, 5, 2) * side
    far = np.hypot(x - centre[0], y - centre[1]) + rng.uniform(0, 3) * noise(rng, side, 40)
    tones = rng.standard_normal(4096).astype(np.float32)
    place = far / rng.uniform(3, 14)
    low = np.floor(place).astype(np.int64)
    share = place - low
    tone = tones[low % 4096] * (1 - share) + tones[(low + 1) % 4096] * share
    return np.asarray(picture + rng.uniform(2, 14) * tone, np.float32)


def crack_cover(rng: Rng, side: int) -> Array:
    """Return how much of each pixel cracks cover, 0 to 1: single ones, branched ones or a net."""
    large = np.zeros((side * FINER, side * FINER), np.uint8)
    width = float(np.exp(rng.uniform(np.log(0.7), np.log(12))))
    if rng.random() < 0.25:
        net(rng, large, min(width, 4.0))
    else:
        for _ in range(int(rng.integers(1, 5))):
            ends = rng.uniform(-0.2, 1.2, (2, 2)) * len(large)
            crack(rng, large, ends, width * rng.uniform(0.6, 1.4), int(rng.integers(0, 3)))
    return cv2.resize(large, (side, side), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def crack(rng: Rng, large: NDArray[np.uint8], ends: Array, width: float, branches: int) -> None:
    """Draw one crack by halving its course again and again, each time moved aside by chance."""
    points = ends.astype(np.float64)
    rough = float(np.exp(rng.uniform(np.log(0.02), np.log(0.22))))
    while len(points) < 500 and np.linalg.norm(points[1] - points[0]) > 3:
        step = np.diff(points, axis=0)
        aside = np.stack([-step[:, 1], step[:, 0]], 1) * rng.normal(0, rough, (len(step), 1))
        grown = np.empty((2 * len(points) - 1, 2))
        grown[::2], grown[1::2] = points, points[:-1] + step / 2 + aside
        points = grown
    t = np.linspace(0, 1, len(points))
    taper = 1 - rng.uniform(0, 0.9) * t if rng.random() < 0.7 else np.ones_like(t)
    slow = np.interp(t, np.linspace(0, 1, 9), np.exp(rng.normal(0, 0.35, 9)))
    thick = np.clip(np.round(FINER * width * taper * slow), 1, None).astype(int)
    for a, b, w in zip(points[:-1], points[1:], thick, strict=False):
        if rng.random() > 0.004:
            cv2.line(large, _at(a), _at(b), 255, int(w), cv2.LINE_8)
    for _ in range(branches):
        start = points[int(rng.integers(len(points)))]
        end = start + rng.normal(0, 0.3, 2) * len(large)
        crack(rng, large, np.stack([start, end]), width * rng.uniform(0.3, 0.8), 0)


def net(rng: Rng, large: NDArray[np.uint8], width: float) -> None:
    """Draw a net of cracks along the borders of the cells about scattered points."""
    side = len(large)
    count = int(rng.integers(6, 60))
    cells = cv2.Subdiv2D((-side, -side, 3 * side, 3 * side))
    for x, y in rng.uniform(-0.3, 1.3, (count, 2)) * side:
        cells.insert((float(x), float(y)))
    drawn: set[tuple[int, ...]] = set()
    for facet in cells.getVoronoiFacetList([])[0]:
        for a, b in zip(facet, np.roll(facet, -1, axis=0), strict=True):
            border = tuple(
                sorted((*_at(np.asarray(a)), *_at(np.asarray(b))))
            )  # each border belongs to two cells
            if border not in drawn and rng.random() < 0.7:
                drawn.add(border)
                crack(rng, large, np.stack([a, b]), width * rng.uniform(0.5, 1.2), 0)


def darkened(rng: Rng, picture: Array, cover: Array) -> Array:
    """Return the picture with its cracks dark enough to be seen against the noise around."""
    around = cv2.GaussianBlur(
        cv2.absdiff(picture, cv2.GaussianBlur(picture, (0, 0), 4)), (0, 0), 12
    )
    deep = around * rng.uniform(2.0, 6.0) + rng.uniform(6, 70)
    if rng.random() < 0.3:
        rim = cv2.GaussianBlur(cover, (0, 0), rng.uniform(1.5, 4)) * (1 - cover)
        picture = picture + rng.uniform(5, 30) * rim
    slow = np.clip(1 + 0.25 * noise(rng, len(picture), 30), 0.4, 1.6)
    return np.asarray(picture - np.minimum(deep * slow, 0.9 * picture) * cover, np.float32)


def outlined(rng: Rng, picture: Array, label: Array) -> tuple[Array, Array]:
    """Return the object cut off by its outline, with a plain ground behind; no label outside."""
    field = noise(rng, len(picture), rng.uniform(120, 400))
    inside = _step((field - rng.normal(-0.6, 0.4)) * rng.uniform(20, 120))
    ground = rng.uniform(0, 255) + rng.uniform(0, 4) * noise(rng, len(picture), 3)
    shade = 1 - rng.uniform(0, 0.6) * np.exp(-np.abs(field + 0.6) * rng.uniform(2, 10))
    mixed = picture * shade * inside + ground * (1 - inside)
    return np.asarray(mixed, np.float32), np.asarray(label * (inside > 0.9), np.float32)


def glinted(rng: Rng, picture: Array, label: Array) -> tuple[Array, Array]:
    """Return the picture with mirrored lamps, ragged at their edge; no label under them."""
    field = noise(rng, len(picture), rng.uniform(20, 120)) + 0.4 * noise(rng, len(picture), 4)
    lamp = _step((field - rng.uniform(1.2, 2.2)) * rng.uniform(2, 15))
    shone = picture + (255 - picture) * lamp * rng.uniform(0.7, 1.3)
    return np.asarray(shone, np.float32), np.asarray(label * (lamp < 0.5), np.float32)


def photographed(rng: Rng, picture: Array) -> Array:
    """Return the picture as a camera gives it: blurred, with noise, often through a JPEG."""
    picture = cv2.GaussianBlur(picture, (0, 0), rng.uniform(0.35, 1.5))
    if rng.random() < 0.3:
        picture = 255 * (np.clip(picture, 1, 255) / 255) ** rng.uniform(0.6, 1.6)
    picture = picture + rng.uniform(0.3, 6) * rng.standard_normal(picture.shape)
    eight = np.clip(picture, 0, 255).astype(np.uint8)
    if rng.random() < 0.5:
        quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(40, 96))]
        coded = cv2.imencode(".jpg", eight, quality)[1]
        return np.asarray(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE), np.float32)
    return np.asarray(eight, np.float32)


def _step(x: Array) -> Array:
    """Return a soft step from 0 to 1 that never overflows."""
    return np.asarray(0.5 + 0.5 * np.tanh(x / 2), np.float32)


def _bent(rng: Rng, mask: Array, by: float) -> Array:
    side = len(mask)
    y, x = np.mgrid[0:side, 0:side].astype(np.float32)
    aside, down = by * noise(rng, side, 30), by * noise(rng, side, 30)
    return cv2.remap(mask, x + aside, y + down, cv2.INTER_LINEAR)


def _at(point: Array) -> tuple[int, int]:
    return round(float(point[0])), round(float(point[1]))
