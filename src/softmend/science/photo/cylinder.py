"""A round shaft seen by a near camera, unrolled: tusks, bones, beams, turned wood.

The camera stands at Z from the axis, which lies parallel to the picture plane. A ray that leaves
the camera at the angle theta from the line to the axis meets the surface at the angle
phi = asin(Z sin(theta) / R) - theta round the axis (law of sines). Where the two outline edges are
not parallel the radius follows them, and the surface is unrolled as a cone.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.scale import PlaneScale, relative_sd
from softmend.science.photo.shaft import (
    AxisSight,
    OutlineSight,
    Seen,
    Sight,
    across,
    unit_vectors,
)
from softmend.science.photo.surface import Draws, point_array
from softmend.science.uncertain import Array, Uncertain

GREY_BEYOND_DEG = 45.0
"""Beyond this angle round the axis the picture is greyed and every reading is warned of."""

NEAREST_OUTLINE = 0.999
"""Share of the outline's half-angle beyond which a point lies on no readable surface."""


@dataclass(frozen=True, slots=True, eq=False)
class CylinderView:
    """A shaft in an uncropped picture with the middle at `centre_px`, found by one sight."""

    sight: Sight
    centre_px: Array

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return n draws of each source of uncertainty by plain name."""
        return self.sight.draws(n, rng)

    def positions(self, points_px: Array, draws: Draws | None = None) -> Array:
        """Return unrolled coordinates [m]: round the shaft from its front line, and along it."""
        if draws is None:
            around, along, _ = self._typically(points_px)
            return np.stack([around, along], axis=-1)
        seen = self.sight.seen(self.centre_px, draws)
        points = points_px if points_px.ndim == 3 else points_px[None]
        around, along, _, _ = _unrolled(seen, points - self.centre_px)
        return np.stack([around, along], axis=-1)

    def angles_deg(self, points_px: ArrayLike) -> Array:
        """Return each point's angle round the axis: 0 at the front, nearly 90 at the outline."""
        return np.degrees(self._typically(point_array(points_px))[2])

    def share_beyond(self, angle_deg: float, points_px: ArrayLike) -> float:
        """Return the share (0 to 1) of points that lie further round than an angle."""
        return float(np.mean(np.abs(self.angles_deg(points_px)) > angle_deg))

    def lines_at_px(self, angle_deg: float, reach_px: float) -> Array:
        """Return the two picture lines at this angle either side, shape (2, 2, 2) [px].

        They run `reach_px` from the picture's middle to both ends of the shaft.
        """
        seen = self.sight.seen(self.centre_px, self.sight.typical())
        phi = np.radians(angle_deg) * np.array([-1.0, 1.0])[:, None]
        stations = np.array([-reach_px, reach_px])[None] / seen.focal_px
        radius = seen.radius + seen.taper * (stations * (seen.distance - seen.radius) - seen.at)
        depth = seen.distance - radius * np.cos(phi)
        offset = seen.focal_px * np.tan(seen.axis_angle + np.arctan2(radius * np.sin(phi), depth))
        along, side = seen.along[0], across(seen.along)[0]
        return np.asarray(
            self.centre_px
            + offset[..., None] * side
            + (stations * seen.focal_px)[..., None] * along
        )

    @property
    def taper(self) -> float:
        """The change of the radius along the axis, typical value [1]."""
        return float(self.sight.seen(self.centre_px, self.sight.typical()).taper[0])

    @property
    def lean_deg(self) -> float:
        """How far the shaft's far end turns away from the camera, typical value [degrees]."""
        return float(np.degrees(self.sight.seen(self.centre_px, self.sight.typical()).lean[0]))

    @property
    def front_px_per_m(self) -> float:
        """Pixels to the metre on the front line, where the diameter was taken."""
        seen = self.sight.seen(self.centre_px, self.sight.typical())
        return float((seen.focal_px / (seen.distance - seen.radius))[0])

    def _typically(self, points_px: Array) -> tuple[Array, Array, Array]:
        seen = self.sight.seen(self.centre_px, self.sight.typical())
        around, along, phi, share = _unrolled(seen, points_px[None] - self.centre_px)
        if np.any(np.abs(share) > NEAREST_OUTLINE):
            raise InputError(
                "A point lies on or beyond the outline of the shaft",
                value=f"{int(np.sum(np.abs(share) > NEAREST_OUTLINE))} points",
                allowed="points inside the outline",
                remedy="Move the points, or measure there on a view taken further round",
            )
        return around[0], along[0], phi[0]


