"""A photographed sheet of paper squared up by its four printed corner marks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.marker import CV2_CENTRE, detect_markers
from softmend.science.uncertain import Array

CELLS = 6
"""A marker of the 4x4 dictionary is 4 cells wide between borders of one cell."""

MOST_MISFIT_SHARE = 0.0025
"""A sheet whose marks lie further off than this share of its shorter side is bent or torn."""

DARK, DARKER = 0.55, 0.35
"""The printed view is never darker than 0.7 of the paper; a pen is."""

COLOURED, STRONGLY = 0.12, 0.30
"""The printed view is grey; what has this much colour, as a share of the paper, is a pen."""

PAPER_AROUND_M = 0.008


@dataclass(frozen=True, slots=True, eq=False)
class SheetFit:
    """How a photograph shows a flat sheet: the matrix from sheet [m] to photograph [px]."""

    to_photo: Array
    misfit_px: float

    def photo_px(self, points_m: ArrayLike) -> Array:
        """Return where points of the sheet lie on the photograph [px]."""
        return carried(self.to_photo, points_m)

    def sheet_m(self, points_px: ArrayLike) -> Array:
        """Return where points of the photograph lie on the sheet [m]."""
        return carried(np.asarray(np.linalg.inv(self.to_photo), dtype=np.float64), points_px)


def marker_cells(number: int) -> tuple[tuple[int, ...], ...]:
    """Return the cells of a marker of the 4x4 dictionary, 1 for black, row by row from the top.

    Parameters
    ----------
    number : int, which marker [1], 0 to 249

    Returns
    -------
    tuple of tuples of int, 6 rows of 6 cells, the border included [1]

    Raises
    ------
    InputError
        When the dictionary has no marker of that number.

    Source: garridojurado2014, by the imaging library's dictionary.
    Checked against: the detector, in tests/science/photo/test_square_up.py.

    Example
    -------
    >>> marker_cells(0)[0]
    (1, 1, 1, 1, 1, 1)
    """
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_250)
    if not 0 <= number < len(dictionary.bytesList):
        raise InputError("There is no marker of that number", value=number, allowed="0 to 249")
    drawn = cv2.aruco.generateImageMarker(dictionary, number, CELLS)
    return tuple(tuple(int(cell == 0) for cell in row) for row in drawn)


def corner_marks(picture: NDArray[Any], numbers: Sequence[int]) -> Array:
    """Return the corners of a sheet's corner marks as its photograph shows them.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3), 8 or 16 bit [1]
    numbers : sequence of int, the numbers of the corner marks, in the order of the sheet [1]

    Returns
    -------
    numpy array, four corners of each mark, clockwise from its own top left, shape (n, 4, 2) [px]

    Raises
    ------
    InputError
        When a mark is not in the picture, or is there twice.

    Source: garridojurado2014 (detection).
    Checked against: a synthetic photograph in tests/science/photo/test_square_up.py.

    Example
    -------
    >>> corner_marks(np.full((50, 50), 255, dtype=np.uint8), [])
    array([], shape=(0, 4, 2), dtype=float64)
    """
    found = detect_markers(picture)
    seen = [marker.number for marker in found]
    lacking = [number for number in numbers if seen.count(number) != 1]
    if lacking:
        others = sorted({number for number in seen if number not in numbers})
        raise InputError(
            f"{len(lacking)} of the {len(numbers)} corner marks of this sheet were not found",
            value=f"marks of other sheets: {others}" if others else "the picture",
            allowed="the whole sheet with its four corner marks, each once",
            remedy="Photograph the whole sheet, flat, sharp and without a shadow; or choose the "
            "sheet whose number is printed on it",
        )
    by_number = {marker.number: marker.corners_px for marker in found}
    return np.array([by_number[number] for number in numbers], dtype=np.float64).reshape(-1, 4, 2)


def sheet_fit(corners_px: ArrayLike, corners_m: ArrayLike) -> SheetFit:
    """Return how a photograph shows a sheet, from all corners of its marks by least squares.

    Parameters
    ----------
    corners_px : array-like, corners on the photograph, shape (n, 4, 2), n at least 3 [px]
    corners_m : array-like, the same corners on the sheet, same shape [m]

    Returns
    -------
    SheetFit, with the rms misfit of the corners [px]

    Raises
    ------
    InputError
        When there are fewer than three marks, or they do not lie as on a flat sheet.

    Source: heckbert1989, chapter 2 (plane to plane), fitted to more than four points.
    Checked against: a known projection in tests/science/photo/test_square_up.py.

    Example
    -------
    >>> place = np.array([[[x, y], [x + 1, y], [x + 1, y + 1], [x, y + 1]]
    ...                   for x, y in ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))])
    >>> fit = sheet_fit(place * 100 + 7, place)
    >>> np.round(fit.photo_px([[4.0, 5.0]])).tolist(), round(fit.misfit_px, 6)
    ([[407.0, 507.0]], 0.0)
    """
    import cv2

    seen = np.asarray(corners_px, dtype=np.float64).reshape(-1, 2)
    true = np.asarray(corners_m, dtype=np.float64).reshape(-1, 2)
    if len(seen) != len(true) or len(seen) < 12:
        raise InputError(
            "A sheet is squared up by at least three corner marks", value=len(seen) // 4
        )
    found, _ = cv2.findHomography(true, seen, 0)
    if found is None:
        raise InputError("The corner marks do not lie as on a flat sheet")
    matrix = np.asarray(found, dtype=np.float64)
    off = carried(matrix, true) - seen
    misfit = float(np.sqrt(np.mean(np.sum(off**2, axis=1))))
    shorter = float(np.min(np.ptp(seen, axis=0)))
    if misfit > MOST_MISFIT_SHARE * shorter:
        raise InputError(
            "The sheet is not flat, or was printed with its sides scaled apart",
            value=f"corner marks {misfit:.1f} px off",
            allowed=f"up to {MOST_MISFIT_SHARE * shorter:.1f} px",
            remedy="Lay it flat under a pane or on a board and photograph it again",
        )
    return SheetFit(matrix, misfit)


def flattened(
    picture: NDArray[Any], fit: SheetFit, box_m: tuple[float, float, float, float], width_px: int
) -> NDArray[np.uint8]:
    """Return one rectangle of the sheet as if seen from straight above.

    Parameters
    ----------
    picture : numpy array, the photograph, grey or RGB, 8 or 16 bit [1]
    fit : SheetFit, how it shows the sheet [m to px]
    box_m : tuple, left, top, right and bottom of the rectangle on the sheet [m]
    width_px : int, width of the picture to make [px], 16 to 10 000

    Returns
    -------
    numpy array, 8 bit, its corners are the corners of the rectangle [px]

    Raises
    ------
    InputError
        When the rectangle has no area or the width is out of range.

    Source: heckbert1989, chapter 2.
    Checked against: known places in tests/science/photo/test_square_up.py.

    Example
    -------
    >>> fit = SheetFit(np.diag([100.0, 100.0, 1.0]), 0.0)
    >>> flattened(np.full((50, 50), 9, dtype=np.uint8), fit, (0.1, 0.1, 0.4, 0.3), 30).shape
    (20, 30)
    """
    import cv2

    left, top, right, bottom = box_m
    if not (right > left and bottom > top) or not 16 <= width_px <= 10_000:
        raise InputError("This part of a sheet cannot be shown", value=f"{box_m}, {width_px} px")
    step = (right - left) / width_px
    height_px = max(1, round((bottom - top) / step))
    from_made = np.array(
        [[step, 0, left], [0, (bottom - top) / height_px, top], [0, 0, 1]], dtype=np.float64
    )
    # cv2 counts from the middle of the first pixel on both sides.
    out = np.array([[1, 0, CV2_CENTRE], [0, 1, CV2_CENTRE], [0, 0, 1]])
    back = np.array([[1, 0, -CV2_CENTRE], [0, 1, -CV2_CENTRE], [0, 0, 1]])
    matrix = back @ fit.to_photo @ from_made @ out
    eight = picture if picture.dtype == np.uint8 else (picture >> 8).astype(np.uint8)
    made = cv2.warpPerspective(
        eight,
        matrix,
        (width_px, height_px),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(made, dtype=np.uint8)


def pen_marks(flat: NDArray[np.uint8], px_per_m: float) -> NDArray[np.uint8]:
    """Return how much each place of a squared-up sheet is pen: 0 for paper and print, 255 for pen.

    Parameters
    ----------
    flat : numpy array, the squared-up picture, RGB (h, w, 3), 8 bit [1]
    px_per_m : float, its scale [px/m], above 0

    Returns
    -------
    numpy array, shape (h, w), 0 to 255 [1]

    Raises
    ------
    InputError
        When the picture has no colours.

    Source: own work; the view is printed grey and pale (0.7 of the paper at its darkest), so that
    what is darker or coloured was drawn. The light of the room is divided out.
    Checked against: drawn strokes in tests/science/photo/test_square_up.py.

    Example
    -------
    >>> sheet = np.full((60, 60, 3), 250, dtype=np.uint8)
    >>> sheet[30, 10:50] = (200, 30, 40)
    >>> marked = pen_marks(sheet, 5000.0)
    >>> int(marked[30, 30]), int(marked[10, 30])
    (255, 0)
    """
    import cv2

    if flat.ndim != 3:
        raise InputError("Pen is told from print by its colour", value=f"{flat.shape}")
    across = max(3, 2 * round(PAPER_AROUND_M * px_per_m / 2) + 1)
    brightest = cv2.dilate(flat, np.ones((across, across), np.uint8))
    paper = np.maximum(cv2.blur(brightest, (across, across)).astype(np.float64), 1.0)
    share = np.minimum(flat / paper, 1.0)
    colour = share.max(axis=2) - share.min(axis=2)
    dark = (DARK - share.max(axis=2)) / (DARK - DARKER)
    strong = (colour - COLOURED) / (STRONGLY - COLOURED)
    opacity = np.clip(np.maximum(dark, strong), 0.0, 1.0)
    return np.asarray(np.round(255 * opacity), dtype=np.uint8)


def carried(matrix: Array, points: ArrayLike) -> Array:
    """Return points carried from one plane to another.

    Parameters
    ----------
    matrix : numpy array, homogeneous matrix, shape (3, 3) [1]
    points : array-like, shape (n, 2) [m or px]

    Returns
    -------
    numpy array, shape (n, 2) [px or m]

    Source: heckbert1989, chapter 2.
    Checked against: tests/science/photo/test_square_up.py.

    Example
    -------
    >>> carried(np.diag([2.0, 3.0, 1.0]), [[1.0, 1.0]]).tolist()
    [[2.0, 3.0]]
    """
    listed = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    homogeneous = np.column_stack([listed, np.ones(len(listed))]) @ matrix.T
    return np.asarray(homogeneous[:, :2] / homogeneous[:, 2:])
