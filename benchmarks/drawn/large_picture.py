"""A drawn photograph of 24 megapixels: mottled, with ruled lines and one crack of known course."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

WIDTH, HEIGHT = 6000, 4000
SEED = 1


def picture_and_crack() -> tuple[NDArray[np.float32], NDArray[np.float64]]:
    """Return the picture (0 to 255) and the middle of its crack [px], ends 4000 px apart."""
    rng = np.random.default_rng(SEED)
    fine = rng.standard_normal((HEIGHT, WIDTH), dtype=np.float32)
    picture = 170 + 6 * cv2.GaussianBlur(fine, (0, 0), 1.5)
    crack = np.array([[1000.0, 1000.0], [4980.0, 1400.0]])
    for _ in range(8):
        run = np.diff(crack, axis=0)
        square = np.stack([-run[:, 1], run[:, 0]], axis=1)
        middle = (crack[1:] + crack[:-1]) / 2
        middle += square * (0.1 * rng.standard_normal(len(run)))[:, None]
        woven = np.empty((len(crack) + len(middle), 2))
        woven[::2], woven[1::2] = crack, middle
        crack = woven
    mask = np.zeros((HEIGHT, WIDTH), np.uint8)
    place = np.round((crack - 0.5) * 16).astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(mask, [place], False, 255, 3, cv2.LINE_AA, 4)
    picture *= 1 - 0.3 * mask.astype(np.float32) / 255
    for left in range(300, WIDTH, 900):
        ruled = np.zeros((HEIGHT, WIDTH), np.uint8)
        cv2.line(ruled, (left, 2000), (left + 40, 3900), 255, 4, cv2.LINE_AA)
        picture *= 1 - 0.2 * ruled.astype(np.float32) / 255
    noise = rng.standard_normal((HEIGHT, WIDTH), dtype=np.float32)
    seen = cv2.GaussianBlur(picture, (0, 0), 0.8) + 3 * noise
    return np.asarray(np.clip(seen, 0, 255), dtype=np.float32), crack
