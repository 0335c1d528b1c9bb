"""How a shaft is found in a picture: by its two outline edges, or by its axis and a front scale."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from softmend.errors import InputError
from softmend.science.photo.scale import PlaneScale
from softmend.science.photo.surface import CAMERA_DISTANCE, Draws
from softmend.science.uncertain import Array, Uncertain

DIAMETER = "diameter"
OUTLINE = "clicks on the outline"
AXIS = "drawing of the axis"


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """What one or many draws say of shaft and camera; every field has n entries.

    Picture coordinates are taken from the picture's middle, along the axis and across it.
    `radius` [m] and `taper` (change of radius along the axis) hold at the station `at` [m];
    `axis_angle` [rad] is between the optical axis and the line from camera to axis; `lean` [rad]
    is how far the axis turns away from the camera along its direction, 0 across the line of sight.
    """

    along: Array
    focal_px: Array
    distance: Array
    axis_angle: Array
    radius: Array
    taper: Array
    at: Array
    lean: Array


class Sight(Protocol):
    """A way of finding the shaft in the picture."""

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return n draws of each source of uncertainty by plain name."""
        ...

    def seen(self, centre_px: Array, draws: Draws) -> Seen:
        """Return shaft and camera for each draw."""
        ...

    def typical(self) -> Draws:
        """Return the one draw in which every source has its typical value."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class OutlineSight:
    """The shaft by two points on each outline edge, shape (2, 2, 2): edge, point, x and y."""

    edges_px: Array
    diameter: Uncertain
    camera_distance: Uncertain
    click_sd_px: float

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of edge clicks (n, 8) [px], diameter [m] and camera distance [m]."""
        return {
            OUTLINE: rng.standard_normal((n, 8)) * self.click_sd_px,
            DIAMETER: self.diameter.draw(n, rng),
            CAMERA_DISTANCE: self.camera_distance.draw(n, rng),
        }

    def typical(self) -> Draws:
        """Return the one draw in which every source has its typical value."""
        return {
            OUTLINE: np.zeros((1, 8)),
            DIAMETER: np.array([self.diameter.typical]),
            CAMERA_DISTANCE: np.array([self.camera_distance.typical]),
        }

    def seen(self, centre_px: Array, draws: Draws) -> Seen:
        """Return shaft and camera: the focal length from the outline's width, Z and diameter."""
        edges = self.edges_px[None] + draws[OUTLINE].reshape(-1, 2, 2, 2) - centre_px
        radius = draws[DIAMETER] / 2
        distance = draws[CAMERA_DISTANCE] + radius
        runs = edges[:, :, 1] - edges[:, :, 0]
        along = unit_vectors(np.sum(runs / np.linalg.norm(runs, axis=-1, keepdims=True), axis=1))
        sideways = np.einsum("nepc,nc->nep", edges, across(along))
        stations = np.einsum("nepc,nc->nep", edges, along)
        slope = (sideways[..., 1] - sideways[..., 0]) / (stations[..., 1] - stations[..., 0])
        first, last = stations[..., 0].mean(axis=1), stations[..., 1].mean(axis=1)
        ends = np.stack([first, (first + last) / 2, last], axis=1)
        lines = sideways[..., :1] + slope[..., None] * (ends[:, None] - stations[..., :1])
        focal = _focal_px(lines[:, 0, 1], lines[:, 1, 1], np.arcsin(radius / distance))
        angles = np.arctan(lines / focal[:, None, None])
        axis_angle = angles.mean(axis=1)
        half = (angles[:, 1] - angles[:, 0]) / 2
        radii = distance[:, None] * np.sin(half)
        tangent_depth = distance[:, None] * np.cos(half) ** 2 * np.cos(axis_angle)
        places = ends * tangent_depth / focal[:, None]
        taper = (radii[:, 2] - radii[:, 0]) / (places[:, 2] - places[:, 0])
        return Seen(along, focal, distance, axis_angle[:, 1], radius, taper, places[:, 1],
                    np.zeros_like(radius))  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class AxisSight:
    """The shaft by two points on its drawn axis, shape (2, 2), and a scale on its front line."""

    axis_px: Array
    front_scale: PlaneScale
    diameter: Uncertain
    camera_distance: Uncertain
    axis_sd_px: float

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of axis clicks (n, 4) [px], the scale's sources, diameter and distance."""
        return {
            **self.front_scale.draws(n, rng),
            AXIS: rng.standard_normal((n, 4)) * self.axis_sd_px,
            DIAMETER: self.diameter.draw(n, rng),
            CAMERA_DISTANCE: self.camera_distance.draw(n, rng),
        }

    def typical(self) -> Draws:
        """Return the one draw in which every source has its typical value."""
        return {
            **self.front_scale.typical(),
            AXIS: np.zeros((1, 4)),
            DIAMETER: np.array([self.diameter.typical]),
            CAMERA_DISTANCE: np.array([self.camera_distance.typical]),
        }

    def seen(self, centre_px: Array, draws: Draws) -> Seen:
        """Return shaft and camera: the focal length from the scale on the front line."""
        axis = self.axis_px[None] + draws[AXIS].reshape(-1, 2, 2) - centre_px
        radius = draws[DIAMETER] / 2
        distance = draws[CAMERA_DISTANCE] + radius
        along = unit_vectors(axis[:, 1] - axis[:, 0])
        offset = np.sum(axis.mean(axis=1) * across(along), axis=1)
        aimed_px = self.front_scale.scale_draws(draws) * (distance - radius)
        if np.any(np.abs(offset) >= 0.9 * aimed_px):
            raise InputError(
                "The axis lies too far from the middle of the picture for this camera distance",
                allowed="within about 40 degrees of the middle",
                remedy="Use the uncropped picture, or correct the camera distance",
            )
        focal = np.sqrt(aimed_px**2 - offset**2)
        zero = np.zeros_like(radius)
        return Seen(along, focal, distance, np.arctan(offset / focal), radius, zero, zero,
                    zero)  # fmt: skip


def _focal_px(left: Array, right: Array, half_angle: Array) -> Array:
    """Return the focal length at which the outline spans twice the half angle."""
    tangent = np.tan(2 * half_angle)
    width = right - left
    inside = width**2 - 4 * tangent**2 * left * right
    if np.any(inside <= 0):
        raise InputError(
            "The outline does not fit the diameter and the camera distance",
            remedy="Use the uncropped picture, or correct the diameter or the distance",
        )
    return np.asarray((width + np.sqrt(inside)) / (2 * tangent))


def unit_vectors(vectors: Array) -> Array:
    """Return vectors of length one in the same directions.

    Parameters
    ----------
    vectors : numpy array, shape (n, 2) [any unit]

    Returns
    -------
    numpy array, shape (n, 2) [1]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_cylinder.py.

    Example
    -------
    >>> unit_vectors(np.array([[3.0, 4.0]])).tolist()
    [[0.6, 0.8]]
    """
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))


def across(along: Array) -> Array:
    """Return the directions a quarter turn from the given ones: right of a line that runs down.

    Parameters
    ----------
    along : numpy array, shape (n, 2) [any unit]

    Returns
    -------
    numpy array, shape (n, 2) [same unit]

    Source: common practice, no source.
    Checked against: tests/science/photo/test_cylinder.py.

    Example
    -------
    >>> (across(np.array([[0.0, 1.0]])) + 0).tolist()
    [[1.0, 0.0]]
    """
    return np.stack([along[:, 1], -along[:, 0]], axis=-1)
