"""What a crack did between two photographs: its opening, and whether that is more than the floor.

Both photographs are measured in their own pixels, each against its own blur; only the result is
carried over by the local scale of the registration. What counts as a change is decided by a floor
that comes from two photographs of one day with the camera taken down between.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.photo.blur import Blur
from softmend.science.photo.light import Plane
from softmend.science.photo.line import smoothed_line
from softmend.science.photo.register import Registration
from softmend.science.photo.strip import even_points
from softmend.science.photo.width import AVERAGED, Widths, widths
from softmend.science.uncertain import Array

LEAST_FLOOR_PX = 0.3
"""Two simulated photographs of one crack disagree by up to so much even with both blurs known."""

FLOOR_WITHOUT_PAIR_PX = 1.0
LIKE_RH_PERCENT, LIKE_TEMPERATURE_DEGC = 3.0, 2.0
"""Readings nearer to each other than this are taken at like humidity and temperature; our own."""

LEAST_SWING_PERCENT = 2.0


class Movement(Enum):
    """What may be said of a crack between two dates."""

    NO_CHANGE_SHOWN = "no change shown"
    GROWN = "grown"
    BREATHES = "breathes with RH"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Air:
    """Humidity [%] and temperature [degC] when a photograph was taken; None is not known."""

    rh_percent: float | None = None
    temperature_degc: float | None = None


@dataclass(frozen=True, slots=True)
class Opening:
    """How far one stretch opened (+) or closed (-), in px of the earlier photograph.

    `threshold_px` is what it must pass to be called a change: floor, twice its random sd, and the
    part of the scale. `systematic_px` is an sd that all stretches of one pair share.
    """

    from_px: float
    to_px: float
    at_px: tuple[float, float]
    way: tuple[float, float]
    earlier_px: float
    later_px: float
    opening_px: float
    random_sd_px: float
    systematic_px: float
    threshold_px: float
    stations: int

    @property
    def is_shown(self) -> bool:
        """Whether the opening passes the threshold."""
        return abs(self.opening_px) > self.threshold_px


@dataclass(frozen=True, slots=True, eq=False)
class Pair:
    """The widths of one crack at the same stations in two photographs, in px of the earlier."""

    earlier: Widths
    later_px: Array
    later_sd_px: Array
    is_measured: Array

    @property
    def openings_px(self) -> Array:
        """The opening at each station that is measured in both."""
        return np.asarray((self.later_px - self.earlier.width_px)[self.is_measured])


def paired_widths(
    lights: tuple[Plane, Plane],
    blurs: tuple[Blur, Blur],
    line_px: ArrayLike,
    registration: Registration,
    later_line_px: ArrayLike | None = None,
    step_px: float = 5.0,
) -> Pair:
    """Return the widths of one crack at the same places of two photographs.

    Parameters
    ----------
    lights : tuple of arrays, linear light of the earlier and the later photograph [1]
    blurs : tuple of Blur, each measured in its own photograph [px]
    line_px : array-like, the trace on the earlier photograph, shape (m, 2) [px]
    registration : Registration, how the later photograph lies on the earlier [px]
    later_line_px : array-like or None, the trace on the later; carried over when None [px]
    step_px : float, distance of two stations [px], 1 to 1000

    Returns
    -------
    Pair, both in px of the earlier photograph [px]

    Raises
    ------
    InputError
        When the trace is too short, or leaves the later photograph.

    Source: softmend-imaging (each photograph in its own pixels, never a resampled one).
    Checked against: pairs of drawn cracks in tests/science/photo/test_change.py.

    Example
    -------
    >>> import cv2
    >>> wall = np.full((100, 300), 0.5, dtype=np.float32)
    >>> one, two = wall.copy(), wall.copy()
    >>> one[48:53] = two[48:54] = 0.03
    >>> both = tuple(cv2.GaussianBlur(sheet, (0, 0), 1.0) for sheet in (one, two))
    >>> same = Registration(np.eye(3), 99, 99, 0.1, 1.0, "", np.zeros((0, 2)))
    >>> blur = Blur(1.0, 0.03)
    >>> pair = paired_widths(both, (blur, blur), [[20, 50], [280, 50]], same)
    >>> round(float(np.median(pair.openings_px)), 1)
    1.0
    """
    first = widths(lights[0], line_px, blurs[0], step_px)
    if later_line_px is None:
        line = even_points(smoothed_line(line_px), 2.0)
        later_line_px = registration.later_px(line)
    rows, columns = lights[1].shape
    carried_over = np.asarray(later_line_px, dtype=np.float64)
    inside = np.all((carried_over > 0) & (carried_over < [columns, rows]), axis=1)
    if inside.mean() < 0.9:
        raise InputError(
            "This crack leaves the later photograph",
            value=f"{100 * inside.mean():.0f} % of it inside",
            allowed="90 % or more",
            remedy="Trace the part that both photographs show",
        )
    second = widths(lights[1], carried_over[inside], blurs[1], 2.0)
    laid = registration.earlier_px(second.points_px)
    apart = np.hypot(*(first.points_px[:, None] - laid[None]).transpose(2, 0, 1))
    nearest = np.argmin(apart, axis=1)
    scale = registration.scale_at(second.points_px[nearest])
    is_near = apart[np.arange(len(nearest)), nearest] < AVERAGED / 2
    both = first.is_measured & second.is_measured[nearest] & is_near
    return Pair(first, second.width_px[nearest] * scale, second.sd_px[nearest] * scale, both)


def openings(
    pair: Pair, blurs: tuple[Blur, Blur], stretch_px: float, floor_px: float, scale_sd: float
) -> tuple[Opening, ...]:
    """Return how far a crack opened, stretch by stretch, and what it must pass to be a change.

    Parameters
    ----------
    pair : Pair, the widths of the crack in both photographs [px]
    blurs : tuple of Blur, of the earlier and the later photograph [px]
    stretch_px : float, length of a stretch [px], above 0
    floor_px : float, the detection floor [px], 0.3 or more
    scale_sd : float, relative sd of the scale between the two photographs [1], 0 or more

    Returns
    -------
    tuple of Opening; stretches with too few stations measured in both are left out [px]

    Raises
    ------
    InputError
        When the floor is below what two photographs can tell.

    Source: softmend-imaging (0.3 px, twice the random sd, width times the scale's share).
    Checked against: pairs of drawn cracks in tests/science/photo/test_change.py.

    Example
    -------
    >>> one = np.ones(40)
    >>> first = Widths(np.zeros((40, 2)), np.zeros((40, 2)), np.arange(40.0) * 5, 5 * one,
    ...                0.1 * one, -one, one, one > 0, Blur(1.0, 0.05))
    >>> pair = Pair(first, 6 * one, 0.1 * one, one > 0)
    >>> found = openings(pair, (Blur(1.0, 0.05), Blur(1.0, 0.05)), 100.0, 0.3, 0.0)
    >>> [(one.opening_px, one.is_shown) for one in found]
    [(1.0, True), (1.0, True)]
    """
    if floor_px < LEAST_FLOOR_PX:
        raise InputError(
            "The floor is below what two photographs can tell",
            value=floor_px,
            allowed=f"{LEAST_FLOOR_PX} px or more",
        )
    along = pair.earlier.along_px
    count = max(1, round((along[-1] - along[0]) / stretch_px))
    edges = np.linspace(along[0], along[-1], count + 1)
    owner = np.clip(np.searchsorted(edges, along, side="right") - 1, 0, count - 1)
    found = []
    for number in range(count):
        inside = owner == number
        measured = inside & pair.is_measured
        if 2 * measured.sum() > inside.sum():
            ends = (float(edges[number]), float(edges[number + 1]))
            found.append(_opening(pair, blurs, measured, ends, floor_px, scale_sd))
    return tuple(found)


def _opening(
    pair: Pair,
    blurs: tuple[Blur, Blur],
    measured: Array,
    ends: tuple[float, float],
    floor_px: float,
    scale_sd: float,
) -> Opening:
    first, second = pair.earlier.width_px[measured], pair.later_px[measured]
    moved = second - first
    middle = float(np.median(moved))
    alone = max(min((ends[1] - ends[0]) / AVERAGED, len(moved)), 1.0)
    scatter = 1.4826 * float(np.median(np.abs(moved - middle)))
    noise = math.hypot(
        float(np.median(pair.earlier.sd_px[measured])), float(np.median(pair.later_sd_px[measured]))
    )
    random = 1.25 * max(scatter, noise) / math.sqrt(alone)
    per_blur = abs(float(np.median(pair.earlier.per_blur[measured])))
    by_blur = per_blur * math.hypot(blurs[0].uncertainty_px, blurs[1].uncertainty_px)
    wide = float(np.median(second))
    number = np.flatnonzero(measured)[len(moved) // 2]
    at, way = pair.earlier.points_px[number], pair.earlier.normal[number]
    return Opening(
        *ends,
        (float(at[0]), float(at[1])),
        (float(way[0]), float(way[1])),
        float(np.median(first)),
        wide,
        middle,
        random,
        math.hypot(by_blur, floor_px / 2),
        floor_px + 2 * random + wide * scale_sd,
        len(moved),
    )


def detection_floor(repeated: Pair) -> float:
    """Return the floor from two photographs of one day with the camera taken down between.

    Parameters
    ----------
    repeated : Pair, the widths of a crack in both of them [px]

    Returns
    -------
    float, never below 0.3 [px]

    Raises
    ------
    InputError
        When fewer than 20 stations are measured in both.

    Source: own rule (size of the middle and twice the scatter of stretches of 20 stations).
    Checked against: pairs of drawn cracks in tests/science/photo/test_change.py.

    Example
    -------
    >>> one = np.ones(40)
    >>> first = Widths(np.zeros((40, 2)), np.zeros((40, 2)), np.arange(40.0) * 5, 5 * one,
    ...                0.1 * one, -one, one, one > 0, Blur(1.0, 0.05))
    >>> detection_floor(Pair(first, 5.4 * one, 0.1 * one, one > 0))
    0.4
    """
    moved = repeated.openings_px
    if len(moved) < 20:
        raise InputError(
            "The two photographs of one day measure too little of this crack",
            value=f"{len(moved)} stations",
            allowed="20 or more",
            remedy="Trace a longer or wider crack for the floor",
        )
    blocks = np.array_split(moved, max(len(moved) // 20, 5))
    middles = np.array([float(np.median(part)) for part in blocks])
    middle = float(np.median(middles))
    scatter = 1.4826 * float(np.median(np.abs(middles - middle)))
    return round(max(abs(middle) + 2 * scatter, LEAST_FLOOR_PX), 6)


def movement(found: tuple[Opening, ...], earlier: Air, later: Air) -> Movement:
    """Return what may be said of a crack from its openings and the air at both dates.

    Parameters
    ----------
    found : tuple of Opening, its stretches; empty is not known
    earlier, later : Air, humidity and temperature at both dates

    Returns
    -------
    Movement; "grown" only at like humidity and temperature

    Source: own rule (a crack that moved at unlike humidity may have breathed).
    Checked against: tests/science/photo/test_change.py.

    Example
    -------
    >>> wide = Opening(0, 99, (0, 0), (0, 1), 5.0, 6.5, 1.5, 0.05, 0.15, 0.5, 20)
    >>> movement((wide,), Air(50, 20), Air(51, 20.5)), movement((wide,), Air(50, 20), Air(38, 20))
    (<Movement.GROWN: 'grown'>, <Movement.BREATHES: 'breathes with RH'>)
    >>> movement((wide,), Air(), Air()).value
    'not known'
    """
    if not found:
        return Movement.NOT_KNOWN
    shown = [one.opening_px for one in found if one.is_shown]
    if not shown:
        return Movement.NO_CHANGE_SHOWN
    if earlier.rh_percent is None or later.rh_percent is None:
        return Movement.NOT_KNOWN
    dried = earlier.rh_percent - later.rh_percent
    if abs(dried) <= LIKE_RH_PERCENT:
        opened = max(shown) > 0 and is_like_temperature(earlier, later)
        return Movement.GROWN if opened else Movement.NOT_KNOWN
    went = float(np.median(shown))
    return Movement.BREATHES if went * dried > 0 else Movement.NOT_KNOWN


def is_like_temperature(earlier: Air, later: Air) -> bool:
    """Return whether two photographs were taken at like temperature; not known is no.

    Parameters
    ----------
    earlier, later : Air, at both dates

    Returns
    -------
    bool

    Source: own rule.
    Checked against: tests/science/photo/test_change.py.

    Example
    -------
    >>> is_like_temperature(Air(50, 20), Air(50, 21)), is_like_temperature(Air(50), Air(50, 20))
    (True, False)
    """
    if earlier.temperature_degc is None or later.temperature_degc is None:
        return False
    return abs(earlier.temperature_degc - later.temperature_degc) <= LIKE_TEMPERATURE_DEGC
