"""Bench tests as properties that other computations take."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest

from softmend import catalogue
from softmend.errors import InputError

BAR = {
    "span_mm": {"value": {"value": 50, "expanded": 0.2}},
    "breadth_mm": {"value": {"value": 10, "expanded": 0.1}},
    "height_mm": {"value": {"value": 5, "expanded": 0.1}},
    "readings": [
        {"mass_g": 0, "sag_mm": 0},
        {"mass_g": 200, "sag_mm": 0.98},
        {"mass_g": 400, "sag_mm": 1.96},
    ],
}


def bent(bars: list[dict]) -> dict:
    return catalogue.run("bench.bending", {"bars": bars, "poisson": 0.3})


def studs(*places: str, made_on: str = "a stand-in") -> dict:
    given = [{"force_n": 600, "came_off": place} for place in places]
    return catalogue.run("bench.pull_off", {"studs": given, "diameter_mm": 20, "made_on": made_on})


def test_a_bar_gives_a_modulus_with_its_uncertainty() -> None:
    found = bent([BAR])
    # By hand: 2.0 N/mm x 50^3 / (4 x 10 x 125) x 1.028 is 51.4 MPa.
    assert found["modulus_mpa"]["typical"] == pytest.approx(51.4, rel=0.01)
    assert found["modulus_mpa"]["low"] < 30
    assert found["warnings"] == [
        "Fewer than three specimens: the usual scatter of such materials makes the band."
    ]


def test_more_bars_narrow_the_band() -> None:
    one, five = bent([BAR])["modulus_mpa"], bent([BAR] * 5)["modulus_mpa"]
    assert five["high"] - five["low"] < 0.6 * (one["high"] - one["low"])


def test_a_measured_property_goes_into_another_computation() -> None:
    bond = studs("at the bond", "at the bond", "in the material")
    join = {
        "breadth_mm": 20, "height_mm": 30, "mass_g": 50, "arm_mm": 50, "hang_degrees": 0,
        "softens": False, "warmest_degc": 25,
        "bond_strength_mpa": {"value": bond["use"], "kind": "measured", "origin": "bench.pull_off"},
    }  # fmt: skip
    found = catalogue.run("join.holds", join)
    assert found["holds_percent"] > 95
    line = next(one for one in found["working"] if one["name"] == "strength of the bond")
    assert (line["kind"], line["origin"]) == ("measured", "bench.pull_off")


def test_a_bond_that_never_came_off_is_at_least() -> None:
    found = studs("in the material", "in the glue of the stud")
    assert found["at_least"]
    assert found["text"].startswith("The bond holds at least about ")
    assert (
        "No stud came off at the bond: its strength is only known to be more."
        in (found["warnings"])
    )


def test_a_stand_in_widens_the_band_and_says_so() -> None:
    own, other = studs("at the bond", made_on="the object's material"), studs("at the bond")
    assert other["bond_strength_mpa"]["high"] > own["bond_strength_mpa"]["high"]
    assert "Made on a stand-in: 30% is added to the scatter." in other["warnings"]


def test_shrinkage_in_line_and_volume() -> None:
    bars = [{"wet_mm": 60, "dry_mm": dry} for dry in (54, 53.8, 54.3)]
    found = catalogue.run("bench.shrinkage", {"bars": bars})
    assert found["linear_shrinkage_percent"]["typical"] == pytest.approx(10, rel=0.02)
    assert found["volume_shrinkage_percent"]["typical"] == pytest.approx(27.1, rel=0.02)
    assert found["specimens"] == pytest.approx([10, 10.333, 9.5], abs=0.01)


def test_what_cannot_be_read_is_refused() -> None:
    with pytest.raises(InputError, match="A length may be zero or less"):
        bent([{**BAR, "height_mm": 0}])
    with pytest.raises(InputError, match="The bar is too stubby to bend"):
        bent([{**BAR, "height_mm": 20}])


@pytest.mark.parametrize("name", ["bench.bending", "bench.shrinkage", "bench.pull_off"])
def test_the_object_is_never_tested(name: str) -> None:
    assert any("never on the object" in one for one in catalogue.entry(name).cautions)
