"""Flakes from a tray to candidate seats through the catalogue."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.drawn.breakage import broken_outline, turned, worn
from softmend import catalogue
from softmend.errors import InputError
from tests.catalogue.test_eyes import SCALE
from tests.science.photo.test_fragment import tray

# SCALE is 20 px to the millimetre.
PX_PER_M = 20_000.0


@pytest.fixture(scope="module")
def broken() -> tuple[np.ndarray, list[dict], dict[int, int]]:
    """A photographed tray of three flakes, five losses in mm, and where the flakes came from."""
    rng = np.random.default_rng(21)
    losses = [broken_outline(size, rng) for size in (12.0, 10.0, 9.0, 11.0, 10.5)]
    places = ([160.0, 160.0], [470.0, 380.0], [750.0, 180.0])
    flakes = []
    for number, place in enumerate(places):
        lying = turned(worn(losses[number], 0.2, rng), rng)
        flakes.append((lying - lying.mean(axis=0)) * PX_PER_M + np.array(place))
    marked = [
        {"number": 10 + number, "outline_mm": (1e3 * loss).tolist()}
        for number, loss in enumerate(losses)
    ]
    return tray(flakes, 25.0, 170.0), marked, {0: 10, 1: 11, 2: 12}


def outlines(picture: np.ndarray) -> list[dict]:
    payload = {"picture_file": "tray.png", "scale": SCALE, "ground": "dark"}
    found = catalogue.run("fragment.outlines", payload, files={"picture_file": picture})
    return sorted(found["flakes"], key=lambda one: one["outline_px"][0][0])


def test_flakes_come_with_their_size_and_find_their_seats(broken) -> None:
    picture, losses, seat_of = broken
    flakes = outlines(picture)
    assert len(flakes) == 3
    # Wear takes thin tips off.
    assert 8 < flakes[0]["longest_mm"]["mean"] < 12
    assert " ± " in flakes[0]["longest_mm"]["text"]
    assert flakes[0]["area_mm2"]["text"].endswith("mm²")
    for number, flake in enumerate(flakes):
        payload = {"flake": {"outline_mm": flake["outline_mm"]}, "losses": losses}
        found = catalogue.run("fragment.seats", payload)
        best = found["candidates"][0]
        assert best["number"] == seat_of[number]
        assert found["is_unique"]
        assert best["residual_mm"]["typical"] < 0.25
        assert best["residual_mm"]["text"].endswith("mm")
        assert best["residual_mm"]["expanded"] > 0
        assert best["uniqueness"]["low"] > 0.15
        assert best["matched_percent"] > 70
        assert found["none_of_these"] == "none of these"
        assert any("only lists candidates" in one for one in found["warnings"])
        loss = np.array(losses[best["number"] - 10]["outline_mm"])
        overlay = np.array(best["overlay"])
        dense = np.concatenate(
            [np.linspace(a, b, 9) for a, b in zip(loss, np.roll(loss, -1, axis=0), strict=True)]
        )
        off = np.hypot(*(overlay[::5, None] - dense[None]).transpose(2, 0, 1)).min(axis=1)
        assert np.median(off) < 0.4


def test_outlines_in_pixels_take_the_scale_of_their_photograph(broken) -> None:
    picture, losses, seat_of = broken
    flake = outlines(picture)[1]
    in_px = [
        {"number": one["number"], "outline_px": (np.array(one["outline_mm"]) * 20 + 300).tolist()}
        for one in losses
    ]
    payload = {
        "flake": {"outline_px": flake["outline_px"]},
        "losses": in_px,
        "flake_scale": SCALE,
        "scale": SCALE,
        "tray_file": "tray.png",
        "object_file": "tray.png",
    }
    files = {"tray_file": picture, "object_file": picture}
    best = catalogue.run("fragment.seats", payload, files=files)["candidates"][0]
    assert best["number"] == seat_of[1]
    # Both sides are flat grey here: how much they differ is told, a pattern is not.
    assert best["grey_difference"] == pytest.approx(130, abs=25)
    assert best["pattern"] is None
    loss = np.array(in_px[best["number"] - 10]["outline_px"])
    assert np.array(best["overlay"]).mean(axis=0) == pytest.approx(loss.mean(axis=0), abs=40)


def test_a_stranger_is_not_unique(broken) -> None:
    _, losses, _ = broken
    stranger = broken_outline(14.0, np.random.default_rng(99))
    payload = {"flake": {"outline_mm": (1e3 * stranger).tolist()}, "losses": losses}
    found = catalogue.run("fragment.seats", payload)
    assert not found["is_unique"]
    assert found["warnings"][0].startswith("No seat stands out")


def test_what_cannot_be_compared_is_refused_in_words(broken) -> None:
    picture, losses, _ = broken
    flake = {"outline_mm": losses[0]["outline_mm"]}
    with pytest.raises(InputError, match="Two losses have one number"):
        catalogue.run("fragment.seats", {"flake": flake, "losses": [losses[0], losses[0]]})
    in_px = {"flake": {"outline_px": [[1, 1], [90, 1], [5, 80]]}, "losses": losses}
    with pytest.raises(InputError, match="The outline of the flake is in pixels and its"):
        catalogue.run("fragment.seats", in_px)
    with pytest.raises(InputError, match="The outline of the flake is given not once"):
        catalogue.run("fragment.seats", {"flake": {}, "losses": losses})
    empty = {"picture_file": "t.png", "scale": SCALE, "smallest_mm": 400}
    found = catalogue.run("fragment.outlines", empty, files={"picture_file": picture})
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["Nothing of 400 mm or more lies there."]


def test_the_bar_that_the_scale_was_clicked_on_is_no_flake(broken) -> None:
    picture = broken[0].copy()
    picture[560:590, 100:860] = 235
    bar = {
        "method": "two_clicks",
        "end_a_px": [[101, 562]],
        "end_b_px": [[859, 562]],
        "length_mm": {"value": {"value": 37.9, "expanded": 0.1}, "kind": "measured"},
    }
    payload = {"picture_file": "tray.png", "scale": bar, "ground": "dark"}
    found = catalogue.run("fragment.outlines", payload, files={"picture_file": picture})
    assert len(found["flakes"]) == 3
    assert "What holds the scale's own points was left out." in found["warnings"]


def test_a_flake_lying_on_its_face_is_looked_for_only_when_somebody_says_so(broken) -> None:
    picture, losses, seat_of = broken
    mirrored = [[-x, y] for x, y in outlines(picture)[0]["outline_mm"]]
    asked = {"flake": {"outline_mm": mirrored}, "losses": losses}
    assert not catalogue.run("fragment.seats", asked)["is_unique"]
    found = catalogue.run("fragment.seats", asked | {"either_side_up": True})
    assert found["candidates"][0]["number"] == seat_of[0]
    assert found["candidates"][0]["is_turned_over"]
    assert any("its sides look alike" in one for one in found["warnings"])
