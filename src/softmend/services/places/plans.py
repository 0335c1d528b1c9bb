"""The same object in the room, in its case, and in its case with buffer: bands and hours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.records.crack_model import Basis, Told
from softmend.records.place import ObjectInAir
from softmend.records.showcase import Showcase
from softmend.services.bench import Bench
from softmend.services.examine.quantities import Outcome
from softmend.services.explain.binding import told_value
from softmend.services.places.record import QUICK_EVERY, Record, computed

YEAR_HOURS = 8766.0
WHOLE, QUICK = 200, 50
ROOM, CASE, BUFFERED = "in the room", "in the case", "in the case with buffer"
PLACES = {"air": "the air round it", "case": "the air round it", "surface": "its surface",
          "mean": "its mean", "core": "its core"}  # fmt: skip


@dataclass(frozen=True)
class Ranged:
    """A number for slow, typical and fast; or its 5, 50 and 95 % points."""

    low: float
    typical: float
    high: float

    @property
    def percent(self) -> str:
        """Return a humidity and its range in whole %RH: no sensor deserves more."""
        return self._text(f"{one:.0f}" for one in self.points)

    @property
    def hours(self) -> str:
        """Return hours and their range to two figures."""
        return self._text(f"{float(f'{one:.2g}'):.0f}" for one in self.points)

    @property
    def text(self) -> str:
        """Return a number and its range to two figures."""
        return self._text(f"{float(f'{one:.2g}'):g}" for one in self.points)

    @property
    def points(self) -> tuple[float, float, float]:
        """Return low, typical and high."""
        return self.low, self.typical, self.high

    def _text(self, shown: Iterable[str]) -> str:
        low, typical, high = shown
        return typical if low == typical == high else f"{typical} ({low} to {high})"


@dataclass(frozen=True)
class Where:
    """What one place of the object, or the air round it, goes through in one plan.

    Hours are those of a year; None where they are not counted.
    """

    key: str
    words: str
    least: Ranged
    most: Ranged
    below: Ranged | None
    above: Ranged | None


@dataclass(frozen=True)
class Plan:
    """One way to keep the object; `measure_next` is what drives the spread of the case."""

    key: str
    places: tuple[Where, ...]
    measure_next: tuple[str, ...] = ()
    half_time: str = ""
    warnings: tuple[str, ...] = ()
    answer: Outcome | None = None

    def where(self, key: str) -> Where | None:
        """Return one place of the object, or None."""
        return next((one for one in self.places if one.key == key), None)


Tried = Mapping[str, float]


@dataclass(frozen=True)
class Question:
    """One computation that the plans rest on: which plan, its name, and what is asked of it."""

    plan: str
    name: str
    asked: dict[str, Any]


def questions_of(
    record: Record,
    said: ObjectInAir,
    case: Showcase | None,
    tried: Tried | None = None,
    *,
    is_quick: bool = False,
) -> list[Question]:
    """Return what is asked of the record for each plan; `tried` moves what is known of the case."""
    asked = _asked(said)
    found = [Question(ROOM, "climate.response", asked)]
    if case is None:
        return found
    shown = moved(case, tried or {})
    bare = replace(shown, buffer_kg=0.0, capacity_g_per_kg=None, start_percent=None)
    ways = [(CASE, bare), (BUFFERED, shown)] if shown.buffer_kg > 0 else [(CASE, bare)]
    more: dict[str, Any] = {"samples": QUICK if is_quick else WHOLE}
    if record.hours.temperature is None:
        more["room_degc"] = 20.0
    for plan, way in ways:
        found.append(
            Question(plan, "showcase.simulate", asked | more | {"case": case_payload(way)})
        )
    return found


def plans_of(
    bench: Bench,
    record: Record,
    said: ObjectInAir,
    case: Showcase | None,
    tried: Tried | None = None,
    *,
    is_quick: bool = False,
) -> list[Plan]:
    """Return the plans side by side; `tried` moves the middle of what is known of the case."""
    every = QUICK_EVERY if is_quick else 1
    found = []
    for one in questions_of(record, said, case, tried, is_quick=is_quick):
        answer = computed(bench, record, one.name, one.asked, every)
        found.append(_of_room(answer) if one.plan == ROOM else _of_case(one.plan, answer))
    return found


def moved(case: Showcase, tried: Tried) -> Showcase:
    """Return a case with another middle for what is tried out, its spread in proportion."""
    changed: dict[str, Any] = {}
    if "buffer" in tried:
        changed["buffer_kg"] = tried["buffer"]
        if case.capacity_g_per_kg is None and tried["buffer"] > 0:
            changed["capacity_g_per_kg"] = Told(1.5, 2.0, 2.5, Basis.RECALLED, "regular gel")
    if "exchange" in tried:
        changed["exchange_per_day"] = _round_middle(case.exchange_per_day, tried["exchange"], 0.3)
    if "warming" in tried:
        middle = tried["warming"]
        changed["warming_k"] = Told(middle, middle, middle, Basis.ESTIMATED, "tried out")
    return replace(case, **changed)


def case_payload(case: Showcase) -> dict[str, Any]:
    """Return a case as computations take it."""
    found: dict[str, Any] = {"volume_m3": case.volume_m3, "buffer_kg": case.buffer_kg}
    for name in ("exchange_per_day", "capacity_g_per_kg", "warming_k"):
        told: Told | None = getattr(case, name)
        if told is not None:
            found[name] = plain(told_value(told))
    if case.start_percent is not None:
        found["start_percent"] = case.start_percent
    return found


def body_payload(said: ObjectInAir) -> dict[str, Any]:
    """Return an object's body as computations take it."""
    found: dict[str, Any] = {
        "form": said.shape.value,
        "size_mm": plain(told_value(said.size_mm)),
    }
    if said.diffusivity_mm2_per_day is not None:
        found["diffusivity_mm2_per_day"] = plain(told_value(said.diffusivity_mm2_per_day))
    return found


