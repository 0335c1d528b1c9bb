"""The solution calculator: bases, batches, sentences, and rule 9."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend import catalogue
from softmend.errors import InputError

RESIN_IN_ACETONE = {
    "written_percent": 20,
    "basis": "w/v of solution",
    "solute": "resin",
    "solvent": "acetone",
    "solute_density_g_per_ml": {"value": {"value": 1.15, "expanded": 0.02}},
    "solvent_density_g_per_ml": {"value": {"value": 0.785, "expanded": 0.004}},
}


def converted(**more: object) -> dict:
    return catalogue.run("mixture.convert", {**RESIN_IN_ACETONE, **more})


def answered_or_refused(**more: object) -> dict | InputError:
    try:
        return converted(**more)
    except InputError as refused:
        return refused


def on(found: dict, basis: str) -> dict:
    return next(row["share_percent"] for row in found["bases"] if row["basis"] == basis)


@pytest.mark.parametrize("basis", [None, "", "%"])
def test_a_percentage_without_basis_is_refused(basis: str | None) -> None:
    with pytest.raises(InputError) as refused:
        converted(basis=basis)
    if basis != "%":
        assert "a bare percentage is refused" in str(refused.value)
    assert "w/v of solvent" in str(refused.value)


def test_a_percentage_that_leaves_its_basis_out_is_refused() -> None:
    bare = {name: value for name, value in RESIN_IN_ACETONE.items() if name != "basis"}
    with pytest.raises(InputError, match="a bare percentage is refused") as refused:
        catalogue.run("mixture.convert", bare)
    assert str(refused.value).startswith("The values cannot stand as they are; allowed: a percent")
    assert "basis" in catalogue.schema("mixture.convert")["input"]["required"]


def test_twenty_percent_on_every_basis_with_its_uncertainty() -> None:
    found = converted()
    assert on(found, "w/v of solution")["text"] == "20 %"
    # 23.6 % w/w by the table of practice; 1 % of change on mixing is about 0.25 %.
    assert on(found, "w/w")["mean"] == pytest.approx(23.6, abs=0.1)
    assert on(found, "w/w")["expanded"] == pytest.approx(0.5, abs=0.1)
    assert on(found, "w/w")["drivers"][0]["name"] == "change of volume on mixing"
    assert "Ideal mixing is assumed" in found["warnings"][0]


def test_fifty_grams_to_weigh() -> None:
    found = converted(basis="w/w", amount={"solution_mass_g": 50})["batch"]
    assert found["instruction"] == (
        "Mix about 50 g: 10.0 g of resin with 40.0 g (51 mL) of acetone."
    )
    assert found["solute_mass_g"]["text"] == "10 g"
    assert found["solvent_mass_g"]["text"] == "40 g"


def test_what_is_made_up_to_a_volume_says_so() -> None:
    found = converted(amount={"solution_volume_ml": 100})["batch"]
    assert found["instruction"].startswith("Mix about 85 g: weigh 20.0 g of resin, dissolve it")
    assert "make up to 100 mL" in found["instruction"]
    assert found["solute_mass_g"]["text"] == "20 g"


def test_a_large_batch_and_a_coarse_balance_print_plain_numbers() -> None:
    found = converted(basis="w/w", amount={"solution_mass_g": 12_500}, balance_step_g=5)
    assert "2500 g of resin with 10000 g (12700 mL)" in found["batch"]["instruction"]
    assert "e+" not in found["batch"]["instruction"]


def test_less_than_the_balance_shows_is_said() -> None:
    found = converted(basis="w/w", written_percent=1, amount={"solution_mass_g": 2})["batch"]
    assert "0.02 g (less than the balance shows) of resin" in found["instruction"]


def test_exactly_one_amount_is_wanted() -> None:
    with pytest.raises(InputError, match="A batch needs one wanted amount; got none"):
        converted(amount={})
    with pytest.raises(InputError, match="got mass of solution, mass of solute"):
        converted(amount={"solution_mass_g": 5, "solute_mass_g": 1})


def test_a_density_without_uncertainty_is_not_taken_as_exact() -> None:
    found = converted(
        basis="w/v of solvent", solute_density_g_per_ml=1.15, solvent_density_g_per_ml=0.785
    )
    assert found["warnings"][-1] == "Density without uncertainty, taken as ± 1 %: resin, acetone."
    assert on(found, "w/w")["mean"] == pytest.approx(20.3, abs=0.05)
    assert on(found, "w/w")["expanded"] > 0.1


def test_the_working_shows_the_density_that_was_computed_with() -> None:
    working = converted(solute_density_g_per_ml=1.2)["working"]
    assert working[1]["text"] == "1.200 ± 0.012 g/mL (uncertainty assumed)"


def test_a_batch_by_a_part_of_which_there_is_next_to_none_is_refused() -> None:
    with pytest.raises(InputError, match="there is next to none in the mixture"):
        converted(written_percent=1e-300, amount={"solute_mass_g": 1e6})


@settings(deadline=None)
@given(
    st.floats(0, 300),
    st.sampled_from(["w/w", "w/v of solution", "w/v of solvent", "v/v"]),
    st.floats(0.05, 30),
    st.floats(0.05, 30),
    st.sampled_from(
        ["solution_mass_g", "solution_volume_ml", "solute_mass_g", "solvent_volume_ml"]
    ),
    st.floats(0, 1e6),
)
def test_whatever_is_typed_is_answered_or_refused_in_words(
    percent: float, basis: str, solute: float, solvent: float, wanted: str, amount: float
) -> None:
    found = answered_or_refused(
        written_percent=percent,
        basis=basis,
        solute_density_g_per_ml=solute,
        solvent_density_g_per_ml=solvent,
        amount={wanted: amount},
    )
    if isinstance(found, InputError):
        assert found.allowed
    else:
        assert "e+" not in found["batch"]["instruction"]
        assert on(found, basis)["mean"] == pytest.approx(percent, rel=1e-6)


def test_a_density_in_the_wrong_unit_is_refused() -> None:
    with pytest.raises(InputError, match="A density is out of range"):
        converted(solvent_density_g_per_ml=785)


def test_the_working_names_every_value_with_its_kind() -> None:
    working = converted(amount={"solution_mass_g": 50})["working"]
    assert [line["name"] for line in working] == [
        "as written, w/v of solution",
        "density of resin",
        "density of acetone",
        "change of volume on mixing",
        "wanted mass of solution",
    ]
    assert working[3]["kind"] == "estimated"
    assert working[1]["text"] == "1.150 ± 0.020 g/mL"