def cylinder_from_outline(
    left_px: ArrayLike,
    right_px: ArrayLike,
    diameter: Uncertain,
    camera_distance: Uncertain,
    centre_px: ArrayLike,
    click_sd_px: float = 1.0,
) -> CylinderView:
    """Return the unrolled view of a shaft from its two outline edges.

    Parameters
    ----------
    left_px : array-like, two points on one edge, shape (2, 2) [px]
    right_px : array-like, two points on the other edge, along the shaft in the same order [px]
    diameter : Uncertain, diameter half way between the clicked points [m], above 0
    camera_distance : Uncertain, lens to the nearest point of the surface [m], above its radius
    centre_px : array-like, middle of the uncropped picture, shape (2,) [px]
    click_sd_px : float, sd of one click an axis [px], above 0 to 100

    Returns
    -------
    CylinderView [m]

    Raises
    ------
    InputError
        When the edges cross, lie within 20 px, or the camera is nearer than the radius.

    Source: softmend-imaging, cylinder (law of sines in the plane across the axis).
    Checked against: tests/checks/softmend-imaging.csv and ray-cylinder intersection in
    tests/science/photo/test_cylinder.py.

    Example
    -------
    >>> view = cylinder_from_outline(
    ...     [[900, 100], [900, 2900]], [[2500, 100], [2500, 2900]],
    ...     Uncertain.normal(0.08, 0.0005), Uncertain.normal(0.96, 0.02), [1700, 1500],
    ... )
    >>> round(view.front_px_per_m)
    20817
    """
    edges = np.stack([point_array(left_px, 2)[:2], point_array(right_px, 2)[:2]])
    _check_camera(diameter, camera_distance)
    runs = edges[:, 1] - edges[:, 0]
    if float(runs[0] @ runs[1]) <= 0:
        raise InputError(
            "The two edges run in opposite directions or cross",
            allowed="both edges clicked in the same order along the shaft",
        )
    gaps = (edges[1] - edges[0]) @ across(unit_vectors(runs.sum(axis=0)[None]))[0]
    if gaps[0] * gaps[1] <= 0 or np.min(np.abs(gaps)) < 20:
        raise InputError(
            "The two edges cross or lie too close together",
            value=f"{np.min(np.abs(gaps)):.0f} px",
            allowed="at least 20 px apart",
        )
    ordered = edges if gaps[0] > 0 else edges[::-1]
    sight = OutlineSight(ordered, diameter, camera_distance, click_sd_px)
    return CylinderView(sight, point_array(np.reshape(centre_px, (1, 2)))[0])