def plain(value: Sourced) -> dict[str, Any]:
    """Return a value with its mark as plain data."""
    return value.model_dump(mode="json")


def _asked(said: ObjectInAir) -> dict[str, Any]:
    return {
        "body": body_payload(said),
        "low_limit_percent": said.low_limit_percent,
        "high_limit_percent": said.high_limit_percent,
    }


def _round_middle(told: Told | None, middle: float, share: float) -> Told:
    if told is None or told.typical <= 0:
        return Told(share * middle, middle, middle / share, Basis.ESTIMATED, "tried out")
    factor = middle / told.typical
    points = (told.low * factor, middle, told.high * factor)
    return Told(*points, told.basis, "tried out")


def _of_room(answer: Outcome) -> Plan:
    a_year = YEAR_HOURS / answer["counted_hours"]
    places = tuple(
        Where(
            one["place"],
            PLACES[one["place"]],
            _range(one["least_percent"]),
            _range(one["most_percent"]),
            _range(one["hours_below"], a_year),
            _range(one["hours_above"], a_year),
        )
        for one in answer["places"]
    )
    half = answer["half_time_days"]
    return Plan(ROOM, places, half_time=_range(half).text, warnings=tuple(answer["warnings"]),
                answer=answer)  # fmt: skip


def _of_case(key: str, answer: Outcome) -> Plan:
    places = tuple(
        Where(
            "air" if one["place"] == "case" else one["place"],
            PLACES[one["place"]],
            _range(one["least_percent"]),
            _range(one["most_percent"]),
            None if one["hours_below"] is None else _range(one["hours_below"]),
            None if one["hours_above"] is None else _range(one["hours_above"]),
        )
        for one in answer["places"]
    )
    half = answer["half_time_days"]
    return Plan(
        key,
        places,
        measure_next=tuple(answer["measure_next"]),
        half_time=half["text"].removesuffix(" d") if half else "",
        warnings=tuple(answer["warnings"]),
        answer=answer,
    )


def _range(value: Mapping[str, float], factor: float = 1.0) -> Ranged:
    return Ranged(*(factor * value[name] for name in ("low", "typical", "high")))
