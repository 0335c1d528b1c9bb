"""Scale, length and area through the catalogue, in millimetres."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest

from softmend import catalogue
from softmend.errors import InputError

KNOWN = {
    "offset_mm": {"value": {"value": 0, "expanded": 1}},
    "camera_distance_mm": {"value": {"value": 500, "expanded": 50}},
}
BAR = {
    "method": "two_clicks",
    "end_a_px": [[100, 50]],
    "end_b_px": [[1100, 50]],
    "length_mm": {"value": {"value": 100, "expanded": 0.2}, "origin": "entry:12"},
    "stand": KNOWN,
}
RECTANGLE = {
    "method": "rectangle",
    "corners_px": [[[0, 0]], [[800, 0]], [[800, 600]], [[0, 600]]],
    "width_mm": 80,
    "height_mm": 60,
    "stand": KNOWN,
}
SHAFT = {
    "method": "cylinder",
    "edges_px": [[[1200, 100], [1200, 2900]], [[2800, 100], [2800, 2900]]],
    "diameter_mm": {"value": {"value": 80, "expanded": 1}},
    "camera_distance_mm": {"value": {"value": 960, "expanded": 20}},
    "picture_width_px": 4000,
    "picture_height_px": 3000,
}


def test_a_bar_gives_its_pixels_to_the_millimetre() -> None:
    found = catalogue.run("photo.scale", {"scale": BAR})
    assert found["scale_px_per_mm"]["mean"] == pytest.approx(10.0, rel=1e-3)
    # Clicks 0.141 %, bar 0.1 %, standoff 0.5 mm in 500 mm 0.1 %: root of squares, k = 2.
    closed = 2 * math.hypot(0.00141, 0.001, 0.001) * 100
    assert found["relative_expanded_percent"] == pytest.approx(closed, rel=0.05)
    assert found["scale_px_per_mm"]["text"].endswith("px/mm")
    assert {"name": "true length of the scale", "text": "100.00 ± 0.20 mm", "kind": "measured",
            "origin": "entry:12"} in found["working"]  # fmt: skip


def test_an_unknown_standoff_is_said_and_named_as_the_one_to_measure() -> None:
    known = catalogue.run("photo.scale", {"scale": BAR})
    unknown = catalogue.run("photo.scale", {"scale": {**BAR, "stand": {}}})
    assert unknown["scale_px_per_mm"]["expanded"] > 2 * known["scale_px_per_mm"]["expanded"]
    assert unknown["scale_px_per_mm"]["drivers"][0]["name"] == (
        "scale before or behind the surface"
    )
    assert "How far the scale lay from the surface is not known." in unknown["warnings"]


@pytest.mark.parametrize("scale", [BAR, RECTANGLE], ids=["bar", "rectangle"])
def test_a_line_and_an_area_come_in_millimetres(scale: dict) -> None:
    line = catalogue.run("photo.length", {"scale": scale, "line_px": [[100, 100], [400, 500]]})
    assert line["length_mm"]["mean"] == pytest.approx(50, rel=3e-3)
    assert line["length_mm"]["text"].startswith("50.0")
    assert "Flat reading, at least." in line["warnings"]
    square = [[100, 100], [300, 100], [300, 300], [100, 300]]
    hole = [[150, 150], [250, 150], [250, 250], [150, 250]]
    area = catalogue.run("photo.area", {"scale": scale, "outline_px": square, "holes_px": [hole]})
    assert area["area_mm2"]["mean"] == pytest.approx(300, rel=1e-2)
    assert area["perimeter_mm"]["mean"] == pytest.approx(80, rel=1e-2)


def test_a_shaft_greys_and_warns_beyond_45_degrees() -> None:
    found = catalogue.run("photo.scale", {"scale": SHAFT})
    left, right = SHAFT["edges_px"]
    for ring, edge in zip(found["grey_beyond_px"], (left, right), strict=True):
        assert ring[-1] == edge[0]
        assert [point[0] for point in ring[:2]] != [point[0] for point in edge]
    inner = [ring[0][0] for ring in found["grey_beyond_px"]]
    half = (right[0][0] - left[0][0]) / 2
    # Far cameras see 45 degrees at 0.707 of the half width; a near one a little further out.
    assert 0.707 < (inner[1] - inner[0]) / 2 / half < 0.78
    assert found["scale_px_per_mm"]["mean"] == pytest.approx(20, rel=0.1)
    middle = catalogue.run("photo.length", {"scale": SHAFT, "line_px": [[1950, 900], [2050, 900]]})
    side = catalogue.run("photo.length", {"scale": SHAFT, "line_px": [[2650, 900], [2750, 900]]})
    assert middle["warnings"] == []
    assert "beyond 45°" in side["warnings"][0]
    assert side["length_mm"]["mean"] > 1.5 * middle["length_mm"]["mean"]


def test_markers_are_found_in_the_picture_and_give_the_same_when_typed() -> None:
    paper = np.full((900, 1200), 230, dtype=np.uint8)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_250)
    paper[300:620, 400:720] = cv2.aruco.generateImageMarker(dictionary, 5, 320)
    scale = {"method": "markers", "picture_file": "paper.png", "side_mm": 40, "stand": KNOWN}
    found = catalogue.run("photo.scale", {"scale": scale}, files={"picture_file": paper})
    assert found["markers"][0]["number"] == 5
    assert found["scale_px_per_mm"]["mean"] == pytest.approx(8.0, rel=0.003)
    seen = {"number": 5, "corners_px": found["markers"][0]["corners_px"]}
    typed = {"method": "markers", "markers": [seen], "side_mm": 40, "stand": KNOWN}
    again = catalogue.run("photo.scale", {"scale": typed})
    assert again["scale_px_per_mm"] == found["scale_px_per_mm"]
    with pytest.raises(InputError, match="No marker was found in the picture"):
        catalogue.run(
            "photo.scale", {"scale": scale}, files={"picture_file": np.full_like(paper, 99)}
        )
    with pytest.raises(InputError, match="No marker corners and no picture were given"):
        catalogue.run("photo.scale", {"scale": scale})


def test_the_same_seed_gives_the_same_answer_to_the_last_digit() -> None:
    payload = {"scale": BAR, "line_px": [[100, 100], [400, 500]]}
    assert catalogue.run("photo.length", payload, 3) == catalogue.run("photo.length", payload, 3)
    assert catalogue.run("photo.length", payload, 3) != catalogue.run("photo.length", payload, 4)


def test_a_shaft_without_edges_or_axis_is_refused() -> None:
    bare = {key: value for key, value in SHAFT.items() if key != "edges_px"}
    with pytest.raises(InputError, match="A cylinder needs its two outline edges, or its axis"):
        catalogue.run("photo.scale", {"scale": bare})


def test_a_tapering_shaft_by_two_diameters_measures_a_mark_on_it() -> None:
    edges = [[[1200, 100], [1300, 2900]], [[2800, 100], [2700, 2900]]]
    cone = {
        **SHAFT,
        "edges_px": edges,
        "second_diameter_mm": {"value": {"value": 70, "expanded": 1}},
    }
    asked = {"scale": cone, "line_px": [[2000, 500], [2000, 2500]]}
    found = catalogue.run("photo.length", asked)
    # 80 mm over 1600 px and 70 mm over 1400 px: 20 px/mm at the outline; the front line is nearer
    # to the camera by the radius, 37.5 mm of 997.5 mm.
    assert found["length_mm"]["mean"] == pytest.approx(100 * 960 / 997.5, rel=0.01)
    names = {one["name"] for one in found["length_mm"]["drivers"]}
    assert {"diameter at the first clicks", "diameter at the last clicks"} <= names
    lines = [one["name"] for one in found["working"]]
    assert lines[:2] == ["diameter of the shaft", "diameter at its other end"]
    assert len(catalogue.run("photo.scale", {"scale": cone})["grey_beyond_px"]) == 2


def test_two_diameters_without_edges_are_refused() -> None:
    bare = {key: value for key, value in SHAFT.items() if key != "edges_px"}
    cone = {**bare, "second_diameter_mm": {"value": {"value": 70, "expanded": 1}}}
    with pytest.raises(InputError, match="Two diameters need the two outline edges of the shaft"):
        catalogue.run("photo.scale", {"scale": cone})
