"""The tables of solvents: every value accounted for, names found, limits never zero."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections import Counter
from itertools import combinations
from pathlib import Path

import pytest

from softmend import tables
from softmend.errors import InputError, NotFoundError
from softmend.tables.exposure_limits import (
    exposure_limits,
    is_taken_up_through_skin,
    limit_lists,
)
from softmend.tables.solvency import (
    coating,
    coatings,
    harm_rules,
    keep_layer,
    mixing,
    outcome_words,
    substrate_words,
    swab_steps,
)
from softmend.tables.solvents import solvent, solvents

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "src" / "softmend" / "tables"


def kinds(name: str) -> Counter[str]:
    return Counter(str(row["kind"]) for row in tables.table(name).rows)


def test_every_value_of_the_first_list_is_accounted_for_by_kind() -> None:
    # As the marks of the first list count: 68 solvents; mass, density, volume, boiling point;
    # two vapour pressures, rate, flash (five known to be none), flammable limit; 15 other sets.
    assert len(solvents()) == 68
    assert kinds("solvent_values") == {"library": 174, "recalled": 74, "derived": 24}
    assert kinds("solvent_vapour") == {"library": 208, "recalled": 117, "derived": 4}
    assert kinds("solvent_hansen") == {"library": 76, "derived": 4, "recalled": 3}
    assert kinds("solvent_teas") == {"recalled": 44, "derived": 1}
    assert kinds("exposure_limits") == {"recalled": 213, "quoted": 18}


def test_the_script_refuses_a_list_that_it_does_not_understand(tmp_path: Path) -> None:
    header = "id,name,cas,group,status,mw,mw_mark,hsp_mark\n"
    (tmp_path / "short.csv").write_text(f"{header}x,X,1,y,ok,1,guess,guess\n", encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "tools/normalise_solvents.py", str(tmp_path / "short.csv")],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 1
    assert "A name is kept for a solvent that is not in the first list" in ran.stderr


@pytest.mark.parametrize("name", ["solvent_values", "solvent_vapour"])
def test_a_property_has_one_unit_and_it_is_the_one_declared(name: str) -> None:
    about = tomllib.loads((FOLDER / f"{name}.toml").read_text("utf-8"))["properties"]
    rows = tables.table(name).rows
    assert {(row["property"], row["unit"]) for row in rows} == set(about.items())


@pytest.mark.parametrize(
    ("typed", "found"),
    [("acetone", "acetone"), ("ACETONE ", "acetone"), ("IPA", "propan-2-ol"),
     ("67-63-0", "propan-2-ol"), ("isopropyl alcohol", "propan-2-ol"), ("MEK", "mek"),
     ("butan-2-one", "mek"), ("Dichloromethane", "dcm"), ("2,2,4-trimethylpentane", "isooctane"),
     ("low-aromatic white spirit", "ws-low"), ("cyclomethicone", "d5"), ("meths", "ims")],
)  # fmt: skip
def test_a_solvent_is_found_by_any_of_its_names(typed: str, found: str) -> None:
    assert solvent(typed).id == found


@pytest.mark.parametrize(
    ("typed", "words"),
    [("white spirit", "ws-low"), ("acetonne", "acetone"), ("64742-49-0", "More than one solvent"),
     ("unobtainium", "type your own values for it")],
)  # fmt: skip
def test_a_name_that_is_not_there_is_refused_with_those_that_are(typed: str, words: str) -> None:
    with pytest.raises(InputError) as refused:
        solvent(typed)
    assert words in str(refused.value)


def test_a_missing_limit_is_missing_and_none_set_is_said() -> None:
    assert exposure_limits("water") == {}
    found = exposure_limits("ethyl-lactate")
    assert list(found) == ["none set"]
    assert found["none set"].mg_per_m3 is None
    assert "8 h" not in exposure_limits("isopropyl-acetate")
    assert exposure_limits("isopropyl-acetate")["15 min"].mg_per_m3 == 849
    for row in tables.table("exposure_limits").rows:
        assert row["mg_per_m3"] != 0
        assert row["ppm"] != 0
        assert (row["period"] == "none set") == (row["ppm"] is None and row["mg_per_m3"] is None)


def test_a_limit_names_its_list_edition_country_and_date() -> None:
    found = exposure_limits("toluene")["8 h"]
    assert (found.mg_per_m3, found.date, found.kind) == (191, "2020", "recalled")
    assert found.named == "UK EH40, EH40/2005, fourth edition (United Kingdom; date 2020)"
    assert exposure_limits("dcm", "US EPA")["8 h"].ppm == 2
    assert exposure_limits("tce", "US OSHA PEL")["ceiling"].ppm == 200
    with pytest.raises(InputError, match="There is no such list of limits; got Mars"):
        exposure_limits("toluene", "Mars")
    assert {"UK EH40", "EU", "US OSHA PEL", "German MAK"} <= set(limit_lists())


def test_skin_is_known_where_a_list_says_so() -> None:
    assert all(is_taken_up_through_skin(one) for one in ("toluene", "nmp", "dmf", "pm", "mek"))


def test_the_restricted_solvents_are_those_of_the_list() -> None:
    assert {one.id for one in solvents() if one.status == "restricted"} == {
        "methanol", "2-ethoxyethanol", "gbl", "hexane", "dcm", "chloroform", "tca", "tce",
        "diethyl-ether", "dioxane", "nmp", "dmf", "pyridine", "d4",
    }  # fmt: skip


def test_all_210_pairs_of_the_shelf_are_typed() -> None:
    shelf = [one.id for one in solvents() if one.status == "ok"]
    pairs = {frozenset((str(row["solvent_a"]), str(row["solvent_b"])))
             for row in tables.table("miscible_pairs").rows}  # fmt: skip
    assert pairs == {frozenset(one) for one in combinations(shelf, 2)}
    assert len(pairs) == 210


@pytest.mark.parametrize(
    ("one", "other", "state"),
    [("heptane", "propylene-carbonate", "does not mix"), ("ethanol", "heptane", "mixes when dry"),
     ("ims", "ws-low", "mixes in part"), ("acetone", "ws-low", "mixes"),
     ("water", "toluene", "does not mix"), ("water", "acetone", "not known"),
     ("glycerol", "heptane", "does not mix"), ("turpentine", "propylene-glycol", "does not mix")],
)  # fmt: skip
def test_pairs_mix_or_not(one: str, other: str, state: str) -> None:
    assert mixing(one, other).state == mixing(other, one).state == state


def test_a_pair_that_is_not_known_may_not_be_mixed() -> None:
    assert not mixing("hmdso", "d4-like").may_be_mixed


def test_the_weights_of_the_classes_sum_to_one() -> None:
    assert sum(float(row["weight"] or 0) for row in coatings()) == pytest.approx(1)
    assert len({row["class"] for row in coatings()}) == 14


def test_coatings_and_layers_are_found_by_name() -> None:
    assert coating("Epoxy")["behaviour"] == "swells only"
    with pytest.raises(NotFoundError, match="There is no one class of coating of that name"):
        coating("acrylic")
    for row in tables.table("keep_layers").rows:
        assert coating(str(keep_layer(str(row["layer"]))["coating"]))
    with pytest.raises(NotFoundError, match="There is no layer to be kept of that name"):
        keep_layer("wallpaper")


def test_rules_words_steps_and_scales_are_read() -> None:
    assert {"water", "dipolar", "glycols", "acids and alkalis"} <= {
        str(row["rule"]) for row in harm_rules() if row["level"] == "locked"
    }
    assert [float(row["step"] or 0) for row in swab_steps()] == [1, 2, 3, 4, 5, 6, 7]
    assert next(iter(outcome_words("object"))) == "none"
    careful, other = substrate_words()
    assert not set(careful) & set(other)
