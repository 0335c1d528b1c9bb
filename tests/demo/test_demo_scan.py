"""The demo antler's own scans, measured by name, against what is true of their description."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from softmend import catalogue, demo
from softmend.intake.scan import Scan, read_scan
from tools.demo.body_truth import Bulk, bends, dips, is_in_shaft
from tools.demo.scan import measured, movement

FOLDER = Path(next(iter(demo.__path__)))
TRUTH: dict[str, Any] = json.loads((FOLDER / "scan-truth.json").read_text(encoding="utf-8"))


def in_m(places: list[Any]) -> list[Any]:
    return (np.array(places) / 1e3).tolist()


LENGTH = {"length_mm": TRUTH["measured"]["length_mm"], "unit": "m",
          "between": in_m(TRUTH["measured"]["between_mm"])}  # fmt: skip


@pytest.fixture(scope="module")
def scans() -> list[Scan]:
    return [read_scan(FOLDER / name) for name in ("antler-scan.glb", "antler-scan-after.glb")]


def run(name: str, scans: list[Scan], **given: Any) -> dict[str, Any]:
    files = {"scan_file": scans[0]}
    return catalogue.run(name, {"scan_file": "a", "length": LENGTH, **given}, files=files)


def lies_within(estimate: dict[str, Any], true: float) -> bool:
    return estimate["low"] <= true <= estimate["high"]


def test_the_scans_are_closed_and_small(scans: list[Scan]) -> None:
    for scan, name in zip(scans, ("antler-scan.glb", "antler-scan-after.glb"), strict=True):
        assert 60_000 < len(scan.faces) < 125_000
        assert (FOLDER / name).stat().st_size < 1_500_000
    found = run("solid.check", scans)
    assert found["states"] == ["closed, every face the same way"]
    assert found["is_closed"] is True
    edge = TRUTH["area_mm2_by_edge_mm"]
    assert found["area_mm2"] == pytest.approx(edge["1.7"], rel=0.003)
    assert found["area_mm2"] < edge["0.3"]


def test_volume_and_centre_are_those_of_the_description(scans: list[Scan]) -> None:
    found = run("solid.volume", scans)
    assert lies_within(found["volume_ml"], TRUTH["volume_mm3"] / 1e3)
    assert found["volume_ml"]["typical"] == pytest.approx(TRUTH["volume_mm3"] / 1e3, rel=0.001)
    assert np.array(found["centre"]) * 1e3 == pytest.approx(np.array(TRUTH["centre_mm"]), abs=0.05)


def test_the_loss_takes_as_much_as_is_true(scans: list[Scan]) -> None:
    void = TRUTH["void"]
    found = run("solid.void", scans, rim=in_m(void["rim_mm"]), inside=in_m(void["inside_mm"]))
    assert found["mouth"] == "a hole in the surface"
    assert lies_within(found["volume_ml"], void["volume_mm3"] / 1e3)
    assert found["level_fill_ml"] == pytest.approx(void["level_fill_mm3"] / 1e3, abs=0.06)
    assert found["mouth_mm2"] == pytest.approx(void["mouth_on_the_surface_mm2"], rel=0.05)
    assert found["deepest_mm"] == pytest.approx(void["deepest_mm"], abs=0.4)


@pytest.mark.parametrize("number", [0, 1, 3, 4])
def test_a_crack_is_as_long_over_the_surface_as_it_is(scans: list[Scan], number: int) -> None:
    crack = TRUTH["cracks"][number]
    found = run("solid.surface_length", scans, picks=in_m(crack["places_mm"]))
    assert lies_within(found["length_mm"], crack["length_mm"]["before"])
    assert found["length_mm"]["typical"] == pytest.approx(crack["length_mm"]["before"], rel=0.015)


@pytest.mark.parametrize("station", TRUTH["diameters_of_the_smooth_body"])
def test_the_beam_is_as_thick_as_described(scans: list[Scan], station: dict[str, Any]) -> None:
    points = scans[0].points * 1e3 - station["middle_mm"]
    near = points[(np.abs(points[:, 0]) < 1.2) & (points[:, 1] < 45)][:, 1:]
    way = np.linspace(0, np.pi, 181)
    wide = np.ptp(near @ np.stack([np.cos(way), np.sin(way)]), axis=0)
    # Knobs and waves of the relief stand up to 0.7 mm out on each side.
    both = (station["least_mm"] + station["greatest_mm"]) / 2
    assert wide.mean() == pytest.approx(both + 0.5, abs=0.7)
    assert wide.min() == pytest.approx(station["least_mm"], abs=1.4)
    assert wide.max() == pytest.approx(station["greatest_mm"] + 0.5, abs=1.4)


def test_the_chip_of_the_winter_is_found_and_weighed(scans: list[Scan]) -> None:
    turn, shift = movement()
    chip = TRUTH["after"]["chip"]
    ends = np.array(TRUTH["measured"]["between_mm"]) @ turn.T + shift
    given = {
        "earlier_scan_file": "a", "later_scan_file": "b", "earlier_length": LENGTH,
        "later_length": {**LENGTH, "between": in_m(ends.tolist())}, "noise_mm": 0.02,
        "level_mm": 0.1, "changed": [{"middle": in_m(chip["middle_mm"]), "radius_mm": 9}],
    }  # fmt: skip
    files = {"earlier_scan_file": scans[0], "later_scan_file": scans[1]}
    found = catalogue.run("solid.compare", given, files=files)
    assert found["answer"] == "answer"
    patch = found["patches"][0]
    assert lies_within(patch["lost_mm3"], chip["volume_mm3"])
    assert patch["lost_mm3"]["typical"] == pytest.approx(chip["volume_mm3"], rel=0.06)
    assert patch["is_above_level"] is True
    back = np.array(found["rotation"]) @ turn
    assert back == pytest.approx(np.eye(3), abs=2e-4)
    apart = (np.array(found["largest_loss_at"]) * 1e3) - chip["middle_mm"]
    assert float(np.linalg.norm(apart)) < 5


def test_the_truth_is_summed_from_the_description() -> None:
    assert measured() == TRUTH["measured"]
    # A flat face a millimetre deep under a square of side 2, and bends of a straight middle line.
    face = np.array([[[0, 0, 0], [0, 2, 1]], [[2, 0, 1], [2, 2, 1.0]]])
    told = dips(face, np.array([0, 0, 1.0]))
    assert told.volume == pytest.approx(4 - 2 / 3)
    whole = Bulk(2.0, np.array([2.0, 0, 0])) - Bulk(1.0, np.array([0.5, 0, 0]))
    assert whole.centre.tolist() == [1.5, 0, 0]
    far, front, up = bends(np.array([295.0]))
    assert far == pytest.approx([1.0], abs=1e-6)
    # z = -9 s², y = 16 - 24 s² with s = (row - 295) / 295: curvature 2 x 9 / 295², 2 x 24 / 295².
    assert front == pytest.approx([-18 / 295**2], rel=1e-3)
    assert up == pytest.approx([-48 / 295**2], rel=1e-3)
    within = is_in_shaft(np.array([[0, 16.0, 0], [0, 16.0, 45.0], [-400.0, 0, 0]]))
    assert within.tolist() == [True, False, False]


def test_three_saddles_hold_the_bowed_beam_with_its_thick_end_kept_clear(scans: list[Scan]) -> None:
    kept = [{"from_percent": 7.8, "to_percent": 24.7, "why": "a new fill"}]
    found = run("solid.supports", scans, material="antler (compact)", down=[0, 0, -1], place=3,
                pressure_limit_kpa=10, forbidden=kept)  # fmt: skip
    forces = [pad["force_n"] for pad in found["pads"]]
    assert len(forces) == 3
    assert sum(forces) == pytest.approx(9.80665 * found["mass_g"] / 1e3, rel=0.002)
    assert all(pad["least_n"] <= pad["force_n"] <= pad["most_n"] for pad in found["pads"])
    assert min(pad["at_percent"] for pad in found["pads"]) > 24.7
    assert found["tipping_share"] > 0.3
