"""A later photograph laid on an earlier one, by what both show; refused where one plane lies.

Matches of small features are found on reduced, levelled pictures; one plane is fitted to them by a
robust search. It stands only when enough of the matches agree with it and they are spread over the
picture: round a curved object some plane always fits somewhere.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.light import coded_grey
from softmend.science.photo.square_up import carried
from softmend.science.uncertain import Array

CV2_CENTRE = 0.5
LONGEST_SIDE_PX = 2000
"""Features are sought at a third of a 24 MP picture, no side longer than this."""

MOST_FEATURES, RATIO = 6000, 0.8
MISFIT_PX = 3.0
"""A match within this of the plane agrees with it, in px of the reduced picture."""

FEWEST_MATCHES, FEWEST_AGREEING = 16, 20
LEAST_SHARE = 0.5
CELLS = 4
LEAST_CELLS_SHARE = 0.5
"""Of the cells in which matches lie, so many must hold some that agree."""

LARGEST_STRETCH = 4.0
LARGEST_BOW_PX, BOW_REACH = 1.5, 5.0
"""What the best plane leaves over may not bow by more, in px of the reduced picture: 0.1 to 0.2 on
planes, 3 and more round shafts turned by 5 degrees."""


@dataclass(frozen=True, slots=True, eq=False)
class Features:
    """The small features of one photograph: places [px] and descriptions."""

    places_px: Array
    described: NDArray[np.float32]
    size_px: tuple[int, int]
    reduced_by: float


@dataclass(frozen=True, slots=True, eq=False)
class Registration:
    """How a later photograph lies on an earlier one.

    `to_earlier` carries px of the later picture to px of the earlier; `residual_px` is the median
    distance of the agreeing matches, in px of the earlier picture; `bow_px` how far what the plane
    leaves over bows as on a curved surface. `refused` says why one plane
    does not fit; it is empty when it does.
    """

    to_earlier: Array
    matches: int
    agreeing: int
    residual_px: float
    cells_share: float
    refused: str
    agreeing_px: Array
    bow_px: float = 0.0
    between: int = 0

    @property
    def agreeing_share(self) -> float:
        """The share of the matches that agree with the plane."""
        return self.agreeing / max(self.matches, 1)

    def earlier_px(self, points_px: ArrayLike) -> Array:
        """Return where points of the later picture lie on the earlier one [px]."""
        return carried(self.to_earlier, points_px)

    def later_px(self, points_px: ArrayLike) -> Array:
        """Return where points of the earlier picture lie on the later one [px]."""
        return carried(np.asarray(np.linalg.inv(self.to_earlier), dtype=np.float64), points_px)

    def scale_at(self, points_px: ArrayLike) -> Array:
        """Return px of the earlier picture for one px of the later, at places of the later."""
        points = np.asarray(points_px, dtype=np.float64).reshape(-1, 2)
        across, below = np.array([0.5, 0.0]), np.array([0.0, 0.5])
        right = self.earlier_px(points + across) - self.earlier_px(points - across)
        down = self.earlier_px(points + below) - self.earlier_px(points - below)
        return np.sqrt(np.abs(right[:, 0] * down[:, 1] - right[:, 1] * down[:, 0]))


def features(picture: NDArray[Any]) -> Features:
    """Return the small features of a photograph by which another is laid on it.

    Parameters
    ----------
    picture : numpy array, grey or RGB, 8 or 16 bit [1]

    Returns
    -------
    Features, places from the picture's corner [px]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: lowe2004 (scale-invariant features); zuiderveld1994 (local contrast levelled first).
    Checked against: tests/science/photo/test_register.py.

    Example
    -------
    >>> features(np.full((64, 80), 99, dtype=np.uint8)).places_px.shape
    (0, 2)
    """
    import cv2

    grey = np.asarray(np.clip(np.round(coded_grey(picture)), 0, 255), dtype=np.uint8)
    rows, columns = grey.shape
    factor = max(1.0, max(rows, columns) / LONGEST_SIDE_PX)
    size = (max(round(columns / factor), 1), max(round(rows / factor), 1))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA) if factor > 1 else grey
    level = cv2.createCLAHE(clipLimit=3.0, tileGridSize=(8, 8)).apply(small)
    library: Any = cv2
    keys, described = library.SIFT_create(nfeatures=MOST_FEATURES).detectAndCompute(level, None)
    if described is None or not keys:
        return Features(np.zeros((0, 2)), np.zeros((0, 128), np.float32), (columns, rows), factor)
    places = np.array([key.pt for key in keys], dtype=np.float64) + CV2_CENTRE
    places *= np.array([columns / size[0], rows / size[1]])
    return Features(places, np.asarray(described, dtype=np.float32), (columns, rows), factor)


def registered(earlier: Features, later: Features) -> Registration:
    """Return how the later photograph lies on the earlier one, or why one plane does not fit.

    Parameters
    ----------
    earlier, later : Features, of the two photographs [px]

    Returns
    -------
    Registration [px]; `refused` is not empty when the two must not be overlaid

    Raises
    ------
    InputError
        When the two photographs hardly share anything that can be found again.

    Source: lowe2004 (matching by the ratio of distances); barath2020 (robust fit of a plane);
    refused under half agreeing or when they crowd (softmend-imaging).
    Checked against: synthetic pairs in tests/science/photo/test_register.py.

    Example
    -------
    >>> place = np.random.default_rng(1).uniform(0, 400, (60, 2))
    >>> words = np.random.default_rng(2).uniform(0, 200, (60, 128)).astype(np.float32)
    >>> both = registered(Features(place, words, (400, 400), 1.0),
    ...                   Features(place + 7, words, (400, 400), 1.0))
    >>> both.agreeing, both.refused, np.round(both.earlier_px([[17, 17]]), 3).tolist()
    (60, '', [[10.0, 10.0]])
    """
    pairs = _matches(earlier, later)
    if len(pairs) < FEWEST_MATCHES:
        raise InputError(
            "The two photographs share too little to be laid on one another",
            value=f"{len(pairs)} places found in both",
            allowed=f"{FEWEST_MATCHES} or more",
            remedy="Retake the same view under the same light, or compare with a date in between",
        )
    there, here = earlier.places_px[pairs[:, 0]], later.places_px[pairs[:, 1]]
    matrix, agrees = _plane(here, there, MISFIT_PX * earlier.reduced_by)
    off = np.hypot(*(carried(matrix, here) - there).T)
    agreeing = int(agrees.sum())
    cells = _cells_share(there, agrees, earlier.size_px)
    bow = _bow(carried(matrix, here) - there, there, earlier)
    refused = _refusal(matrix, len(pairs), agreeing, cells, later.size_px)
    if not refused and bow > LARGEST_BOW_PX * earlier.reduced_by:
        refused = f"what the plane leaves over bows by {bow:.1f} px: the surface is curved"
    return Registration(
        matrix,
        len(pairs),
        agreeing,
        float(np.median(off[agrees])) if agreeing else math.inf,
        cells,
        refused,
        there[agrees],
        bow,
    )


def chained(dates: Sequence[Features]) -> tuple[Registration, ...]:
    """Return how each later photograph lies on the first, from date to date.

    Parameters
    ----------
    dates : sequence of Features, the photographs in the order of their dates [px]

    Returns
    -------
    tuple of Registration, one for each but the first, onto the first [px]; counts are those of the
    weakest link so far

    Raises
    ------
    InputError
        When there are fewer than two, or two neighbours share too little.

    Source: softmend-imaging (matches fall from date to date, neighbours keep most).
    Checked against: a dated series in tests/science/photo/test_register.py.

    Example
    -------
    >>> place = np.random.default_rng(1).uniform(0, 400, (60, 2))
    >>> words = np.random.default_rng(2).uniform(0, 200, (60, 128)).astype(np.float32)
    >>> series = [Features(place + 7 * step, words, (400, 400), 1.0) for step in range(3)]
    >>> [np.round(one.earlier_px([[20, 20]]), 2).tolist() for one in chained(series)]
    [[[13.0, 13.0]], [[6.0, 6.0]]]
    """
    if len(dates) < 2:
        raise InputError("A series has two photographs or more", value=len(dates), allowed="2 up")
    found = [registered(dates[0], dates[1])]
    for earlier, later in pairwise(dates[1:]):
        link, before = registered(earlier, later), found[-1]
        weaker = link if link.agreeing_share < before.agreeing_share else before
        found.append(
            Registration(
                before.to_earlier @ link.to_earlier,
                weaker.matches,
                weaker.agreeing,
                math.hypot(before.residual_px, link.residual_px),
                min(before.cells_share, link.cells_share),
                before.refused or link.refused,
                link.agreeing_px,
                max(before.bow_px, link.bow_px),
                before.between + 1,
            )
        )
    return tuple(found)


def local_registration(
    earlier: Features, later: Features, around_px: ArrayLike, reach_px: float = 250.0
) -> Registration:
    """Return how the later photograph lies on the earlier one near one place, as a patch of plane.

    Parameters
    ----------
    earlier, later : Features, of the two photographs [px]
    around_px : array-like, the place, or the line, on the earlier photograph, shape (m, 2) [px]
    reach_px : float, how far around it the patch reaches [px], above 0

    Returns
    -------
    Registration, good only near the place [px]

    Raises
    ------
    InputError
        When too little of both photographs is the same there.

    Source: barath2020; softmend-imaging (a plane for each patch of about 500 px round a curve).
    Checked against: tests/science/photo/test_register.py.

    Example
    -------
    >>> place = np.random.default_rng(1).uniform(0, 400, (90, 2))
    >>> words = np.random.default_rng(2).uniform(0, 200, (90, 128)).astype(np.float32)
    >>> here = local_registration(Features(place, words, (400, 400), 1.0),
    ...                           Features(place + 7, words, (400, 400), 1.0), [[200, 200]])
    >>> np.round(here.earlier_px([[17, 17]]), 3).tolist()
    [[10.0, 10.0]]
    """
    line = np.asarray(around_px, dtype=np.float64).reshape(-1, 2)
    low, high = line.min(axis=0) - reach_px, line.max(axis=0) + reach_px
    near = np.all((earlier.places_px >= low) & (earlier.places_px <= high), axis=1)
    patch = Features(
        earlier.places_px[near], earlier.described[near], earlier.size_px, earlier.reduced_by
    )
    pairs = _matches(patch, later)
    if len(pairs) < FEWEST_MATCHES:
        raise InputError(
            "The two photographs share too little around this place",
            value=f"{len(pairs)} places found in both",
            allowed=f"{FEWEST_MATCHES} or more",
            remedy="Retake the same view under the same light, or take a wider patch",
        )
    there, here = patch.places_px[pairs[:, 0]], later.places_px[pairs[:, 1]]
    matrix, agrees = _plane(here, there, MISFIT_PX * earlier.reduced_by)
    off = np.hypot(*(carried(matrix, here) - there).T)
    agreeing = int(agrees.sum())
    few = f"only {agreeing} of {len(pairs)} matches agree around this place"
    is_sound = agreeing >= FEWEST_AGREEING and 2 * agreeing >= len(pairs)
    return Registration(
        matrix,
        len(pairs),
        agreeing,
        float(np.median(off[agrees])) if agreeing else math.inf,
        1.0,
        "" if is_sound else few,
        there[agrees],
    )


def _matches(earlier: Features, later: Features) -> NDArray[np.intp]:
    """Return pairs of numbers of features that are each other's nearest, by a clear margin."""
    import cv2

    if len(earlier.places_px) < 2 or len(later.places_px) < 2:
        return np.zeros((0, 2), dtype=np.intp)
    matcher = cv2.BFMatcher(cv2.NORM_L2)
    there = matcher.knnMatch(later.described, earlier.described, k=2)
    best = [pair[0] for pair in there if pair[0].distance < RATIO * pair[1].distance]
    # One place of the earlier picture is the image of one place of the later.
    kept: dict[int, Any] = {}
    for one in best:
        if one.trainIdx not in kept or one.distance < kept[one.trainIdx].distance:
            kept[one.trainIdx] = one
    pairs = [(one.trainIdx, one.queryIdx) for one in kept.values()]
    return np.array(pairs, dtype=np.intp).reshape(-1, 2)


