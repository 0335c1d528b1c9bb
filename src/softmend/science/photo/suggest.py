"""Cracks suggested inside a drawn region: quick, by one sensitivity, for a person to accept or not.

How far each place stands out as a dark line is kept above two thresholds and thinned. Highlights
and silhouettes are masked first, since both draw false nets. Edges that are dark on one side only
are left out; so are ruled and smoothly drawn lines, unless they are asked for.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.light import Plane
from softmend.science.photo.lines_at_once import (
    SOFT_FROM,
    lengths_px,
    one_after_another,
    softened,
    ways,
)
from softmend.science.photo.ridge import Response
from softmend.science.photo.ruled import are_ruled, is_smooth
from softmend.science.photo.standing_out import STEPS
from softmend.science.photo.surface import point_array
from softmend.science.photo.thinned import Mask, Piece, pieces
from softmend.science.uncertain import Array

STRICTEST, HALVES_EVERY = 14.0, 30.0
LOW_SHARE = 0.4
"""The threshold at sensitivity 0, how much sensitivity halves it, and the lower threshold."""

STANDARD = 45.0
GLARE_FROM, GLARE_REACH_PX = 246.0, 25
GLARE_CELL_PX, GLARE_AROUND_SHARE = 16, 0.25
GLARE_MOST_SHARE = 0.25
"""Where more of the region than this is clipped, its ground is white, and that is no lamp."""

LIT_FROM, MIRRORED_FROM, MIRRORED_TIMES = 90.0, 195.0, 1.15
"""A mirrored lamp is not always clipped: a bright patch, brighter than the lit surface around."""

SILHOUETTE_PX = 10
LONG_POINTS, MOST_ROWS = 12, 30_000
MOST_PIECES = 1500

ONE_SIDED = 0.3
"""An edge: the darkness against the darker side is less than this share of that against the other.
"""


@dataclass(frozen=True, slots=True, eq=False)
class Suggestion:
    """One suggested crack: its lines [px], their length [px], how far it stands out [levels]."""

    lines_px: tuple[Array, ...]
    length_px: float
    level: float


def allowed(
    grey: Plane, region_px: ArrayLike | None = None, holes_px: Sequence[ArrayLike] = ()
) -> Mask:
    """Return where a suggestion may lie: inside the region, away from its edge and from glare.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w), 0 to 255 [1]
    region_px : array-like or None, outline of the object or of a part of it, shape (m, 2) [px]
    holes_px : sequence of array-like, outlines that are left out, each of shape (m, 2) [px]

    Returns
    -------
    numpy array, shape (h, w)

    Raises
    ------
    InputError
        When the region holds nothing of the picture.

    Source: softmend-imaging (near-clipped pixels and around them, 10 px inside the
    outline); 25 px around, as far as the widest blur reaches.
    Checked against: tests/science/photo/test_suggest.py.

    Example
    -------
    >>> sheet = np.full((100, 100), 90, dtype=np.float32)
    >>> where = allowed(sheet, [[20, 20], [80, 20], [80, 80], [20, 80]])
    >>> bool(where[50, 50]), bool(where[25, 50])
    (True, False)
    """
    inside: NDArray[np.uint8] = np.ones(grey.shape, dtype=np.uint8)
    if region_px is not None:
        inside = _filled(grey.shape, region_px)
        inside[_near(1 - inside, SILHOUETTE_PX)] = 0
    for hole in holes_px:
        inside[_near(_filled(grey.shape, hole), SILHOUETTE_PX)] = 0
    glare = _glare(grey, inside)
    if glare.any():
        inside[_near(glare, GLARE_REACH_PX)] = 0
    if not inside.any():
        raise InputError(
            "There is nothing to look at inside this region",
            value="all of it is outside the picture, at its edge, or glare",
            allowed=f"a region more than {2 * SILHOUETTE_PX} px wide",
            remedy="Draw a larger region, or photograph with softer light",
        )
    return np.asarray(inside > 0)


def suggestions(
    grey: Plane,
    level: Response,
    sensitivity: float = STANDARD,
    least_px: float = 40.0,
    *,
    even_lines: bool = False,
) -> tuple[list[Suggestion], int]:
    """Return suggested cracks, those that stand out most first, and how many more there would be.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w) [1]
    level : numpy array, how far each place stands out, from `levels`, shape (h, w) [1]
    sensitivity : float, 0 for the strictest to 100 [1]
    least_px : float, how far a crack must reach [px], 8 to 10 000
    even_lines : bool, suggest ruled and smoothly drawn lines as well

    Returns
    -------
    tuple, list of Suggestion [px], and the count left out because there are too many [1]

    Raises
    ------
    InputError
        When sensitivity or reach is out of range.

    Source: canny1986 (two thresholds); softmend-imaging.
    Checked against: drawn cracks in tests/science/photo/test_suggest.py.

    Example
    -------
    >>> sheet = np.random.default_rng(0).normal(150, 3, (200, 300)).astype(np.float32)
    >>> way = (100 + 9 * np.sin(np.arange(300) / 11)).astype(int)
    >>> sheet[way, np.arange(300)] -= 60
    >>> sheet[way + 1, np.arange(300)] -= 60
    >>> from softmend.science.photo.standing_out import levels
    >>> found, more = suggestions(sheet, levels(sheet))
    >>> len(found), more, found[0].length_px > 250
    (1, 0, True)
    """
    if not 0 <= sensitivity <= 100:
        raise InputError("The sensitivity is out of range", value=sensitivity, allowed="0 to 100")
    if not 8 <= least_px <= 10_000:
        raise InputError("The reach is out of range", value=least_px, allowed="8 to 10 000 px")
    high = max(round(STEPS * STRICTEST * 2 ** (-sensitivity / HALVES_EVERY)), 4)
    low = max(round(LOW_SHARE * high), 2)
    found, more = pieces(level, min(low, 254), min(high, 255), least_px, MOST_PIECES)
    return judged(grey, found, least_px, even_lines=even_lines), more


def judged(
    grey: Plane, found: Sequence[Piece], least_px: float, *, even_lines: bool = False
) -> list[Suggestion]:
    """Return pieces as suggestions, those that stand out most first, without what is no crack.

    Parameters
    ----------
    grey : numpy array, brightness as coded, shape (h, w) [1]
    found : sequence of Piece, their likeness in steps of 10 to a level [1]
    least_px : float, how far a crack must reach [px], 8 to 10 000
    even_lines : bool, suggest ruled and smoothly drawn lines as well

    Returns
    -------
    list of Suggestion [px]

    Source: own rules (a crack wanders, and is dark against both its sides).
    Checked against: tests/science/photo/test_suggest.py.

    Example
    -------
    >>> judged(np.zeros((50, 50), dtype=np.float32), [], 40.0)
    []
    """
    lines = [line for piece in found for line in piece.lines_px]
    if not lines:
        return []
    ruled = [False] * len(lines) if even_lines else are_ruled(lines, grey.shape)
    dropped = iter([one or (not even_lines and is_smooth(line)) for one, line in
                    zip(ruled, lines, strict=True)])  # fmt: skip
    whole = one_after_another(lines)
    soft = whole.apart(softened(whole))
    looked_at = iter(zip(soft, lengths_px(whole), _one_sidedness(grey, lines, soft), strict=True))
    kept = []
    for piece in found:
        own = [next(looked_at) for _ in piece.lines_px]
        left = [(eased, length) for eased, length, share in own
                if not next(dropped) and share >= ONE_SIDED]  # fmt: skip
        length = sum(float(one) for _, one in left)
        if length >= 0.5 * least_px:
            eased = tuple(_thinner(line, 4) for line, _ in left)
            kept.append(Suggestion(eased, length, piece.mean / STEPS))
    return sorted(kept, key=lambda one: -one.level * one.length_px)


def _one_sidedness(grey: Plane, lines: Sequence[Array], soft: Sequence[Array]) -> Array:
    """Return of each line the darkness against its darker side over that against the brighter."""
    import cv2

    pairs = zip(lines, soft, strict=True)
    own = one_after_another(
        [_thinner(s, 3) if len(line) > LONG_POINTS else line for line, s in pairs]
    )
    way = ways(own)
    square = np.stack([-way[:, 1], way[:, 0]], axis=1)
    reach = np.arange(-12, 13)
    at = (own.points_px[:, None] + reach[None, :, None] * square[:, None] - 0.5).astype(np.float32)
    parts = [
        cv2.remap(grey, part[..., 0], part[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
        for part in np.split(at, range(MOST_ROWS, len(at), MOST_ROWS))
    ]
    seen = np.concatenate(parts).astype(np.float64)
    profile = np.add.reduceat(seen, own.first) / own.count[:, None]
    sides = np.stack([profile[:, :8].mean(axis=1), profile[:, -8:].mean(axis=1)])
    dark = profile[:, 10:15].min(axis=1)
    return np.asarray((sides.min(axis=0) - dark) / np.maximum(sides.max(axis=0) - dark, 1e-3))


def _thinner(line: Array, step: int) -> Array:
    """Return every so-many-th point of a line and its last; a short one stays as it is."""
    if len(line) < SOFT_FROM:
        return line
    return np.asarray(np.concatenate([line[:-1:step], line[-1:]]))


def _glare(grey: Plane, inside: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return where light is clipped, or mirrored: far brighter than the lit surface around."""
    import cv2

    # One lost pixel of noise is no highlight.
    clipped = np.asarray(
        cv2.erode((grey >= GLARE_FROM).astype(np.uint8), np.ones((2, 2), np.uint8)), np.uint8
    )
    if np.count_nonzero(clipped & inside) > GLARE_MOST_SHARE * np.count_nonzero(inside):
        clipped[:] = 0
    rows, columns = grey.shape
    size = (max(columns // GLARE_CELL_PX, 1), max(rows // GLARE_CELL_PX, 1))
    cells = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    lit = (cells > LIT_FROM).astype(np.float32)
    across = int(GLARE_AROUND_SHARE * max(size)) | 1
    window = (across, across)
    around = cv2.blur(cells * lit, window) / np.maximum(cv2.blur(lit, window), 1e-3)
    mirrored = (cells > MIRRORED_FROM) & (cells > MIRRORED_TIMES * np.maximum(around, 1.0))
    wide = cv2.resize(mirrored.astype(np.uint8), (columns, rows), interpolation=cv2.INTER_NEAREST)
    return np.asarray(cv2.max(clipped, wide), dtype=np.uint8)


def _filled(shape: tuple[int, ...], outline_px: ArrayLike) -> NDArray[np.uint8]:
    import cv2

    ring = point_array(outline_px, 3)
    mask = np.zeros(shape, dtype=np.uint8)
    # Sixteenths of a pixel; cv2 counts from the middle of the first pixel.
    cv2.fillPoly(mask, [np.round((ring - 0.5) * 16).astype(np.int32)], 1, shift=4)
    return mask


def _near(mask: NDArray[np.uint8], reach_px: float) -> Mask:
    """Return what lies within so many px of a mask, itself too."""
    import cv2

    if not mask.any():
        return np.zeros(mask.shape, dtype=bool)
    far = cv2.distanceTransform((mask == 0).astype(np.uint8), cv2.DIST_L2, 3)
    return np.asarray(far <= reach_px)
