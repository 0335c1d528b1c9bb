"""What a place does: its band or "so far", its months, published bands beside, what is flagged."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.errors import RuleError
from softmend.records.logger_file import Beside, check_band_record
from softmend.records.place import Stable
from softmend.report.content import Working
from softmend.services.bench import Bench
from softmend.services.examine.quantities import Outcome
from softmend.services.places.drawn import Month, months_of
from softmend.services.places.house import (
    KeptCase,
    KeptFile,
    KeptPlace,
    cases_in,
    files_in,
    loggers_in,
    place_of,
)
from softmend.services.places.record import Record, computed, record_of
from softmend.services.store import Reader
from softmend.services.workings import working

STABLE = {Stable.YES: True, Stable.NO: False, Stable.NOT_KNOWN: None}
NEVER_PERMITS = "This page describes what a place does; it never permits."


@dataclass(frozen=True)
class Band:
    """The band of a record, or why there is none; `answer` holds levels and published bands."""

    answer: Outcome
    refused: str

    @property
    def is_yearly(self) -> bool:
        """Say whether a yearly band may be shown."""
        return not self.refused


@dataclass(frozen=True)
class Account:
    """One place as its page shows it; `record` is None until a logger's file was brought in."""

    place: KeptPlace
    cases: tuple[KeptCase, ...]
    files: tuple[KeptFile, ...]
    loggers: tuple[str, ...]
    record: Record | None = None
    band: Band | None = None
    months: tuple[Month, ...] = ()
    work: Working | None = None


def account_of(bench: Bench, reader: Reader, place_id: str, logger: str = "") -> Account:
    """Return a place with the record of one logger in the room, the longest when none is named."""
    place = place_of(reader, place_id)
    loggers = loggers_in(reader, place_id)
    shown = Account(
        place=place,
        cases=tuple(cases_in(reader, place_id)),
        files=tuple(files_in(reader, place_id)),
        loggers=tuple(loggers),
    )
    if not loggers:
        return shown
    name = logger if logger in loggers else next(iter(loggers))
    record = record_of(bench, name, loggers[name])
    band = band_of(bench, record)
    return Account(
        place=place,
        cases=shown.cases,
        files=shown.files,
        loggers=shown.loggers,
        record=record,
        band=band,
        months=tuple(months_of(record, place.place.zone)),
        work=working("climate.band", "the room", band.answer),
    )


def room_record(
    bench: Bench, reader: Reader, place_id: str, beside: Beside = Beside.ROOM, showcase_id: str = ""
) -> Record | None:
    """Return the longest record of a room, or of a case in it; None while there is none."""
    loggers = loggers_in(reader, place_id, beside, showcase_id)
    if not loggers:
        return None
    name = next(iter(loggers))
    return record_of(bench, name, loggers[name])


def band_of(
    bench: Bench,
    record: Record,
    stable: Stable = Stable.NOT_KNOWN,
    *,
    has_new_joins: bool = False,
) -> Band:
    """Return the band that was lived in, or "so far" where rule 18 refuses a yearly one."""
    asked: dict[str, Any] = {"stable": STABLE[stable], "new_joins": has_new_joins}
    answer = computed(bench, record, "climate.band", asked)
    try:
        yearly_band(record)
    except RuleError as refused:
        return Band(_without_band(answer), refused.sentence())
    if answer["answer"] == "cannot say":
        return Band(answer, " ".join(answer["reasons"]))
    return Band(answer, "")


def yearly_band(record: Record) -> None:
    """Refuse a yearly band of a record that is too short or too coarse (rule 18)."""
    check_band_record(record.days, record.native_step_hours)


def _without_band(answer: Outcome) -> Outcome:
    empty = {
        name: None
        for name in (
            *("lower_found_percent", "upper_found_percent", "lower_allowed_percent"),
            *("upper_allowed_percent", "outside_percent", "outside_hours"),
        )
    }
    return {**answer, **empty, "band": "", "level": [], "answer": "cannot say"}
