"""A whole photograph laid on an earlier one by its plane: for the eye, never to measure on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.new_crack import laid_on
from softmend.science.photo.register import Registration


def laid_picture(
    later: NDArray[Any], to_earlier: ArrayLike, size_px: tuple[int, int]
) -> NDArray[Any]:
    """Return the later photograph laid on the earlier, in the depth and colours it has.

    Parameters
    ----------
    later : numpy array, a photograph, shape (h, w) or (h, w, 3) [1]
    to_earlier : array-like, homogeneous px of the later to px of the earlier, shape (3, 3) [1]
    size_px : tuple, width and height of the earlier photograph [px]

    Returns
    -------
    numpy array of the later photograph's kind, of the earlier's size [1]

    Raises
    ------
    InputError
        When the plane cannot be turned round.

    Source: heckbert1989, chapter 2.
    Checked against: tests/science/photo/test_laid.py.

    Example
    -------
    >>> laid_picture(np.full((20, 30, 3), 7, np.uint8), np.eye(3), (30, 20)).mean()
    np.float64(7.0)
    """
    plane = Registration(_plane(to_earlier), 0, 0, 0.0, 1.0, "", np.zeros((0, 2)))
    laid = laid_on(later.astype(np.float32), plane, size_px)
    return np.asarray(np.round(laid), dtype=later.dtype)


def on_later(points_px: ArrayLike, to_earlier: ArrayLike) -> NDArray[np.float64]:
    """Return where points of the earlier photograph lie on the later one.

    Parameters
    ----------
    points_px : array-like, places on the earlier photograph, shape (m, 2) [px]
    to_earlier : array-like, homogeneous px of the later to px of the earlier, shape (3, 3) [1]

    Returns
    -------
    numpy array, shape (m, 2) [px]

    Raises
    ------
    InputError
        When the plane cannot be turned round.

    Source: heckbert1989, chapter 2.
    Checked against: tests/science/photo/test_laid.py.

    Example
    -------
    >>> on_later([[12.0, 5.0]], [[1, 0, 10], [0, 1, 0], [0, 0, 1]]).tolist()
    [[2.0, 5.0]]
    """
    plane = Registration(_plane(to_earlier), 0, 0, 0.0, 1.0, "", np.zeros((0, 2)))
    return np.asarray(plane.later_px(points_px), dtype=np.float64)


def _plane(to_earlier: ArrayLike) -> NDArray[np.float64]:
    matrix = np.asarray(to_earlier, dtype=np.float64)
    if matrix.shape != (3, 3) or abs(np.linalg.det(matrix)) < 1e-12:
        raise InputError(
            "The plane between the two photographs cannot be turned round",
            value=matrix.tolist(),
            allowed="three rows of three numbers, not flat",
        )
    return matrix
