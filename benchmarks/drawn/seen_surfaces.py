"""Four surfaces with more of what photographs show: joints, grit, stains, glaze, lamps, shadows.

They are made by spectra, scattered cells and a crack that seeks the weak way through a field of
strengths: other code and other laws than the training's and the other scenes'. No photograph goes
in. They are meant to be hard: a plain filter does as badly here as it does on real surfaces.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import itertools
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

HEIGHT_PX, WIDTH_PX = 480, 640
SIZE = (HEIGHT_PX, WIDTH_PX)
Plane = NDArray[np.float32]
Mask = NDArray[np.uint8]
Rng = np.random.Generator


def seen(kind: str, seed: int) -> tuple[Plane, Mask]:
    """Return a picture of one kind, 0 to 255, and the middle lines of its cracks."""
    rng = np.random.default_rng([seed, 77, KINDS.index(kind)])
    truth: Mask = np.zeros(SIZE, np.uint8)
    light = SEEN[kind](rng, truth)
    light = np.asarray(cv2.GaussianBlur(light, (0, 0), rng.uniform(0.5, 1.1)), np.float32)
    light += rng.uniform(1.0, 3.5) * rng.standard_normal(SIZE).astype(np.float32)
    eight = np.clip(light, 0, 255).astype(np.uint8)
    coded = cv2.imencode(".jpg", eight, [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(80, 95))])[1]
    return np.asarray(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE), np.float32), truth


def spectrum(rng: Rng, slope: float, across: float = 1.0) -> Plane:
    """Return noise of unit spread whose size falls with frequency; stretched when not 1."""
    down = np.fft.fftfreq(HEIGHT_PX)[:, None]
    along = np.fft.rfftfreq(WIDTH_PX)[None] * across
    size = np.hypot(down, along)
    size[0, 0] = 1
    wave = np.fft.rfft2(rng.standard_normal(SIZE)) * np.maximum(size, 1 / 300) ** -slope
    wave[0, 0] = 0
    found = np.fft.irfft2(wave, s=SIZE)
    return np.asarray(found / found.std(), np.float32)


def cells(rng: Rng, across_px: float) -> tuple[NDArray[np.int32], Plane]:
    """Return which scattered stone each pixel belongs to, and how near it lies to its rim [px]."""
    count = int(HEIGHT_PX * WIDTH_PX / across_px**2)
    seeds = np.ones(SIZE, np.uint8)
    seeds[rng.integers(0, HEIGHT_PX, count), rng.integers(0, WIDTH_PX, count)] = 0
    far, label = cv2.distanceTransformWithLabels(
        seeds, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    return np.asarray(label, np.int32), np.asarray(far, np.float32)


def weak_way(rng: Rng, start: tuple[int, int], end: tuple[int, int], unlike: float,
             given: Plane | None = None) -> NDArray[np.float64]:  # fmt: skip
    """Return the cheapest way between two places through strengths drawn by chance."""
    from skimage import graph

    route_through_array: Any = graph.route_through_array
    strength = np.exp(unlike * spectrum(rng, 1.1))
    if given is not None:
        strength = strength * given
    way, _ = route_through_array(strength, start, end, fully_connected=True, geometric=True)
    line = np.asarray(way, dtype=np.float64)[:, ::-1] + 0.5
    width = 1.5
    kernel = np.exp(-0.5 * (np.arange(-4, 5) / width) ** 2)
    kernel /= kernel.sum()
    framed = np.pad(line, ((4, 4), (0, 0)), mode="edge")
    return np.stack([np.convolve(framed[:, n], kernel, "valid") for n in (0, 1)], axis=1)


def opened(rng: Rng, light: Plane, truth: Mask, line: NDArray[np.float64], width_px: float,
           share: float, filled: float = 0.0) -> Plane:  # fmt: skip
    """Return the picture with a crack of changing width, some of it closed or filled with dust."""
    large = np.zeros((HEIGHT_PX * 4, WIDTH_PX * 4), np.uint8)
    drift = rng.standard_normal(len(line) // 25 + 3)
    wide = width_px * np.exp(
        0.4 * np.interp(np.arange(len(line)) / 25, np.arange(len(drift)), drift)
    )
    shut = rng.random(len(line) // 30 + 2) < filled
    for number, (a, b) in enumerate(itertools.pairwise(line)):
        strength = 90 if shut[number // 30] else 255
        place = [tuple(np.round(4 * one).astype(int).tolist()) for one in (a, b)]
        cv2.line(large, place[0], place[1], strength, max(1, round(4 * wide[number])))
    cover = cv2.resize(large, (WIDTH_PX, HEIGHT_PX), interpolation=cv2.INTER_AREA) / 255
    cover = cover * np.clip(1 + 0.25 * spectrum(rng, 0.6), 0.2, 1.3)
    cv2.polylines(truth, [np.floor(line).astype(np.int32)], False, 1)
    return np.asarray(light * (1 - share * np.clip(cover, 0, 1)), np.float32)


def shaded(rng: Rng, light: Plane) -> Plane:
    """Return the picture with light that falls off, and now and then the shadow of something."""
    y, x = np.mgrid[0:HEIGHT_PX, 0:WIDTH_PX]
    turn = rng.uniform(0, 6.3)
    slope = (np.cos(turn) * x + np.sin(turn) * y) / WIDTH_PX
    light = light * (1 + rng.uniform(0, 0.35) * slope)
    if rng.random() < 0.5:
        edge = spectrum(rng, 2.4) + rng.normal(-0.8, 0.5)
        light = light * (1 - rng.uniform(0.15, 0.4) * _step(edge * rng.uniform(8, 40)))
    return np.asarray(light, np.float32)


def _step(x: Plane) -> Plane:
    """Return a soft step from 0 to 1 that never overflows."""
    return np.asarray(0.5 + 0.5 * np.tanh(x / 2), np.float32)


def _edges(rng: Rng) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return two places on opposite sides of the picture."""
    if rng.random() < 0.5:
        return ((int(rng.integers(HEIGHT_PX)), 0), (int(rng.integers(HEIGHT_PX)), WIDTH_PX - 1))
    return ((0, int(rng.integers(WIDTH_PX))), (HEIGHT_PX - 1, int(rng.integers(WIDTH_PX))))


