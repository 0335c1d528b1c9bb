"""The catalogue's one shape: names, schemas, sentences, seeds, and a start that loads nothing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from tests.house.test_tables import bibliography

ROOT = Path(__file__).parents[2]
NAMES = ["condition.overall", "fill.volume", "photo.area", "photo.length", "photo.scale"]


def test_the_names_are_those_of_the_ground() -> None:
    assert set(NAMES) <= set(catalogue.names())


@pytest.mark.parametrize("name", catalogue.names())
def test_an_entry_is_complete_and_true(name: str) -> None:
    entry = catalogue.entry(name)
    assert entry.name == name
    assert entry.title
    assert entry.formula
    assert entry.cautions
    assert set(entry.sources) <= bibliography()
    assert (ROOT / entry.checked).is_file()


@pytest.mark.parametrize("name", catalogue.names())
def test_a_schema_refuses_unknown_fields_and_is_plain_json(name: str) -> None:
    schema = catalogue.schema(name)
    assert json.loads(json.dumps(schema)) == schema
    assert schema["input"]["additionalProperties"] is False
    assert {"answer", "reasons", "warnings", "working"} <= set(schema["output"]["properties"])


def test_listing_names_loads_neither_pydantic_nor_numpy() -> None:
    code = (
        "import sys; from softmend import catalogue; catalogue.names(); "
        "print(sorted({'pydantic', 'numpy', 'cv2'} & set(sys.modules)))"
    )
    shown = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT / "src"
    )
    assert shown.stdout.strip() == "[]"


def test_a_name_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(NotFoundError) as refused:
        catalogue.run("photo.colour", {})
    assert "There is no computation of that name; got photo.colour; allowed: bench.bending" in str(
        refused.value
    )


@pytest.mark.parametrize(
    ("name", "payload", "words"),
    [
        ("photo.length", {}, "The field “scale” is missing; got nothing; allowed: "),
        ("photo.length", {"wrong": 1}, "There is no field “wrong”; got 1; allowed: click_sd_px"),
        (
            "condition.overall",
            {"places": [{"place": "beam", "grade": 5, "because": "x"}]},
            "“places.0.grade” is out of range; got 5; allowed: a whole number from 1 to 4",
        ),
        (
            "condition.overall",
            {"places": [], "examined_area_mm2": float("nan")},
            "“examined_area_mm2” is not a number; got nan; allowed: a number",
        ),
    ],
)
def test_a_wrong_field_is_named_in_one_sentence(name: str, payload: dict, words: str) -> None:
    with pytest.raises(InputError) as refused:
        catalogue.run(name, payload)
    assert words in str(refused.value)


def test_fields_that_name_files_are_found_wherever_they_stand() -> None:
    payload = {"scale": {"picture_file": "a.jpg"}, "list": [{"other_file": "b.png"}], "file": "c"}
    assert catalogue.files_named(payload) == {"picture_file": "a.jpg", "other_file": "b.png"}
