"""Trace and width through the catalogue, in millimetres and in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.intake.decode import read_picture
from softmend.science.photo.square_up import carried
from tests.science.photo.drawn_cracks import EDGE_PX, slab_picture

DEMO = files("softmend") / "demo"
SKULL = Path(__file__).parents[1] / "data" / "photographs"
TRUTH = json.loads((DEMO / "truth.json").read_text("utf-8"))
PICTURE, LINE = slab_picture(6.0, 1.0)
FILES = {"picture_file": PICTURE}
SCALE = {
    "method": "two_clicks",
    "end_a_px": [[100, 20]],
    "end_b_px": [[1100, 20]],
    "length_mm": {"value": {"value": 50, "expanded": 0.05}},
    "stand": {
        "offset_mm": {"value": {"value": 0, "expanded": 1}},
        "camera_distance_mm": {"value": {"value": 500, "expanded": 20}},
    },
}
EDGE = {"method": "edge", "edge_px": list(EDGE_PX)}


def asked(**more: object) -> dict:
    return {"picture_file": "crack.png", **more}


def test_a_trace_comes_with_its_length_and_the_spread_of_the_hand() -> None:
    clicks = LINE[[0, 40, -1]].tolist()
    again = (LINE[[1, 50, -2]] + 1.0).tolist()
    found = catalogue.run(
        "photo.trace",
        asked(anchors_px=clicks, again_anchors_px=again, scale=SCALE),
        files=FILES,
    )
    run = np.hypot(*np.diff(LINE, axis=0).T).sum() / 20
    assert found["length_mm"]["mean"] == pytest.approx(run, rel=0.01)
    assert found["weak_percent"] == 0
    assert found["hand"]["sideways_sd_px"] < 0.5
    assert found["hand"]["text"].startswith("spread of the hand")
    assert found["ends"][0]["seen_to_px"] == found["line_px"][0]


def test_a_width_comes_in_millimetres_with_what_drives_its_spread() -> None:
    found = catalogue.run(
        "photo.width", asked(line_px=LINE.tolist(), blur=EDGE, scale=SCALE), files=FILES
    )
    assert found["blur"]["is_measured"]
    first = found["stretches"][0]
    assert first["width_mm"]["mean"] == pytest.approx(0.3, abs=0.01)
    assert first["width_mm"]["text"].endswith(" mm")
    assert first["to_px"] - first["from_px"] == pytest.approx(100, rel=0.1)
    assert {one["name"] for one in first["width_mm"]["drivers"]} >= {
        "noise along the crack", "blur of the photograph", "shape of the lips",
    }  # fmt: skip
    assert found["warnings"] == []


def test_a_fine_crack_is_narrower_than_and_an_unknown_blur_is_said() -> None:
    thin, line = slab_picture(1.2, 1.0)
    payload = asked(line_px=line.tolist(), blur=EDGE, scale=SCALE)
    found = catalogue.run("photo.width", payload, files={"picture_file": thin})
    assert found["stretches"][0]["width_mm"] is None
    assert found["stretches"][0]["text"] == "narrower than 0.11 mm"
    unknown = catalogue.run("photo.width", asked(line_px=LINE.tolist()), files=FILES)
    assert unknown["warnings"][0].startswith("No edge was measured in this photograph:")
    assert unknown["warnings"][1] == "No scale is set: nothing is given in millimetres."
    known = catalogue.run("photo.width", asked(line_px=LINE.tolist(), blur=EDGE), files=FILES)
    spreads = [one["stretches"][0]["median_expanded_px"] for one in (unknown, known)]
    assert spreads[0] > 2 * spreads[1]


def test_where_nothing_is_seen_the_answer_is_cannot_say() -> None:
    beside = (LINE - np.array([0.0, 35.0])).tolist()
    found = catalogue.run("photo.width", asked(line_px=beside, blur=EDGE), files=FILES)
    assert found["answer"] == "cannot say"
    assert found["reasons"] == ["No dark line is seen along this trace."]
    assert found["stretches"][0]["text"] == "not seen"


def test_a_missing_picture_is_named() -> None:
    with pytest.raises(InputError, match="There is no picture to look at; got picture_file"):
        catalogue.run("photo.trace", asked(anchors_px=[[1, 1], [90, 90]]))


def test_crack_1_of_the_demo_is_traced_and_its_mouth_measured() -> None:
    name = "antler-detail-crack-1.jpg"
    picture = next(one for one in TRUTH["pictures"] if one["file"] == name)
    seen = next(one for one in picture["sightings"] if one["feature"] == "crack 1")
    pixels = {"picture_file": read_picture(DEMO / name)}
    middle = np.array(seen["points_px"])
    clicks = middle[np.linspace(1, len(middle) - 2, 5).astype(int)].tolist()
    line = catalogue.run("photo.trace", asked(anchors_px=clicks), files=pixels)["line_px"]
    found = catalogue.run(
        "photo.width", asked(line_px=line, blur={"method": "markers"}), files=pixels
    )
    lips = np.hypot(*(np.array(seen["lip_low_px"]) - np.array(seen["lip_high_px"])).T)
    off = []
    for station in found["stations"]:
        if station["mouth_px"] is not None:
            nearest = np.argmin(np.hypot(*(middle - station["at_px"]).T))
            off.append(station["mouth_px"] - lips[nearest])
    assert len(off) > 0.8 * len(found["stations"])
    assert np.median(off) == pytest.approx(0, abs=0.15)
    # Where the crack runs along the old fill, the fill's dark edge is read with it.
    assert np.quantile(np.abs(off), 0.75) < 0.5


FRONTS = ("antler-front-normal.jpg", "antler-front-normal-after.jpg")


@pytest.fixture(scope="module")
def winter() -> tuple[dict, dict]:
    """The demo's front before and after the winter, and what is asked of the pair."""
    pixels = {
        field: read_picture(DEMO / name)
        for field, name in zip(("earlier_file", "later_file"), FRONTS, strict=True)
    }
    picture = next(one for one in TRUTH["pictures"] if one["file"] == FRONTS[0])
    seen = next(one for one in picture["sightings"] if one["feature"] == "crack 1")
    middle = np.array(seen["points_px"])
    clicks = middle[np.linspace(0, len(middle) - 1, 9).astype(int)].tolist()
    line = catalogue.run(
        "photo.trace", asked(anchors_px=clicks), files={"picture_file": pixels["earlier_file"]}
    )["line_px"]
    bar = picture["scale_bar"]
    ends = {"end_a_px": [bar["ends_px"][0]], "end_b_px": [bar["ends_px"][1]]}
    payload = {
        "earlier_file": FRONTS[0],
        "later_file": FRONTS[1],
        "cracks": [{"number": 1, "line_px": line}],
        "earlier_blur": {"method": "markers"},
        "later_blur": {"method": "markers"},
        "scale": {**SCALE, **ends, "length_mm": bar["length_mm"]},
        "earlier_percent": {"value": {"value": 55, "expanded": 2}},
        "later_percent": {"value": {"value": 40, "expanded": 2}},
    }
    return payload, pixels