def hairlines(rng: Rng, truth: Mask) -> Plane:
    """Hairline cracks on a painted surface crossed by bundles of ruled, grooved and taped lines."""
    light = 165 + 4 * spectrum(rng, 1.2) + 3 * spectrum(rng, 0.4) + 5 * spectrum(rng, 1.0, 0.06)
    turn = rng.uniform(0, np.pi)
    for _ in range(int(rng.integers(5, 11))):
        angle = turn + rng.choice([0, np.pi / 2]) + rng.normal(0, 0.02)
        middle = rng.uniform(0, 1, 2) * (WIDTH_PX, HEIGHT_PX)
        run = 900 * np.array([np.cos(angle), np.sin(angle)])
        square = np.array([-np.sin(angle), np.cos(angle)])
        width, dark = int(rng.integers(1, 6)), rng.uniform(0.06, 0.4)
        for step in range(int(rng.integers(1, 4))):
            layer = np.zeros(SIZE, np.float32)
            place = middle + 14 * step * square
            ends = [tuple(int(v) for v in place + way * run) for way in (-1, 1)]
            cv2.line(layer, ends[0], ends[1], 1.0, width, cv2.LINE_AA)
            worn = np.clip(1 + 0.4 * spectrum(rng, 1.0), 0, 1.4)
            light = light * (1 - dark * layer * worn)
    for _ in range(int(rng.integers(1, 3))):
        line = weak_way(rng, *_edges(rng), unlike=0.5)
        part = line[: int(rng.uniform(0.5, 1.0) * len(line))]
        light = opened(rng, light, truth, part, rng.uniform(0.7, 1.6), rng.uniform(0.15, 0.4))
    return shaded(rng, np.asarray(light, np.float32))


