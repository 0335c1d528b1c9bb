"""Records become canonical text and come back the same; old versions are upgraded on reading."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest

from softmend.errors import InputError, StorageError
from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import Certainty, Dossier, Material, Measure, ObjectHead, Size
from softmend.records.kinds import KINDS, kind_of
from softmend.records.mark import (
    DepthStation,
    Geometry,
    KnownHow,
    Mark,
    Role,
    Shape,
    Sighting,
    State,
    WidthStation,
)
from softmend.records.payload import from_payload, from_plain, is_unchanging, payload_text
from softmend.records.view import Scale, ScaleMethod

SAMPLES = [
    Dossier("antler beam", "INV 12", "an invented house", "wanted for display", Size.FULL, True),
    ObjectHead(
        title="antler",
        materials=(Material("beam", "antler", "seen", Certainty.LIKELY),),
        measures=(Measure("length", 612.0, 2.0),),
        mass_g=None,
    ),
    Grade("part", "beam", 3, "edges lift", GradeBasis.SEEN),
    Scale("view-1", ScaleMethod.TWO_CLICKS, {"length_mm": 100.0, "clicks": [[1.0, 2.0]]}),
    Mark(
        number=7,
        term_id="crack",
        sightings=(
            Sighting("view-1", Geometry(Shape.LINE, (((1.25, 2.0), (30.0, 4.5)),))),
            Sighting(
                "view-2",
                Geometry(Shape.LINE, (((5.0, 2.0), (6.0, 4.5)),)),
                Role.CONTINUES,
                0.25,
            ),
        ),
        state=State.BREATHES,
        widths=(WidthStation(0.0, 0.4, 0.1, "feeler gauge"),),
        depths=(DepthStation(0.0, 1.0, 2.0, 4.0, KnownHow.GAUGE),),
    ),
]


@pytest.mark.parametrize("record", SAMPLES, ids=lambda record: type(record).__name__)
def test_a_record_comes_back_as_it_was_written(record: object) -> None:
    kind = KINDS[kind_of(record)]
    text = payload_text(record)
    assert from_payload(kind.record, text, kind.version, kind.upgrades) == record
    assert payload_text(from_plain(kind.record, json.loads(text))) == text


def test_an_unknown_name_is_refused_with_the_names_that_are_known() -> None:
    with pytest.raises(InputError, match="no field of that name; got colour; allowed: of_kind"):
        from_plain(Grade, {"of_kind": "part", "colour": "red"})


def test_a_missing_value_is_refused() -> None:
    with pytest.raises(InputError, match="A Grade is incomplete"):
        from_plain(Grade, {"of_kind": "part"})


@pytest.mark.parametrize(("name", "value"), [("grade", "3"), ("basis", "guessed"), ("of_id", None)])
def test_a_value_of_the_wrong_kind_is_refused(name: str, value: object) -> None:
    plain = {"of_kind": "part", "of_id": "beam", "grade": 3, "because": "x", "basis": "seen"}
    with pytest.raises(InputError):
        from_plain(Grade, plain | {name: value})


@dataclass(frozen=True)
class Lamp:
    watts: float


def test_an_old_version_is_upgraded_on_reading_and_never_rewritten() -> None:
    old = '{"kilowatts":0.06}'
    upgrades = {1: lambda data: {"watts": data["kilowatts"] * 1000}}
    assert from_payload(Lamp, old, 1, upgrades) == Lamp(60.0)


def test_a_payload_that_nobody_can_read_is_a_fault_of_the_store() -> None:
    with pytest.raises(StorageError, match="cannot be read"):
        from_payload(Lamp, '{"lumen":1}', 1, {})


def test_something_that_no_dossier_holds_is_refused() -> None:
    with pytest.raises(InputError, match="not something a dossier can hold"):
        kind_of(Lamp(1.0))


def test_only_a_record_in_which_nothing_can_be_changed_is_shared_by_its_readers() -> None:
    assert is_unchanging(Mark)
    assert is_unchanging(ObjectHead)
    # The clicks of a scale lie in a dictionary, which whoever reads it could change.
    assert not is_unchanging(Scale)
    changeable = [name for name, kind in KINDS.items() if not is_unchanging(kind.record)]
    assert {"run", "scale"} <= set(changeable)