def test_the_winter_of_the_demo_opened_crack_1_and_suggests_the_new_one(winter) -> None:
    payload, pixels = winter
    found = catalogue.run("photo.change", payload, files=pixels)
    assert found["whole"]["is_one_plane"]
    crack = found["cracks"][0]
    assert crack["state"] == "breathes with RH"
    assert "growth cannot be told from breathing" in crack["text"]
    lips = []
    for name in FRONTS:
        picture = next(one for one in TRUTH["pictures"] if one["file"] == name)
        seen = next(one for one in picture["sightings"] if one["feature"] == "crack 1")
        run = np.array(seen["lip_low_px"]) - np.array(seen["lip_high_px"])
        lips.append((np.hypot(*run.T) / picture["px_per_mm"], np.array(seen["points_px"])))
    middle = lips[0][1]
    along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(middle, axis=0).T))])
    for one in crack["stretches"]:
        at = np.searchsorted(along, (one["from_px"] + one["to_px"]) / 2)
        true = lips[1][0][at] - lips[0][0][at]
        # Within a third of a pixel of 4.5 to the millimetre; at times inside two sd.
        assert one["opening_mm"]["mean"] == pytest.approx(true, abs=0.075)
    new = next(one for one in TRUTH["pictures"][5]["sightings"] if one["feature"] == "crack 4")
    near = np.array(new["points_px"])
    points = np.concatenate([one["lines_px"][0] for one in found["new_cracks"]])
    assert 1 <= len(found["new_cracks"]) <= 6
    off = np.hypot(*(points[:, None] - near[None]).transpose(2, 0, 1)).min(axis=1)
    assert np.mean(off < 16) > 0.5
    assert found["warnings"][0].startswith("No second photograph of the first day was given")
    assert found["floor_px"] == 1.0
    opening = {"before_percent": 55, "after_percent": 40, "readings": crack["readings"]}
    fed = catalogue.run("moisture.opening", opening)
    assert fed["per_percent_mm"]["typical"] == pytest.approx(
        crack["per_percent_mm"]["typical"], rel=0.02
    )


