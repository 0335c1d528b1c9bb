"""Light on an object: the plan of a year's display, and what fell on it before."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.errors import InputError
from softmend.records.custody import past_day
from softmend.records.dossier import NOT_KNOWN


@dataclass(frozen=True)
class LightLine:
    """One kind of light in a year of display: lamps, daylight, openings or cleaning."""

    what: str
    light_lux: float
    hours_a_day: float
    days_a_year: float
    ultraviolet_uw_per_lm: float | None = None


@dataclass(frozen=True)
class LightPart:
    """One part of the object by its name in the table, or with its own class or blue wool."""

    part: str
    sensitivity: str = ""
    blue_wool: int | None = None


@dataclass(frozen=True)
class LightPlan:
    """The plan of display for a year, and the parts of the object that the light falls on."""

    lines: tuple[LightLine, ...]
    parts: tuple[LightPart, ...]
    rule: str = NOT_KNOWN
    note: str = NOT_KNOWN


@dataclass(frozen=True)
class PastLight:
    """A dose that has fallen already, on loan or on display, and how it is known."""

    what: str
    ended_on: str
    dose_lux_hours: float
    known_how: str = NOT_KNOWN


def checked_plan(plan: LightPlan) -> LightPlan:
    """Return a plan of display if it has light and parts, and each line is possible."""
    if not plan.lines:
        raise InputError(
            "A plan of display needs a light", remedy="Lamps, daylight, openings, cleaning"
        )
    if not plan.parts:
        raise InputError(
            "The parts that the light falls on are not named",
            remedy="Choose them; the most sensitive one decides",
        )
    for line in plan.lines:
        for words, value, most, unit in (
            ("The light", line.light_lux, 200_000.0, "lx"),
            ("Its hours a day", line.hours_a_day, 24.0, "h"),
            ("Its days a year", line.days_a_year, 366.0, "d"),
            ("Its ultraviolet", line.ultraviolet_uw_per_lm or 0.0, 2000.0, "µW/lm"),
        ):
            if not 0 <= value <= most:
                raise InputError(
                    f"{words} is outside what is possible: {line.what}",
                    value=f"{value:g} {unit}",
                    allowed=f"0 to {most:g} {unit}",
                    remedy="Correct the number",
                )
    for part in plan.parts:
        if part.blue_wool is not None and not 1 <= part.blue_wool <= 8:
            raise InputError(
                f"There is no such blue wool: {part.part}",
                value=f"{part.blue_wool}",
                allowed="1 to 8",
            )
    return plan


def checked_past(past: PastLight) -> PastLight:
    """Return a past dose if it has a day and a possible size."""
    past_day(past.ended_on, "The last day of this light")
    if not past.what.strip():
        raise InputError("Say what this light was", remedy="A loan, an exhibition, a window")
    if not 0 <= past.dose_lux_hours <= 1e9:
        raise InputError(
            "The dose is outside what is possible",
            value=f"{past.dose_lux_hours:g} lx h",
            allowed="0 to 1 000 000 000 lx h",
        )
    return past
