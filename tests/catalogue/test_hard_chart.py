"""Colours from a hard picture of the common chart whose truth is known: no surer than they are."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.science.tint.difference import colour_difference_ciede2000
from tests.catalogue.hard_chart import BONE, CORNERS, Trouble, grey_card, picture

PLACES = {
    "tan antler": [[20, 200], [100, 200], [100, 300], [20, 300]],
    "pale bone": [[790, 200], [870, 200], [870, 300], [790, 300]],
}
BAD_DAY = Trouble(falls=0.25, blur_px=2.0, noise=0.02, glare=0.3, quality=75)


def read(trouble: Trouble, *, card: bool = False) -> dict[str, Any]:
    clicked = CORNERS + np.random.default_rng(5).normal(0, 2, CORNERS.shape)
    given: dict[str, Any] = {
        "photograph_file": "p.jpg",
        "chart": {"corners_px": clicked.tolist(), "known": "after 2014"},
        "regions": [{"name": name, "outline_px": ring} for name, ring in PLACES.items()],
    }
    files = {"photograph_file": picture(trouble)}
    if card:
        given["card_file"], files["card_file"] = "card.jpg", grey_card(trouble)
    return catalogue.run("colour.from_photograph", given, files=files)


def off(found: dict[str, Any]) -> dict[str, float]:
    return {
        one["name"]: float(colour_difference_ciede2000(one["lab"], BONE[one["name"]]))
        for one in found["regions"]
    }


def said(found: dict[str, Any]) -> str:
    return " ".join(found["warnings"])


@pytest.mark.parametrize("trouble", [Trouble(), Trouble(glare=0.3), BAD_DAY], ids=repr)
def test_patches_left_out_come_out_within_three_on_average(trouble: Trouble) -> None:
    found = read(trouble)
    assert found["leave_one_out"] < 3
    assert found["good_enough"]


def test_a_mirrored_lamp_is_found_and_its_patch_left_out() -> None:
    found = read(Trouble(glare=0.3))
    assert found["patches_used"] == 23
    assert "it varies in itself (a lamp mirrored in it, or dirt): row 2, place 3." in said(found)
    assert found["leave_one_out"] < 1
    assert read(Trouble())["patches_used"] == 24


@pytest.mark.parametrize("falls", [0.05, 0.15, 0.25, 0.45])
def test_uneven_light_is_warned_of_and_no_colour_is_shown_as_surer_than_it_is(falls: float) -> None:
    found = read(Trouble(falls=falls))
    for one in found["regions"]:
        assert off(found)[one["name"]] < 1.25 * one["uncertain_by"]
    assert ("move the lamps, or photograph an even grey card" in said(found)) == (falls > 0.05)


def test_a_grey_card_in_the_same_light_takes_it_away() -> None:
    without, found = read(BAD_DAY), read(BAD_DAY, card=True)
    assert without["uneven_percent"] > 15
    assert found["uneven_percent"] < 3
    assert max(off(found).values()) < 1.0 < min(off(without).values())
    assert max(one["uncertain_by"] for one in found["regions"]) < 1.0


def test_where_there_is_no_chart_no_colour_is_told() -> None:
    beside = [[10, 130], [110, 130], [110, 480], [10, 480]]
    regions = [{"name": "tan antler", "outline_px": PLACES["tan antler"]}]
    found = catalogue.run(
        "colour.from_photograph",
        {"photograph_file": "p.jpg", "chart": {"corners_px": beside}, "regions": regions},
        files={"photograph_file": picture(Trouble())},
    )
    assert not found["good_enough"]
    assert found["why_not"][0].startswith("Between the four corners there is no chart")
    assert found["regions"][0]["lab"] is None
    assert found["regions"][0]["text"] == "not known: there is no chart to correct it by"