def road(rng: Rng, truth: Mask) -> Plane:
    """Cracks in worn stones bound with tar, with oil, stains, paint and shadow."""
    label, rim = cells(rng, rng.uniform(4, 7))
    tone = rng.normal(0, rng.uniform(9, 17), int(label.max()) + 1).astype(np.float32)
    light = 125 + tone[label] - 2.0 * rim + 7 * spectrum(rng, 0.4) + 8 * spectrum(rng, 1.6)
    for _ in range(int(rng.integers(0, 4))):
        stain = spectrum(rng, 2.2) - rng.uniform(1.2, 2.2)
        light = light * (1 - rng.uniform(0.1, 0.4) * _step(12 * stain))
    if rng.random() < 0.3:
        y, x = np.mgrid[0:HEIGHT_PX, 0:WIDTH_PX]
        painted = np.abs(x - rng.uniform(0.2, 0.8) * WIDTH_PX + 0.1 * y) < rng.uniform(15, 40)
        light = np.where(painted & (spectrum(rng, 1.0) > -1.2), light + 70, light)
    for _ in range(int(rng.integers(1, 3))):
        line = weak_way(rng, *_edges(rng), unlike=0.6)
        width = rng.uniform(2.0, 5.0)
        light = opened(rng, light, truth, line, width, rng.uniform(0.3, 0.6), 0.2)
        if rng.random() < 0.5:
            fork = line[int(rng.integers(len(line) // 4, 3 * len(line) // 4))]
            start = tuple(int(v) for v in fork[::-1])
            side = weak_way(rng, (start[0], start[1]), _edges(rng)[1], unlike=0.6)
            light = opened(rng, light, truth, side, 0.7 * width, rng.uniform(0.25, 0.5), 0.3)
    return shaded(rng, np.asarray(light, np.float32))


def brick(rng: Rng, truth: Mask) -> Plane:
    """A wall of bricks of unlike tone with pits, rough joints that shade, and stepped cracks."""
    high, long = int(rng.integers(70, 120)), int(rng.integers(170, 280))
    y, x = np.mgrid[0:HEIGHT_PX, 0:WIDTH_PX].astype(np.float32)
    y = y + 1.5 * spectrum(rng, 1.3) + rng.uniform(0, high)
    x = x + 1.5 * spectrum(rng, 1.3) + rng.uniform(0, long)
    course = np.floor(y / high)
    head = x + 0.5 * long * (course % 2)
    down, along = y % high, head % long
    joint = rng.uniform(8, 15)
    mortar = (down < joint) | (along < joint)
    tone = rng.normal(0, 14, 4096).astype(np.float32)
    name = (37 * course + np.floor(head / long)).astype(int) % 4096
    pits = np.clip(spectrum(rng, 0.7) - 1.9, 0, None) * 40
    light = 120 + tone[name] + 6 * spectrum(rng, 0.6) + 5 * spectrum(rng, 1.5) - pits
    pale = rng.choice([-35.0, 30.0, 50.0])
    light = np.where(mortar, 125 + pale + 8 * spectrum(rng, 0.5), light)
    under = ((down >= joint) & (down < joint + 2)) | (along > long - 2)
    light = light * (1 - rng.uniform(0.0, 0.3) * under)
    weak = np.where(mortar, 0.45, 1.0)
    for _ in range(int(rng.integers(1, 3))):
        line = weak_way(rng, *_edges(rng), unlike=0.5, given=weak)
        width = rng.uniform(1.5, 4.5)
        light = opened(rng, light, truth, line, width, rng.uniform(0.35, 0.75), 0.15)
    return shaded(rng, np.asarray(light, np.float32))


def ceramic(rng: Rng, truth: Mask) -> Plane:
    """Fired ware: specks, fired grain, turning marks, mirrored lamps; a net of fine cracks."""
    light = rng.uniform(120, 190) + 5 * spectrum(rng, 1.1) + 4 * spectrum(rng, 0.3)
    light = light + rng.uniform(1, 6) * spectrum(rng, 0.9, 0.03)
    for _ in range(int(rng.integers(60, 300))):
        centre = tuple(int(v) for v in rng.uniform(0, 1, 2) * (WIDTH_PX, HEIGHT_PX))
        axes = tuple(int(v) for v in rng.integers(1, 5, 2))
        speck = np.zeros(SIZE, np.float32)
        cv2.ellipse(speck, centre, axes, float(rng.uniform(0, 180)), 0, 360, 1.0, -1)
        light = light * (1 - rng.uniform(0.1, 0.55) * speck)
    if rng.random() < 0.5:
        label, _rim = cells(rng, rng.uniform(60, 140))
        bent = weak_field(rng, label)
        light = _netted(rng, np.asarray(light, np.float32), truth, bent)
    else:
        for _ in range(int(rng.integers(2, 5))):
            line = weak_way(rng, *_edges(rng), unlike=0.35)
            part = line[: int(rng.uniform(0.3, 1.0) * len(line))]
            light = opened(rng, light, truth, part, rng.uniform(0.8, 2.0), rng.uniform(0.12, 0.4))
    lamp = spectrum(rng, 2.6) - rng.uniform(1.5, 2.5)
    light = light + rng.uniform(40, 140) * _step(rng.uniform(4, 14) * lamp)
    return shaded(rng, np.asarray(light, np.float32))


def weak_field(rng: Rng, label: NDArray[np.int32]) -> NDArray[np.int32]:
    """Return cells whose borders are bent as cracks are."""
    y, x = np.mgrid[0:HEIGHT_PX, 0:WIDTH_PX].astype(np.float32)
    x, y = x + 4 * spectrum(rng, 1.4), y + 4 * spectrum(rng, 1.4)
    moved = cv2.remap(label.astype(np.float32), x, y,
                      cv2.INTER_NEAREST, borderMode=cv2.BORDER_REFLECT)  # fmt: skip
    return moved.astype(np.int32)


def _netted(rng: Rng, light: Plane, truth: Mask, label: NDArray[np.int32]) -> Plane:
    """Return the picture with a net along most borders of the cells, fine and uneven."""
    border = np.zeros(SIZE, np.uint8)
    border[:, 1:] |= (label[:, 1:] != label[:, :-1]).astype(np.uint8)
    border[1:] |= (label[1:] != label[:-1]).astype(np.uint8)
    border[spectrum(rng, 1.8) > rng.uniform(0.3, 1.0)] = 0
    fine = cv2.GaussianBlur(border.astype(np.float32), (0, 0), rng.uniform(0.4, 0.8))
    uneven = np.clip(0.8 + 0.35 * spectrum(rng, 1.2), 0.1, 1.4)
    truth |= border
    return np.asarray(
        light * (1 - rng.uniform(0.2, 0.5) * np.clip(1.2 * fine, 0, 1) * uneven), np.float32
    )


SEEN = {"hairlines": hairlines, "road": road, "brick": brick, "ceramic": ceramic}
KINDS = tuple(SEEN)
