"""The air through the catalogue: the bench example, bands, unknown limits, fire, and slips."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from softmend import catalogue
from softmend.errors import SoftmendError
from tests.science.checks import expected

CHECKS = expected("softmend-solvents-air")
ROOM = {"used_ml_per_h": 5, "work_minutes": 60, "room_volume_m3": 50, "air_changes_per_h": 3,
        "head_distance_mm": 300, "air_speed_m_per_min": 3.6}  # fmt: skip


def air(*parts: Any, **given: Any) -> dict[str, Any]:
    return catalogue.run("exposure.air", {"parts": list(parts), **ROOM, **given})


def mixture(*vapours: dict[str, Any], **given: Any) -> dict[str, Any]:
    return catalogue.run("exposure.mixture", {"vapours": list(vapours), **given})


@pytest.mark.parametrize("name", ["acetone", "toluene", "dcm"])
def test_the_bench_example_lies_in_the_middle_of_its_band(name: str) -> None:
    vapour = air(name)["vapours"][0]
    near = vapour["near_at_end_mg_per_m3"]
    check = CHECKS[f"{name}_near_60"].value
    assert near["typical"] == pytest.approx(check, rel=0.03)
    # A factor of three to either side.
    assert near["low"] == pytest.approx(check / 3, rel=0.06)
    assert near["high"] == pytest.approx(check * 3, rel=0.06)
    shift, quarter = vapour["limits"]
    assert shift["mean_mg_per_m3"]["typical"] == pytest.approx(CHECKS[f"{name}_shift"].value,
                                                               rel=0.03)  # fmt: skip
    assert quarter["mean_mg_per_m3"]["typical"] == pytest.approx(CHECKS[f"{name}_last_15"].value,
                                                                 rel=0.03)  # fmt: skip
    assert "(United Kingdom; date 2020)" in shift["limit"]


def test_dichloromethane_is_over_the_newest_american_limit() -> None:
    found = air("dcm", limit_list="US EPA")["vapours"][0]["limits"][0]
    assert found["limit_mg_per_m3"] == pytest.approx(7, abs=0.1)
    assert found["share_of_limit_percent"]["typical"] > 200


def test_whoever_stays_in_the_room_breathes_more() -> None:
    leaves = air("toluene", air_changes_per_h=0.5)["vapours"][0]["limits"][0]
    stays = air("toluene", air_changes_per_h=0.5, stays_minutes=420)["vapours"][0]["limits"][0]
    assert stays["mean_mg_per_m3"]["typical"] > 2 * leaves["mean_mg_per_m3"]["typical"]


def test_extraction_at_the_work_takes_its_share() -> None:
    plain = air("toluene")["vapours"][0]["near_at_end_mg_per_m3"]["typical"]
    less = air("toluene", captured_percent=75)["vapours"][0]["near_at_end_mg_per_m3"]["typical"]
    assert less == pytest.approx(plain / 4, rel=0.02)


def test_a_part_without_a_limit_is_not_known_and_never_zero() -> None:
    found = air({"solvent": "acetone", "volume_percent": 50},
                {"solvent": "ethyl lactate", "volume_percent": 50})  # fmt: skip
    lactate = found["vapours"][1]["limits"][0]
    assert lactate["share_of_limit_percent"] is None
    assert "not known is not zero and not safe" in lactate["wording"]
    line = found["mixture"][0]
    assert (line["with_limit"], line["parts"], line["is_complete"]) == (1, 2, False)
    assert line["careful"]["typical"] > line["known"]["typical"] > 0
    assert "1 of 2 components have a limit for 8 h" in line["text"]
    alone = air("anisole")["mixture"][0]
    assert alone["known"] is None
    assert "not known" in alone["text"]


def test_every_answer_names_marks_cautions_footer_and_never_says_safe() -> None:
    for found in (air("acetone"), mixture({"solvent": "acetone", "air_ppm": 10})):
        assert sum(found["marks"].values()) == len(found["working"])
        assert found["footer"].startswith("Read the SDS and make a COSHH assessment")
        assert any("factor of three" in one for one in found["cautions"])
        assert any("stale" in one for one in found["warnings"])
        assert "is safe" not in json.dumps(found)


def test_what_no_number_outweighs_is_said() -> None:
    words = " ".join(air("nmp")["warnings"])
    assert "H360D" in words
    assert "through the skin" in words
    assert "Pesticide residues: not tested" in words


def test_a_highly_flammable_blend_carries_the_sign_and_no_mean_flash_point() -> None:
    fire = air({"solvent": "ethanol", "volume_percent": 50},
               {"solvent": "heptane", "volume_percent": 50})["fire"]  # fmt: skip
    assert fire["flash_degc"] == -7 - 10
    assert fire["is_highly_flammable"]
    assert fire["text"].startswith("HIGHLY FLAMMABLE")
    assert air("acetone")["fire"]["quarter_of_limit_ml"] == pytest.approx(19, abs=1)
    assert "No flash point by test" in air("dcm")["fire"]["text"]
    own = {"solvent": "x", "own": {"density_g_per_ml": 0.9}}
    assert "not known: take it as flammable" in air(own)["fire"]["text"]


@pytest.mark.parametrize(
    ("amounts", "typed", "check"),
    [((500, 45, 40), (1000, 200, 200), "t10_index"), ((150, 300), (200, 400), "t11_index"),
     ((400, 150, 100), (500, 200, 200), "t12_index")],
)  # fmt: skip
def test_indices_that_rules_print(
    amounts: tuple[float, ...], typed: tuple[float, ...], check: str
) -> None:
    vapours = [
        {"solvent": f"part {at}", "air_mg_per_m3": amount, "own": {"limit_8h_mg_per_m3": limit}}
        for at, (amount, limit) in enumerate(zip(amounts, typed, strict=True))
    ]
    found = mixture(*vapours)
    CHECKS[check].accept(found["index"]["known"]["typical"])
    assert found["index"]["is_complete"]


def test_ppm_is_weighed_with_the_lists_own_temperature() -> None:
    uk = mixture({"solvent": "toluene", "air_ppm": 50})["held"][0]
    us = mixture({"solvent": "toluene", "air_ppm": 50}, limit_list="US OSHA PEL")["held"][0]
    assert uk["share_of_limit_percent"] == pytest.approx(100, abs=1)
    assert us["air_mg_per_m3"] < uk["air_mg_per_m3"]
    assert us["share_of_limit_percent"] == pytest.approx(25)


def test_an_uncertain_concentration_gives_a_band() -> None:
    band = {"value": {"low": 100, "typical": 300, "high": 900}}
    found = mixture({"solvent": "acetone", "air_mg_per_m3": band})
    known = found["index"]["known"]
    assert known["low"] == pytest.approx(100 / 1210, rel=0.02)
    assert known["high"] == pytest.approx(900 / 1210, rel=0.02)


@pytest.mark.parametrize(
    ("name", "given", "words"),
    [
        ("exposure.air", {**ROOM, "parts": ["acetone"], "air_changes_per_h": None},
         "How the room is aired must be given once; got neither"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "air_flow_m3_per_h": 150},
         "How the room is aired must be given once; got both"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "air_changes_per_h": 0},
         "The air that leaves the room is out of range; got 0 m³/h"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "work_minutes": 900},
         "The time of work is out of range; got 900 min; allowed: above 0 to 480 minutes"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "used_ml_per_h": 0},
         "The amount used is out of range; got 0 mL/h; allowed: above 0 to 10 000 mL/h; Weigh the"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "captured_percent": 100},
         "no local extraction takes all"),
        ("exposure.air", {**ROOM, "parts": ["acetone"], "limit_list": "Mars"},
         "There is no such list of limits; got Mars"),
        ("exposure.air", {**ROOM, "parts": [{"solvent": "x", "own": {}}]},
         "The density of x is not known"),
        ("exposure.mixture", {"vapours": [{"solvent": "acetone"}]},
         "The air of acetone must be given once; got neither"),
        ("exposure.mixture", {"vapours": [{"solvent": "x", "own": {}, "air_ppm": 5}]},
         "The molar mass of x is not known"),
        ("exposure.mixture", {"vapours": [{"solvent": "acetone", "air_mg_per_m3": -5}]},
         "A concentration is out of range; got -5 to -5 mg/m³"),
    ],
)  # fmt: skip
def test_slips_are_refused_in_words(name: str, given: dict[str, Any], words: str) -> None:
    with pytest.raises(SoftmendError) as refused:
        catalogue.run(name, given)
    assert words in str(refused.value)


def test_the_command_line_answers_on_a_file_it_never_saw(tmp_path: Path) -> None:
    given = tmp_path / "in.json"
    given.write_text(json.dumps({"parts": {"acetone": 50, "ethanol": 50}, **ROOM}), "utf-8")
    ran = subprocess.run(
        [sys.executable, "-m", "softmend.cli", "compute", "exposure.air", "--in", str(given)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert len(json.loads(ran.stdout)["vapours"]) == 2


def test_a_limit_without_a_date_is_taken_for_stale() -> None:
    def age(**given: Any) -> str:
        return " ".join(air("acetone", **given)["warnings"])

    assert "The limits are those of 2020: a limit over two years old is stale" in age()
    told = age(limit_list="US OSHA PEL")
    assert "Some limits carry no date: take them for stale" in told
    assert "those of not known" not in told
