"""Cracks that the later photograph shows and the earlier does not: suggested, never found."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np

from softmend.science.photo.light import Plane
from softmend.science.photo.register import CV2_CENTRE, Registration
from softmend.science.photo.ridge import Response
from softmend.science.photo.suggest import STANDARD, Suggestion, suggestions
from softmend.science.photo.thinned import Mask

WIDENED_PX = 3
"""What the earlier photograph shows within so many pixels explains what the later shows."""

EDGE_PX = 10


def new_levels(
    earlier: Response, later: Response, registration: Registration, where: Mask | None = None
) -> Response:
    """Return how far the later photograph stands out where the earlier one does not.

    Parameters
    ----------
    earlier, later : numpy array, how far each place stands out, in the pixels of each, (h, w) [1]
    registration : Registration, how the later photograph lies on the earlier [px]
    where : numpy array or None, where to look on the earlier photograph, shape (h, w)

    Returns
    -------
    numpy array, in the pixels of the earlier photograph, shape (h, w), 0 to 255 [1]

    Source: softmend-imaging (later response less the widened earlier one).
    Checked against: a pair of drawn scenes in tests/science/photo/test_change.py.

    Example
    -------
    >>> before, after = np.zeros((2, 60, 60), dtype=np.uint8)
    >>> before[20] = after[22] = after[:, 40] = 200
    >>> same = Registration(np.eye(3), 99, 99, 0.1, 1.0, "", np.zeros((0, 2)))
    >>> left = new_levels(before, after, same)
    >>> int(left[22, 30]), int(left[35, 40])
    (0, 200)
    """
    import cv2

    rows, columns = earlier.shape
    shift = np.array([[1, 0, CV2_CENTRE], [0, 1, CV2_CENTRE], [0, 0, 1]])
    matrix = np.linalg.inv(shift) @ registration.to_earlier @ shift
    laid = cv2.warpPerspective(later, matrix, (columns, rows), flags=cv2.INTER_LINEAR)
    shared = cv2.warpPerspective(
        np.full(later.shape, 255, dtype=np.uint8), matrix, (columns, rows), flags=cv2.INTER_NEAREST
    )
    shared = cv2.erode(shared, np.ones((2 * EDGE_PX + 1,) * 2, np.uint8))
    known = cv2.dilate(earlier, np.ones((2 * WIDENED_PX + 1,) * 2, np.uint8))
    left = cv2.subtract(laid, known)
    left[shared == 0] = 0
    if where is not None:
        left[~where] = 0
    return np.asarray(left, dtype=np.uint8)


def new_cracks(
    later_grey_laid: Plane, left: Response, sensitivity: float = STANDARD, least_px: float = 40.0
) -> tuple[list[Suggestion], int]:
    """Return suggested new cracks, in the pixels of the earlier photograph.

    Parameters
    ----------
    later_grey_laid : numpy array, the later photograph laid on the earlier, shape (h, w) [1]
    left : numpy array, what the later shows and the earlier does not, shape (h, w) [1]
    sensitivity : float, 0 for the strictest to 100 [1]
    least_px : float, how far a crack must reach [px]

    Returns
    -------
    tuple, list of Suggestion [px], and the count left out because there are too many [1]

    Raises
    ------
    InputError
        When sensitivity or reach is out of range.

    Source: softmend-imaging.
    Checked against: a pair of drawn scenes in tests/science/photo/test_change.py.

    Example
    -------
    >>> new_cracks(np.zeros((60, 60), np.float32), np.zeros((60, 60), np.uint8))
    ([], 0)
    """
    return suggestions(later_grey_laid, left, sensitivity, least_px, even_lines=True)


def laid_on(later: Plane, registration: Registration, size_px: tuple[int, int]) -> Plane:
    """Return the later photograph laid on the earlier: for the eye, never to measure on.

    Parameters
    ----------
    later : numpy array, brightness as coded, shape (h, w) [1]
    registration : Registration, how it lies on the earlier [px]
    size_px : tuple, width and height of the earlier photograph [px]

    Returns
    -------
    numpy array, shape (h, w) of the earlier [1]

    Source: heckbert1989, chapter 2.
    Checked against: tests/science/photo/test_change.py.

    Example
    -------
    >>> same = Registration(np.eye(3), 99, 99, 0.1, 1.0, "", np.zeros((0, 2)))
    >>> laid_on(np.ones((20, 30), np.float32), same, (30, 20)).shape
    (20, 30)
    """
    import cv2

    shift = np.array([[1, 0, CV2_CENTRE], [0, 1, CV2_CENTRE], [0, 0, 1]])
    matrix = np.linalg.inv(shift) @ registration.to_earlier @ shift
    return np.asarray(
        cv2.warpPerspective(later, matrix, size_px, flags=cv2.INTER_LINEAR), dtype=np.float32
    )
