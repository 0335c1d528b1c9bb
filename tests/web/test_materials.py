"""The pages of materials: shelf first, every value with mark and source, own values added."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import pytest

from softmend.services.explain.own_values import own_rows

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Bench

PULP = "tissue or pulp + EVA (VAE) dispersion"
BENT = {
    "material": PULP, "condition": "dry, 50 %RH", "source": "bench book, p. 12",
    "known_on": "2026-03-01", "span_mm": ["50", "50", ""], "breadth_mm": ["10", "10.1", ""],
    "height_mm": ["10", "9.9", ""], "readings": ["0 0, 200 0.21, 500 0.51", "0 0; 500 0.55", ""],
}  # fmt: skip


def said(client: TestClient, address: str, **asked: str) -> str:
    return html.unescape(client.get(address, params=asked).text)


def rows(bench: Bench, *given: str) -> list:
    with bench.store.reading() as reader:
        return own_rows(reader, *given)


def test_an_empty_shelf_teaches(client: TestClient) -> None:
    page = said(client, "/materials")
    assert "Next: put on the shelf what you stock and may use." in page
    assert "Nothing is on it yet." in page
    assert "elephant ivory" in page


def test_a_line_of_the_shelf_is_recorded_changed_and_taken_off(client: TestClient) -> None:
    assert client.post("/materials/shelf", data={"material": PULP}).status_code == 303
    page = said(client, "/materials")
    assert "1 material is at hand, permitted and in date." in page
    assert "compared first" in page
    edit = client.get("/materials", params={"line": PULP}).text
    seen = edit.split('name="based_on" value="')[1].split('"')[0]
    asked = {"material": PULP, "based_on": seen, "use_until_on": "2020-01-31"}
    assert client.post("/materials/shelf", data=asked).status_code == 303
    page = said(client, "/materials", line=PULP)
    assert "past its date, 2020-01-31" in page
    seen = page.split('name="based_on" value="')[1].split('"')[0]
    off = {"material": PULP, "because": "used up", "based_on": seen}
    assert client.post("/materials/shelf/off", data=off).status_code == 303
    assert "Nothing is on it yet." in said(client, "/materials")


def test_a_refusal_needs_its_reason(client: TestClient) -> None:
    answer = client.post(
        "/materials/shelf", data={"material": PULP, "permitted": "not permitted"},
        headers={"hx-request": "true"},
    )  # fmt: skip
    assert answer.status_code == 422
    assert "is not permitted, without a reason" in html.unescape(answer.text)


def test_sources_that_disagree_on_ivory_stand_side_by_side(client: TestClient) -> None:
    page = said(client, "/materials/of", name="elephant ivory")
    assert "Sources disagree: total change" in page
    quarrel = page.split("Sources disagree")[1].split("</section>")[0]
    assert "Rivers and Umney 2003" in quarrel
    assert "Collections-care manual" in quarrel
    for figure in ("4.2 %", "1.5 %", "6 %", "says nothing"):
        assert figure in quarrel
    assert "computations take either sign with even chance" in quarrel
    assert "0.03" in page
    assert "% per %RH" in page


def test_materials_without_a_quarrel_show_none(client: TestClient) -> None:
    assert "Sources disagree" not in said(client, "/materials/of", name="shellac")


def test_an_unknown_material_is_not_found(client: TestClient) -> None:
    assert client.get("/materials/of", params={"name": "moon dust"}).status_code == 404


def test_a_bench_test_is_worked_out_before_it_is_recorded(client: TestClient, bench: Bench) -> None:
    answer = client.post("/materials/tests/bending", data=BENT | {"do": "try"})
    assert answer.status_code == 200, answer.text
    text = html.unescape(answer.text)
    assert "from 2 bars" in text
    assert "Not yet recorded." in text
    assert "E = (F / sag)" in text
    assert rows(bench, PULP) == []
    assert client.post("/materials/tests/bending", data=BENT | {"do": "record"}).status_code == 303
    (row,) = rows(bench, PULP, "modulus")
    assert row.value.kind == "measured"
    assert len(row.value.inputs["bars"]) == 2
    page = said(client, "/materials/of", name=PULP)
    assert "this bench's own, measured" in page
    assert "bench book, p. 12" in page


def test_shrinkage_and_pull_off_are_bench_tests_too(client: TestClient, bench: Bench) -> None:
    common = {"material": PULP, "source": "bench book", "do": "record"}
    shrunk = {"wet_mm": ["100", "100"], "dry_mm": ["92", "91.5"]}
    assert client.post("/materials/tests/shrinkage", data=common | shrunk).status_code == 303
    (row,) = rows(bench, PULP, "volumetric_shrinkage")
    assert row.value.typical == pytest.approx(100 * (1 - 0.9175**3), rel=0.02)
    assert row.value.unit == "%"
    pulled = {"force_n": ["310", "280", ""], "came_off": ["at the bond"] * 3, "diameter_mm": "20"}
    assert client.post("/materials/tests/pull-off", data=common | pulled).status_code == 303
    (row,) = rows(bench, PULP, "bond_strength")
    # 295 N over a disc of 20 mm.
    assert row.value.typical == pytest.approx(0.94, rel=0.03)


def test_studs_that_came_off_elsewhere_are_a_lower_bound(client: TestClient, bench: Bench) -> None:
    pulled = {
        "material": PULP, "source": "bench book", "do": "record", "force_n": ["310"],
        "came_off": ["in the material"],
    }  # fmt: skip
    assert client.post("/materials/tests/pull-off", data=pulled).status_code == 303
    assert len(rows(bench, PULP, "bond_strength_lower_bound")) == 1


@pytest.mark.parametrize(
    ("test", "change", "sentence"),
    [
        ("bending", {"span_mm": ["", "", ""]}, "There is no bar to work with"),
        ("bending", {"readings": ["200", "", ""]}, "A reading is a mass and a sag"),
        ("bending", {"readings": ["0 0", "", ""]}, "A bar needs two readings"),
        ("bending", {"height_mm": ["thick", "", ""]}, "The height is not a number"),
        ("shrinkage", {}, "There is no bar to work with"),
        ("pull-off", {}, "There is no stud to work with"),
    ],
)
def test_slips_in_a_bench_test_are_told_in_words(client, test, change, sentence) -> None:
    answer = client.post(
        f"/materials/tests/{test}", data=BENT | change, headers={"hx-request": "true"}
    )
    assert answer.status_code == 422
    assert sentence in html.unescape(answer.text)


def test_a_typed_value_has_its_mark_and_can_be_struck(client: TestClient, bench: Bench) -> None:
    typed = {
        "material": PULP, "property": "elongation|%", "low": "5", "typical": "12", "high": "30",
        "kind": "maker's sheet", "source": "sheet of 2025",
    }  # fmt: skip
    assert client.post("/materials/values", data=typed).status_code == 303
    (row,) = rows(bench, PULP, "elongation")
    off = {"subject_id": row.subject_id, "based_on": row.entry_id, "because": "another grade"}
    assert client.post("/materials/values/strike", data=off | {"material": PULP}).status_code == 303
    assert rows(bench, PULP) == []


def test_an_own_fill_system_has_a_page_for_its_numbers(client: TestClient) -> None:
    told = {
        "material": "pulp, our recipe", "wording": ["water", "", "", "", "", "yes"],
        "kind": "measured", "source": "tried on an offcut",
    }  # fmt: skip
    assert client.post("/materials/systems", data=told).status_code == 303
    page = said(client, "/materials/of", name="pulp, our recipe")
    assert "This bench's own" in page
    assert "No value is known of it yet" in page
    assert "Carries water" in page
    assert "MPa" in page


def test_an_own_fill_system_is_changed_and_struck(client: TestClient) -> None:
    told = {
        "material": "pulp, our recipe", "wording": ["water", "", "", "", "", "yes"],
        "kind": "measured", "source": "tried on an offcut",
        "reversible": "with effort", "layer_mm": "2,5", "layer_drying_days": "4",
    }  # fmt: skip
    client.post("/materials/systems", data=told)
    page = said(client, "/materials/of", name="pulp, our recipe")
    assert "<option selected>with effort</option>" in page
    assert 'name="layer_mm" maxlength="20" autocomplete="off" value="2.5"' in page
    seen = page.split('action="/materials/systems"')[1].split('name="based_on" value="')[1]
    again = told | {"wording": ["water or ethanol", "", "", "", "", "yes"]}
    again["based_on"] = seen.split('"')[0]
    assert client.post("/materials/systems", data=again).status_code == 303
    page = said(client, "/materials/of", name="pulp, our recipe")
    assert 'value="water or ethanol"' in page
    seen = page.split('action="/materials/systems/strike"')[1].split('name="based_on" value="')[1]
    off = {"material": "pulp, our recipe", "because": "never used", "based_on": seen.split('"')[0]}
    assert client.post("/materials/systems/strike", data=off).status_code == 303
    assert client.get("/materials/of", params={"name": "pulp, our recipe"}).status_code == 404
