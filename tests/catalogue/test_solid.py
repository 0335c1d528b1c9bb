"""Scans through the catalogue: no mm or g before a length, every answer, refusals in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from softmend import catalogue
from softmend.cli.compute import CANNOT_SAY, REFUSED, compute
from softmend.errors import InputError
from softmend.science.solid.mesh import Mesh
from tests.intake.scan_files import WHOLE
from tests.science.solid.bodies import bone, path, turned

BONE = bone(90, 32)
LENGTH = {"length_mm": 340, "unit": "mm"}
DENSITY = {"value": {"low": 1.7, "typical": 1.85, "high": 1.93}}


def scan(mesh: Mesh) -> Any:
    """Return a mesh as intake hands it over, in mm."""
    return SimpleNamespace(points=1e3 * mesh.points, faces=mesh.faces, kind="PLY", notes=())


def run(name: str, mesh: Mesh = BONE, **given: Any) -> dict[str, Any]:
    files = {"scan_file": scan(mesh)}
    return catalogue.run(name, {"scan_file": "bone.ply", **given}, files=files)


NEED: dict[str, dict[str, Any]] = {
    "solid.section": {},
    "solid.volume": {},
    "solid.mass": {"density_g_per_ml": 1.8},
    "solid.void": {"rim": [[0, 0, 0]] * 6, "inside": [0, 0, 0]},
    "solid.supports": {"density_g_per_ml": 1.8},
    "solid.bending": {"density_g_per_ml": 1.8},
    "solid.surface_length": {"picks": [[0, 0, 0], [0, 0, 9]]},
}


@pytest.mark.parametrize("name", NEED)
def test_no_mm_and_no_g_before_a_length_was_measured(name: str) -> None:
    found = run(name, **NEED[name])
    assert found["answer"] == "cannot say"
    assert "has no unit until one length is measured" in found["reasons"][0]
    assert "340 mm if the file is in mm" in found["reasons"][0]
    told = {key for key, value in found.items() if value and key.endswith(("_mm", "_g", "_ml"))}
    assert told == set()


def test_the_state_is_told_without_a_unit() -> None:
    found = run("solid.check", BONE.part(BONE.centres[:, 2] < 0.323))
    assert found["states"] == ["an end was not scanned"]
    assert found["rims"][0]["at"][2] == pytest.approx(323, abs=5)
    assert found["greatest_length_mm"] is None
    assert any("is not made up" in one for one in found["warnings"])


def test_volume_and_mass_come_as_ranges() -> None:
    found = run("solid.mass", length=LENGTH, density_g_per_ml=DENSITY)
    volume, mass = found["volume_ml"], found["computed_mass_g"]
    assert mass["typical"] == pytest.approx(1.85 * volume["typical"], rel=1e-6)
    assert mass["low"] < mass["typical"] < mass["high"]
    assert any("Is it hollow?" in one for one in found["warnings"])
    light = run("solid.mass", length=LENGTH, density_g_per_ml=DENSITY, mass_g=300)
    assert light["weighing_fits"] is False
    assert light["empty_by_weighing_ml"] > 100


def test_the_mass_has_the_volume_that_the_volume_tells() -> None:
    for length in (LENGTH, {**LENGTH, "length_mm": {"value": {"value": 340, "expanded": 10}}}):
        volume = run("solid.volume", length=length)["volume_ml"]
        found = run("solid.mass", length=length, density_g_per_ml=1.85)
        assert found["volume_ml"] == volume
        mass = found["computed_mass_g"]
        assert mass["low"] == pytest.approx(1.85 * volume["low"], rel=1e-6)
        assert mass["high"] == pytest.approx(1.85 * volume["high"], rel=1e-6)


def test_old_fills_count_in_mass_centre_and_weighing() -> None:
    bare = run("solid.mass", length=LENGTH, density_g_per_ml=DENSITY)
    volume, mass = bare["volume_ml"]["typical"], bare["computed_mass_g"]["typical"]
    fill = {"volume_ml": 20, "density_g_per_ml": 1.15, "at": [0, 0, 300]}
    filled = mass - 20 * (1.85 - 1.15)
    found = run("solid.mass", length=LENGTH, density_g_per_ml=DENSITY, fills=[fill], mass_g=filled)
    assert found["computed_mass_g"]["typical"] == pytest.approx(filled, rel=1e-6)
    assert found["centre"][2] < bare["centre"][2]
    assert found["weighing_fits"] is True
    assert found["empty_by_weighing_ml"] == pytest.approx(0, abs=0.02 * volume)
    told = {one["name"]: one["text"] for one in found["working"]}
    assert told["old fill 1, at 0, 0, 300: volume"] == "20 mL"
    assert told["old fill 1: density"] == "1.15 g/mL"
    unknown = run("solid.mass", length=LENGTH, mass_g=filled, fills=[fill])
    assert any("do not move the centre" in one for one in unknown["warnings"])


def test_a_named_unit_that_the_length_belies_is_refused() -> None:
    with pytest.raises(InputError, match="does not fit a scan in cm"):
        run("solid.volume", length={"length_mm": 340, "unit": "cm"})
    with pytest.raises(InputError, match="too small or too large"):
        run("solid.volume", length={"length_mm": 0.2})
    picked = run("solid.check", length={"length_mm": 680, "between": [[0, 0, 0.0], [0, 0, 340.0]]})
    assert picked["greatest_length_mm"] == pytest.approx(680, rel=0.01)


def test_supports_and_bending_of_a_bone() -> None:
    given = {"length": LENGTH, "density_g_per_ml": DENSITY, "down": [1, 0, 0],
             "pad_length_mm": 30}  # fmt: skip
    found = run("solid.supports", **given)
    assert found["answer"] == "answer"
    weight = found["mass_g"] / 1e3 * 9.80665
    assert sum(pad["force_n"] for pad in found["pads"]) == pytest.approx(weight, rel=0.01)
    assert found["trade_off"]
    assert found["resting"]
    assert any("Not a lifting calculation" in one for one in found["warnings"])
    cracks = [{"number": 7, "at": [24, 0, 170], "depth_mm": 6}]
    bent = run("solid.bending", **given, cracks=cracks, pads=[{"at_percent": 15},
               {"at_percent": 85}])  # fmt: skip
    assert bent["cracks"][0]["net_stress_mpa"] > bent["cracks"][0]["stress_mpa"]
    tips = run("solid.supports", **given, pads=[{"at_percent": 5}, {"at_percent": 20}])
    assert tips["answer"] == "cannot say"
    assert tips["reasons"][0].startswith("It tips")
    with pytest.raises(InputError, match="must not be touched"):
        run("solid.supports", **given, pads=[{"at_percent": 50}, {"at_percent": 20}],
            forbidden=[{"from_percent": 45, "to_percent": 55, "why": "crack 3"}])  # fmt: skip


def test_a_section_has_its_outline_area_and_widths() -> None:
    found = run("solid.section", length=LENGTH, plane_mm=170)
    assert found["run_mm"] == pytest.approx(340, abs=1)
    # Half-way the shaft is an oval of 15 and 18 mm, a little wavy.
    radius = 15 + np.sin(4.5)
    area = np.pi * 1.2 * radius**2
    assert found["area_mm2"]["typical"] == pytest.approx(area, rel=0.02)
    assert found["least_width_mm"]["typical"] == pytest.approx(2 * radius, rel=0.02)
    assert found["greatest_width_mm"]["typical"] == pytest.approx(2.4 * radius, rel=0.02)
    assert found["area_mm2"]["low"] < found["area_mm2"]["typical"] < found["area_mm2"]["high"]
    assert len(found["outlines"]) == 1
    assert found["outlines"][0]["is_closed"]
    by_axis = run("solid.section", length=LENGTH, across="z", plane_percent=50)
    assert by_axis["area_mm2"]["typical"] == pytest.approx(area, rel=0.02)
    assert by_axis["way"] == [0, 0, 1]
    beyond = run("solid.section", length=LENGTH, plane_mm=900)
    assert beyond["answer"] == "cannot say"
    assert "meets nothing" in beyond["reasons"][0]
    open_ = run("solid.section", BONE.part(BONE.centres[:, 0] < 0.02), length=LENGTH)
    assert open_["area_mm2"] is None
    assert any("open in this plane" in one for one in open_["warnings"])


def test_pads_stand_on_the_real_underside_and_say_what_is_wrong_with_it() -> None:
    given = {"length": LENGTH, "density_g_per_ml": DENSITY, "down": [1, 0, 0],
             "pad_length_mm": 30, "pads": [{"at_percent": 15}, {"at_percent": 50},
             {"at_percent": 85}]}  # fmt: skip
    found = run("solid.supports", **given)
    heights = [pad["height_mm"] for pad in found["pads"]]
    # The shaft is waisted but bows downward: the middle pad is the lowest.
    under = [pad["under"][0] for pad in found["pads"]]
    assert min(heights) == 0
    assert heights == pytest.approx([max(under) - x for x in under], abs=3)
    assert all(pad["uneven_mm"] < 0.6 for pad in found["pads"])
    flat = run("solid.supports", **given, support="flat pad")
    assert all(a["contact_mm2"] < b["contact_mm2"]
               for a, b in zip(flat["pads"], found["pads"], strict=True))  # fmt: skip
    off = (np.abs(BONE.centres[:, 2] - 0.05) < 0.012) & (BONE.centres[:, 0] > 0.015)
    holed = run("solid.supports", BONE.part(~off), **given)
    assert any("The scan has a hole over the pad at" in one for one in holed["warnings"])


def test_pads_are_placed_beside_a_knob_that_their_padding_cannot_follow() -> None:
    points = BONE.points.copy()
    knob = (np.abs(points[:, 2] - 0.06) < 0.006) & (points[:, 0] > 0.018)
    points[knob, 0] += 0.02
    given = {"length": LENGTH, "density_g_per_ml": DENSITY, "down": [1, 0, 0],
             "pad_length_mm": 30}  # fmt: skip
    found = run("solid.supports", Mesh(points, BONE.faces), **given)
    assert found["answer"] == "answer", found["reasons"]
    assert all(abs(pad["under"][2] - 60) > 15 for pad in found["pads"])


def test_a_body_without_a_middle_line_stands_on_three_pads_and_says_what_is_not_given() -> None:
    corners = np.array([[0, 0, 0], [0.2, 0, 0], [0.05, 0.18, 0], [0.08, 0.06, 0.15]])
    body = Mesh(corners, np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]))
    given = {"length": {"length_mm": 234.3, "unit": "mm"}, "density_g_per_ml": 0.6,
             "support": "flat pad", "pad_length_mm": 40}  # fmt: skip
    found = run("solid.supports", body, **given)
    assert found["answer"] == "answer", found["reasons"]
    weight = found["mass_g"] / 1e3 * 9.80665
    assert sum(pad["force_n"] for pad in found["pads"]) == pytest.approx(weight, rel=0.01)
    assert all(pad["at_percent"] is None for pad in found["pads"])
    assert found["stress_mpa"] is None
    assert found["lifting"] is None
    assert found["resting"]
    assert any("Bending stress" in one and "not given" in one for one in found["warnings"])
    # Left to itself it lies on the face that it would most likely fall on.
    assert found["down"] == found["resting"][0]["down"]
    at = [{"at": pad["under"]} for pad in found["pads"]]
    again = run("solid.supports", body, **given, down=found["down"], pads=at)
    assert again["tipping_share"] == pytest.approx(found["tipping_share"], rel=0.1)
    two = run("solid.supports", body, **given, pads=at[:2])
    assert two["reasons"][0].startswith("It tips: three pads or more")
    assert run("solid.bending", body, **given)["is_beam"] is False


def test_pads_in_percent_need_a_middle_line() -> None:
    corners = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)]) * 0.05
    sides = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1]]
    sides += [[2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7], [1, 7, 3]]
    beside = corners + np.array([0.05, 0.05, 0])
    faces = np.concatenate([sides, np.array(sides) + 8])
    two = Mesh(np.concatenate([corners, beside]), faces)
    given = {"length": {"length_mm": 150, "unit": "mm"}, "density_g_per_ml": 0.6}
    found = run("solid.supports", two, **given, pads=[{"at_percent": 20}, {"at_percent": 70}])
    assert found["answer"] == "cannot say"
    assert "need a middle line" in found["reasons"][0]
    assert "No middle line" in found["reasons"][1]


def test_an_object_set_on_its_end_is_told_so() -> None:
    bent = run("solid.bending", length=LENGTH, density_g_per_ml=DENSITY, down=[0, 0, -1])
    assert bent["answer"] == "cannot say"
    assert "stands upright" in bent["reasons"][0]


def test_a_void_is_filled_and_never_continued() -> None:
    corners = [(0, 0), (0.045, 0), (0.045, 0.04), (0.02, 0.04), (0.02, 0.01), (0, 0.01)]
    block = turned(path(corners, 0.003), 80)
    angle = 2 * np.pi * np.arange(8) / 8
    rim = np.stack([20 * np.cos(angle), 20 * np.sin(angle), 0 * angle + 40], axis=-1).tolist()
    length = {"length_mm": 40, "between": [[45, 0, 0], [45, 0, 40]]}
    found = run("solid.void", block, rim=rim, inside=[0, 0, 10], length=length, depths_mm=[20])
    assert found["volume_ml"]["typical"] == pytest.approx(37.7, rel=0.01)
    assert found["part_fills"][0]["volume_ml"] == pytest.approx(12.57, rel=0.01)
    assert any("never to rebuild a missing end" in one for one in found["warnings"])


def test_two_like_scans_show_no_change() -> None:
    files = {"earlier_scan_file": scan(BONE), "later_scan_file": scan(BONE)}
    given = {"earlier_scan_file": "a.ply", "later_scan_file": "b.ply"}
    assert catalogue.run("solid.compare", given, files=files)["answer"] == "cannot say"
    given |= {"earlier_length": LENGTH, "later_length": LENGTH}
    found = catalogue.run("solid.compare", given, files=files)
    assert found["most_mm"] < 0.01
    assert found["gone_percent"] == 0


def test_the_command_line_takes_a_scan(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    box = tmp_path / "box.ply"
    box.write_bytes(WHOLE["box.ply"])
    assert compute("solid.check", scan_file=box) == 0
    assert json.loads(capsys.readouterr().out)["is_closed"] is True
    assert compute("solid.volume", scan_file=box) == CANNOT_SAY
    box.write_bytes(b"nothing")
    capsys.readouterr()
    assert compute("solid.check", scan_file=box) == REFUSED
    assert "not a scan" in json.loads(capsys.readouterr().err)["error"]["sentence"]
