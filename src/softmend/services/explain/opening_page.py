"""What the page of a measured opening shows: both bands, the lag, and how much narrower it got."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from softmend.errors import InputError
from softmend.pictures.openings import OpeningBand
from softmend.records.crack_model import BodyAround
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.opening import MeasuredOpening, WidthSeries
from softmend.report.content import Working
from softmend.science.digits import few_digits
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.explain.binding import Bound, bound_crack
from softmend.services.explain.measured_opening import (
    DRIES_PERCENT,
    Measured,
    measured_opening,
    modelled_beside,
)
from softmend.services.recording import current_record
from softmend.services.store import Reader
from softmend.services.workings import working

LONGEST_PASTE = 1_000_000
_LINE = re.compile(r"^\s*(?P<time>.+?)\s*(?:[;\t,]\s*|\s+)(?P<number>[-+]?\d+(?:[.,]\d+)?)\s*$")


@dataclass(frozen=True)
class OpeningShown:
    """One crack's opening: what was measured, what the model says, and both side by side.

    `why_no_model` says what the model lacks; `sentence` compares the two in words.
    """

    entry: Entry
    mark: Mark
    measured: Measured | None
    bands: tuple[OpeningBand, ...]
    sentence: str
    lag_text: str
    why_no_model: str
    work: Working | None


def opening_shown(reader: Reader, dossier_id: str, mark_id: str) -> OpeningShown:
    """Return what is known of how one crack moves with the air."""
    entry, mark = current_record(reader, dossier_id, "mark", mark_id)
    bound = bound_crack(reader, dossier_id, entry, mark)
    measured = measured_opening(reader, dossier_id, mark_id)
    model, why = _model(bound)
    answer = _answer(measured, model)
    return OpeningShown(
        entry=entry,
        mark=mark,
        measured=measured,
        bands=tuple(_bands(answer, measured is not None)),
        sentence=_sentence(answer, measured is not None),
        lag_text=_lag(measured),
        why_no_model=why,
        work=None if answer is None else working("moisture.opening", f"mark {mark.number}", answer),
    )


def series_from_text(widths: str, air: str) -> WidthSeries:
    """Return a pasted series: a line a reading, its time (a day, a moment or hours), its number."""
    width_times, width_values = _column(widths, "widths")
    air_times, air_values = _column(air, "logger's readings")
    if isinstance(air_times[0], datetime) != isinstance(width_times[0], datetime):
        raise InputError(
            "Widths and logger's readings tell their times in two ways",
            value=f"{width_times[0]} and {air_times[0]}",
            allowed="days or moments in both, or hours in both",
        )
    start = air_times[0]
    return WidthSeries(
        starts_on=start.isoformat(" ")[:16] if isinstance(start, datetime) else "hour 0",
        taken_hours=tuple(_hours(one, start) for one in width_times),
        widths_mm=tuple(width_values),
        air_hours=tuple(_hours(one, start) for one in air_times),
        air_percent=tuple(air_values),
    )


def series_as_text(opening: MeasuredOpening | None) -> tuple[str, str]:
    """Return a recorded series as it could have been pasted, in hours."""
    if opening is None or opening.series is None:
        return "", ""
    series = opening.series
    pairs = (
        (series.taken_hours, series.widths_mm),
        (series.air_hours, series.air_percent),
    )
    widths, air = (
        "\n".join(f"{hour:g}; {value:g}" for hour, value in zip(*pair, strict=True))
        for pair in pairs
    )
    return widths, air


def _model(bound: Bound) -> tuple[dict[str, Any], str]:
    radius = bound.payload.get("crack", {}).get("radius_mm")
    mismatch = bound.sources.get("mismatch_percent")
    if bound.model.body is BodyAround.PLANE:
        return {}, "The model knows round shafts only; of a flat side it says nothing here."
    lacks = [
        words
        for words, value in (
            ("the radius", radius),
            ("how much more the object moves tangentially than radially", mismatch),
        )
        if value is None
    ]
    if radius is None or mismatch is None:
        return {}, f"The model has nothing to say without {' and '.join(lacks)}."
    return {"radius_mm": radius, "mismatch_percent": mismatch.model_dump(mode="json")}, ""


def _answer(measured: Measured | None, model: dict[str, Any]) -> Outcome | None:
    if measured is None:
        if not model:
            return None
        dries = {"before_percent": DRIES_PERCENT[0], "after_percent": DRIES_PERCENT[1]}
        return outcome("moisture.opening", dries | model)
    return modelled_beside(measured.record, model)


def _bands(answer: Outcome | None, is_measured: bool) -> list[OpeningBand]:
    if answer is None:
        return []
    modelled = answer["modelled_mm"]
    found = []
    if modelled is not None:
        found.append(_band("Modelled", modelled, False))
    if is_measured:
        found.append(_band("Measured", answer["opening_mm"], True))
    return found


def _band(name: str, estimate: Outcome, is_measured: bool) -> OpeningBand:
    points = (estimate["low"], estimate["typical"], estimate["high"])
    return OpeningBand(name, *points, estimate["text"].replace("-", "−"), is_measured)


def _sentence(answer: Outcome | None, is_measured: bool) -> str:
    if answer is None:
        return "It is not known how this crack moves with the air."
    drier = f"{DRIES_PERCENT[0] - DRIES_PERCENT[1]:g} %RH drier"
    used = answer["opening_mm"]
    if not is_measured:
        doubt = (
            " Whether it opens or closes is not known." if used["low"] < 0 < used["high"] else ""
        )
        return f"Modelled only, for air {drier}: {used['text']}.{doubt}"
    if used["low"] > 0:
        verb = "opens"
    elif used["high"] < 0:
        verb = "closes"
    else:
        verb = "opens or closes, it is not known which,"
    said = f"Measured on this object: it {verb} as the air gets {drier}: {used['text']}."
    modelled = answer["modelled_mm"]
    if modelled is None:
        return said
    times = (modelled["high"] - modelled["low"]) / max(used["high"] - used["low"], 1e-9)
    how = (
        f"The measured band is {few_digits(times)} times narrower than the modelled one"
        if times >= 1.1
        else "The measured band is no narrower than the modelled one: read it again in a season"
    )
    return f"{said} {how}; measured beats modelled, and this is what every page uses."


def _lag(measured: Measured | None) -> str:
    if measured is None or measured.answer["lag_typical_days"] is None:
        return ""
    low, typical, high = (
        few_digits(measured.answer[f"lag_{point}_days"]) for point in ("low", "typical", "high")
    )
    return (
        f"The crack follows the air with a lag of {typical} days ({low} to {high}): "
        "swings much shorter than that it hardly feels."
    )


def _column(text: str, what: str) -> tuple[list[datetime] | list[float], list[float]]:
    if len(text) > LONGEST_PASTE:
        raise InputError(f"The pasted {what} are too long", value=f"{len(text)} characters",
                         allowed=f"up to {LONGEST_PASTE}")  # fmt: skip
    moments: list[datetime] = []
    hours: list[float] = []
    values: list[float] = []
    lines = [line for line in text.splitlines() if line.strip()]
    # A heading has no digit.
    for line in lines[1:] if lines and not re.search(r"\d", lines[0]) else lines:
        found = _LINE.match(line)
        time = None if found is None else _time(found["time"])
        if found is None or time is None:
            raise InputError(
                f"A line of the {what} cannot be read",
                value=line.strip()[:80],
                allowed="a time and a number, such as 2026-01-10 09:00; 1.23",
            )
        if isinstance(time, datetime):
            moments.append(time)
        else:
            hours.append(time)
        values.append(float(found["number"].replace(",", ".")))
    if not values or (moments and hours):
        raise InputError(
            f"The {what} have no times, or tell them in two ways",
            value=f"{len(values)} lines",
            allowed="days, moments or hours",
        )
    return moments or hours, values


def _time(text: str) -> datetime | float | None:
    plain = text.strip().strip('";,')
    if re.fullmatch(r"[-+]?\d+(\.\d+)?", plain):
        return float(plain)
    try:
        return datetime.fromisoformat(plain).replace(tzinfo=None)
    except ValueError:
        return None


def _hours(time: datetime | float, start: datetime | float) -> float:
    if isinstance(time, datetime) and isinstance(start, datetime):
        return (time - start).total_seconds() / 3600.0
    if isinstance(time, float) and isinstance(start, float):
        return time
    raise InputError("The times are told in two ways", allowed="days or moments, or hours")


def with_pasted(opening: MeasuredOpening, widths: str, air: str) -> MeasuredOpening:
    """Return a measured opening with its series read from what was pasted."""
    return replace(opening, series=series_from_text(widths, air))
