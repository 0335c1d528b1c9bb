"""What somebody breathes over the work, from uncertain amounts, rooms and reaches."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.solvency.exposure import Zones, near_zone, two_zone, two_zone_mean
from softmend.science.uncertain import Array, Uncertain

DRAWS = 4000
HOUR, SHIFT, QUARTER = 3600.0, 8 * 3600.0, 900.0
LONG = 1e9
DENSITY_SD = 0.005
MODEL = Uncertain.log_normal(1.0, 0.751)
"""Of the model itself: 5 to 95 % a factor of three to either side."""
LEAST = 1e-18


@dataclass(frozen=True, slots=True)
class Span:
    """What a quantity may be [SI]; `bench` of its bench unit make one of SI."""

    words: str
    least: float
    most: float
    bench: float
    unit: str
    allowed: str
    remedy: str = "Correct the number"


LIMITS: Mapping[str, Span] = {
    "amount used": Span(
        "amount used", LEAST, 1e-2 / HOUR, 1e6 * HOUR, "mL/h", "above 0 to 10 000 mL/h",
        "Weigh the bottle before and after an hour of work and give what is gone",
    ),
    "time of work": Span(
        "time of work", 1.0, SHIFT, 1 / 60, "min", "above 0 to 480 minutes",
        "Give the minutes of one working day",
    ),
    "room": Span("room", 1.0, 1e6, 1.0, "m³", "1 to 1 000 000 m³"),
    "air that leaves": Span(
        "air that leaves the room", 1e-6, 1e4, HOUR, "m³/h", "above 0 to 36 000 000 m³/h",
        "A closed room still changes its air 0.2 to 0.5 times an hour",
    ),
    "distance of the head": Span("distance of the head", 0.02, 3.0, 1e3, "mm", "20 to 3000 mm"),
    "speed of the air": Span(
        "speed of the air", 1e-4, 10.0, 60.0, "m/min", "above 0 to 600 m/min"
    ),
    "captured": Span(
        "share captured at the work", 0.0, 0.98, 100.0, "%",
        "0 to 98 %: no local extraction takes all",
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Work:
    """Work with an agent in a room [SI]: amount [m3/s], time [s], room [m3], reach [m], air [m/s].

    The air that leaves is given once: as changes [1/s] or as a flow [m3/s]. `captured` is the share
    that extraction takes at the work, `stays` how long somebody stays afterwards [s].
    """

    amount: Uncertain
    lasts: Uncertain
    room: Uncertain
    reach: Uncertain
    air_speed: Uncertain
    changes: Uncertain | None = None
    flow: Uncertain | None = None
    captured: Uncertain | None = None
    stays: float = 0.0


@dataclass(frozen=True, slots=True)
class Vapour:
    """Draws of one vapour: source [kg/s]; concentrations [kg/m3], the model's own error in them."""

    source: Array
    near_steady: Array
    far_steady: Array
    near_at_end: Array
    shift_mean: Array
    quarter_mean: Array


def work_draws(work: Work, seed: int = 0) -> dict[str, Array]:
    """Return draws of everything uncertain about the work, by name.

    Parameters
    ----------
    work : Work [SI]
    seed : int, of the random numbers [1]

    Returns
    -------
    dict, name to draws [SI]

    Raises
    ------
    InputError
        When the air that leaves is not given once, or a quantity is out of range.

    Source: jcgm101, section 7.
    Checked against: tests/catalogue/test_exposure.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> work = Work(exact(5e-6 / 3600), exact(3600), exact(50), exact(0.3), exact(0.06),
    ...             changes=exact(3 / 3600))
    >>> round(float(work_draws(work)["air that leaves"][0]) * 60, 2)
    2.5
    """
    if (work.changes is None) == (work.flow is None):
        raise InputError(
            "How the room is aired must be given once",
            value="neither" if work.flow is None else "both",
            allowed="air_changes_per_h or air_flow_m3_per_h",
            remedy="A closed room still changes its air 0.2 to 0.5 times an hour",
        )
    values = {
        "amount used": work.amount,
        "time of work": work.lasts,
        "room": work.room,
        "distance of the head": work.reach,
        "speed of the air": work.air_speed,
        "density": Uncertain.normal(1.0, DENSITY_SD),
        "the model": MODEL,
        "air that leaves": work.changes or work.flow,
        "captured": work.captured,
    }
    rng = np.random.default_rng(seed)
    found = {name: one.draw(DRAWS, rng) for name, one in values.items() if one is not None}
    if work.changes is not None:
        found["air that leaves"] = found["air that leaves"] * found["room"]
    for name, span in LIMITS.items():
        if name in found:
            _check(found[name], span)
    return found


