"""A plane seen at an angle, made flat by the four corners of a known rectangle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.scale import relative_sd
from softmend.science.photo.surface import Draws, Standoff, click_means, point_array
from softmend.science.uncertain import Array, Uncertain

CORNERS = "clicks on the corners"
WIDTH = "true width of the rectangle"
HEIGHT = "true height of the rectangle"
SMALLEST_SIDE_PX = 20.0
HORIZON_SHARE = 0.05
"""A point seen at less than this share of the rectangle's size is too near to the horizon."""


@dataclass(frozen=True, slots=True, eq=False)
class RectangleView:
    """A plane rectified by four corners: top left, top right, bottom right, bottom left.

    Its surface coordinates start at the first corner, x along the width and y along the height.
    """

    corners_px: Array
    corner_sd_px: tuple[float, ...]
    width: Uncertain
    height: Uncertain
    click_scatter_px: float | None
    standoff: Standoff = field(default_factory=Standoff)

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of corner shifts (n, 8) [px], width and height [m] and the standoff [m]."""
        shifts = rng.standard_normal((n, 4, 2)) * np.asarray(self.corner_sd_px)[None, :, None]
        return {
            CORNERS: shifts.reshape(n, 8),
            WIDTH: self.width.draw(n, rng),
            HEIGHT: self.height.draw(n, rng),
            **self.standoff.draws(n, rng),
        }

    def positions(self, points_px: Array, draws: Draws | None = None) -> Array:
        """Return points in metres on the plane of the surface."""
        if draws is None:
            to_unit = quad_to_unit_square(self.corners_px[None])
            size = np.array([[self.width.typical, self.height.typical]])
            factor = self.standoff.factor()[None]
            _refuse_horizon(points_px, self.corners_px, to_unit[0])
            return np.asarray(_rectified(points_px[None], to_unit, size, factor)[0])
        corners = self.corners_px[None] + draws[CORNERS].reshape(-1, 4, 2)
        to_unit = quad_to_unit_square(corners)
        size = np.column_stack([draws[WIDTH], draws[HEIGHT]])
        points = points_px if points_px.ndim == 3 else points_px[None]
        return _rectified(points, to_unit, size, self.standoff.factor(draws))

    def local_px_per_m(self, point_px: ArrayLike) -> tuple[float, float]:
        """Return px per metre at a point, geometric mean over directions, and its relative sd."""
        square = point_array(np.reshape(point_px, (1, 2))) + np.array(
            [[-1, -1], [1, -1], [1, 1], [-1, 1]]
        )
        typical = _quad_area(self.positions(square)[None])
        drawn = _quad_area(self.positions(square, self.draws(2000, np.random.default_rng(0))))
        scales = np.sqrt(4.0 / drawn)
        return float(np.sqrt(4.0 / typical[0])), float(np.std(scales) / np.mean(scales))

    @property
    def tilt_deg(self) -> float:
        """The angle between view and plane, read from the shortening at the rectangle's middle."""
        return tilt_deg(self.corners_px, self.width.typical, self.height.typical)


def rectangle_view(
    corner_clicks_px: Sequence[ArrayLike],
    width: Uncertain,
    height: Uncertain,
    click_sd_px: float = 1.0,
    standoff: Standoff | None = None,
) -> RectangleView:
    """Return the rectified plane from clicks on the four corners of a rectangle of known size.

    Parameters
    ----------
    corner_clicks_px : sequence of 4 array-likes, clicks on each corner, shape (c, 2) [px], in the
        order top left, top right, bottom right, bottom left
    width : Uncertain, from the first to the second corner [m], above 0
    height : Uncertain, from the second to the third corner [m], above 0
    click_sd_px : float, sd of one click an axis [px], above 0 to 100
    standoff : Standoff or None, where the rectangle lay against the surface [m]

    Returns
    -------
    RectangleView [m]

    Raises
    ------
    InputError
        When there are not four corners, they cross over, or a side is shorter than 20 px.

    Source: heckbert1989, chapter 2 (square to quadrilateral).
    Checked against: cv2.getPerspectiveTransform in tests/science/photo/test_rectangle.py.

    Example
    -------
    >>> corners = [[[0, 0]], [[800, 0]], [[800, 600]], [[0, 600]]]
    >>> view = rectangle_view(corners, Uncertain.exact(0.08), Uncertain.exact(0.06))
    >>> np.round(view.positions(np.array([[400.0, 300.0]])), 4).tolist()
    [[0.04, 0.03]]
    """
    if len(corner_clicks_px) != 4:
        raise InputError(
            "A rectangle needs its four corners", value=len(corner_clicks_px), allowed="4"
        )
    relative_sd(width), relative_sd(height)
    means = [click_means(clicks, click_sd_px) for clicks in corner_clicks_px]
    corners = np.array([mean for mean, _ in means])
    _refuse_crossed(corners)
    scatter = [
        np.asarray(c, dtype=np.float64) - m
        for c, (m, _) in zip(corner_clicks_px, means, strict=True)
    ]
    repeated = [s for s in scatter if len(s) > 1]
    rms = float(np.sqrt(np.mean(np.concatenate(repeated) ** 2))) if repeated else None
    sds = tuple(sd for _, sd in means)
    return RectangleView(corners, sds, width, height, rms, standoff or Standoff())


