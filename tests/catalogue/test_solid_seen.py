"""Marks on the demo's photographs laid along its scan, against the truth that both were made from.

The photographs were drawn by a renderer with its own camera; where each crack runs on the scan
stands in scan-truth.json.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.cli.compute import compute
from softmend.intake.scan import read_scan
from softmend.science.solid.beam import beam_of
from softmend.science.solid.check import checked_shape
from softmend.science.solid.seen_along import nearest_along
from softmend.services.demo.layout import demo_scale

DEMO = Path(str(files("softmend") / "demo"))
TRUTH = json.loads((DEMO / "truth.json").read_text("utf-8"))
ON_SCAN = json.loads((DEMO / "scan-truth.json").read_text("utf-8"))
CRACKS = {one["name"]: 1e-3 * np.array(one["places_mm"]) for one in ON_SCAN["cracks"]}
SCAN: Any = read_scan(DEMO / "antler-scan.glb")
SHAPE = checked_shape(SCAN.points, SCAN.faces)
BEAM = beam_of(SHAPE.mesh)
PICTURE = next(one for one in TRUTH["pictures"] if one["file"] == "antler-front-normal.jpg")
SEEN = {one["feature"]: one for one in PICTURE["sightings"]}
ENDS = (("crack 1", 0), ("crack 1", -1), ("crack 2", 0), ("crack 2", -1))


def given(ends: tuple[tuple[str, int], ...] = ENDS, **more: Any) -> dict[str, Any]:
    """Return ends of cracks as a person picks them on both, and all that is drawn."""
    return {
        "scan_file": "antler-scan.glb",
        "length": {"length_mm": {"value": {"value": 600, "expanded": 2}}, "unit": "m"},
        "scale": demo_scale(PICTURE, "cylinder"),
        "places": [
            {"at_px": SEEN[name]["points_px"][end], "at": CRACKS[name][end].tolist()}
            for name, end in ends
        ],
        "drawn": [
            {"name": name, "kind": "crack", "parts_px": [one["points_px"]],
             "is_outline": one["shape"] == "Polygon"}
            for name, one in SEEN.items()
        ],
        **more,
    }  # fmt: skip


def run(**more: Any) -> dict[str, Any]:
    scan = SimpleNamespace(points=SCAN.points, faces=SCAN.faces, kind="GLB", notes=())
    return catalogue.run("solid.marks_along", given(**more), files={"scan_file": scan})


@pytest.mark.parametrize("ends", [ENDS, (ENDS[3], ENDS[0])])
def test_each_crack_of_the_demo_lies_where_the_truth_has_it(
    ends: tuple[tuple[str, int], ...],
) -> None:
    found = run(ends=ends)
    told = {one["name"]: one for one in found["stretches"]}
    assert set(told) == set(SEEN)
    for name in ("crack 1", "crack 2", "crack 3", "shrinkage gap"):
        true = 100 * nearest_along(BEAM, CRACKS[name]) / BEAM.length
        one = told[name]
        off = 100 * one["expanded_mm"] / found["length_mm"]
        assert one["seen_from_percent"] == pytest.approx(true.min(), abs=off)
        assert one["seen_to_percent"] == pytest.approx(true.max(), abs=off)
        assert off < 4
        assert one["from_percent"] < true.min() < true.max() < one["to_percent"]
    assert (found["scatter_mm"] is None) == (len(ends) == 2)


def test_the_stretch_is_clear_by_what_was_asked_beyond_the_uncertainty() -> None:
    near, far = (run(clear_mm=clear)["stretches"][0] for clear in (0, 30))
    assert near["from_percent"] - far["from_percent"] == pytest.approx(3000 / 607.4, abs=0.2)


def test_a_pair_picked_crosswise_is_refused_in_one_sentence() -> None:
    wrong = given()
    wrong["places"][0]["at_px"], wrong["places"][3]["at_px"] = (
        wrong["places"][3]["at_px"], wrong["places"][0]["at_px"],
    )  # fmt: skip
    found = run(places=wrong["places"])
    assert found["answer"] == "cannot say"
    (reason,) = found["reasons"]
    assert "end-on between places 1 and 2; got 130 mm on the photograph, 233 mm on the" in reason
    assert "check that both are the same places" in reason
    assert found["stretches"] == []


def test_a_place_beside_the_object_is_named() -> None:
    places = given()["places"]
    places[1]["at_px"] = [places[1]["at_px"][0], 1400.0]
    (reason,) = run(places=places)["reasons"]
    assert "cannot tell how far places 1 and 2 lie apart: " in reason
    assert "pick them nearer to the middle of the object" in reason
    places[1]["at_px"] = places[0]["at_px"]
    (reason,) = run(places=places)["reasons"]
    assert "Places 1 and 2 are one on the photograph" in reason


def test_without_a_measured_length_it_cannot_say() -> None:
    found = run(length=None)
    assert found["answer"] == "cannot say"
    assert "has no unit" in found["reasons"][0]


def test_it_answers_from_the_command_line_on_a_file(tmp_path: Path) -> None:
    (tmp_path / "antler-scan.glb").write_bytes((DEMO / "antler-scan.glb").read_bytes())
    asked, out = tmp_path / "in.json", tmp_path / "out.json"
    asked.write_text(json.dumps(given()), "utf-8")
    assert compute("solid.marks_along", in_file=asked, out_file=out) == 0
    assert json.loads(out.read_text("utf-8"))["stretches"][0]["kind"] == "crack"
