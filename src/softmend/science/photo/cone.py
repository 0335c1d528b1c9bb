"""A tapering shaft known by its diameter at two places: tusks, tines, horns, turned legs.

The outline alone gives the taper of a shaft that stands square to the line of sight. With a
diameter at each end it need not: the end that looks thinner than it is lies farther away, and the
shaft's lean follows. What does not look like a cone is refused.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.cylinder import CylinderView
from softmend.science.photo.scale import relative_sd
from softmend.science.photo.shaft import OUTLINE, Seen, across, unit_vectors
from softmend.science.photo.surface import CAMERA_DISTANCE, Draws, point_array
from softmend.science.uncertain import Array, Uncertain

FIRST, SECOND = "diameter at the first clicks", "diameter at the last clicks"
STEEPEST_DEG = 25.0
"""A lean beyond this is believed to be a wrong diameter, or no cone."""

BULGE_CLICKS, BULGE_SHARE = 4.0, 0.03
"""An outline may stray from straight by so many clicks' spread and this share of its width."""

_ROUNDS = 12


@dataclass(frozen=True, slots=True, eq=False)
class ConeSight:
    """The shaft by two points on each outline edge, shape (2, 2, 2), and a diameter at both."""

    edges_px: Array
    diameters: tuple[Uncertain, Uncertain]
    camera_distance: Uncertain
    click_sd_px: float

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of edge clicks (n, 8) [px], both diameters and camera distance [m]."""
        return {
            OUTLINE: rng.standard_normal((n, 8)) * self.click_sd_px,
            FIRST: self.diameters[0].draw(n, rng),
            SECOND: self.diameters[1].draw(n, rng),
            CAMERA_DISTANCE: self.camera_distance.draw(n, rng),
        }

    def typical(self) -> Draws:
        """Return the one draw in which every source has its typical value."""
        return {
            OUTLINE: np.zeros((1, 8)),
            FIRST: np.array([self.diameters[0].typical]),
            SECOND: np.array([self.diameters[1].typical]),
            CAMERA_DISTANCE: np.array([self.camera_distance.typical]),
        }

    def seen(self, centre_px: Array, draws: Draws) -> Seen:
        """Return shaft and camera: focal length and lean so that both widths fit."""
        edges = self.edges_px[None] + draws[OUTLINE].reshape(-1, 2, 2, 2) - centre_px
        radii = np.stack([draws[FIRST], draws[SECOND]], axis=1) / 2
        middle = draws[CAMERA_DISTANCE] + radii.mean(axis=1)
        runs = edges[:, :, 1] - edges[:, :, 0]
        along = unit_vectors(np.sum(runs / np.linalg.norm(runs, axis=-1, keepdims=True), axis=1))
        lines = np.einsum("nepc,nc->nep", edges, across(along))
        ends = np.einsum("nepc,nc->nep", edges, along).mean(axis=1)
        focal = middle / np.mean(2 * radii / (lines[:, 1] - lines[:, 0]), axis=1)
        for _ in range(_ROUNDS):
            half, away = _sections(lines, radii, focal)
            focal = focal * middle / away.mean(axis=1)
        half, away = _sections(lines, radii, focal)
        axis_angle = np.arctan(lines / focal[:, None, None]).mean(axis=1)
        # The outline touches the shaft a little nearer than its axis lies.
        touched = away * np.cos(half) ** 2 * np.cos(axis_angle)
        places = ends * touched / focal[:, None]
        run, gap = places[:, 1] - places[:, 0], away[:, 1] - away[:, 0]
        return Seen(
            along, focal, away.mean(axis=1), axis_angle.mean(axis=1), radii.mean(axis=1),
            (radii[:, 1] - radii[:, 0]) / np.hypot(run, gap), places.mean(axis=1),
            np.arctan2(gap, run),
        )  # fmt: skip


def _sections(lines: Array, radii: Array, focal: Array) -> tuple[Array, Array]:
    """Return the half angle of the outline at both ends, and how far away the axis is [m]."""
    angles = np.arctan(lines / focal[:, None, None])
    half = (angles[:, 1] - angles[:, 0]) / 2
    return half, radii / np.sin(half)


def cone_from_outline(
    left_px: ArrayLike,
    right_px: ArrayLike,
    first_diameter: Uncertain,
    second_diameter: Uncertain,
    camera_distance: Uncertain,
    centre_px: ArrayLike,
    click_sd_px: float = 1.0,
) -> CylinderView:
    """Return the unrolled view of a tapering shaft from its outline and its diameter at both ends.

    Parameters
    ----------
    left_px : array-like, two or more points on one edge, shape (m, 2) [px]
    right_px : array-like, as many on the other edge, opposite and in the same order [px]
    first_diameter : Uncertain, diameter at the first points of both edges [m], above 0
    second_diameter : Uncertain, diameter at their last points [m], above 0
    camera_distance : Uncertain, lens to the surface half way between [m], above the radius there
    centre_px : array-like, middle of the uncropped picture, shape (2,) [px]
    click_sd_px : float, sd of one click an axis [px], above 0 to 100

    Returns
    -------
    CylinderView [m]

    Raises
    ------
    InputError
        When the edges cross or bulge, or the two diameters do not fit one straight cone.

    Source: softmend-imaging, cylinder; own work for two diameters.
    Checked against: rays to cones at several leans in tests/science/photo/test_cone.py.

    Example
    -------
    >>> view = cone_from_outline(
    ...     [[900, 100], [1100, 2900]], [[2500, 100], [2300, 2900]], Uncertain.exact(0.08),
    ...     Uncertain.exact(0.06), Uncertain.exact(0.96), [1700, 1500],
    ... )
    >>> round(view.taper, 3), round(view.lean_deg, 1)
    (-0.071, -0.1)
    """
    left, right = point_array(left_px, 2), point_array(right_px, 2)
    _check_edges(left, right, click_sd_px)
    for one in (first_diameter, second_diameter):
        relative_sd(one)
    radius = (first_diameter.typical + second_diameter.typical) / 4
    if camera_distance.band.low < radius:
        raise InputError(
            "The camera cannot be nearer to the shaft than its radius",
            value=f"{camera_distance.band.low:g} m",
            allowed=f"at least {radius:g} m",
            remedy="Give the distance from the lens to the surface",
        )
    edges = np.stack([left[[0, -1]], right[[0, -1]]])
    run = unit_vectors((edges[:, 1] - edges[:, 0]).sum(axis=0)[None])
    ordered = edges if float((edges[1, 0] - edges[0, 0]) @ across(run)[0]) > 0 else edges[::-1]
    sight = ConeSight(ordered, (first_diameter, second_diameter), camera_distance, click_sd_px)
    view = CylinderView(sight, point_array(np.reshape(centre_px, (1, 2)))[0])
    if abs(view.lean_deg) > STEEPEST_DEG:
        raise InputError(
            "The two diameters and the outline do not fit one cone",
            value=f"the shaft would lean by {abs(view.lean_deg):.0f}°",
            allowed=f"a lean of {STEEPEST_DEG:.0f}° or less",
            remedy="Measure both diameters where the edges were clicked, the first at the first "
            "clicks, or photograph it square on",
        )
    return view


def _check_edges(left: Array, right: Array, click_sd_px: float) -> None:
    if len(left) != len(right):
        raise InputError(
            "The two edges of a shaft need as many points each",
            value=f"{len(left)} and {len(right)}",
            allowed="the same number, in the same order along the shaft",
        )
    runs = (left[-1] - left[0], right[-1] - right[0])
    is_alike = float(runs[0] @ runs[1]) > 0
    side = across(unit_vectors((runs[0] + runs[1] if is_alike else runs[0])[None]))[0]
    gaps = (right - left) @ side
    if not is_alike or np.any(gaps * gaps[0] <= 0) or np.min(np.abs(gaps)) < 20:
        raise InputError(
            "The two edges cross, lie too close together or run in opposite directions",
            value=f"{np.min(np.abs(gaps)):.0f} px",
            allowed="at least 20 px apart, both clicked in the same order along the shaft",
        )
    bulge = max(_stray_px(left), _stray_px(right))
    most = max(BULGE_CLICKS * click_sd_px, BULGE_SHARE * float(np.mean(np.abs(gaps))))
    if bulge > most:
        raise InputError(
            "The outline is not that of a cone",
            value=f"an edge strays by {bulge:.0f} px from straight",
            allowed=f"{math.ceil(most)} px",
            remedy="Set the scale on a straight piece, or as a bent shaft by one diameter",
        )


def _stray_px(edge: Array) -> float:
    square = across(unit_vectors((edge[-1] - edge[0])[None]))[0]
    return float(np.max(np.abs((edge - edge[0]) @ square)))
