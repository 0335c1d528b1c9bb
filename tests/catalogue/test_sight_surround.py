"""The surround's texture from the outside: a photograph, its fill, and what counts as object."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError

FILL = [[200, 120], [320, 120], [320, 150], [200, 150]]


def grained(spread: float) -> np.ndarray:
    """Return a bone-like picture of 4 px/mm whose grain runs along it, on a dark background."""
    rng = np.random.default_rng(7)
    streaks = np.repeat(np.repeat(rng.normal(0, spread, (60, 15)), 4, axis=0), 32, axis=1)
    made = np.clip(np.array([190, 165, 130]) + streaks[..., None], 0, 255)
    made[:20], made[220:] = 30, 30
    return made.astype(np.uint8)


def surround(picture: np.ndarray, **other: Any) -> dict[str, Any]:
    given = {"photograph_file": "p.png", "px_per_mm": 4, "fill_px": FILL, **other}
    return catalogue.run("sight.surround", given, files={"photograph_file": picture})


def test_grain_counts_near_and_far_and_a_plain_object_has_none() -> None:
    plain, strong = surround(grained(0.0)), surround(grained(12.0))
    assert plain["far"]["noise"] == pytest.approx(0, abs=0.01)
    assert plain["near"]["grain"] == pytest.approx(0, abs=0.01)
    assert strong["near"]["grain"] > strong["far"]["grain"] > 0.3
    assert "within 8 mm of it was taken for the object" in strong["warnings"][0]
    assert strong["text"].startswith("The surround itself differs from place to place by")


def test_an_outlined_original_keeps_background_and_holes_out() -> None:
    picture = grained(0.0)
    picture[60:100, 60:140] = 240
    whole = [[5, 22], [475, 22], [475, 218], [5, 218]]
    label = [[55, 55], [145, 55], [145, 105], [55, 105]]
    with_label = surround(picture, original_px=[whole])
    without = surround(picture, original_px=[whole, label])
    also = surround(picture, original_px=[whole], left_out_px=[label])
    assert with_label["far"]["noise"] > 1
    assert without["far"]["noise"] == pytest.approx(0, abs=0.05)
    assert also["far"] == without["far"]
    assert not any("No original" in line for line in without["warnings"])


def test_a_coarse_picture_says_what_it_cannot_hold() -> None:
    found = surround(grained(8.0))
    assert any("From 250 mm the picture has only 17 px a degree" in w for w in found["warnings"])


def test_the_texture_goes_into_verdict_and_window() -> None:
    found = surround(grained(12.0))
    texture = {
        f"{name}_{place}": found[place][name]
        for name in ("noise", "grain") for place in ("far", "near")
    }  # fmt: skip
    given = {"surround": {"lab": [70, 5, 20]}, "width_mm": 7.5, "length_mm": 30}
    window = catalogue.run("sight.window", {**given, "texture": texture})
    plain = catalogue.run("sight.window", given)
    assert window["windows"][0]["most_unseen"] > plain["windows"][0]["most_unseen"]
    toned = {**given, "fill": {"lab": [70, 5, 20]}, "texture": texture}
    verdict = catalogue.run("sight.verdict", toned)
    assert verdict["near"]["grain"] == pytest.approx(found["near"]["grain"])
    assert "the missing grain is" in verdict["near"]["text"]


@pytest.mark.parametrize(
    ("far", "near", "said"),
    [
        (0.4, 2.2, "the mean colour, flat, does both"),
        (1.8, 4.0, "any flat fill is seen by lacking it, so stipple it as strongly"),
    ],
)
def test_what_missing_grain_does_is_said_plainly(far: float, near: float, said: str) -> None:
    given = {
        "surround": {"lab": [70, 5, 20]}, "width_mm": 7.5, "length_mm": 30,
        "texture": {"noise_far": 0.2, "noise_near": 0.3, "grain_far": far, "grain_near": near},
    }  # fmt: skip
    window = catalogue.run("sight.window", given)
    assert said in window["text"]
    verdict = catalogue.run("sight.verdict", {**given, "fill": {"lab": [70, 5, 20]}})
    assert (verdict["unseen_far"], verdict["found_near"]) == (far < 1, True)


def test_slips_are_refused_in_words() -> None:
    with pytest.raises(InputError, match="lies outside the picture"):
        surround(grained(0.0), fill_px=[[2000, 10], [2100, 10], [2100, 60]])
    with pytest.raises(InputError, match="Nothing of the surround"):
        surround(grained(0.0), original_px=[[[0, 0], [4, 0], [4, 4], [0, 4]]])
