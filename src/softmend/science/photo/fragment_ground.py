"""The plain ground of a tray: its light told from the flakes', uneven light taken out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from softmend.errors import InputError
from softmend.science.photo.light import Plane, checked_picture, coded_grey
from softmend.science.uncertain import Array

SOFTENED_PX = 1.0
LEAST_CONTRAST = 12.0
"""Grey levels between ground and flakes below which they cannot be told apart."""

FRAME_SHARE = 0.02
MOST_SHARE = 0.6
FITTED_SIDE_PX = 200
"""The ground is fitted on a picture of about so many pixels on its longer side."""

ROUNDS = 8
NEAREST_LEVELS = 4.0
"""Grey levels that a ground may scatter by before its own scatter is taken."""

ONE_WAY = 4.0
"""So many times more brighter than darker (or the other way) makes the ground dark (or light)."""

LOW_SHARE, NOISE_TIMES = 0.2, 5.0


class Ground(Enum):
    """What the flakes lie on."""

    DARK = "dark"
    LIGHT = "light"
    UNKNOWN = "not known"


def away_from_ground(
    picture: NDArray[Any], ground: Ground, region: NDArray[np.uint8] | None = None
) -> Plane:
    """Return how much each place differs from the ground, in grey levels.

    Parameters
    ----------
    picture : numpy array, grey or RGB, 8 or 16 bit [1]
    ground : Ground, what the flakes lie on; on a dark one only what is brighter counts
    region : numpy array or None, not 0 where to look, shape (h, w) [1]

    Returns
    -------
    numpy array, shape (h, w), 0 or more, 0 outside the region [1]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: holland1977 (reweighted least squares, a curved sheet through the ground).
    Checked against: shaded trays in tests/science/photo/test_fragment.py.

    Example
    -------
    >>> tray = np.full((80, 100), 20, dtype=np.uint8)
    >>> tray[20:60, 30:70] = 180
    >>> away = away_from_ground(tray, Ground.DARK)
    >>> round(float(away[40, 50])), round(float(away[5, 5]))
    (160, 0)
    """
    import cv2

    part = checked_picture(picture)
    planes = [coded_grey(part)]
    if ground is Ground.UNKNOWN and part.ndim == 3:
        scale = np.float32(255.0 / np.iinfo(part.dtype).max)
        planes += [part[..., n].astype(np.float32) * scale for n in range(3)]
    rim = _rim(planes[0].shape, region)
    level, *colours = [_levelled(plane, rim, region) for plane in planes]
    if ground is Ground.UNKNOWN:
        ground = _told_by(level)
    if ground is Ground.UNKNOWN:
        parts = colours or [level]
        away = np.sqrt(sum(one * one for one in parts) / np.float32(len(parts)))
    else:
        away = np.maximum(level if ground is Ground.DARK else -level, 0)
    soft = cv2.GaussianBlur(np.asarray(away, dtype=np.float32), (0, 0), SOFTENED_PX)
    if region is not None:
        soft[region == 0] = 0
    return np.asarray(soft, dtype=np.float32)


def levels_of(away: Plane, region: NDArray[np.uint8] | None = None) -> tuple[float, float]:
    """Return the level above which something lies there, and that half way to most flakes.

    Parameters
    ----------
    away : numpy array, how much each place differs from the ground, shape (h, w) [1]
    region : numpy array or None, not 0 where to look, shape (h, w) [1]

    Returns
    -------
    tuple of two floats, grey levels [1]

    Raises
    ------
    InputError
        When flakes and ground cannot be told apart.

    Source: otsu1979 (the level half way).
    Checked against: drawn trays in tests/science/photo/test_fragment.py.

    Example
    -------
    >>> away = np.zeros((50, 50), dtype=np.float32)
    >>> away[10:30, 10:30] = 100
    >>> levels_of(away)
    (20.0, 50.0)
    """
    import cv2

    seen = away if region is None else away[region > 0]
    most = float(seen.max()) if seen.size else 0.0
    eight = np.asarray(np.clip(seen * (255 / max(most, 1e-6)), 0, 255), dtype=np.uint8)
    cut, _ = cv2.threshold(eight, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    bright = eight.ravel() > cut
    values = seen.ravel()
    if most < LEAST_CONTRAST or not bright.any():
        raise InputError(
            "Flakes and ground cannot be told apart",
            value=f"{most:.0f} grey levels between them",
            allowed=f"{LEAST_CONTRAST:.0f} or more",
            remedy="Lay the flakes on a plain ground that is clearly darker or lighter",
        )
    if bright.mean() > MOST_SHARE:
        raise InputError(
            "Most of the picture differs from its rim",
            value=f"{100 * bright.mean():.0f} %",
            allowed=f"up to {100 * MOST_SHARE:.0f} %",
            remedy="Photograph the whole tray with ground all round, or draw a region",
        )
    rest = values[~bright]
    half = float(np.median(values[bright]) + np.median(rest)) / 2
    noise = 1.4826 * float(np.median(np.abs(rest - np.median(rest))))
    low = float(np.median(rest)) + max(
        NOISE_TIMES * noise, LOW_SHARE * 2 * half, LEAST_CONTRAST / 2
    )
    return min(low, half), half


def _rim(shape: tuple[int, ...], region: NDArray[np.uint8] | None) -> NDArray[np.bool_]:
    """Return the frame of the picture, or of the region: ground is looked for there first."""
    import cv2

    frame = max(2, round(FRAME_SHARE * min(shape)))
    inside = np.ones(shape, np.uint8) if region is None else (region > 0).astype(np.uint8)
    core = cv2.erode(inside, np.ones((3, 3), np.uint8), iterations=frame, borderValue=0)
    return np.asarray((inside > 0) & (core == 0))


def _levelled(
    plane: Plane, rim: NDArray[np.bool_], region: NDArray[np.uint8] | None
) -> NDArray[np.float32]:
    """Return a plane less its ground, both brought to the ground's middle brightness."""
    import cv2

    rows, columns = plane.shape
    step = max(1, round(max(rows, columns) / FITTED_SIDE_PX))
    calm = cv2.blur(plane, (step, step))[step // 2 :: step, step // 2 :: step]
    on_rim = rim[step // 2 :: step, step // 2 :: step]
    wanted = np.ones(calm.shape, dtype=bool)
    if region is not None:
        wanted = region[step // 2 :: step, step // 2 :: step] > 0
    down, across = np.indices(calm.shape)
    x = (across * step + step // 2 + 0.5) / columns - 0.5
    y = (down * step + step // 2 + 0.5) / rows - 0.5
    found = _sheet(_terms(x, y), calm.astype(np.float64), wanted, on_rim & wanted)
    xs = (np.arange(columns) + 0.5) / columns - 0.5
    ys = (np.arange(rows) + 0.5) / rows - 0.5
    fitted = _whole(found, xs, ys)
    level = float(np.median(fitted))
    share = np.float32(level) / np.maximum(fitted, max(0.2 * level, 1.0)).astype(np.float32)
    return np.asarray((plane - fitted.astype(np.float32)) * share, dtype=np.float32)


def _terms(x: Array, y: Array) -> Array:
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _whole(found: Array, xs: Array, ys: Array) -> Array:
    along = found[0] + found[1] * xs + found[3] * xs**2
    down = found[2] * ys + found[5] * ys**2
    return np.asarray(along[None] + down[:, None] + found[4] * ys[:, None] * xs[None])


def _sheet(
    terms: Array, values: Array, wanted: NDArray[np.bool_], first: NDArray[np.bool_]
) -> Array:
    """Return the curved sheet through the ground: first through the rim, then through its like."""
    weight: Array = first.astype(np.float64)
    found: Array = np.zeros(terms.shape[-1])
    for _ in range(ROUNDS):
        used = weight > 0
        scaled = terms[used] * weight[used][:, None]
        solved = np.linalg.lstsq(scaled, values[used] * weight[used], rcond=None)
        found = np.asarray(solved[0], dtype=np.float64)
        off = values - terms @ found
        scatter = 1.4826 * float(np.median(np.abs(off[used])))
        reach = 4.685 * max(scatter, NEAREST_LEVELS / 2)
        weight = np.where(wanted, np.maximum(1 - (off / reach) ** 2, 0.0), 0.0)
        if (weight > 0).sum() < 3 * terms.shape[-1]:
            break
    return np.asarray(found)


def _told_by(level: NDArray[np.float32]) -> Ground:
    """Return what the ground is by whether things on it are brighter or darker."""
    strong = np.abs(level) > max(LEAST_CONTRAST, 0.3 * float(np.abs(level).max()))
    brighter = float(np.sum(level[strong & (level > 0)]))
    darker = float(-np.sum(level[strong & (level < 0)]))
    if brighter > ONE_WAY * darker:
        return Ground.DARK
    return Ground.LIGHT if darker > ONE_WAY * brighter else Ground.UNKNOWN
