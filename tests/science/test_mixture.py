"""Percentages on four bases: the table of practice, pint for units, round trips, real mixtures."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pint
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.dilution import blend_density, dilution
from softmend.science.mixture import (
    Basis,
    Mixture,
    Parts,
    Wanted,
    batch,
    mass_fraction,
    mixture,
    percent_of,
)
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected

RESIN, ACETONE = 1150.0, 785.0
RESIN_IN_ACETONE = Parts(Uncertain.exact(RESIN), Uncertain.exact(ACETONE), Uncertain.exact(0.0))

densities = st.floats(300, 9000)
fractions = st.floats(0.001, 0.999)
changes = st.floats(-0.1, 0.1)


@pytest.mark.parametrize("percent", [10, 20, 40, 50])
@pytest.mark.parametrize(
    ("basis", "name"),
    [
        (Basis.MASS_IN_VOLUME_OF_SOLUTION, "w_v_solution"),
        (Basis.MASS_TO_VOLUME_OF_SOLVENT, "w_v_solvent"),
    ],
)
def test_what_twenty_percent_may_mean(percent: int, basis: Basis, name: str) -> None:
    found = 100 * float(mass_fraction(percent, basis, RESIN, ACETONE))
    expected("softmend-practice")[f"w_of_{percent}_percent_{name}"].accept(found)


@settings(deadline=None)
@given(fractions, densities, densities, changes, st.sampled_from(Basis))
def test_there_and_back_is_the_same_mixture(
    fraction: float, solute: float, solvent: float, change: float, basis: Basis
) -> None:
    percent = percent_of(fraction, basis, solute, solvent, change)
    back = mass_fraction(percent, basis, solute, solvent, change)
    assert float(back) == pytest.approx(fraction, rel=1e-9)


@settings(deadline=None)
@given(
    fractions,
    densities,
    densities,
    st.tuples(st.sampled_from(Basis), st.sampled_from(Basis), st.sampled_from(Basis)),
)
def test_a_detour_over_other_bases_changes_nothing(
    fraction: float, solute: float, solvent: float, way: tuple[Basis, ...]
) -> None:
    assume(0.001 < fraction < 0.999)
    w = fraction
    for basis in way:
        w = float(mass_fraction(percent_of(w, basis, solute, solvent), basis, solute, solvent))
    assert w == pytest.approx(fraction, rel=1e-9)


def weighed_with_pint(grams: float, millilitres: float) -> dict[Basis, float]:
    """Return the four percentages of so many grams of resin in so many mL of acetone."""
    unit = pint.UnitRegistry()
    solute = grams * unit.gram
    solvent = millilitres * unit.milliliter
    resin, acetone = 1.15 * unit.gram / unit.milliliter, 0.785 * unit.gram / unit.milliliter
    volume = solute / resin + solvent
    hundredth = unit.gram / (100 * unit.milliliter)
    return {
        Basis.MASS_OF_SOLUTION: (solute / (solute + solvent * acetone)).to("percent").magnitude,
        Basis.MASS_IN_VOLUME_OF_SOLUTION: (solute / volume / hundredth).to("").magnitude,
        Basis.MASS_TO_VOLUME_OF_SOLVENT: (solute / solvent / hundredth).to("").magnitude,
        Basis.VOLUME_OF_SOLUTION: (solute / resin / volume).to("percent").magnitude,
    }


@pytest.mark.parametrize(("grams", "millilitres"), [(5, 100), (20, 100), (30, 45)])
def test_all_bases_agree_with_pint(grams: float, millilitres: float) -> None:
    by_hand = weighed_with_pint(grams, millilitres)
    w = by_hand[Basis.MASS_OF_SOLUTION] / 100
    for basis, percent in by_hand.items():
        assert float(percent_of(w, basis, RESIN, ACETONE)) == pytest.approx(percent, rel=1e-9)


def test_half_spirit_shrinks_as_the_tables_of_alcohol_say() -> None:
    # 50 % vol ethanol is 42.4 % by mass at 20 degC, density 930 kg/m3 (international alcoholometric
    # tables, recalled); ethanol 789.2, water 998.2 kg/m3.
    w = float(mass_fraction(50, Basis.VOLUME_OF_SOLUTION, 789.2, 998.2, -0.0345))
    assert 100 * w == pytest.approx(42.4, abs=0.1)
    ideal = float(mass_fraction(50, Basis.VOLUME_OF_SOLUTION, 789.2, 998.2))
    assert 100 * ideal == pytest.approx(44.2, abs=0.1)


def test_fifty_grams_of_a_fifth_are_ten_and_forty() -> None:
    found = batch(
        Uncertain.exact(20),
        Basis.MASS_OF_SOLUTION,
        RESIN_IN_ACETONE,
        Wanted.MASS_OF_SOLUTION,
        Uncertain.exact(0.050),
    )
    assert found.solute_mass.mean == pytest.approx(0.010)
    assert found.solvent_mass.mean == pytest.approx(0.040)
    assert found.solvent_volume.mean == pytest.approx(0.040 / 785)
    assert found.solution_volume.mean == pytest.approx(0.010 / 1150 + 0.040 / 785)


@pytest.mark.parametrize(
    ("wanted", "part"),
    [
        (Wanted.MASS_OF_SOLUTION, "solution_mass"),
        (Wanted.VOLUME_OF_SOLUTION, "solution_volume"),
        (Wanted.MASS_OF_SOLUTE, "solute_mass"),
        (Wanted.VOLUME_OF_SOLVENT, "solvent_volume"),
    ],
)
@pytest.mark.parametrize("basis", Basis)
def test_what_was_wanted_is_what_the_batch_has(wanted: Wanted, part: str, basis: Basis) -> None:
    found = batch(Uncertain.exact(15), basis, RESIN_IN_ACETONE, wanted, Uncertain.exact(0.03))
    assert getattr(found, part).mean == pytest.approx(0.03)
    assert found.solute_mass.mean + found.solvent_mass.mean == pytest.approx(
        found.solution_mass.mean
    )


def on(parts: Parts, basis: Basis = Basis.MASS_IN_VOLUME_OF_SOLUTION) -> Mixture:
    return mixture(Uncertain.exact(20), basis, parts, seed=2)


def test_uncertain_densities_and_mixing_are_carried_and_named() -> None:
    parts = Parts(Uncertain.normal(RESIN, 30), Uncertain.normal(ACETONE, 2))
    mass = on(parts).percent[Basis.MASS_OF_SOLUTION]
    assert mass.mean == pytest.approx(23.6, abs=0.05)
    assert mass.sd > 0.1
    assert mass.drivers[0].name == "change of volume on mixing"
    # First order: w = c (1 + e) v, so that 1 % of change is about 1 % of w, lessened by its own
    # part in the volume.
    assert mass.sd / mass.mean == pytest.approx(0.01, rel=0.2)


def test_the_basis_as_written_is_exact_and_needs_no_density() -> None:
    parts = Parts(Uncertain.normal(RESIN, 30), Uncertain.normal(ACETONE, 2))
    assert on(parts).percent[Basis.MASS_IN_VOLUME_OF_SOLUTION].sd == 0
    assert on(parts, Basis.MASS_OF_SOLUTION).percent[Basis.MASS_OF_SOLUTION].sd == 0


def test_what_is_poured_into_solvent_does_not_depend_on_mixing() -> None:
    parts = Parts(Uncertain.normal(RESIN, 30), Uncertain.exact(ACETONE))
    mass = on(parts, Basis.MASS_TO_VOLUME_OF_SOLVENT).percent[Basis.MASS_OF_SOLUTION]
    assert mass.sd == 0
    assert mass.mean == pytest.approx(100 * 20 / (20 + 78.5))


@pytest.mark.parametrize(
    ("percent", "basis"),
    [
        (101, Basis.MASS_OF_SOLUTION),
        (116, Basis.MASS_IN_VOLUME_OF_SOLUTION),
        (1200, Basis.MASS_IN_VOLUME_OF_SOLUTION),
        (101, Basis.VOLUME_OF_SOLUTION),
    ],
)
def test_more_than_pure_is_no_mixture(percent: float, basis: Basis) -> None:
    with pytest.raises(InputError, match=f"No mixture of these two has that percentage {basis}"):
        mass_fraction(percent, basis, RESIN, ACETONE)


def test_pure_solute_is_a_mixture_on_every_basis_but_one() -> None:
    assert float(
        mass_fraction(115, Basis.MASS_IN_VOLUME_OF_SOLUTION, RESIN, ACETONE)
    ) == pytest.approx(1)
    assert float(mass_fraction(100, Basis.VOLUME_OF_SOLUTION, RESIN, ACETONE)) == pytest.approx(1)
    with pytest.raises(InputError, match="below 1 where solvent is needed"):
        percent_of(1.0, Basis.MASS_TO_VOLUME_OF_SOLVENT, RESIN, ACETONE)


def test_wrong_units_and_signs_are_refused() -> None:
    with pytest.raises(InputError, match=r"A density is out of range; got 1.15 to 1.15 kg/m3"):
        mass_fraction(20, Basis.MASS_IN_VOLUME_OF_SOLUTION, 1.15, ACETONE)
    with pytest.raises(InputError, match="A percentage is negative"):
        mass_fraction(-1, Basis.MASS_OF_SOLUTION, RESIN, ACETONE)
    with pytest.raises(InputError, match="A change of volume on mixing is out of range; got 30 %"):
        mass_fraction(1, Basis.MASS_OF_SOLUTION, RESIN, ACETONE, 0.3)


@pytest.mark.parametrize(
    ("percent", "wanted", "amount"),
    [(20, Wanted.MASS_OF_SOLUTION, 0.0), (0, Wanted.MASS_OF_SOLUTE, 0.01)],
)
def test_a_batch_that_cannot_be_made_is_refused(
    percent: float, wanted: Wanted, amount: float
) -> None:
    with pytest.raises(InputError, match=f"A batch cannot be made to that {wanted}"):
        batch(
            Uncertain.exact(percent),
            Basis.MASS_OF_SOLUTION,
            RESIN_IN_ACETONE,
            wanted,
            Uncertain.exact(amount),
        )


@settings(deadline=None)
@given(st.floats(0.01, 1), st.floats(0.01, 1), st.floats(1e-3, 1))
def test_a_dilution_keeps_the_solute(stock: float, share: float, mass: float) -> None:
    poured, added = dilution(stock, stock * share, mass)
    assert poured + added == pytest.approx(mass)
    assert poured * stock == pytest.approx(mass * stock * share)


def test_a_stock_is_not_made_stronger_by_thinning() -> None:
    with pytest.raises(InputError, match="A stock can only be thinned"):
        dilution(0.05, 0.2, 0.1)


def test_a_blend_weighs_what_its_parts_weigh() -> None:
    unit = pint.UnitRegistry()
    mass = 3 * unit.litre * 785 * unit.kg / unit.m**3 + 1 * unit.litre * 867 * unit.kg / unit.m**3
    by_hand = (mass / (4 * unit.litre)).to("kg/m**3").magnitude
    assert blend_density([785, 867], [3, 1]) == pytest.approx(by_hand)
    with pytest.raises(InputError, match="The parts of a blend do not pair"):
        blend_density([785, 867], [1])


def test_arrays_of_percentages_are_converted_at_once() -> None:
    many = mass_fraction(np.array([10, 20]), Basis.MASS_TO_VOLUME_OF_SOLVENT, RESIN, ACETONE)
    assert many.shape == (2,)
