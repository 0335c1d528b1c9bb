"""The width of a crack at 1000 stations, and the ratio to scipy's least squares one by one.

Target (design, section 8): 100 ms, 20 times faster than one fit after another of the same model
to the same averaged profiles. Profiles are sampled by ours within the time, not by the other.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
import statistics
import sys
import time

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares
from scipy.special import erf

from softmend.science.photo.blur import Blur
from softmend.science.photo.profile import offsets_px, sampled
from softmend.science.photo.strip import even_points, normals
from softmend.science.photo.width import widths

TARGET_S, TARGET_RATIO = 0.100, 20.0
REPEATS, ALONE = 9, 60
STEP_PX, BLUR_PX, WIDE_PX = 5.8, 1.2, 4.0


def wall() -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Return linear light with one crack of 4 px, 6000 px long, and its middle."""
    rng = np.random.default_rng(0)
    along = np.arange(20.0, 5880.0, 20.0)
    line = np.column_stack([along, 150 + 30 * np.sin(along / 400)])
    sheet = np.full((300, 5900), 0.5, dtype=np.float32)
    mask = np.zeros((300 * 4, 5900 * 4), np.uint8)
    place = np.round((line * 4 - 0.5) * 16).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(mask, [place], False, 255, round(4 * WIDE_PX), cv2.LINE_AA, 4)
    cover = cv2.resize(mask, (5900, 300), interpolation=cv2.INTER_AREA) / 255.0
    sheet *= 1 - 0.94 * cover.astype(np.float32)
    seen = cv2.GaussianBlur(sheet, (0, 0), BLUR_PX)
    noise = 0.008 * rng.standard_normal(seen.shape, dtype=np.float32)
    return np.asarray(seen + noise, dtype=np.float32), line


def one_by_one(light: NDArray[np.float32], line: NDArray[np.float64]) -> float:
    """Return the processor seconds of 1000 single fits, by as many as are worth waiting for."""
    middle = even_points(line, 1.0)
    across = offsets_px(12.0)
    profiles = sampled(light, middle, normals(middle), across)
    root = math.sqrt(2) * BLUR_PX
    started = time.process_time()
    for number in range(ALONE):
        mean = profiles[90 * number : 90 * number + 21].mean(axis=0)

        def left_over(p: NDArray[np.float64], mean: NDArray[np.float64] = mean) -> object:
            u = (across - p[2] + p[3] / 2) / root
            v = (across - p[2] - p[3] / 2) / root
            return p[0] + p[1] * across - p[4] / 2 * (erf(u) - erf(v)) - mean

        least_squares(left_over, [0.5, 0.0, 0.0, 3.0, 0.4])
    return (time.process_time() - started) * 1000 / ALONE


def main() -> int:
    """Measure both ways, print the medians, and return 1 when a target is missed."""
    light, line = wall()
    ours = []
    for _ in range(REPEATS):
        started = time.process_time()
        found = widths(light, line, Blur(BLUR_PX, 0.05), STEP_PX)
        ours.append(time.process_time() - started)
    seconds, theirs = statistics.median(ours), one_by_one(light, line)
    sys.stdout.write(
        f"{len(found.width_px)} stations: {1e3 * seconds:.0f} ms (target {1e3 * TARGET_S:.0f}), "
        f"one by one {theirs:.1f} s, "
        f"{theirs / seconds:.0f} times as long (target {TARGET_RATIO:.0f})\n"
    )
    return int(seconds > TARGET_S or theirs / seconds < TARGET_RATIO)


if __name__ == "__main__":
    raise SystemExit(main())
