"""What was said and computed in Explain leaves without a place, a person or a mass in it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend.catalogue import names
from softmend.records.coating import CoatingModel
from softmend.records.crack_model import Basis, CrackModel, Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.holding import JoinModel
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.shelf import OwnValue
from softmend.services.deposit.archive import pack
from softmend.services.deposit.judged import WITHHELD
from softmend.services.deposit.outward import Receiver, withheld_words
from softmend.services.deposit.runs_out import FIT_TO_LEAVE, run_leaves, run_without_grounds
from softmend.services.examine.marks import record_mark
from softmend.services.explain.coating import keep_coating, say_of_coating
from softmend.services.explain.crack_keep import keep_crack, say_of_crack
from softmend.services.explain.joins import keep_join, say_of_join
from softmend.services.explain.own_values import record_own_value
from tests.services.conftest import crack
from tests.services.deposit.test_deposit import everything_readable
from tests.services.deposit_sample import opened_dossier, photograph
from tests.services.explain.conftest import DEPTHS, SAID, WIDTHS
from tests.services.explain.test_coating import OLD

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.services.bench import Author, Bench

# No place, person or number that the rest of a package could hold by chance.
PLACE, PERSON, OWN = "gallery Vexmoor", "Quillon of the store", "seen by Zephrine"
MASS_G = 98765.25
LIFTING = ((20.0, 20.0), (90.0, 30.0), (60.0, 90.0))
SECRETS = ("Vexmoor", "Quillon", "Zephrine", "98765.25")


def planted(model: object) -> dict[str, Told]:
    """Return every value that was told of, resting on a place and a person."""
    return {
        name: replace(told, grounds=f"logger in {PLACE}, read by {PERSON}")
        for name, told in vars(model).items()
        if isinstance(told, Told)
    }


@pytest.fixture
def kept(bench: Bench, author: Author) -> str:
    """A dossier in which a crack, a coating and a join are told of, computed and kept."""
    dossier_id = opened_dossier(bench, author)
    view_id = photograph(bench, author, dossier_id, 1)
    line = replace(crack(view_id, (10.0, 10.0), (150.0, 40.0)), widths=WIDTHS, depths=DEPTHS)
    mark_id = record_mark(bench, author, dossier_id, line).subject_id
    lifting = Mark(
        0,
        "lifting",
        (Sighting(view_id, Geometry(Shape.AREA, (LIFTING,))),),
    )
    place_id = record_mark(bench, author, dossier_id, lifting).subject_id
    told = {**planted(SAID), "toughness_mpa_m05": None}
    of_crack: CrackModel = replace(SAID, **told, old_fill_grounds=f"says {PERSON}")
    say_of_crack(bench, author, dossier_id, mark_id, of_crack, "")
    record_own_value(bench, author, OwnValue(
        SAID.material, "toughness", SAID.preservation, 0.3, 0.8, 1.6, "MPa·m^0.5", "estimated",
        OWN))  # fmt: skip
    keep_crack(bench, author, dossier_id, 1)
    of_coating: CoatingModel = replace(OLD, **planted(OLD), coating_grounds=f"in {PLACE}")
    say_of_coating(bench, author, dossier_id, place_id, of_coating, "")
    keep_coating(bench, author, dossier_id, place_id)
    join = JoinModel(
        "J1", breadth_mm=Told(18, 20, 22), height_mm=Told(27, 30, 33), arm_mm=Told(80, 100, 120),
        hang_degrees=Told(-10, 0, 10), warmest_degc=Told(23, 25, 28),
        bonded_share=Told(0.7, 0.9, 1.0),
        bond_strength_mpa=Told(1, 2, 4), glass_transition_degc=Told(35, 40, 45),
        mass_g=Told(MASS_G - 1000, MASS_G, MASS_G + 1000, Basis.MEASURED),
    )  # fmt: skip
    say_of_join(bench, author, dossier_id, replace(join, **planted(join)), "")
    keep_join(bench, author, dossier_id, "J1")
    return dossier_id


def told_in(package: Path) -> str:
    """Return every name and text of a package."""
    return " ".join(text for _, text in everything_readable(package))


def test_no_place_person_or_mass_leaves_with_what_was_explained(
    bench: Bench, kept: str, tmp_path: Path
) -> None:
    told = told_in(pack(bench, kept, tmp_path / "public.zip").path)
    for secret in SECRETS:
        assert secret not in told, secret
    # The numbers of the crack and of the coating do leave: a later conservator needs them.
    for fact in ("joint.first_to_give", "film.explain", SAID.old_fill, SAID.material):
        assert fact in told, fact
    assert "The joint holds" not in told
    whole = told_in(pack(bench, kept, tmp_path / "whole.zip", receiver=Receiver("owner")).path)
    for secret in (*SECRETS, "The joint holds"):
        assert secret in whole, secret


def test_what_is_withheld_of_explain_is_listed(bench: Bench, kept: str) -> None:
    with bench.store.reading() as reader:
        lines = withheld_words(reader.entries(kept), Receiver())
    (run,) = [line for line in lines if line.startswith("run, ")]
    assert "leaves with parts withheld (what a typed value rests on, " in run
    (crack,) = [line for line in lines if line.startswith("crack model, ")]
    assert "leaves with parts withheld (grounds, old fill grounds), because what a value" in crack


def test_of_an_origin_only_what_the_program_wrote_leaves() -> None:
    run = {
        "inputs": {
            "a": {"value": 1.0, "origin": f"typed: {PLACE}"},
            "b": [{"origin": "table:films/oil@abc"}, {"origin": "entry:0a-1, photographs"}],
            "c": {"origin": f"this bench's own, typed: {PERSON}"},
            "d": {"origin": f"{PERSON} said so"},
            "e": {"origin": "the mark: depth gauge"},
            "f": {"origin": NOT_KNOWN},
        }
    }  # fmt: skip
    kept = run_without_grounds(run)["inputs"]
    assert kept["a"] == {"value": 1.0, "origin": f"typed, {WITHHELD}"}
    assert kept["b"][0] == {"origin": "table:films/oil@abc"}
    assert kept["b"][1] == {"origin": f"entry:0a-1, {WITHHELD}"}
    assert kept["c"] == {"origin": f"this bench's own, {WITHHELD}"}
    assert kept["d"] == {"origin": WITHHELD}
    assert kept["e"] == {"origin": "the mark: depth gauge"}
    assert kept["f"] == {"origin": NOT_KNOWN}
    assert PLACE not in json.dumps(kept)


def test_a_computation_that_nobody_judged_stays() -> None:
    assert set(names()) >= FIT_TO_LEAVE
    for name in ("join.holds", "exposure.air", "a computation of tomorrow"):
        assert not run_leaves(name)
