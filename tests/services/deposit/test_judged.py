"""What leaves the house: each kind judged, nothing unjudged, no secret in any public byte."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import csv
import dataclasses
import io
import json
import typing
import zipfile
from dataclasses import replace
from enum import Enum
from typing import TYPE_CHECKING, Any

import pytest

from softmend.records.kinds import KINDS
from softmend.records.material import Direction, Fate, Moved
from softmend.records.payload import as_plain, from_plain
from softmend.records.proposal import Hours, Option, Options, PlanStep, Proposal
from softmend.services.deposit.archive import pack
from softmend.services.deposit.judged import (
    NOT_JUDGED,
    VERDICTS,
    WITHHELD,
    Leaves,
    verdict,
    without_hidden,
)
from softmend.services.deposit.outward import Receiver, withheld_words
from softmend.services.recording import record_one
from tests.services.deposit.test_deposit import everything_readable
from tests.services.deposit_sample import opened_dossier
from tests.services.hand_over_sample import CARE, RECEIPT

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.services.bench import Author, Bench

# Hours, minutes and money of the tests: no hash has a point, so none can hold it by chance.
HELD_BACK = "4321.75"
# Words in the names of fields that tell of a person, a place, a value or a movement.
PERSONS = ("_by", "by", "asked_of", "told_whom", "to_whom", "from_whom", "owner", "requested_by",
           "agreed_with", "whom_to_tell", "said_by", "curator_yes_by", "checked_by",
           "given_by", "signed_by")  # fmt: skip
PLACES = ("kept_where", "location", "examined_at_place", "usual_place", "found_where")
VALUES = ("cost", "mass_expanded_g", "hours", "hours_agreed_h", "minutes")
# Fields that only sound so, each looked at: the body that issued a number is needed to find the
# record, a fill is detected by ultraviolet; a fragment tells nothing of the mass of the object.
LET_GO: dict[str, tuple[str, ...]] = {
    "dossier": ("number_issued_by",),
    "object_head": ("issued_by",),
    "plan_fill": ("detected_by",),
    "fragment": ("mass_expanded_g",),
}


def field_names(kind: type, seen: frozenset[type] = frozenset()) -> set[str]:
    """Return the names of every field of a record, those of records within it too."""
    if not dataclasses.is_dataclass(kind) or kind in seen:
        return set()
    names = set()
    hints = typing.get_type_hints(kind)
    for field in dataclasses.fields(kind):
        names.add(field.name)
        for inner in (hints[field.name], *_arguments(hints[field.name])):
            if isinstance(inner, type) and not issubclass(inner, Enum):
                names |= field_names(inner, seen | {kind})
    return names


def _arguments(hint: Any) -> list[Any]:
    found = []
    for inner in typing.get_args(hint):
        found += [inner, *_arguments(inner)]
    return found


def tells(name: str) -> bool:
    """Say whether a field's name tells of a person, a place, a value or a movement."""
    return name in (*PERSONS, *PLACES, *VALUES) or name.endswith(("_by", "by_id", "by_ids"))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_field_that_tells_of_a_person_a_place_or_a_value_leaves_unjudged(kind: str) -> None:
    judged = verdict(kind)
    if judged.leaves is Leaves.STAYS:
        return
    covered = {*judged.hidden, *judged.people, *LET_GO.get(kind, ())}
    assert {name for name in field_names(KINDS[kind].record) if tells(name)} <= covered


def test_every_verdict_is_on_a_kind_that_exists_and_says_why() -> None:
    assert set(VERDICTS) <= set(KINDS)
    for kind, judged in VERDICTS.items():
        assert judged.because, kind
        names = field_names(KINDS[kind].record)
        assert {*judged.hidden, *judged.people} <= names, kind


def test_a_kind_that_nobody_judged_stays() -> None:
    assert verdict("a kind of tomorrow") is NOT_JUDGED
    assert NOT_JUDGED.leaves is Leaves.STAYS


@pytest.mark.parametrize(
    "kind", sorted(kind for kind, one in VERDICTS.items() if one.leaves is Leaves.IN_PART)
)
def test_what_is_withheld_can_still_be_read_as_its_record(kind: str) -> None:
    judged, record = VERDICTS[kind], KINDS[kind].record
    hidden = {**judged.hidden, **dict.fromkeys(judged.people, WITHHELD)}
    hints = typing.get_type_hints(record)
    needed = {
        field.name: _needed(hints[field.name])
        for field in dataclasses.fields(record)
        if field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING
    }  # fmt: skip
    said = as_plain(from_plain(record, as_plain(needed)))
    kept = as_plain(from_plain(record, without_hidden(said, hidden)))
    assert all(value != "secret" for name, value in kept.items() if name in hidden)


