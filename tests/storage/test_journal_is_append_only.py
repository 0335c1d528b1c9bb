"""Whatever is done, in any order: the journal only grows, and the two stores say the same."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import delete

from softmend.errors import NotFoundError
from softmend.records.bookkeeping import Withdrawal
from softmend.records.entry import Entry, chain_findings
from softmend.records.projection import human_number_in
from softmend.services.fake_store import FakeStore
from softmend.services.store import Reader, Store
from softmend.storage.tables import metadata
from tests.storage.making import (
    a_hazard,
    a_head,
    a_mark,
    a_strike,
    an_entry,
    an_opening,
)

if TYPE_CHECKING:
    from softmend.storage.store import SqlStore

DOSSIERS = st.sampled_from(["d1", "d2"])
SUBJECTS = st.sampled_from(["s1", "s2", "s3"])
WORDS = st.text(st.characters(codec="utf-8"), max_size=20)


class Journal(RuleBasedStateMachine):
    """One sequence of entries, struck, withdrawn, rebuilt, on a database and on the fake."""

    database: SqlStore

    def __init__(self) -> None:
        super().__init__()
        with self.database._engine.begin() as connection:
            for table in reversed(metadata.sorted_tables):
                connection.execute(delete(table))
        self.stores: tuple[Store, Store] = (self.database, FakeStore())
        self.recorded: dict[str, list[Entry]] = {}
        self.time_s = 0

    def teardown(self) -> None:
        self.stores[1].close()

    def _append(self, entry: Entry, erased: str = "") -> None:
        self.time_s += 1
        at = f"2026-03-02T{self.time_s // 3600:02d}:{self.time_s // 60 % 60:02d}:"
        entry = replace(entry, at=f"{at}{self.time_s % 60:02d}.000Z[UTC]")
        kept = []
        for store in self.stores:
            with store.writing() as writer:
                kept.append(writer.append(entry))
                if erased:
                    writer.erase_payload(erased)
                writer.commit()
        assert kept[0] == kept[1]
        journal = self.recorded.setdefault(entry.dossier_id, [])
        journal.append(kept[0])
        self.recorded[entry.dossier_id] = [
            replace(each, payload=None) if each.id == erased else each for each in journal
        ]

    @rule(dossier_id=DOSSIERS, number=WORDS)
    def open_or_correct(self, dossier_id: str, number: str) -> None:
        self._append(an_opening(dossier_id, number))

    @precondition(lambda self: self.recorded)
    @rule(title=WORDS, choice=st.data())
    def describe(self, title: str, choice: st.DataObject) -> None:
        self._append(a_head(choice.draw(st.sampled_from(sorted(self.recorded))), title))

    @precondition(lambda self: "d1" in self.recorded)
    @rule(subject_id=SUBJECTS, note=WORDS)
    def mark(self, subject_id: str, note: str) -> None:
        with self.stores[1].reading() as reader:
            latest = reader.latest("mark", subject_id)
            held = reader.projection("d1").current
            numbers = [each.human_number for each in held if each.subject_id == subject_id]
            number = (latest and numbers and max(numbers)) or reader.next_number("d1", "mark")
        self._append(an_entry("d1", subject_id, a_mark(number, note=note)))

    @precondition(lambda self: "d1" in self.recorded)
    @rule(subject_id=SUBJECTS)
    def ask_hazard(self, subject_id: str) -> None:
        self._append(an_entry("d1", subject_id, a_hazard()))

    @precondition(lambda self: "d1" in self.recorded)
    @rule(subject_id=SUBJECTS, kind=st.sampled_from(["mark", "hazard", "object_head"]))
    def strike(self, subject_id: str, kind: str) -> None:
        self._append(a_strike("d1", kind, "d1" if kind == "object_head" else subject_id))

    @precondition(lambda self: self.recorded)
    @rule(choice=st.data())
    def withdraw(self, choice: st.DataObject) -> None:
        dossier_id = choice.draw(st.sampled_from(sorted(self.recorded)))
        kinds = {"mark", "hazard", "object_head"}
        able = [each for each in self.recorded[dossier_id] if each.kind in kinds and each.payload]
        if able:
            entry = choice.draw(st.sampled_from(able))
            said = Withdrawal(entry.kind, entry.id, "A", "b", entry.subject_id,
                              human_number_in(entry))  # fmt: skip
            self._append(an_entry(dossier_id, entry.id, said), erased=entry.id)

    @rule(dossier_id=DOSSIERS)
    def write_without_commit(self, dossier_id: str) -> None:
        for store in self.stores:
            with store.writing() as writer:
                writer.append(an_opening(dossier_id))

    @precondition(lambda self: self.recorded)
    @rule(choice=st.data())
    def rebuild(self, choice: st.DataObject) -> None:
        dossier_id = choice.draw(st.sampled_from(sorted(self.recorded)))
        for store in self.stores:
            with store.writing() as writer:
                before = writer.projection(dossier_id)
                writer.rebuild(dossier_id)
                assert writer.projection(dossier_id) == before
                writer.commit()

    @invariant()
    def the_journal_is_what_was_recorded(self) -> None:
        for store in self.stores:
            with store.reading() as reader:
                assert reader.dossier_ids() == sorted(self.recorded)
                for dossier_id, recorded in self.recorded.items():
                    assert reader.entries(dossier_id) == recorded
                    erased = frozenset(each.id for each in recorded if each.payload is None)
                    found = chain_findings(dossier_id, recorded, erased)
                    assert not any(each.is_damage for each in found)

    @invariant()
    def both_stores_answer_alike(self) -> None:
        with self.stores[0].reading() as sql, self.stores[1].reading() as fake:
            assert answers(sql) == answers(fake)


def answers(reader: Reader) -> list[object]:
    """Return what a store says to every question about its dossiers."""
    said: list[object] = [reader.dossiers(), reader.dossiers("a"), reader.dossier_count("inv b")]
    for dossier_id in reader.dossier_ids():
        said += [reader.head(dossier_id), reader.current(dossier_id), reader.projection(dossier_id)]
        said += [reader.next_number(dossier_id, kind) for kind in ("mark", "view")]
    for kind in ("mark", "hazard", "object_head", "struck", "withdrawal"):
        for subject_id in ("s1", "s2", "d1"):
            said += [reader.history(kind, subject_id), reader.latest(kind, subject_id)]
    try:
        reader.head("d3")
    except NotFoundError as missed:
        said.append(missed.sentence())
    return said


def test_the_journal_is_append_only(sql_store: SqlStore) -> None:
    class OnThisStore(Journal):
        database = sql_store

    run_state_machine_as_test(
        OnThisStore,
        settings=settings(
            max_examples=12,
            stateful_step_count=15,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        ),
    )