def unit_square_to_quad(corners: Array) -> Array:
    """Return the matrices that carry the unit square to quadrilaterals.

    Parameters
    ----------
    corners : numpy array, images of (0,0), (1,0), (1,1), (0,1), shape (n, 4, 2) [px]

    Returns
    -------
    numpy array, homogeneous matrices, shape (n, 3, 3) [px]

    Source: heckbert1989, chapter 2.
    Checked against: cv2.getPerspectiveTransform in tests/science/photo/test_rectangle.py.

    Example
    -------
    >>> (unit_square_to_quad(np.array([[[0.0, 0], [2, 0], [2, 2], [0, 2]]]))[0] + 0).tolist()
    [[2.0, 0.0, 0.0], [0.0, 2.0, 0.0], [0.0, 0.0, 1.0]]
    """
    p0, p1, p2, p3 = (corners[:, i] for i in range(4))
    one, two, total = p1 - p2, p3 - p2, p0 - p1 + p2 - p3
    area = _cross(one, two)
    g = _cross(total, two) / area
    h = _cross(one, total) / area
    matrix = np.empty((len(corners), 3, 3))
    matrix[:, :2, 0] = p1 - p0 + g[:, None] * p1
    matrix[:, :2, 1] = p3 - p0 + h[:, None] * p3
    matrix[:, :2, 2] = p0
    matrix[:, 2] = np.column_stack([g, h, np.ones(len(corners))])
    return matrix


def quad_to_unit_square(corners: Array) -> Array:
    """Return the matrices that carry quadrilaterals to the unit square.

    Parameters
    ----------
    corners : numpy array, images of (0,0), (1,0), (1,1), (0,1), shape (n, 4, 2) [px]

    Returns
    -------
    numpy array, homogeneous matrices, shape (n, 3, 3) [1/px]

    Source: heckbert1989, chapter 2, inverted.
    Checked against: cv2.getPerspectiveTransform in tests/science/photo/test_rectangle.py.

    Example
    -------
    >>> quad_to_unit_square(np.array([[[0.0, 0], [2, 0], [2, 2], [0, 2]]]))[0, 0, 0].item()
    0.5
    """
    return np.asarray(np.linalg.inv(unit_square_to_quad(corners)), dtype=np.float64)


def tilt_deg(corners_px: Array, width_m: float, height_m: float) -> float:
    """Return the tilt of a rectangle's plane against the picture plane.

    Parameters
    ----------
    corners_px : numpy array, four corners in order, shape (4, 2) [px]
    width_m : float, first to second corner [m], above 0
    height_m : float, second to third corner [m], above 0

    Returns
    -------
    float, tilt [deg], 0 to 90; a camera far away is assumed, so it is a guide, not a measurement

    Source: own work (the shorter over the longer axis of the ellipse that a circle becomes is the
    cosine of the tilt).
    Checked against: tests/science/photo/test_rectangle.py.

    Example
    -------
    >>> squeezed = np.array([[0.0, 0], [100, 0], [100, 50], [0, 50]])
    >>> round(tilt_deg(squeezed, 1.0, 1.0))
    60
    """
    matrix = unit_square_to_quad(corners_px[None])[0] @ np.diag([1 / width_m, 1 / height_m, 1])
    middle = matrix @ np.array([width_m / 2, height_m / 2, 1.0])
    image = middle[:2] / middle[2]
    jacobian = (matrix[:2, :2] - image[:, None] * matrix[2, :2]) / middle[2]
    longer, shorter = np.linalg.svd(jacobian, compute_uv=False)
    return math.degrees(math.acos(min(1.0, float(shorter / longer))))


def _rectified(points: Array, to_unit: Array, size: Array, factor: Array) -> Array:
    homogeneous = np.concatenate([points, np.ones((*points.shape[:-1], 1))], axis=-1)
    carried = homogeneous @ to_unit.transpose(0, 2, 1)
    plane = carried[..., :2] / carried[..., 2:]
    return np.asarray(plane * size[:, None, :] / factor[:, None, None])


def _refuse_horizon(points: Array, corners: Array, to_unit: Array) -> None:
    """Refuse points that lie beyond the line where the tilted plane vanishes."""
    sides = points @ to_unit[2, :2] + to_unit[2, 2]
    middle = corners.mean(axis=0) @ to_unit[2, :2] + to_unit[2, 2]
    if np.any(sides * middle < HORIZON_SHARE * middle**2):
        raise InputError(
            "A point lies too far from the rectangle: its plane vanishes there",
            allowed="points near the rectangle",
            remedy="Lay the rectangle beside what is to be measured",
        )


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])


def _quad_area(quads: Array) -> Array:
    return np.abs(_cross(quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1])) / 2


def _refuse_crossed(corners: Array) -> None:
    sides = np.roll(corners, -1, axis=0) - corners
    if np.min(np.hypot(*sides.T)) < SMALLEST_SIDE_PX:
        raise InputError(
            "A side of the rectangle is too short in the picture",
            value=f"{np.min(np.hypot(*sides.T)):.1f} px",
            allowed=f"at least {SMALLEST_SIDE_PX:.0f} px",
        )
    turns = _cross(sides, np.roll(sides, -1, axis=0))
    if not (np.all(turns > 0) or np.all(turns < 0)):
        raise InputError(
            "The four corners do not go round a rectangle",
            allowed="top left, top right, bottom right, bottom left",
            remedy="Click the corners again in that order",
        )
