"""Colours and differences from the outside: any wavelengths, files, lamps, what is estimated."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.cli.compute import compute
from softmend.errors import InputError
from softmend.intake.colour_file import read_colour_bytes
from tests.science.checks import expected
from tests.science.tint import invented
from tests.science.tint.test_difference import colours

TUSK = invented.targets()[0]
PAIRS = expected("sharma2005")
NM = [float(v) for v in invented.GRID]


def reading(values: np.ndarray = TUSK, **other: Any) -> dict[str, Any]:
    return {"wavelengths_nm": NM, "reflectance": [float(v) for v in values], **other}


def lab_of(given: dict[str, Any], **other: Any) -> dict[str, Any]:
    return catalogue.run("colour.lab", {"readings": [given], **other})["colours"][0]


def test_the_colour_of_a_curve_is_that_of_the_science_with_digits_it_deserves() -> None:
    found = lab_of(reading(), lamps=["D65", "A"])
    assert found["by_lamp"][0]["lab"] == pytest.approx(list(invented.lamp("D65").lab(TUSK)))
    assert found["by_lamp"][1]["lamp"] == "A"
    assert "±" in found["by_lamp"][0]["text"]
    assert not found["is_estimated"]


@pytest.mark.parametrize(
    "given",
    [
        reading(100 * TUSK, unit="percent"),
        {"start_nm": 400, "step_nm": 10, "reflectance": [float(v) for v in TUSK]},
        {"wavelengths_nm": NM[::-1], "reflectance": [float(v) for v in TUSK[::-1]]},
    ],
)
def test_percent_steps_and_falling_wavelengths_give_the_same(given: dict[str, Any]) -> None:
    assert lab_of(given)["by_lamp"][0]["lab"] == pytest.approx(
        lab_of(reading())["by_lamp"][0]["lab"], abs=1e-9
    )


@pytest.mark.parametrize("name", [one for one in PAIRS if one != "pair_14"])
def test_colours_given_as_lab_lie_as_far_apart_as_the_printed_pairs(name: str) -> None:
    """No smooth surface has some of these colours; what was given stays as it was given."""
    first, second = colours(name)
    given = {"first": {"lab": first}, "second": {"lab": second}, "lamps": ["D65"]}
    (row,) = catalogue.run("colour.difference", given)["by_lamp"]
    PAIRS[name].accept(row["difference"]["typical"])
    assert lab_of({"lab": first})["by_lamp"][0]["lab"] == pytest.approx(first, abs=1e-9)


@pytest.mark.parametrize("step", [1, 3.5, 5, 20])
def test_any_step_between_380_and_780_is_taken(step: float) -> None:
    from softmend.science.tint.colorimetry import interpolation

    at = np.arange(380, 780.01, step)
    values = interpolation(invented.GRID, at) @ TUSK
    given = {"wavelengths_nm": at.tolist(), "reflectance": values.tolist(), "unit": "fraction"}
    found = lab_of(given)["by_lamp"][0]["lab"]
    assert found == pytest.approx(lab_of(reading())["by_lamp"][0]["lab"], abs=0.1)


def test_percent_without_its_word_is_taken_and_said() -> None:
    found = catalogue.run("colour.lab", {"readings": [reading(100 * TUSK)]})
    assert "was read as percent" in found["warnings"][0]


def test_a_file_gives_all_its_samples_and_a_lamp_of_its_own() -> None:
    table = "nm;tusk;bone\n" + "\n".join(
        f"{at:g};{100 * one:.2f};{90 * one:.2f}".replace(".", ",")
        for at, one in zip(NM, TUSK, strict=True)
    )
    lamp = "nm,power of gallery\n" + "\n".join(f"{at},{at / 5}" for at in range(380, 781, 10))
    files = {"readings_file": read_colour_bytes(table.encode()),
             "lamp_file": read_colour_bytes(lamp.encode())}  # fmt: skip
    found = catalogue.run(
        "colour.lab",
        {"readings_file": "t.csv", "lamp_file": "l.csv", "lamps": ["D65", "power of gallery"]},
        files=files,
    )
    assert [one["name"] for one in found["colours"]] == ["tusk", "bone"]
    assert found["colours"][0]["by_lamp"][0]["lab"] == pytest.approx(
        lab_of(reading())["by_lamp"][0]["lab"], abs=0.02
    )
    assert found["lamps"][0]["colour_rendering_text"] == "Ra 100"
    gallery = found["lamps"][1]
    assert gallery["colour_temperature_text"].endswith("K")
    assert 80 < gallery["colour_rendering"] < 100
    assert gallery["colour_rendering_text"].startswith(f"Ra {gallery['colour_rendering']:.0f}")
    with pytest.raises(
        InputError, match="has 0 readings of that name; got horn; allowed: one of: "
    ):
        catalogue.run("colour.lab", {"readings": [{"sample": "horn"}]}, files=files)


def test_a_file_of_one_wavelength_is_refused_as_that() -> None:
    files = {"readings_file": read_colour_bytes(b"nm,tusk\n500,0.5\n")}
    with pytest.raises(InputError, match="“tusk” has one wavelength only; got 500 nm"):
        catalogue.run("colour.lab", {"readings_file": "one.csv"}, files=files)


def test_the_command_line_reads_a_file_it_has_never_seen(tmp_path: Path) -> None:
    rows = "\n".join(f"{at:g},{one:.4f}" for at, one in zip(NM, TUSK, strict=True))
    (tmp_path / "new.csv").write_text(f"wavelength,tusk\n{rows}\n")
    (tmp_path / "in.json").write_text(json.dumps({"readings_file": "new.csv"}))
    assert compute("colour.lab", in_file=tmp_path / "in.json", out_file=tmp_path / "out.json") == 0
    found = json.loads((tmp_path / "out.json").read_text())
    assert found["colours"][0]["name"] == "tusk"


def test_a_colour_without_a_curve_is_estimated_under_other_lamps_and_marked() -> None:
    found = catalogue.run("colour.lab", {
        "readings": [{"lab": [75, 2, 18], "lamp": "D65"}], "lamps": ["D65", "A"],
    })  # fmt: skip
    assert found["colours"][0]["is_estimated"]
    assert found["colours"][0]["by_lamp"][0]["lab"] == pytest.approx([75, 2, 18], abs=1e-6)
    assert "at most 2 CIEDE2000" in found["warnings"][0]


def test_a_difference_says_which_way_under_which_lamp_and_how_surely() -> None:
    found = catalogue.run("colour.difference", {
        "first": reading(name="tusk"), "second": reading(0.9 * TUSK, name="fill"),
    })  # fmt: skip
    assert found["text"].startswith("fill is darker")
    day = found["by_lamp"][0]
    assert day["metamerism"] is None
    assert max(one["metamerism"] for one in found["by_lamp"][1:]) < 1e-6
    assert day["difference"]["low"] <= day["difference"]["typical"] <= day["difference"]["high"]


def test_readings_of_unlike_geometry_are_told_and_of_unlike_gloss_refused() -> None:
    pair = {"first": reading(geometry="45/0"), "second": reading(geometry="d/8")}
    assert "different geometries" in catalogue.run("colour.difference", pair)["warnings"][0]
    mixed = {"first": reading(specular="included"), "second": reading(specular="excluded")}
    with pytest.raises(InputError, match="with and without the specular part"):
        catalogue.run("colour.difference", mixed)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"reflectance": [0.5, 0.6]}, "at which wavelengths"),
        ({"wavelengths_nm": [400, 500], "reflectance": [0.5, 0.6, 0.7]}, "3 values, 2 wavelengths"),
        ({"wavelengths_nm": [400, 700], "reflectance": [0.5, 0.6]}, "too far apart"),
        ({"wavelengths_nm": [400, 400, 450], "reflectance": [0.5, 0.6, 0.7]}, "stands twice"),
        (reading(-TUSK), "out of range"),
        (reading(400 * TUSK, unit="percent"), "0 to 150 %, or 0 to 1.5 as a fraction"),
        ({**reading(), "lab": [50, 0, 0]}, "given in 2 ways"),
        ({"wavelengths_nm": NM[10:], "reflectance": [0.5] * 21}, "does not reach far enough"),
        ({"colour": "red"}, "readings.0.colour"),
    ],
)
def test_slips_are_refused_in_words(given: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        lab_of(given)
