"""What is measured and sized for a case: its air exchange from a tracer, its buffer by two ways."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, MissingEvidenceError
from softmend.records.crack_model import Basis, Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.showcase import Showcase
from softmend.services.bench import Author, Bench
from softmend.services.computing import kept_files
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.explain.binding import told_value
from softmend.services.places.drawn import season_swing
from softmend.services.places.house import KeptCase, case_of, record_case
from softmend.services.places.plans import plain
from softmend.services.places.reading import take_in
from softmend.services.places.record import Record
from softmend.services.places.tracer import looks_like_a_file, typed_readings
from softmend.tables.case_assumed import case_assumed

POINTS_OF_95 = 1.6449 / 1.96
"""The 5 and 95 % points of a bell lie so much nearer than the ends of its 95 % interval."""
LEAST_EXCHANGE = 0.001
WAYS = {"exactly": "exact_kg", "by the formula": "formula_kg", "for the season": "season_kg"}


@dataclass(frozen=True)
class TracerAsked:
    """A fading tracer as it was asked: lines or a kept file, the background, and which part."""

    readings: str = ""
    sha256: str = ""
    logger: str = ""
    day_order: str = ""
    background_ppm: float | None = None
    is_background_read: bool = False
    from_hours: float | None = None
    to_hours: float | None = None


@dataclass(frozen=True)
class BufferAsked:
    """What the buffer is to do; the capacity is told with where it comes from."""

    capacity: Told
    room_percent: float | None = None
    set_percent: float | None = None
    drift_percent: float | None = None
    held_days: float | None = None
    room_swing_percent: float | None = None
    wanted_swing_percent: float | None = None


def kept_lines(bench: Bench, asked: TracerAsked, upload: Path | None = None) -> TracerAsked:
    """Return what was asked with its file kept: one that was chosen, or pasted lines with dates."""
    if upload is not None:
        return replace(asked, sha256=take_in(bench, upload), readings="")
    if asked.readings and looks_like_a_file(asked.readings):
        with bench.store.files.working_folder() as folder:
            path = folder / "pasted"
            path.write_text(asked.readings, encoding="utf-8")
            return replace(asked, sha256=take_in(bench, path), readings="")
    return asked


def exchange_measured(bench: Bench, asked: TracerAsked) -> Outcome:
    """Return the air exchange from a tracer that fades, or "cannot say"; nothing is recorded."""
    payload: dict[str, Any] = {}
    if asked.background_ppm is not None:
        kind = "measured" if asked.is_background_read else "estimated"
        payload["background_ppm"] = {"value": asked.background_ppm, "kind": kind}
    for name in ("from_hours", "to_hours"):
        if getattr(asked, name) is not None:
            payload[name] = getattr(asked, name)
    if not asked.sha256:
        payload["tracer_hours"], payload["tracer_ppm"] = typed_readings(asked.readings)
        return outcome("showcase.air_exchange", payload)
    reading = {"day_order": asked.day_order} if asked.day_order else {}
    payload |= {"logger_file": asked.sha256, "logger_name": asked.logger, "reading": reading}
    files = kept_files(bench, {"logger_file": asked.sha256})
    found: Outcome = catalogue.run("showcase.air_exchange", payload, files=files)
    return found


def use_exchange(
    bench: Bench, author: Author, showcase_id: str, asked: TracerAsked, based_on: str
) -> Entry:
    """Record the exchange that was measured as the case's own, with what it rests on."""
    answer = exchange_measured(bench, asked)
    if answer["exchange_per_day"] is None:
        raise MissingEvidenceError(
            "This decay gives no air exchange that could be used",
            remedy=" ".join(answer["reasons"]),
        )
    told = Told(*_points(answer), Basis.MEASURED, _exchange_rests_on(answer, asked))
    return _changed(bench, author, showcase_id, based_on, exchange_per_day=told)


def usual_exchange() -> Told:
    """Return the air exchange of a case that nobody measured."""
    return Told(*case_assumed("air exchange").points, Basis.ESTIMATED, "nobody measured it")


