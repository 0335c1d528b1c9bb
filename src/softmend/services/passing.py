"""Passing a rule: a named person, a reason, and it is printed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.entry import Entry
from softmend.records.passing import RULES, Passed, checked_passing
from softmend.report.content import PassedRow
from softmend.services.bench import Author, Bench
from softmend.services.days import day_of
from softmend.services.recording import append_record, current_records
from softmend.services.store import Reader, Writer


def pass_rule(bench: Bench, author: Author, dossier_id: str, passed: Passed) -> Entry:
    """Record that a named person passes a rule, for exactly what it is about."""
    with bench.store.writing() as writer:
        entry = append_pass(bench, writer, author, dossier_id, passed)
        writer.commit()
    return entry


def append_pass(
    bench: Bench, writer: Writer, author: Author, dossier_id: str, passed: Passed
) -> Entry:
    """Record a pass inside an open transaction; a later one about the same thing follows it."""
    checked = checked_passing(passed)
    writer.head(dossier_id)
    subject_id = f"{dossier_id}:rule {checked.rule}:{checked.about}"
    standing = writer.latest("passed", subject_id)
    return append_record(
        bench,
        writer,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id,
        record=checked,
        based_on=standing.id if standing else "",
    )


def passings_in(reader: Reader, dossier_id: str) -> list[Passed]:
    """Return every pass that stands in a dossier."""
    return [passed for _, passed in current_records(reader, dossier_id, "passed")]


def passed_rows(reader: Reader, dossier_id: str) -> tuple[PassedRow, ...]:
    """Return every pass as the reports list it, in the order of recording."""
    found = current_records(reader, dossier_id, "passed")
    return tuple(
        PassedRow(
            rule=passed.rule,
            asks=RULES[passed.rule],
            about=passed.about,
            because=passed.because,
            by=passed.by,
            passed_on=day_of(entry.at),
        )
        for entry, passed in sorted(found, key=lambda one: one[0].number)
    )