def _check(drawn: Array, span: Span) -> None:
    low, high = float(drawn.min()), float(drawn.max())
    if span.least <= low and high <= span.most:
        return
    ends = f"{low * span.bench:.3g}", f"{high * span.bench:.3g}"
    is_one = ends[0] == ends[1]
    raise InputError(
        f"The {span.words} {'is' if is_one else 'may be'} out of range",
        value=f"{ends[0] if is_one else ' to '.join(ends)} {span.unit}",
        allowed=span.allowed,
        remedy=span.remedy,
    )


def vapour(draws: Mapping[str, Array], density: float, stays: float = 0.0) -> Vapour:
    """Return the vapour of one part of an agent near the head and in the room.

    Parameters
    ----------
    draws : mapping, as work_draws gives them [SI]
    density : float, mass of the part in a cubic metre of the agent [kg/m3], 0 or more
    stays : float, how long somebody stays near after the work [s], 0 or more

    Returns
    -------
    Vapour [kg/s; kg/m3]

    Source: nicas1996 (recalled).
    Checked against: tests/catalogue/test_exposure.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> work = Work(exact(5e-6 / 3600), exact(3600), exact(50), exact(0.3), exact(0.06),
    ...             changes=exact(3 / 3600))
    >>> found = vapour(work_draws(work), 862.0)
    >>> 90 < float(np.median(found.near_at_end)) * 1e6 < 105
    True
    """
    escapes = 1 - draws.get("captured", np.zeros(DRAWS))
    source = draws["amount used"] * density * draws["density"] * escapes
    volume, between = near_zone(draws["distance of the head"], draws["speed of the air"])
    far = np.maximum(draws["room"] - volume, draws["room"] / 2)
    zones = Zones(volume, far, between, draws["air that leaves"])
    lasts, slip = draws["time of work"], draws["the model"]
    steady_near, steady_far = two_zone(LONG, source, zones)
    # Of the shift: whoever works, then stays near, then breathes clean air.
    ends = np.minimum(lasts + stays, SHIFT)
    shift = two_zone_mean(0.0, ends, lasts, source, zones)[0] * ends / SHIFT
    # The worst quarter of an hour ends when the work does.
    begins = np.maximum(lasts - QUARTER, 0.0)
    quarter = two_zone_mean(begins, begins + QUARTER, lasts, source, zones)[0]
    at_end = two_zone(lasts, source, zones)[0]
    return Vapour(
        source, steady_near * slip, steady_far * slip, at_end * slip, shift * slip, quarter * slip
    )


def index_draws(
    means: Sequence[ArrayLike], limits: Sequence[float | None], stand_ins: Sequence[float]
) -> tuple[Array | None, Array]:
    """Return draws of the mixture index: over the parts with a limit, and over all, carefully.

    Parameters
    ----------
    means : sequence of arrays, one a part [kg/m3], 0 or more
    limits : sequence of float or None, of the parts [kg/m3]; None is not known
    stand_ins : sequence of float, careful figure for a part without a limit [kg/m3], above 0

    Returns
    -------
    tuple: draws over the parts with a limit, or None when none has; draws over all [1]

    Source: osha-1910-1000, paragraph d.
    Checked against: tests/catalogue/test_exposure.py.

    Example
    -------
    >>> known, careful = index_draws([[1.0], [1.0]], [4.0, None], [2.0, 2.0])
    >>> known.tolist(), careful.tolist()
    ([0.25], [0.75])
    """
    known: list[Array] = []
    lacking: list[Array] = []
    for mean, limit, careful in zip(means, limits, stand_ins, strict=True):
        draws = np.atleast_1d(np.asarray(mean, dtype=np.float64))
        (lacking if limit is None else known).append(draws / (limit or careful))
    whole = np.sum(known, axis=0) if known else None
    rest = np.sum(lacking, axis=0) if lacking else 0.0
    return whole, np.asarray(rest if whole is None else whole + rest)


def drawn(value: Uncertain, factor: float, seed: int) -> Array:
    """Return draws of a concentration in another unit.

    Parameters
    ----------
    value : Uncertain, as given [any unit]
    factor : float, what one of its unit is [kg/m3], above 0
    seed : int, of the random numbers [1]

    Returns
    -------
    numpy array, draws [kg/m3]

    Raises
    ------
    InputError
        When a draw is negative or heavier than any air.

    Source: jcgm101, section 7.
    Checked against: tests/catalogue/test_exposure.py.

    Example
    -------
    >>> float(drawn(Uncertain.exact(300.0), 1e-6, 0)[0])
    0.0003
    """
    found = value.scaled(factor).draw(DRAWS, np.random.default_rng(seed))
    if not (found.min() >= 0 and found.max() <= 10):
        raise InputError(
            "A concentration is out of range",
            value=f"{found.min() * 1e6:.3g} to {found.max() * 1e6:.3g} mg/m³",
            allowed="0 to 10 000 000 mg/m³",
        )
    return found
