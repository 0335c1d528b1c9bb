"""The record that speaks for an object: which of several loggers stood nearest, and when."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from softmend import __version__
from softmend.errors import MissingEvidenceError
from softmend.intake.logger_kept import Arrays, joined
from softmend.records.place import NearLogger
from softmend.science.climate.record import DAY
from softmend.science.climate.reduced import Hours
from softmend.services.bench import Bench
from softmend.services.places.drawn import zone_named
from softmend.services.places.house import KeptFile, loggers_in
from softmend.services.places.reading import hash_of
from softmend.services.places.record import Record, record_of
from softmend.services.places.tied import Tied
from softmend.services.store import Reader


def record_for(bench: Bench, reader: Reader, tied: Tied) -> Record | None:
    """Return the room's record as the object met it; None while its room was never logged."""
    if tied.place is None or tied.stands is None:
        return None
    loggers = loggers_in(reader, tied.place.subject_id)
    if not loggers:
        return None
    chosen = [one for one in tied.stands.near if one.logger in loggers]
    if not chosen:
        name = next(iter(loggers))
        return record_of(bench, name, loggers[name])
    parts = [(one, record_of(bench, one.logger, loggers[one.logger])) for one in chosen]
    return _joined(parts, tied.place.place.zone)


def loggers_for(reader: Reader, tied: Tied) -> tuple[str, ...]:
    """Return the loggers that hang in the object's room, the longest record first."""
    return () if tied.place is None else tuple(loggers_in(reader, tied.place.subject_id))


def words_of_record(record: Record, tied: Tied, loggers: Sequence[str]) -> Iterator[str]:
    """Yield which logger speaks for the object and when, and how each was calibrated."""
    near = tied.stands.near if tied.stands else ()
    if near:
        for one in near:
            yield f"{one.logger}{_days(one)}, as it stood nearest."
    elif len(loggers) > 1:
        yield (
            f"{len(loggers)} loggers hang in this room; the longest, {loggers[0]}, was taken. Say "
            "which stood nearest."
        )
    for file in {one.file.original_sha256 + one.file.name_in_file: one.file
                 for one in record.files}.values():  # fmt: skip
        if file.rh_offset_percent or file.temperature_offset_degc:
            on = "" if file.calibrated_on == "not known" else f", {file.calibrated_on}"
            yield (
                f"{file.logger}: {_signed(file.rh_offset_percent)} %RH and "
                f"{_signed(file.temperature_offset_degc)} K were added to every reading "
                f"({file.calibrated_how}{on})."
            )


def _signed(value: float) -> str:
    return f"{value:+g}".replace("-", "\u2212")


def _days(one: NearLogger) -> str:
    first = f" from {one.from_on}" if one.from_on else ""
    last = f" until {one.until_on}" if one.until_on else ""
    return f"{first}{last}" or " throughout"


def _joined(parts: Sequence[tuple[NearLogger, Record]], zone: str) -> Record:
    """Return the days of each logger one after the other; a day that none speaks for is missing."""
    cut: list[Arrays] = []
    files: dict[str, KeptFile] = {}
    flags: list[str] = []
    for near, record in parts:
        hours = record.hours
        inside = (hours.times_s >= _start_s(near.from_on, zone)) & (
            hours.times_s < _end_s(near.until_on, zone)
        )
        if inside.any():
            warm = hours.temperature
            cut.append(
                {"times_s": hours.times_s[inside], "rh": hours.rh[inside]}
                | ({} if warm is None else {"temperature": warm[inside]})
            )
            files |= {one.entry_id: one for one in record.files}
            flags += [f"{record.logger}: {words}" for words in record.flags]
    if not cut:
        raise MissingEvidenceError(
            "No logger that stood nearest has a reading on the days that were said",
            remedy="Correct the days, or let the longest record speak",
        )
    has_warmth = all("temperature" in one for one in cut)
    times = joined([one["times_s"] for one in cut])
    step = max(record.hours.step_s for _near, record in parts)
    span = float(times[-1] - times[0])
    hours = Hours(
        times,
        joined([one["rh"] for one in cut]),
        joined([one["temperature"] for one in cut]) if has_warmth else None,
        step,
        sum(record.hours.without_temperature for _near, record in parts),
    )
    said = [[near.logger, near.from_on, near.until_on, record.key] for near, record in parts]
    return Record(
        logger=", then ".join(dict.fromkeys(near.logger for near, _record in parts)),
        files=tuple(files.values()),
        key=hash_of([said, zone, __version__]),
        hours=hours,
        coverage_percent=100.0 * min(1.0, times.size * step / (span + step)),
        days=span / DAY,
        sensor_percent=max(record.sensor_percent for _near, record in parts),
        flags=tuple(dict.fromkeys(flags)),
    )


def _start_s(day: str, zone: str) -> float:
    if not day:
        return float("-inf")
    return datetime.combine(
        date.fromisoformat(day), datetime.min.time(), zone_named(zone)
    ).timestamp()


def _end_s(day: str, zone: str) -> float:
    if not day:
        return float("inf")
    return _start_s((date.fromisoformat(day) + timedelta(days=1)).isoformat(), zone)