def cylinder_from_axis(
    axis_px: ArrayLike,
    front_scale: PlaneScale,
    diameter: Uncertain,
    camera_distance: Uncertain,
    centre_px: ArrayLike,
    axis_sd_px: float = 3.0,
) -> CylinderView:
    """Return the unrolled view of a shaft from its drawn axis and a scale on its front line.

    Parameters
    ----------
    axis_px : array-like, two points on the middle line of the shaft, shape (2, 2) [px]
    front_scale : PlaneScale, scale at the front line of the shaft [px/m]
    diameter : Uncertain, diameter [m], above 0
    camera_distance : Uncertain, lens to the nearest point of the surface [m], above its radius
    centre_px : array-like, middle of the uncropped picture, shape (2,) [px]
    axis_sd_px : float, sd of the drawn axis [px], above 0 to 100

    Returns
    -------
    CylinderView [m]; no taper

    Raises
    ------
    InputError
        When the axis has no length or the camera is nearer than the radius.

    Source: softmend-imaging, cylinder (law of sines in the plane across the axis).
    Checked against: ray-cylinder intersection in tests/science/photo/test_cylinder.py.

    Example
    -------
    >>> scale = PlaneScale(20000.0, {"clicks on the scale": 0.001})
    >>> view = cylinder_from_axis(
    ...     [[1700, 100], [1700, 2900]], scale, Uncertain.exact(0.08), Uncertain.exact(0.96),
    ...     [1700, 1500],
    ... )
    >>> view.angles_deg([[1700, 200]]).round(6).tolist()
    [0.0]
    """
    axis = point_array(axis_px, 2)[:2]
    _check_camera(diameter, camera_distance)
    if np.hypot(*(axis[1] - axis[0])) < 20:
        raise InputError("The drawn axis is too short", allowed="at least 20 px")
    sight = AxisSight(axis, front_scale, diameter, camera_distance, axis_sd_px)
    return CylinderView(sight, point_array(np.reshape(centre_px, (1, 2)))[0])


def _check_camera(diameter: Uncertain, camera_distance: Uncertain) -> None:
    relative_sd(diameter)
    if camera_distance.band.low < diameter.typical / 2:
        raise InputError(
            "The camera cannot be nearer to the shaft than its radius",
            value=f"{camera_distance.band.low:g} m",
            allowed=f"at least {diameter.typical / 2:g} m",
            remedy="Give the distance from the lens to the surface",
        )


def _unrolled(seen: Seen, points: Array) -> tuple[Array, Array, Array, Array]:
    """Return round, along, angle and share of the outline for points (n or 1, m, 2) off centre."""
    along_px = np.einsum("nmc,nc->nm", *_matched(points, seen.along))
    across_px = np.einsum("nmc,nc->nm", *_matched(points, across(seen.along)))
    focal, distance = seen.focal_px[:, None], seen.distance[:, None]
    angle = np.arctan(across_px / focal)
    tangent = np.tan(angle - seen.axis_angle[:, None])
    slope, level = np.sin(seen.lean)[:, None], np.cos(seen.lean)[:, None]
    # The section stands square to the axis, so that a lean makes the ray a little less oblique.
    theta = np.arctan(level * tangent)
    depth = distance - seen.radius[:, None]
    towards = seen.radius[:, None]
    # The radius depends on the station and the station on the depth; further rounds settle it.
    for _ in range(4):
        station = (along_px * depth / focal - seen.at[:, None] - towards * slope) / level
        radius = seen.radius[:, None] + seen.taper[:, None] * station
        axis = distance + station * slope
        share = axis * tangent * np.cos(theta) / np.maximum(radius, 1e-9)
        sine = np.clip(share, -1.0, 1.0)
        phi = np.arcsin(sine) - theta
        towards = radius * np.cos(phi)
        depth = (axis - towards * level) * np.cos(angle) / np.cos(angle - seen.axis_angle[:, None])
    half_cone = np.arctan(seen.taper)[:, None]
    turn = phi * np.sin(half_cone)
    around = radius * phi * np.sinc(turn / np.pi)
    sag = radius * phi**2 * np.sin(half_cone) * np.sinc(turn / (2 * np.pi)) ** 2 / 2
    return around, (station + seen.at[:, None]) / np.cos(half_cone) - sag, phi, share


def _matched(points: Array, directions: Array) -> tuple[Array, Array]:
    count = max(len(points), len(directions))
    return (
        np.broadcast_to(points, (count, *points.shape[1:])),
        np.broadcast_to(directions, (count, 2)),
    )
