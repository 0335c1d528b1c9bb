"""The table of materials: every row accounted for, one unit a property, distributions that draw."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections import Counter
from pathlib import Path

import numpy as np
import pint
import pytest

from softmend import tables
from softmend.errors import InputError, NotFoundError
from softmend.science.uncertain import Uncertain
from softmend.tables.materials import material_value, material_values, materials

ROOT = Path(__file__).parents[2]
ROWS = tables.table("materials").rows
VALUES = [one for material in materials() for one in material_values(material)]
UNITS = pint.UnitRegistry()


def test_every_row_of_the_first_list_is_accounted_for_by_kind() -> None:
    # 67 quoted, 90 recalled, 152 estimates, as the first list counts itself; 2 and 14 more from
    # its prose; 14 and 2 from rows that held several values.
    assert Counter(row["kind"] for row in ROWS) == {
        "quoted": 67 + 2 + 14,
        "recalled": 90,
        "estimated": 152 + 14 + 2,
    }


def test_the_script_refuses_a_list_whose_rows_do_not_add_up(tmp_path: Path) -> None:
    header = "group,material,property,condition,low,typical,high,unit,cv,sd_abs,distribution,basis,"
    (tmp_path / "short.csv").write_text(f"{header}source_ids,source,url,note\n", encoding="utf-8")
    ran = subprocess.run(
        [sys.executable, "tools/normalise_materials.py", str(tmp_path / "short.csv")],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 1
    assert "The rows do not add up" in ran.stderr


def test_a_property_has_one_unit_and_it_is_the_one_declared() -> None:
    about = tomllib.loads(
        (ROOT / "src/softmend/tables/materials.toml").read_text(encoding="utf-8")
    )["properties"]
    assert {(row["property"], row["unit"]) for row in ROWS} == set(about.items())


def test_units_were_converted_as_pint_converts_them() -> None:
    # 0.03 % per %RH, 5.9 % of dry mass, 40 C and 6 % for 0.5 %, as the first list has them.
    percent = UNITS.Quantity(0.03, "percent").to("dimensionless").magnitude
    ivory = material_value("elephant ivory", "moisture_strain_radial")
    assert ivory is not None
    assert ivory.typical == pytest.approx(percent)
    water = material_value("elephant ivory", "emc_50rh")
    assert water is not None
    assert water.typical == pytest.approx(UNITS.Quantity(5.9, "percent").to("").magnitude)
    drying = material_value("dentine (human, benchmark)", "drying_strain_per_water_lost")
    assert drying is not None
    # 6 % of water lost is about 0.5 % of shrinkage.
    assert drying.typical * 0.06 == pytest.approx(-0.005, rel=0.05)


@pytest.mark.parametrize("value", VALUES, ids=lambda v: f"{v.material}-{v.property}-{v.condition}")
def test_a_row_draws_and_its_typical_value_is_its_middle(
    value: tables.materials.MaterialValue,
) -> None:
    drawn = Uncertain.from_json(value.distribution)
    assert value.low <= value.typical <= value.high
    if value.distribution["family"] == "random_sign":
        assert np.median(np.abs(drawn.draw(999, np.random.default_rng(0)))) == pytest.approx(
            value.typical, rel=0.01
        )
    elif value.property == "solids":
        # A share that cannot pass 1 has its middle below a typical value of 1.
        assert drawn.typical <= value.typical
        assert drawn.quantile(np.array(0.999)) <= max(1.0, 3 * value.typical)
    else:
        assert drawn.typical == pytest.approx(value.typical, rel=0.01)
    assert value.origin.startswith("table:materials/")


def test_the_distribution_wins_over_the_points_that_are_shown() -> None:
    value = material_value("elephant ivory", "moisture_diffusivity")
    assert value is not None
    drawn = Uncertain.from_json(value.distribution)
    # The sd of the logarithm is 1, so the 5 % point is the median over exp(1.645).
    assert drawn.band.low == pytest.approx(8e-12 / np.exp(1.6449), rel=1e-3)
    assert drawn.band.low > 1.5 * value.low


def test_a_state_without_a_row_has_no_value() -> None:
    assert material_value("antler (compact)", "modulus_along", "sub-fossil") is None
    assert material_value("horn (keratin)", "practical_adhesion_energy") is None


def test_contradicting_rows_are_not_chosen_between() -> None:
    with pytest.raises(InputError) as refused:
        material_value("elephant ivory", "total_change_tangential")
    assert str(refused.value) == (
        "There is more than one total change tangential of elephant ivory; got no condition; "
        "allowed: RH span not stated in the quotation | 30 to 100 %RH, near linear; Say which "
        "state the object is in."
    )


def test_unknown_names_are_refused() -> None:
    with pytest.raises(NotFoundError, match="There is no material of that name; got amber"):
        material_values("amber")
    with pytest.raises(NotFoundError, match="There is no property of that name; got colour"):
        material_value("oak", "colour")
    with pytest.raises(NotFoundError, match="There is no group of materials of that name"):
        materials("metal")


def test_every_fill_system_says_how_it_comes_off_and_whether_it_carries_water() -> None:
    rows = tables.table("fill_systems").rows
    said = {(row["material"], row["aspect"]) for row in rows}
    fills = {one for one in (*materials("hard fill"), *materials("reversible fill"))
             if not one.startswith("neat binder")}  # fmt: skip
    assert {material for material, _ in said} == fills
    for material in fills:
        for aspect in ("comes off with", "acidity", "caution", "bond", "carries water"):
            assert (material, aspect) in said
