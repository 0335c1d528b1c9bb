"""The chain of entries: what is refused, and what a verification finds."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import RuleError
from softmend.records.entry import (
    Entry,
    Finding,
    Head,
    chain_findings,
    empty_head,
    entry_hash,
    next_entry,
)

DOSSIER = "0190-dossier"


def draft(index: int = 1, **changes: object) -> Entry:
    entry = Entry(
        id=f"entry-{index}",
        dossier_id=DOSSIER,
        number=0,
        kind="hazard",
        subject_id=f"subject-{index}",
        payload='{"hazard":"mould"}',
        payload_version=1,
        payload_hash="",
        corrects=None,
        author_id="person-1",
        purpose="condition check",
        at="2026-03-02T09:15:30.250Z[Europe/Oslo]",
        previous_hash="",
    )
    return replace(entry, **changes)


def chain(length: int) -> list[Entry]:
    head, entries = empty_head(DOSSIER), []
    for index in range(1, length + 1):
        entry = next_entry(head, draft(index))
        entries.append(entry)
        head = Head(DOSSIER, entry.number, entry.hash)
    return entries


@pytest.mark.parametrize("missing", ["purpose", "author_id", "at"])
def test_no_record_without_purpose_author_and_date(missing: str) -> None:
    with pytest.raises(RuleError) as refused:
        next_entry(empty_head(DOSSIER), draft(**{missing: "  "}))
    assert refused.value.rule == 1


def test_a_time_not_written_as_agreed_is_refused() -> None:
    with pytest.raises(RuleError, match="not written as agreed"):
        next_entry(empty_head(DOSSIER), draft(at="2026-03-02 09:15"))


def test_entries_are_numbered_without_gaps_and_chained() -> None:
    entries = chain(5)
    assert [entry.number for entry in entries] == [1, 2, 3, 4, 5]
    assert [entry.previous_hash for entry in entries[1:]] == [entry.hash for entry in entries[:-1]]
    assert list(chain_findings(DOSSIER, entries)) == []


FIELDS = [
    ("subject_id", "another"),
    ("author_id", "another"),
    ("purpose", "another"),
    ("at", "2026-03-02T09:15:30.251Z[Europe/Oslo]"),
    ("kind", "mark"),
    ("payload_version", 2),
    ("corrects", "another"),
]


@pytest.mark.parametrize(("name", "value"), FIELDS)
def test_a_change_of_any_field_is_found_and_the_entry_named(name: str, value: object) -> None:
    entries = chain(3)
    entries[1] = replace(entries[1], **{name: value})
    found = list(chain_findings(DOSSIER, entries))
    assert any("entry 2" in finding.where and finding.is_damage for finding in found)


def test_a_changed_content_is_found_though_the_entry_hash_holds() -> None:
    entries = chain(3)
    entries[1] = replace(entries[1], payload='{"hazard":"none"}')
    assert list(chain_findings(DOSSIER, entries)) == [
        Finding("content was changed after it was recorded", "entry 2 (hazard)", True)
    ]


def test_a_rehashed_forgery_breaks_the_entry_after_it() -> None:
    entries = chain(3)
    forged = replace(entries[1], purpose="another")
    entries[1] = replace(forged, hash=entry_hash(forged))
    assert list(chain_findings(DOSSIER, entries)) == [
        Finding("does not follow the entry before it", "entry 3 (hazard)", True)
    ]


def test_a_removed_entry_is_found() -> None:
    entries = chain(3)
    del entries[1]
    found = [finding.what for finding in chain_findings(DOSSIER, entries)]
    assert "entry 2 is missing" in found


def test_withdrawn_content_is_said_to_be_withdrawn_and_never_missing() -> None:
    entries = chain(3)
    entries[1] = replace(entries[1], payload=None)
    withdrawn = frozenset({entries[1].id})
    assert list(chain_findings(DOSSIER, entries, withdrawn)) == [
        Finding("withdrawn", "entry 2 (hazard)", False)
    ]
    assert [finding.is_damage for finding in chain_findings(DOSSIER, entries)] == [True]