def _plane(here: Array, there: Array, misfit_px: float) -> tuple[Array, NDArray[np.bool_]]:
    import cv2

    cv2.setRNGSeed(0)
    found, _ = cv2.findHomography(
        here, there, cv2.USAC_MAGSAC, misfit_px, maxIters=10_000, confidence=0.9999
    )
    if found is None:
        return np.eye(3), np.zeros(len(here), dtype=bool)
    matrix = np.asarray(found, dtype=np.float64)
    agrees = np.hypot(*(carried(matrix, here) - there).T) <= misfit_px
    if int(agrees.sum()) >= 8:
        finer, _ = cv2.findHomography(here[agrees], there[agrees], 0)
        matrix = matrix if finer is None else np.asarray(finer, dtype=np.float64)
        agrees = np.hypot(*(carried(matrix, here) - there).T) <= misfit_px
    return matrix / matrix[2, 2], agrees


def _bow(left_over: Array, places: Array, earlier: Features) -> float:
    """Return how far what a plane leaves over bows: its smooth part of second order, 90 % point."""
    near = np.hypot(*left_over.T) <= BOW_REACH * MISFIT_PX * earlier.reduced_by
    if int(near.sum()) < FEWEST_AGREEING:
        return 0.0
    x, y = ((places[near] - places.mean(axis=0)) / (np.array(earlier.size_px) / 2)).T
    terms = np.column_stack([np.ones_like(x), x, y, x * x, x * y, y * y])
    weight = np.ones(len(x))
    smooth = np.zeros((len(x), 2))
    for _ in range(5):
        weighted = terms * weight[:, None]
        found = np.linalg.lstsq(weighted, left_over[near] * weight[:, None], rcond=None)[0]
        smooth = terms @ found
        rest = np.hypot(*(left_over[near] - smooth).T) / earlier.reduced_by
        weight = 1 / np.sqrt(1 + (rest / 1.5) ** 2)
    return float(np.quantile(np.hypot(*smooth.T), 0.9))