def _needed(hint: Any) -> Any:
    """Return a value that a field of this kind takes; a word is one that must not be seen."""
    if isinstance(hint, type) and issubclass(hint, Enum):
        return next(iter(hint))
    if typing.get_origin(hint) is tuple and Ellipsis not in typing.get_args(hint):
        return [_needed(one) for one in typing.get_args(hint)]
    return {"str": "secret", "int": 1, "float": 1.0}.get(getattr(hint, "__name__", ""), [])


def test_fields_are_withheld_at_any_depth_and_not_known_stays_not_known() -> None:
    options = as_plain(
        Options(fuller=(Option("fill", cost="9 000", hours=Hours(1, 2, 3)), Option("less")))
    )
    kept = from_plain(Options, without_hidden(options, VERDICTS["options"].hidden))
    assert [one.cost for one in kept.fuller] == [WITHHELD, "not known"]
    assert kept.fuller[0].hours is None


def test_what_was_done_leaves_without_persons_places_values_and_minutes(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    from softmend.records.action import Action

    dossier_id = opened_dossier(bench, author)
    moved = (Moved("old resin", Direction.TAKEN_OFF, fate=Fate.KEPT, kept_where="shelf seven"),)
    for record in (
        Action(1, "fill", "2026-03-02", place="at the burr", moved=moved, minutes=4321.75,
               agreed_with="Curator Quill", result_observed="no dark edge"),
        PlanStep(1, "filling", "fill with pulp", "stop 1 mm below", hours=Hours(7, 8, 4321.75)),
        Options(fuller=(Option("a softer fill", "holds", cost="4321.75 in all"),)),
        Proposal(significance_asked_of="Curator Quill", why_act="it moves",
                 sampling_asked="Curator Quill wants none", hours_agreed_h=4321.75),
        replace(CARE, whom_to_tell="Curator Quill", support="case in hall four"),
        replace(RECEIPT, from_whom="Curator Quill"),
    ):  # fmt: skip
        record_one(bench, author, dossier_id=dossier_id, subject_id=bench.fresh_id(),
                   record=record, based_on="")  # fmt: skip
    packed = pack(bench, dossier_id, tmp_path / "public.zip")
    told = " ".join(text for _, text in everything_readable(packed.path))
    for secret in ("Quill", "shelf seven", HELD_BACK, "hall four"):
        assert secret not in told, secret
    for fact in ("no dark edge", "fill with pulp", "a softer fill", "at the burr"):
        assert fact in told, fact
    whole = pack(bench, dossier_id, tmp_path / "whole.zip", receiver=Receiver("the owner"))
    all_of_it = " ".join(text for _, text in everything_readable(whole.path))
    for secret in ("Quill", "shelf seven", HELD_BACK, "hall four"):
        assert secret in all_of_it, secret


def test_what_is_withheld_is_listed_as_withheld_with_its_reason(
    bench: Bench, author: Author, tmp_path: Path
) -> None:
    dossier_id = opened_dossier(bench, author)
    for record in (replace(RECEIPT), Options()):
        record_one(bench, author, dossier_id=dossier_id, subject_id=bench.fresh_id(),
                   record=record, based_on="")  # fmt: skip
    packed = pack(bench, dossier_id, tmp_path / "public.zip")
    with zipfile.ZipFile(packed.path) as archive:
        (name,) = [one for one in archive.namelist() if one.endswith("README.txt")]
        said = archive.read(name).decode()
        (table,) = [one for one in archive.namelist() if one.endswith("tables/journal.csv")]
        rows = list(csv.DictReader(io.StringIO(archive.read(table).decode())))
    assert "- custody, 1 entry: stays in the house, because persons, places" in said
    assert "- options, 1 entry: leaves with parts withheld (cost, hours), because costs" in said
    assert {row["kind"]: row["content"] for row in rows} == {
        "dossier": "withheld", "custody": "withheld", "options": "withheld",
    }  # fmt: skip
    with bench.store.reading() as reader:
        journal = reader.entries(dossier_id)
    assert withheld_words(journal, Receiver("the owner")) == []
    assert json.loads(journal[1].payload or "")["from_whom"] == RECEIPT.from_whom
