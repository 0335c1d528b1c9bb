"""What is a slip of the pen is refused with its range; what is real is not."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.limits import Limits, within
from softmend.science.uncertain import Uncertain
from softmend.tables.materials import material_values, materials

OF_THE_TABLE = {
    "modulus": Limits.MODULUS, "tensile_strength": Limits.STRESS, "internal_stress": Limits.STRESS,
    "bond_strength": Limits.STRESS, "practical_adhesion_energy": Limits.ENERGY,
    "fracture_energy": Limits.ENERGY,
}  # fmt: skip


@pytest.mark.parametrize("material", materials())
def test_nothing_in_the_table_is_refused(material: str) -> None:
    rng = np.random.default_rng(0)
    for row in material_values(material):
        named = [one for name, one in OF_THE_TABLE.items() if row.property.startswith(name)]
        # A Poisson's ratio of wood, from one grain direction to another, may pass a half.
        limits = Limits.POISSON if row.property == "poisson" else next(iter(named), None)
        if limits is not None:
            draws = Uncertain.from_json(row.distribution).draw(20_000, rng)
            within({f"{row.property} of {material}": (draws, limits)})


@pytest.mark.parametrize("value", [0.0, -1.0, 1e3, float("nan")])
def test_a_slip_is_named_with_its_range(value: float) -> None:
    with pytest.raises(InputError) as refused:
        within({"thickness of the coating": ([1e-5, value], Limits.LENGTH)})
    assert str(refused.value) == (
        f"The thickness of the coating may be out of range; got {value:.3g} m; allowed: 1e-09 to "
        "100 m."
    )
