"""Trace and width through the catalogue, in millimetres and in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from importlib.resources import files

import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError
from softmend.intake.decode import read_picture
from tests.science.photo.drawn_cracks import EDGE_PX, slab_picture

DEMO = files("softmend") / "demo"
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