def buffer_sized(case: Showcase, asked: BufferAsked) -> Outcome:
    """Return the buffer by the formula and exactly, and for a season; nothing is recorded."""
    exchange = case.exchange_per_day or usual_exchange()
    grounds = asked.capacity.grounds
    if grounds == NOT_KNOWN:
        raise InputError(
            "Where the capacity comes from is not said",
            allowed="the supplier's figure corrected for hysteresis, or a measurement",
            remedy="Say what it rests on: gel of the same name differs from batch to batch",
        )
    payload: dict[str, Any] = {
        "volume_m3": case.volume_m3,
        "exchange_per_day": plain(told_value(exchange)),
        "capacity_g_per_kg": plain(told_value(asked.capacity)),
        "capacity_from": f"{asked.capacity.basis.value}, {grounds}",
    }
    for name in ("room_percent", "set_percent", "drift_percent", "held_days",
                 "room_swing_percent", "wanted_swing_percent"):  # fmt: skip
        if getattr(asked, name) is not None:
            payload[name] = getattr(asked, name)
    return outcome("showcase.buffer", payload)


def use_buffer(
    bench: Bench, author: Author, showcase_id: str, asked: BufferAsked, way: str, based_on: str
) -> Entry:
    """Record a computed mass as the case's buffer, marked as computed and for what."""
    with bench.store.reading() as reader:
        kept = case_of(reader, showcase_id)
    answer = buffer_sized(kept.case, asked)
    found = answer.get(WAYS.get(way, ""))
    if found is None:
        raise InputError("No mass was computed in this way", value=way, allowed=", ".join(WAYS))
    mass = float(f"{found['typical']:.2g}")
    is_held = way != "for the season"
    aim = (
        f"{asked.set_percent:g} %RH held {asked.held_days:g} d within {asked.drift_percent:g} %RH "
        f"in a room at {asked.room_percent:g}"
        if is_held
        else f"a season of ± {asked.room_swing_percent:g} brought to ± "
        f"{asked.wanted_swing_percent:g} %RH"
    )
    return _changed(
        bench,
        author,
        showcase_id,
        based_on,
        buffer_kg=mass,
        buffer_from=f"computed {way}, {found['text']}: {aim}; not weighed in yet",
        capacity_g_per_kg=asked.capacity,
        start_percent=asked.set_percent if is_held else kept.case.start_percent,
    )


def buffer_start(case: Showcase, record: Record | None) -> dict[str, float | None]:
    """Return what the form of the buffer begins with: the room's own mean and swing, if logged."""
    mean = swing = None
    if record is not None:
        mean = round(float(record.hours.rh.mean()), 1)
        swing = season_swing(record)
    return {"room_percent": mean, "set_percent": case.start_percent, "room_swing_percent": swing}


def _changed(bench: Bench, author: Author, showcase_id: str, based_on: str, **values: Any) -> Entry:
    with bench.store.reading() as reader:
        kept: KeptCase = case_of(reader, showcase_id)
    return record_case(
        bench, author, replace(kept.case, **values), subject_id=showcase_id, based_on=based_on
    )


def _points(answer: Outcome) -> tuple[float, float, float]:
    rate = answer["exchange_per_day"]
    half = POINTS_OF_95 * (answer["high_per_day"] - rate)
    low, typical, high = (float(f"{one:.3g}") for one in (rate - half, rate, rate + half))
    low = max(LEAST_EXCHANGE, low)
    return (low, typical, high) if low < typical < high else (typical, typical, typical)


def _exchange_rests_on(answer: Outcome, asked: TracerAsked) -> str:
    background = "background fitted"
    if asked.background_ppm is not None:
        how = "read in the room" if asked.is_background_read else "assumed"
        background = f"background {asked.background_ppm:g} ppm, {how}"
    return (
        f"tracer that faded over {answer['span_hours']:.0f} h, {background}; {answer['text']}, "
        f"interval widened {answer['widened']:.1f} times"
    )
