"""My shelf and own values: of the house, before the table, each with its mark and source."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from datetime import date

import pytest

from softmend.catalogue.joint_compare import REVERSIBLE
from softmend.errors import ConflictError, InputError, NotFoundError
from softmend.records.shelf import (
    COMES_OFF,
    KINDS_OF_VALUE,
    SYSTEM_ASPECTS,
    Freshness,
    OwnSystem,
    OwnValue,
    Permitted,
    SaidOfSystem,
    ShelfItem,
    Stocked,
)
from softmend.services.dossiers import dossier_list
from softmend.services.explain.bench_units import properties, unit_named, unit_of
from softmend.services.explain.own_values import (
    TESTS,
    chosen_value,
    known_materials,
    own_rows,
    own_systems,
    record_own_system,
    record_own_value,
    record_test,
    said_of_system,
    strike_own_value,
)
from softmend.services.explain.shelf import offered, put_on_shelf, shelf, take_off_shelf
from softmend.services.surveys import survey_list
from softmend.tables import KINDS, table
from softmend.tables.materials import material_values, materials

PULP = "tissue or pulp + EVA (VAE) dispersion"
TODAY = date(2026, 3, 2)
STIFF = OwnValue(
    PULP, "modulus", "dry, 50 %RH", 20.0, 30.0, 45.0, "MPa", "maker's sheet", "sheet of 2025"
)
BARS = {
    "bars": [
        {
            "span_mm": {"value": {"value": 50, "expanded": 0.2}},
            "breadth_mm": {"value": {"value": 10, "expanded": 0.1}},
            "height_mm": {"value": {"value": 10, "expanded": 0.1}},
            "readings": [{"mass_g": 0, "sag_mm": 0.0}, {"mass_g": 500, "sag_mm": 0.51}],
        }
    ],
    "poisson": {"value": {"low": 0.1, "typical": 0.2, "high": 0.3}, "kind": "estimated"},
}


@pytest.fixture
def reader(bench):
    """Give a fresh look at the store each time."""

    def look(ask, *given):
        with bench.store.reading() as found:
            return ask(found, *given)

    return look


def test_marks_and_aspects_are_those_of_the_tables() -> None:
    assert KINDS_OF_VALUE == KINDS
    aspects = {str(row["aspect"]).partition(",")[0] for row in table("fill_systems").rows}
    assert aspects == set(SYSTEM_ASPECTS)


def test_every_property_has_a_unit_of_the_bench() -> None:
    units = {name: unit_of(name) for name in properties()}
    assert units["moisture_strain_radial"].text == "% per %RH"
    assert units["modulus_along"].text == "GPa"
    assert unit_of("modulus", "reversible fill").text == "MPa"
    assert all(unit_named(name, unit.text).factor == unit.factor for name, unit in units.items())
    with pytest.raises(NotFoundError, match="not written in that unit"):
        unit_named("modulus", "psi")


def test_the_house_has_no_shelf_before_something_is_put_on_it(reader, bench) -> None:
    assert reader(shelf, TODAY) == []
    assert reader(known_materials) == sorted(materials(), key=str.casefold)


def test_what_is_here_permitted_and_in_date_is_offered_first(bench, author, reader) -> None:
    put_on_shelf(bench, author, ShelfItem("beeswax", permitted=Permitted.ASK, because="head"))
    put_on_shelf(bench, author, ShelfItem("shellac", use_until_on="2026-03-01"))
    put_on_shelf(bench, author, ShelfItem(PULP, use_until_on="2026-03-02"))
    put_on_shelf(bench, author, ShelfItem("gypsum plaster", stocked=Stocked.NOT_HERE))
    assert reader(offered, TODAY) == {PULP}
    lines = reader(shelf, TODAY)
    assert lines[0].item.material == PULP
    assert lines[0].freshness is Freshness.IN_DATE
    assert {one.item.material: one.freshness for one in lines}["shellac"] is Freshness.PAST


def test_the_shelf_is_in_no_list_of_dossiers_or_surveys(bench, author, dossier_id) -> None:
    put_on_shelf(bench, author, ShelfItem(PULP))
    rows, count = dossier_list(bench)
    assert ([row.dossier_id for row in rows], count) == ([dossier_id], 1)
    assert survey_list(bench) == []


def test_a_line_of_the_shelf_is_corrected_on_what_was_last_seen(bench, author, reader) -> None:
    first = put_on_shelf(bench, author, ShelfItem(PULP))
    with pytest.raises(ConflictError):
        put_on_shelf(bench, author, ShelfItem(PULP, note="batch 3"))
    second = put_on_shelf(bench, author, ShelfItem(PULP, note="batch 3"), first.id)
    take_off_shelf(bench, author, PULP, "used up", second.id)
    assert reader(shelf, TODAY) == []


@pytest.mark.parametrize(
    ("item", "sentence"),
    [
        (ShelfItem("moon dust"), "There is no material of that name"),
        (ShelfItem(PULP, permitted=Permitted.NO), "is not permitted, without a reason"),
        (ShelfItem(PULP, use_until_on="soon"), "This is not a day"),
        (ShelfItem(" "), "A material needs a name"),
    ],
)
def test_slips_on_the_shelf_are_told_in_words(bench, author, item, sentence) -> None:
    with pytest.raises((InputError, NotFoundError), match=sentence):
        put_on_shelf(bench, author, item)


def test_an_own_value_stands_before_the_tables(bench, author, reader) -> None:
    before = reader(chosen_value, PULP, ("modulus",), unit_of("modulus", "reversible fill"), None)
    assert before.value.kind == "estimated"
    assert before.entry_id == ""
    entry = record_own_value(bench, author, STIFF)
    after = reader(chosen_value, PULP, ("modulus",), unit_named("modulus", "GPa"), "dry, 50 %RH")
    assert after.entry_id == entry.id
    assert after.value.kind == "maker's sheet"
    assert "sheet of 2025" in after.value.origin
    assert after.value.uncertain().typical == pytest.approx(0.030)
    assert after.value.uncertain().band.high == pytest.approx(0.045)


def test_a_measured_value_stands_before_a_newer_typed_one(bench, author, reader) -> None:
    blank = OwnValue(
        PULP, "", "dry, 50 %RH", 0, 0, 0, "", "measured", "three bars of batch 3", "2026-03-01",
        computation="bench.bending",
    )  # fmt: skip
    tested = record_test(bench, author, blank, BARS)
    record_own_value(bench, author, STIFF)
    first, second = reader(own_rows, PULP, "modulus")
    assert first.entry_id == tested.id
    assert second.value == STIFF
    assert first.value.inputs == BARS
    assert first.value.outputs["answer"] == "answer"
    assert first.value.low < first.value.typical < first.value.high
    # E = F L³ / (4 b h³ s), 500 g over 50 mm, 10 x 10 mm, 0.51 mm; shear adds about 12 %.
    assert first.value.typical == pytest.approx(33.7, rel=0.02)
    assert "bar bending, 2026-03-01" in first.origin


def test_a_struck_value_gives_the_table_its_place_back(bench, author, reader) -> None:
    entry = record_own_value(bench, author, STIFF)
    strike_own_value(bench, author, entry.subject_id, "read the wrong line", entry.id)
    assert reader(own_rows) == []


def test_no_state_stands_in_for_another(bench, author, reader) -> None:
    record_own_value(bench, author, STIFF)
    unit = unit_named("modulus", "MPa")
    assert reader(chosen_value, PULP, ("modulus",), unit, "wet, just placed") is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"low": 50.0}, "not in order"),
        ({"kind": "guessed"}, "no mark that is known"),
        ({"source": "not known"}, "has no source"),
        ({"unit": "psi"}, "not written in that unit"),
        ({"property": "stiffness"}, "no property of that name"),
        ({"high": float("nan")}, "not a number that can be used"),
    ],
)
def test_slips_in_an_own_value_are_told_in_words(bench, author, change, sentence) -> None:
    with pytest.raises((InputError, NotFoundError), match=sentence):
        record_own_value(bench, author, OwnValue(**(vars_of(STIFF) | change)))


def vars_of(value: OwnValue) -> dict:
    return {name: getattr(value, name) for name in OwnValue.__dataclass_fields__}


def test_an_own_fill_system_is_a_material_like_the_tables(bench, author, reader) -> None:
    said = (SaidOfSystem("comes off with", "water, easily", "measured", "tried on an offcut"),)
    record_own_system(bench, author, OwnSystem("pulp, our recipe", said))
    record_own_value(
        bench, author,
        OwnValue("pulp, our recipe", "modulus", "", 5, 9, 20, "MPa", "estimated", "own judgement"),
    )  # fmt: skip
    put_on_shelf(bench, author, ShelfItem("pulp, our recipe"))
    assert "pulp, our recipe" in reader(known_materials)
    assert reader(said_of_system, "pulp, our recipe") == list(said)
    assert reader(said_of_system, PULP)[0].aspect == "comes off with"
    assert [one.material for _, one in reader(own_systems)] == ["pulp, our recipe"]
    with pytest.raises(InputError, match="The table has a material of that name already"):
        record_own_system(bench, author, OwnSystem(PULP))


def test_how_an_own_fill_comes_off_and_is_laid_is_asked_in_known_words(bench, author) -> None:
    assert COMES_OFF == REVERSIBLE
    with pytest.raises(InputError, match="That does not say how the fill comes off; got quickly"):
        record_own_system(bench, author, OwnSystem("our pulp", reversible="quickly"))
    with pytest.raises(InputError, match="The thickest layer is outside what is possible; got 0 m"):
        record_own_system(bench, author, OwnSystem("our pulp", layer_mm=0.0))
    with pytest.raises(InputError, match="The drying of a layer is outside what is possible"):
        record_own_system(bench, author, OwnSystem("our pulp", layer_drying_days=-1.0))


def test_what_a_bench_test_measures_is_a_property_of_the_table() -> None:
    known = properties()
    assert all(name in known for name, _ in TESTS.values())
    assert all(unit_named(name, unit) for name, unit in TESTS.values())
    assert any(one.property == "modulus" for one in material_values(PULP))
