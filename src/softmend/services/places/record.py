"""A logger's record of a place: its files one after the other, read once and kept by their hash."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend import __version__, catalogue
from softmend.errors import InputError, MissingEvidenceError, SoftmendError
from softmend.intake.logger import Stated, open_logger
from softmend.intake.logger_kept import (
    Arrays,
    has_answer,
    joined,
    keep_answer,
    keep_arrays,
    kept_answer,
    kept_arrays,
    nothing_read,
    numbers,
)
from softmend.science.climate.record import HOUR
from softmend.science.climate.reduced import Hours, hours_of
from softmend.science.climate.series import series
from softmend.services.bench import Bench
from softmend.services.examine.quantities import Outcome
from softmend.services.places.house import KeptFile
from softmend.services.places.reading import hash_of, stated_of
from softmend.tables import table

READS = ("case_assumed", "climate_bands", "coating_films", "finish_exclusion", "light_rules")
"""Tables whose change makes a kept answer old."""
QUICK_EVERY = 3
"""A what-if first takes every third hour."""


@dataclass(frozen=True)
class Record:
    """One logger's hours with what they were made from; `key` names exactly this record."""

    logger: str
    files: tuple[KeptFile, ...]
    key: str
    hours: Hours
    coverage_percent: float
    days: float
    sensor_percent: float
    flags: tuple[str, ...]

    @property
    def entry_ids(self) -> tuple[str, ...]:
        """Return the entries of the files that it was read from."""
        return tuple(one.entry_id for one in self.files)

    @property
    def step_hours(self) -> float:
        """Return the time between two hours of it, one or more."""
        return self.hours.step_s / HOUR

    @property
    def native_step_hours(self) -> float:
        """Return the coarsest step that its files were logged at."""
        return max(one.file.step_hours for one in self.files)

    def payload(self, every: int = 1) -> dict[str, Any]:
        """Return the readings as a computation takes them, whole or every so many hours."""
        hours = self.hours
        times = hours.times_s[::every]
        found: dict[str, Any] = {
            "air_start_at": moment_text(float(times[0])),
            "air_hours": ((times - times[0]) / HOUR).round(6).tolist(),
            "air_percent": hours.rh[::every].round(3).tolist(),
            "sensor_percent": self.sensor_percent,
        }
        if hours.temperature is not None:
            found["air_degc"] = hours.temperature[::every].round(3).tolist()
        return found


def moment_text(at_s: float) -> str:
    """Return a moment as UTC text to the second, such as 2024-03-15T22:00:00Z."""
    from datetime import UTC, datetime

    return f"{datetime.fromtimestamp(at_s, UTC):%Y-%m-%dT%H:%M:%SZ}"


def record_of(bench: Bench, logger: str, files: Sequence[KeptFile]) -> Record:
    """Return the record of one logger from its files, in the order of time."""
    if not files:
        raise MissingEvidenceError(
            "No logger's file is kept for this place", remedy="Bring one in; nothing is guessed"
        )
    key = hash_of([[one.entry_id for one in files], __version__])
    folder = bench.store.files.derived_folder(files[0].file.original_sha256, "readings")
    kept = kept_arrays(folder, f"hours-{key}")
    if kept is None:
        kept = _hours_as_arrays(bench, files)
        keep_arrays(folder, f"hours-{key}", kept)
    hours = Hours(
        kept["times_s"],
        kept["rh"],
        kept["temperature"] if kept["temperature"].size else None,
        float(kept["told"][0]),
        int(kept["told"][1]),
    )
    flags = [words for one in files for words in one.file.flags]
    if hours.without_temperature:
        flags.append(
            f"{hours.without_temperature} hours with a humidity but no temperature are left out "
            "of what is computed."
        )
    return Record(
        logger=logger,
        files=tuple(files),
        key=key,
        hours=hours,
        coverage_percent=100 * float(kept["told"][2]),
        days=float(hours.times_s[-1] - hours.times_s[0]) / (24 * HOUR),
        sensor_percent=max(one.file.sensor_percent for one in files),
        flags=tuple(dict.fromkeys(flags)),
    )


def readings_of(bench: Bench, kept: KeptFile) -> Arrays:
    """Return every reading of one logger of one file as confirmed, calibrated; read once."""
    file = kept.file
    folder = bench.store.files.derived_folder(file.original_sha256, "readings")
    key = f"rows-{hash_of([stated_of(file), file.name_in_file, __version__])}"
    found = kept_arrays(folder, key)
    if found is None:
        found = _read(bench, file)
        keep_arrays(folder, key, found)
    return {
        "times_s": found["times_s"],
        "rh": found["rh"] + file.rh_offset_percent,
        "temperature": found["temperature"] + file.temperature_offset_degc,
    }


def computed(
    bench: Bench, record: Record, name: str, asked: dict[str, Any], every: int = 1
) -> Outcome:
    """Return a computation on a record's readings; the same question is answered from the disk."""
    folder, key = answer_folder(bench, record), answer_key(record, name, asked, every)
    known = kept_answer(folder, key)
    if known is None:
        try:
            known = catalogue.run(name, {**record.payload(every), **asked})
        except SoftmendError as refused:
            raise InputError(refused.sentence()) from refused
        keep_answer(folder, key, known)
    found: Outcome = known
    return found


def is_answered(bench: Bench, record: Record, name: str, asked: dict[str, Any]) -> bool:
    """Say whether a question on the whole record has its answer on the disk."""
    return has_answer(answer_folder(bench, record), answer_key(record, name, asked))


def answer_folder(bench: Bench, record: Record) -> Path:
    """Return where the answers on a record are kept, to be made again when lost."""
    return bench.store.files.derived_folder(record.files[0].file.original_sha256, "readings")


def answer_key(record: Record, name: str, asked: dict[str, Any], every: int = 1) -> str:
    """Return the name that an answer is kept under: another input or table is another name."""
    tables = {one: table(one).version for one in READS}
    return f"said-{hash_of([name, asked, record.key, every, __version__, tables])}"


def _read(bench: Bench, file: Any) -> Arrays:
    opened = open_logger(bench.store.files.path(file.original_sha256))
    found = opened.read(Stated(**stated_of(file)))
    one = next((each for each in found.series if each.name == file.name_in_file), None)
    if one is None:
        raise MissingEvidenceError(
            "The logger is not in its file any more as it was confirmed",
            remedy="Bring the file in again and confirm how it is read",
        )
    missing = nothing_read(one.times_s.size)
    return {
        "times_s": one.times_s,
        "rh": missing if one.rh_percent is None else one.rh_percent,
        "temperature": missing if one.temperature_degc is None else one.temperature_degc,
    }


def _hours_as_arrays(bench: Bench, files: Sequence[KeptFile]) -> Arrays:
    parts = [readings_of(bench, one) for one in files]
    rows = {name: joined([part[name] for part in parts]) for name in parts[0]}
    whole = series(rows["times_s"], rows["rh"], rows["temperature"])
    hours = hours_of(whole)
    seen = whole.rh_seen
    return {
        "times_s": hours.times_s,
        "rh": hours.rh,
        "temperature": nothing_read(0) if hours.temperature is None else hours.temperature,
        "told": numbers(
            hours.step_s, float(hours.without_temperature), seen.coverage if seen else 0.0
        ),
    }
