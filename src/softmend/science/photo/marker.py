"""Printed square markers: found in the picture, and the scale they give."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from softmend.errors import InputError
from softmend.science.photo.rectangle import tilt_deg
from softmend.science.photo.scale import TRUE_LENGTH, PlaneScale, relative_sd
from softmend.science.photo.surface import Standoff, point_array
from softmend.science.uncertain import Array, Uncertain

CV2_CENTRE = 0.5
"""cv2 counts from the middle of the first pixel, Softmend from its corner."""

CORNER_SD_PX = 0.2
"""Scatter of one refined corner an axis; rms of imaging.md section 5 for a 160 px marker."""

BLUR_SHRINKAGE_PX = 0.6
"""How much blur may shorten a side: 0.2 to 0.5 px simulated, up to 0.58 px in rendered JPEGs."""

GOOD_SIDE_PX = 200.0
CORNER_NOISE = "corners of the marker"
BLUR = "blur at the marker's corners"
TILT = "tilt of the view"


@dataclass(frozen=True, slots=True, eq=False)
class Marker:
    """A marker found: its number and four corners [px], clockwise from its own top left."""

    number: int
    corners_px: Array

    @property
    def side_px(self) -> float:
        """The mean of the four sides."""
        return float(np.mean(np.hypot(*(np.roll(self.corners_px, -1, axis=0) - self.corners_px).T)))

    @property
    def centre_px(self) -> Array:
        """Where the diagonals cross, which is the centre also under perspective."""
        a, b, c, d = self.corners_px
        first, second = c - a, d - b
        t = float(np.cross(np.append(b - a, 0), np.append(second, 0))[2]) / float(
            np.cross(np.append(first, 0), np.append(second, 0))[2]
        )
        return np.asarray(a + t * first)

    @property
    def tilt_deg(self) -> float:
        """The tilt of the marker against the picture plane, a guide only."""
        return tilt_deg(self.corners_px, 1.0, 1.0)


def marker(number: int, corners_px: ArrayLike) -> Marker:
    """Return a marker from its number and corners, after checking them.

    Parameters
    ----------
    number : int, the number that the marker shows [1], 0 or more
    corners_px : array-like, four corners, clockwise from its own top left, shape (4, 2) [px]

    Returns
    -------
    Marker [px]

    Raises
    ------
    InputError
        When there are not four corners.

    Source: own work.
    Checked against: tests/science/photo/test_marker.py.

    Example
    -------
    >>> marker(7, [[0, 0], [400, 0], [400, 400], [0, 400]]).side_px
    400.0
    """
    corners = point_array(corners_px, 4)
    if len(corners) != 4:
        raise InputError("A marker has four corners", value=len(corners), allowed="4")
    return Marker(number, corners)


def detect_markers(picture: NDArray[Any]) -> tuple[Marker, ...]:
    """Return the markers of the 4x4 dictionary found in a picture, by number.

    Parameters
    ----------
    picture : numpy array, grey (h, w) or RGB (h, w, 3), 8 or 16 bit [1]

    Returns
    -------
    tuple of Marker, corners refined below the pixel, origin at the picture's corner [px]

    Raises
    ------
    InputError
        When the array is no picture.

    Source: garridojurado2014 (detection), by the imaging library's implementation.
    Checked against: a drawn marker of known corners in tests/science/photo/test_marker.py.

    Example
    -------
    >>> detect_markers(np.full((50, 50), 255, dtype=np.uint8))
    ()
    """
    import cv2

    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_250)
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    corners, numbers, _ = detector.detectMarkers(_grey_8_bit(picture))
    if numbers is None:
        return ()
    found = [
        Marker(int(number), np.asarray(quad, dtype=np.float64).reshape(4, 2) + CV2_CENTRE)
        for number, quad in zip(np.ravel(numbers), corners, strict=True)
    ]
    return tuple(sorted(found, key=lambda marker: marker.number))


def scale_by_sides(
    markers: Sequence[Marker], side: Uncertain, standoff: Standoff | None = None
) -> PlaneScale:
    """Return the scale from the sides of markers of one known size.

    Parameters
    ----------
    markers : sequence of Marker, one or more of the same printed size [px]
    side : Uncertain, measured side of the black square [m], above 0
    standoff : Standoff or None, where the markers lay against the surface [m]

    Returns
    -------
    PlaneScale [px/m]; blur shortens sides by up to half a pixel, which stands as a part

    Raises
    ------
    InputError
        When there is no marker or the side is not positive.

    Source: garridojurado2014; blur part simulated (softmend-imaging).
    Checked against: a drawn marker in tests/science/photo/test_marker.py.

    Example
    -------
    >>> square = Marker(7, np.array([[0.0, 0], [400, 0], [400, 400], [0, 400]]))
    >>> scale_by_sides([square], Uncertain.exact(0.04)).px_per_m_at_scale
    10000.0
    """
    if not markers:
        raise InputError(
            "No marker was found in the picture",
            remedy="Use a sharper picture in which a marker is at least 60 px wide, "
            "or set the scale by two clicks",
        )
    side_px = float(np.mean([marker.side_px for marker in markers]))
    parts = {
        CORNER_NOISE: CORNER_SD_PX / side_px / math.sqrt(len(markers)),
        BLUR: BLUR_SHRINKAGE_PX / side_px,
        TILT: _tilt_part(markers),
        TRUE_LENGTH: relative_sd(side),
    }
    return PlaneScale(side_px / side.mean, parts, standoff or Standoff())


def scale_by_centres(
    first: Marker, second: Marker, distance: Uncertain, standoff: Standoff | None = None
) -> PlaneScale:
    """Return the scale from the known distance between the centres of two markers.

    Parameters
    ----------
    first : Marker, one marker [px]
    second : Marker, the other marker [px]
    distance : Uncertain, measured distance of their centres [m], above 0
    standoff : Standoff or None, where the markers lay against the surface [m]

    Returns
    -------
    PlaneScale [px/m]; the shortening by blur cancels

    Raises
    ------
    InputError
        When the two are one marker or the distance is not positive.

    Source: garridojurado2014; jcgm100, equation 12.
    Checked against: a drawn pair in tests/science/photo/test_marker.py.

    Example
    -------
    >>> square = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100]])
    >>> pair = Marker(1, square), Marker(2, square + np.array([500.0, 0.0]))
    >>> scale_by_centres(*pair, Uncertain.exact(0.05)).px_per_m_at_scale
    10000.0
    """
    apart = float(np.hypot(*(second.centre_px - first.centre_px)))
    if apart < max(first.side_px, second.side_px):
        raise InputError(
            "The two markers are the same or overlap",
            value=f"{apart:.1f} px apart",
            allowed="at least one side apart",
        )
    parts = {
        CORNER_NOISE: CORNER_SD_PX / math.sqrt(2) / apart,
        TILT: _tilt_part([first, second]),
        TRUE_LENGTH: relative_sd(distance),
    }
    return PlaneScale(apart / distance.mean, parts, standoff or Standoff())


def _tilt_part(markers: Sequence[Marker]) -> float:
    """Return the relative sd of one scale for all directions of a tilted view (even spread)."""
    cosine = math.cos(math.radians(float(np.mean([marker.tilt_deg for marker in markers]))))
    return (1 - cosine) / 2 / math.sqrt(3)


def _grey_8_bit(picture: NDArray[Any]) -> NDArray[np.uint8]:
    import cv2

    if picture.ndim not in {2, 3} or picture.dtype not in {np.dtype(np.uint8), np.dtype(np.uint16)}:
        raise InputError(
            "The picture is not an array of pixels",
            value=f"{picture.shape} {picture.dtype}",
            allowed="(h, w) or (h, w, 3), 8 or 16 bit",
        )
    eight = picture if picture.dtype == np.uint8 else (picture >> 8).astype(np.uint8)
    if eight.ndim == 3:
        return np.asarray(cv2.cvtColor(eight[..., :3], cv2.COLOR_RGB2GRAY), dtype=np.uint8)
    return np.asarray(eight, dtype=np.uint8)
