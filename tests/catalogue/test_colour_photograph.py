"""Colour from rendered photographs of the demo, whose chart is known: error, warnings, refusals."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import functools
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.intake.decode import read_picture
from tests.science.tint.library import colour
from tools.demo.props import COLOURS, NEUTRALS

DEMO = Path(__file__).parents[2] / "src" / "softmend" / "demo"
TRUTH = {one["file"]: one for one in json.loads((DEMO / "truth.json").read_text())["pictures"]}


def known_lab() -> list[list[float]]:
    """Return the demo chart's patches for D50: made from sRGB, so adapted from D65."""
    light = [tuple(int(0.45 * part + 0.55 * 235) for part in one) for one in COLOURS]
    coded = np.array([[grey] * 3 for grey in NEUTRALS] + list(COLOURS) + light) / 255
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.RGB_to_XYZ(coded, "sRGB", apply_cctf_decoding=True)
    d65, d50 = (colour.xy_to_XYZ(whites[name]) for name in ("D65", "D50"))
    adapted = colour.chromatic_adaptation(xyz, d65, d50, method="Von Kries", transform="Bradford")
    return [[float(v) for v in row] for row in colour.XYZ_to_Lab(adapted, whites["D50"])]


def patch_field(name: str) -> list[list[float]]:
    """Return the corners of the field of patches, 1 mm inside the frame round it."""
    corners = np.array(TRUTH[name]["rectangle"]["corners_px"])
    width, height = TRUTH[name]["rectangle"]["size_mm"]

    def at(u: float, v: float) -> list[float]:
        top, bottom = (
            corners[0] + u * (corners[1] - corners[0]),
            corners[3] + u * (corners[2] - corners[3]),
        )
        return [float(one) for one in top + v * (bottom - top)]

    u, v = 1 / width, 1 / height
    return [at(u, v), at(1 - u, v), at(1 - u, 1 - v), at(u, 1 - v)]


@functools.cache
def pixels(name: str) -> np.ndarray:
    return read_picture(DEMO / name)


def read(name: str, **other: Any) -> dict[str, Any]:
    chart = {"corners_px": patch_field(name), "rows": 3, "columns": 6, "patches_lab": known_lab()}
    given = {"photograph_file": name, "chart": chart, **other}
    return catalogue.run("colour.from_photograph", given, files={"photograph_file": pixels(name)})


@pytest.mark.parametrize("name", ["antler-front-normal.jpg", "figurehead-front-normal.jpg"])
def test_patches_left_out_come_out_within_three_on_average(name: str) -> None:
    spot = [[700, 500], [760, 500], [760, 560], [700, 560]]
    found = read(name, regions=[{"name": "spot", "outline_px": spot}])
    assert found["leave_one_out"] < 3
    assert found["good_enough"]
    assert found["patches_used"] == 18
    assert found["regions"][0]["pixels"] == 3600
    assert "uncertain by about" in found["regions"][0]["text"]
    assert any("An ordinary picture" in words for words in found["warnings"])


def test_a_picture_in_another_light_says_why_it_is_no_use() -> None:
    found = read("antler-front-ultraviolet.jpg")
    assert not found["good_enough"]
    assert found["leave_one_out"] > 3
    assert "see why" in found["text"]
    assert found["why_not"]


def test_corners_clicked_from_the_wrong_end_are_noticed() -> None:
    name = "antler-front-normal.jpg"
    turned = patch_field(name)[2:] + patch_field(name)[:2]
    chart = {"corners_px": turned, "rows": 3, "columns": 6, "patches_lab": known_lab()}
    found = catalogue.run(
        "colour.from_photograph",
        {"photograph_file": name, "chart": chart},
        files={"photograph_file": pixels(name)},
    )
    assert not found["good_enough"]
    assert any("another order" in words for words in found["why_not"])


@pytest.mark.parametrize(("slope", "uneven"), [(0.0, False), (0.3, True)])
def test_a_colour_beside_a_chart_in_uneven_light_says_so(slope: float, uneven: bool) -> None:
    """The colours of the chart are the numbers of the camera here, but for the slope of light."""
    labs = np.array(known_lab())
    patch = colour.Lab_to_XYZ(labs).reshape(3, 6, 3)
    light = np.kron(patch, np.ones((40, 40, 1)))
    picture = np.concatenate([light, np.full((120, 240, 3), 0.3)], axis=1)
    picture = picture * np.linspace(1 - slope, 1 + slope, 480)[None, :, None] / 1.6
    chart = {"corners_px": [[0, 0], [240, 0], [240, 120], [0, 120]], "rows": 3, "columns": 6,
             "patches_lab": labs.tolist()}  # fmt: skip
    place = {"name": "shaft", "outline_px": [[400, 40], [460, 40], [460, 80], [400, 80]]}
    (found,) = catalogue.run(
        "colour.from_photograph",
        {"photograph_file": "p", "chart": chart, "regions": [place], "coding": "linear"},
        files={"photograph_file": (picture * 65535).astype(np.uint16)},
    )["regions"]
    assert ("more the further from the chart: its light is uneven" in found["text"]) is uneven


def test_slips_are_refused_in_words() -> None:
    chart = {"corners_px": patch_field("antler-front-normal.jpg")}
    picture = np.full((1500, 3000, 3), 120, dtype=np.uint8)

    def run(chart: dict[str, Any], pixels: np.ndarray = picture, **other: Any) -> None:
        catalogue.run(
            "colour.from_photograph",
            {"photograph_file": "x", "chart": chart, **other},
            files={"photograph_file": pixels},
        )

    with pytest.raises(InputError, match="not the common one of 24 patches"):
        run({**chart, "rows": 3})
    with pytest.raises(InputError, match="not as many as its patches"):
        run({**chart, "patches_lab": known_lab()[:7]})
    with pytest.raises(InputError, match="has no colours"):
        run(chart, picture[..., 0])
    with pytest.raises(InputError, match="named in card_file"):
        run(chart, card_file="missing")
