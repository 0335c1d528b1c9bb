"""A case's own record beside the computed one: drawn on the same days, and the gap between them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from softmend.science.climate.compared import Compared, compared
from softmend.science.climate.reduced import spells_of
from softmend.services.examine.quantities import Outcome
from softmend.services.places.record import Record

FEWEST = 24
"""A gap is said from so many moments on that both records know."""


@dataclass(frozen=True)
class CaseBeside:
    """The gap between a case's record and what was computed, in words, and both as columns."""

    logger: str
    sentences: tuple[str, ...]
    columns: dict[str, Any]
    found: Compared | None = None


def case_beside(own: Record, room: Record, answer: Outcome) -> CaseBeside:
    """Return a case's own record beside what was computed for it from the room's record."""
    points = answer["points"]
    moments = [datetime.fromisoformat(one["at"]).timestamp() for one in points]
    bands = [one["case"] for one in points]
    low, typical, high = ([one[name] for one in bands] for name in ("low", "typical", "high"))
    sensors = (own.sensor_percent, room.sensor_percent)
    found = compared(
        own.hours.times_s, own.hours.rh, 1.5 * own.hours.step_s, moments, (low, typical, high),
        sensors,
    )  # fmt: skip
    columns = {
        "at_s": [round(one) for one in moments],
        "room": [one["room_percent"] for one in points],
        "case_low": low,
        "case_typical": typical,
        "case_high": high,
        "sensor": own.sensor_percent,
    } | _own(own, moments)
    is_enough = found is not None and found.moments >= FEWEST
    return CaseBeside(
        own.logger,
        tuple(_sentences(found)) if found is not None and is_enough else (_too_little(found),),
        columns,
        found if is_enough else None,
    )


def _own(own: Record, moments: list[float]) -> dict[str, list[float | None]]:
    """Return the least and the most that the case's logger read round each moment."""
    width = (moments[-1] - moments[0]) / max(len(moments) - 1, 1)
    start = moments[0] - width / 2
    spells = spells_of(own.hours.times_s, own.hours.rh, width, start)
    rows = zip(spells.starts_s.tolist(), spells.least.tolist(), spells.most.tolist(), strict=True)
    known = {round((at - start) / width): (least, most) for at, least, most in rows}
    pairs = [known.get(place) for place in range(len(moments))]
    return {
        "own_least": [None if one is None else round(one[0], 2) for one in pairs],
        "own_most": [None if one is None else round(one[1], 2) for one in pairs],
    }


def _sentences(found: Compared) -> Iterator[str]:
    side = "above" if found.gap > 0 else "below"
    yield (
        f"The case's own record lies {abs(found.gap):.1f} %RH {side} the computed middle on "
        f"average, nine tenths of the time between {_signed(found.low)} and {_signed(found.high)}; "
        f"{found.moments} moments of both were compared."
    )
    yield (
        f"{found.inside_percent:.0f} % of it lies within what was computed for tight and leaky "
        f"cases, give or take both sensors (± {found.sensor:.1f} %RH together)."
    )
    if abs(found.gap) <= found.sensor:
        yield "The gap is within the error of the two sensors: it tells no difference."
    else:
        yield (
            "The gap is larger than the two sensors explain: hang both loggers side by side for a "
            "day first, then measure the air exchange and how much warmer the case is."
        )
    if found.own_swing > 1.5 * found.swing:
        yield "The case swings more than computed: it leaks more, or its buffer holds less."
    elif found.swing > 1.5 * found.own_swing:
        yield "The case swings less than computed: it is tighter, or what is in it buffers too."


def _too_little(found: Compared | None) -> str:
    if found is None:
        return "The case's record and the room's are of other days: they cannot be compared."
    return (
        f"Only {found.moments} moments are in both records: {FEWEST} are needed for a gap to be "
        "said."
    )


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "\u2212")
