"""A logger's file on its way in: the guess to be confirmed, and the record once it is."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from softmend import __version__, catalogue
from softmend.errors import InputError, SoftmendError
from softmend.intake.logger_kept import keep_answer, kept_answer
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.logger_file import LoggerFile
from softmend.services.bench import Author, Bench
from softmend.services.computing import kept_files
from softmend.services.examine.quantities import Outcome
from softmend.services.places.house import record_file

MOST_BYTES = 64 << 20
SHOWN_LINES = 10
Stated = Mapping[str, Any]


@dataclass(frozen=True)
class Guess:
    """What a file seems to be; `refused` says what cannot be known until somebody states it."""

    sha256: str
    name: str
    stated: Stated
    answer: Outcome | None
    refused: str = ""
    is_for_day: bool = False
    is_for_start: bool = False


def take_in(bench: Bench, path: Path) -> str:
    """Keep a logger's file as it is and return its hash; nothing is read yet."""
    size = path.stat().st_size
    if not 0 < size <= MOST_BYTES:
        raise InputError(
            "This is no logger's file that can be taken in",
            value=f"{size} bytes",
            allowed=f"1 byte to {MOST_BYTES >> 20} MiB",
        )
    return bench.store.files.put_path(path)


def first_lines(bench: Bench, sha256: str) -> tuple[str, ...]:
    """Return the first lines of a file of text as they stand, for a person to look at."""
    from softmend.intake.logger_text import text_of

    try:
        text = text_of(bench.store.files.path(sha256).read_bytes())
    except SoftmendError:
        return ()
    return tuple(line[:300] for line in text.lines[:SHOWN_LINES])


def guessed(bench: Bench, sha256: str, name: str, stated: Stated) -> Guess:
    """Return how a kept file reads as stated, or why it cannot be read without a person's word."""
    try:
        answer = read_outcome(bench, sha256, stated)
    except SoftmendError as refused:
        text = refused.sentence()
        words = ("day", "month")
        is_for_day = all(word in text for word in words)
        return Guess(sha256, name, stated, None, text, is_for_day, "(counted_from)" in text)
    return Guess(sha256, name, stated, answer)


def read_outcome(bench: Bench, sha256: str, stated: Stated) -> Outcome:
    """Return what climate.read says of a kept file; it is read once for each way of reading."""
    folder = bench.store.files.derived_folder(sha256, "readings")
    key = f"look-{hash_of([dict(stated), __version__])}"
    known = kept_answer(folder, key)
    if known is None:
        payload = {"logger_file": sha256, "reading": dict(stated)}
        known = catalogue.run(
            "climate.read", payload, files=kept_files(bench, {"logger_file": sha256})
        )
        keep_answer(folder, key, known)
    found: Outcome = known
    return found


def hash_of(value: Any) -> str:
    """Return a short name for plain data, for files that can be made again."""
    return hashlib.sha256(canonical_json(value).encode()).hexdigest()[:24]


def stated_of(kept: LoggerFile) -> dict[str, Any]:
    """Return how a file was confirmed to be read, as the reader takes it."""
    found: dict[str, Any] = {
        "delimiter": kept.delimiter,
        "decimal": kept.decimal,
        "day_order": kept.day_order,
        "zone": kept.zone,
        "temperature_unit": kept.temperature_unit,
        "humidity_unit": kept.humidity_unit,
        "counted_from": kept.counted_from,
        "meanings": dict(kept.meanings) or None,
    }
    return {name: value for name, value in found.items() if value}


def confirm(
    bench: Bench, author: Author, blank: LoggerFile, stated: Stated, based_on: str = ""
) -> list[Entry]:
    """Record every logger of a file as it was confirmed; `blank` says where it hangs and how.

    A file with several loggers gives one record each, named after the file's own names.
    """
    answer = _answered(bench, blank.original_sha256, stated)
    several = len(answer["loggers"]) > 1
    kept = []
    for one in answer["loggers"]:
        name = f"{blank.logger}, {one['name']}" if several and one["name"] else blank.logger
        record = replace(_filled(blank, answer, one, stated), logger=name)
        kept.append(record_file(bench, author, record, based_on=based_on))
    return kept


def confirm_each(
    bench: Bench, author: Author, blanks: Mapping[str, LoggerFile], stated: Stated
) -> list[Entry]:
    """Record the loggers of a file that were taken, each with its own name, place and offsets.

    `blanks` is by the file's own names; a logger that is not among them stays in the file.
    """
    if not blanks:
        raise InputError("No logger of the file was taken", remedy="Name one or more of them")
    sha256 = next(iter(blanks.values())).original_sha256
    answer = _answered(bench, sha256, stated)
    found = {one["name"]: one for one in answer["loggers"]}
    for name in blanks:
        if name not in found:
            raise InputError("There is no such logger in the file", value=name,
                             allowed=", ".join(found))  # fmt: skip
    ready = [_filled(blank, answer, found[name], stated) for name, blank in blanks.items()]
    return [record_file(bench, author, one) for one in ready]


def _answered(bench: Bench, sha256: str, stated: Stated) -> Outcome:
    answer = read_outcome(bench, sha256, stated)
    if not answer["loggers"]:
        raise InputError("No logger could be read from this file", remedy="Look at its columns")
    return answer


def _filled(blank: LoggerFile, answer: Outcome, one: Outcome, stated: Stated) -> LoggerFile:
    seen = one["series"]
    humid = next((each for each in seen if each["quantity"] == "relative humidity"), None)
    first = humid or next(iter(seen), None)
    if first is None:
        raise InputError(
            "Neither humidity nor temperature was read",
            remedy="Name the columns that hold them",
        )
    return replace(
        blank,
        delimiter="" if answer["delimiter"] == "workbook" else answer["delimiter"],
        decimal=answer["decimal"],
        day_order=str(stated.get("day_order") or answer["day_order"]),
        zone=answer["zone"],
        temperature_unit=answer["temperature_unit"],
        humidity_unit=str(stated.get("humidity_unit", "")),
        counted_from=str(stated.get("counted_from", "")),
        start_at=one["start_at"],
        end_at=one["end_at"],
        reading_count=first["count"],
        step_hours=one["step_hours"],
        coverage_percent=first["coverage_percent"],
        flags=_flags(answer, one),
        name_in_file=one["name"],
        meanings=tuple(dict(stated.get("meanings") or {}).items()),
    )


def _flags(answer: Outcome, one: Outcome) -> tuple[str, ...]:
    """Return what stood out in the file as a whole and in this logger of it, each once."""
    of_loggers = {
        words
        for each in answer["loggers"]
        for said in each["warnings"]
        for words in (said, f"{each['name']}: {said}")
    }
    general = [
        words
        for words in answer["warnings"]
        if words not in of_loggers and not words.startswith("Relative humidity is over")
    ]
    aside = [f"line {each['line_number']}: {each['why']}" for each in answer["set_aside"][:5]]
    more = answer["set_aside_count"] - len(aside)
    if more > 0:
        aside.append(f"and {more} more lines that hold no reading")
    return tuple(dict.fromkeys((*general, *one["warnings"], *aside)))
