"""What every way of setting a scale has in common: pixels in, metres on the surface out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.uncertain import Array, Uncertain

UNKNOWN_CAMERA_DISTANCE = Uncertain.from_low_typical_high(0.25, 0.7, 2.0)
"""Lens to surface when nobody noted it [m]; estimated from how objects are photographed by hand."""

UNKNOWN_OFFSET = Uncertain.normal(0.0, 0.005)
"""Scale before or behind the surface when nobody noted it [m]; estimated."""

Draws = Mapping[str, Array]

OFFSET = "scale before or behind the surface"
CAMERA_DISTANCE = "camera distance"


class Surface(Protocol):
    """A photographed surface whose metres can be had from pixels."""

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return n draws of each source of uncertainty, shape (n,) or (n, k), by plain name."""
        ...

    def positions(self, points_px: Array, draws: Draws | None = None) -> Array:
        """Return surface coordinates [m] of points of shape (m, 2), or (n, m, 2) with draws."""
        ...


@dataclass(frozen=True, slots=True)
class Standoff:
    """Where the scale lay against the surface to measure.

    `offset` [m] is positive when the scale lies nearer to the camera than the surface;
    `camera_distance` [m] is from the lens to the surface.
    """

    offset: Uncertain = field(default=UNKNOWN_OFFSET)
    camera_distance: Uncertain = field(default=UNKNOWN_CAMERA_DISTANCE)

    def __post_init__(self) -> None:
        """Refuse a camera that stands in the surface or behind the scale."""
        nearest = self.camera_distance.band.low
        if nearest <= 0 or abs(self.offset.typical) >= 0.5 * self.camera_distance.typical:
            raise InputError(
                "The scale cannot lie so far from the surface at this camera distance",
                value=f"{self.offset.typical:g} m at {self.camera_distance.typical:g} m",
                allowed="a scale within half the camera distance of the surface",
                remedy="Check the two distances, or leave the camera distance as not known",
            )

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of offset and camera distance [m]."""
        return {
            OFFSET: self.offset.draw(n, rng),
            CAMERA_DISTANCE: self.camera_distance.draw(n, rng),
        }

    def typical(self) -> Draws:
        """Return the one draw of offset and camera distance that is typical [m]."""
        return {
            OFFSET: np.array([self.offset.typical]),
            CAMERA_DISTANCE: np.array([self.camera_distance.typical]),
        }

    def factor(self, draws: Draws | None = None) -> Array:
        """Return px per metre at the surface over px per metre at the scale, 1 - h/Z."""
        if draws is None:
            return np.asarray(self.factor(self.typical())[0])
        return np.asarray(np.clip(1.0 - draws[OFFSET] / draws[CAMERA_DISTANCE], 0.2, 5.0))

    @property
    def relative_sd(self) -> float:
        """The first-order relative standard deviation of the factor."""
        h, z = self.offset.typical, self.camera_distance.typical
        by_offset = self.offset.sd / z
        by_distance = h * self.camera_distance.sd / z**2
        return float(np.hypot(by_offset, by_distance) / (1.0 - h / z))


def point_array(points_px: ArrayLike, least: int = 1) -> Array:
    """Return picture points as an array, after checking shape and finiteness.

    Parameters
    ----------
    points_px : array-like, picture points, shape (m, 2) [px], finite, within 1e6 px
    least : int, fewest points accepted [1]

    Returns
    -------
    numpy array, shape (m, 2) [px]

    Raises
    ------
    InputError
        When shape, count or values are wrong.

    Source: common practice, no source.
    Checked against: tests/science/photo/test_scale.py.

    Example
    -------
    >>> point_array([[1, 2], [3, 4]]).shape
    (2, 2)
    """
    points = np.asarray(points_px, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < least:
        raise InputError(
            "Picture points are missing or have the wrong shape",
            value=points.shape,
            allowed=f"at least {least} points of two numbers each",
        )
    if not np.all(np.abs(points) <= 1e6):
        raise InputError(
            "A picture point is not a finite number within reach", allowed="-1e6 to 1e6 px"
        )
    return points


def click_means(clicks_px: ArrayLike, click_sd_px: float) -> tuple[Array, float]:
    """Return the mean of repeated clicks on one place and its standard deviation an axis.

    Parameters
    ----------
    clicks_px : array-like, clicks on one place, shape (c, 2) [px]
    click_sd_px : float, sd of one click an axis [px], above 0 to 100

    Returns
    -------
    tuple, mean (2,) [px] and its sd an axis [px]; when the clicks scatter more than stated, their
    own scatter is used

    Raises
    ------
    InputError
        When the clicks or the sd are out of range.

    Source: jcgm100, section 4.2.3 (standard deviation of a mean).
    Checked against: tests/science/photo/test_scale.py.

    Example
    -------
    >>> mean, sd = click_means([[10.0, 5.0], [11.0, 5.0], [12.0, 5.0]], 1.0)
    >>> mean.tolist(), round(sd, 3)
    ([11.0, 5.0], 0.577)
    """
    if not 0 < click_sd_px <= 100:
        raise InputError(
            "The spread of a click is out of range",
            value=click_sd_px,
            allowed="above 0 to 100 px",
        )
    clicks = point_array(clicks_px)
    scatter = 0.0
    if len(clicks) > 1:
        scatter = float(np.sqrt(np.mean(np.var(clicks, axis=0, ddof=1))))
    return clicks.mean(axis=0), max(click_sd_px, scatter) / float(np.sqrt(len(clicks)))