def _cells_share(places: Array, agrees: NDArray[np.bool_], size_px: tuple[int, int]) -> float:
    """Return the share of the picture's cells with matches in which most of them agree."""
    cell = np.clip((places / np.array(size_px) * CELLS).astype(int), 0, CELLS - 1)
    number = cell[:, 1] * CELLS + cell[:, 0]
    all_of = np.bincount(number, minlength=CELLS**2)
    agreeing = np.bincount(number[agrees], minlength=CELLS**2)
    filled = all_of >= 4
    if not np.any(filled):
        return 0.0
    return float(np.mean(2 * agreeing[filled] >= all_of[filled]))


def _refusal(
    matrix: Array, matches: int, agreeing: int, cells: float, size_px: tuple[int, int]
) -> str:
    if agreeing < FEWEST_AGREEING:
        return f"only {agreeing} matches agree on one plane; {FEWEST_AGREEING} are needed"
    if agreeing < LEAST_SHARE * matches:
        return (
            f"only {agreeing} of {matches} matches agree on one plane: the surface is not flat, "
            "or the camera did not come back to its place"
        )
    if cells < LEAST_CELLS_SHARE:
        return "the matches that agree on one plane crowd in one part of the picture"
    width, height = size_px
    corners = np.array([[0.0, 0], [width, 0], [width, height], [0, height]])
    laid = carried(matrix, corners)
    run = np.roll(laid, -1, axis=0) - laid
    turn = run[:, 0] * np.roll(run, -1, axis=0)[:, 1] - run[:, 1] * np.roll(run, -1, axis=0)[:, 0]
    stretch = np.hypot(*run.T) / np.array([width, height, width, height])
    if np.any(turn <= 0) or stretch.max() > LARGEST_STRETCH or stretch.min() < 1 / LARGEST_STRETCH:
        return (
            "the plane that fits best would fold or stretch the picture beyond what a camera does"
        )
    return ""