def test_a_pair_of_one_day_gives_the_floor(winter) -> None:
    payload, pixels = winter
    repeat = {**payload, "repeat_file": FRONTS[0], "later_file": FRONTS[0]}
    same = {**pixels, "later_file": pixels["earlier_file"], "repeat_file": pixels["earlier_file"]}
    found = catalogue.run("photo.change", repeat, files=same)
    assert found["is_floor_measured"]
    assert found["floor_px"] == 0.3
    assert found["cracks"][0]["state"] == "no change shown"
    assert found["cracks"][0]["text"] == "no change shown"
    assert found["new_cracks"] == []


def test_photographs_are_laid_over_and_the_curved_is_refused_with_a_way_out(winter) -> None:
    _, pixels = winter
    payload = {"earlier_file": "a.jpg", "later_file": "b.jpg"}
    found = catalogue.run("photo.register", payload, files=pixels)
    assert found["whole"]["is_one_plane"]
    assert found["text"].endswith("matches agree")
    # The matches scatter by a pixel of the render's grain; the plane through them does not.
    shots = [next(one for one in TRUTH["pictures"] if one["file"] == name) for name in FRONTS]
    first, later = (
        np.array(next(s for s in shot["sightings"] if s["feature"] == "crack 3")["points_px"])
        for shot in shots
    )
    laid = carried(np.array(found["whole"]["to_earlier"]), later)
    assert np.median(np.hypot(*(laid - first).T)) < 0.15
    skull = [read_picture(SKULL / name) for name in ("10.jpg", "11.jpg")]
    round_ = catalogue.run("photo.register", payload, files=dict(zip(payload, skull, strict=True)))
    assert round_["answer"] == "cannot say"
    assert round_["reasons"][0].startswith("One plane does not fit the two photographs: ")
    assert "around_px" in round_["reasons"][0]


def test_suggestions_say_what_they_are() -> None:
    found = catalogue.run("photo.suggest", asked(), files=FILES)
    assert found["warnings"][0].startswith("Suggestions, not findings")
    assert found["warnings"][1].startswith("No region was drawn")
    even = catalogue.run("photo.suggest", asked(even_lines=True), files=FILES)
    all_lines = [line for one in even["suggestions"] for line in one["lines_px"]]
    lines = np.concatenate([np.array(line) for line in all_lines])
    off = np.abs(lines[:, 1] - np.interp(lines[:, 0], *LINE.T))
    assert np.median(off) < 1.0
    assert even["method"]
    assert even["version"]
