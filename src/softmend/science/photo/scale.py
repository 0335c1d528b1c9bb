"""One scale for a flat view: so many pixels to the metre, with its uncertainty term by term."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.surface import Draws, Standoff, click_means
from softmend.science.uncertain import Array, Uncertain

SHORTEST_SCALE_PX = 20.0
"""Two clicks nearer than this give no useful scale."""

CLICKS = "clicks on the scale"
TRUE_LENGTH = "true length of the scale"


@dataclass(frozen=True, slots=True)
class PlaneScale:
    """A flat view at one scale.

    `px_per_m_at_scale` is what was read at the scale itself; `parts` are relative standard
    deviations by source; the standoff carries the reading over to the surface.
    """

    px_per_m_at_scale: float
    parts: Mapping[str, float]
    standoff: Standoff = field(default_factory=Standoff)

    def __post_init__(self) -> None:
        """Refuse a scale that cannot be."""
        if not (math.isfinite(self.px_per_m_at_scale) and self.px_per_m_at_scale > 0):
            raise InputError(
                "A scale is not above zero", value=self.px_per_m_at_scale, allowed="above 0"
            )

    @property
    def px_per_m(self) -> float:
        """Pixels to the metre at the surface."""
        return self.px_per_m_at_scale * float(self.standoff.factor())

    @property
    def relative_sd(self) -> float:
        """First-order relative standard deviation of the scale at the surface."""
        return math.hypot(*self.parts.values(), self.standoff.relative_sd)

    def draws(self, n: int, rng: np.random.Generator) -> dict[str, Array]:
        """Return draws of every source: relative deviations and the standoff's distances."""
        parts = {name: Uncertain.normal(0.0, sd).draw(n, rng) for name, sd in self.parts.items()}
        return {**parts, **self.standoff.draws(n, rng)}

    def typical(self) -> Draws:
        """Return the one draw in which every source has its typical value."""
        return {**{name: np.zeros(1) for name in self.parts}, **self.standoff.typical()}

    def scale_draws(self, draws: Draws) -> Array:
        """Return px per metre at the surface for each draw, shape (n,)."""
        relative = np.asarray(sum(draws[name] for name in self.parts))
        return np.asarray(self.px_per_m_at_scale * np.exp(relative) * self.standoff.factor(draws))

    def positions(self, points_px: Array, draws: Draws | None = None) -> Array:
        """Return points in metres, x right and y down from the picture's corner."""
        if draws is None:
            return points_px / self.px_per_m
        return points_px / self.scale_draws(draws)[:, None, None]


def two_click_scale(
    end_a_px: ArrayLike,
    end_b_px: ArrayLike,
    length: Uncertain,
    click_sd_px: float = 1.0,
    standoff: Standoff | None = None,
) -> PlaneScale:
    """Return the scale from clicks on both ends of a bar or ruler of known length.

    Parameters
    ----------
    end_a_px : array-like, clicks on one end, shape (c, 2) [px]
    end_b_px : array-like, clicks on the other end, shape (c, 2) [px]
    length : Uncertain, true length between the ends [m], above 0
    click_sd_px : float, sd of one click an axis [px], above 0 to 100
    standoff : Standoff or None, where the scale lay against the surface [m]

    Returns
    -------
    PlaneScale [px/m]; k = d/L, relative sd sqrt((ua^2 + ub^2)/d^2 + (uL/L)^2) before the standoff

    Raises
    ------
    InputError
        When the ends lie within 20 px or the length is not positive.

    Source: jcgm100, equation 12 (relative variances of a quotient add).
    Checked against: tests/checks/softmend-imaging.csv.

    Example
    -------
    >>> scale = two_click_scale([[100, 50]], [[1100, 50]], Uncertain.normal(0.1, 0.0001))
    >>> scale.px_per_m, round(scale.parts["clicks on the scale"], 5)
    (10000.0, 0.00141)
    """
    a, sd_a = click_means(end_a_px, click_sd_px)
    b, sd_b = click_means(end_b_px, click_sd_px)
    distance = float(np.hypot(*(b - a)))
    if distance < SHORTEST_SCALE_PX:
        raise InputError(
            "The two ends of the scale lie too close together in the picture",
            value=f"{distance:.1f} px",
            allowed=f"at least {SHORTEST_SCALE_PX:.0f} px",
            remedy="Zoom in, or click a longer stretch of the scale",
        )
    parts = {CLICKS: math.hypot(sd_a, sd_b) / distance, TRUE_LENGTH: relative_sd(length)}
    return PlaneScale(distance / length.mean, parts, standoff or Standoff())


def relative_sd(length: Uncertain) -> float:
    """Return the relative standard deviation of a positive length.

    Parameters
    ----------
    length : Uncertain, a length [m], above 0

    Returns
    -------
    float, sd over mean [1]

    Raises
    ------
    InputError
        When the length is not above zero, or so uncertain that it may be zero.

    Source: jcgm100, section 5.1.6.
    Checked against: tests/science/photo/test_scale.py.

    Example
    -------
    >>> round(relative_sd(Uncertain.normal(0.1, 0.0005)), 6)
    0.005
    """
    if not (length.mean > 0 and length.sd < length.mean / 3):
        raise InputError(
            "A known length must be above zero and known to better than a third",
            value=f"{length.mean:g} m, sd {length.sd:g} m",
            allowed="above 0, sd below a third of it",
            remedy="Measure the scale itself with a calliper or steel rule",
        )
    return length.sd / length.mean
