"""A glued joint against handbook sections, finite elements of a cantilever, and limits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.join import (
    GRAVITY,
    YEAR,
    Bond,
    Joint,
    Piece,
    Section,
    creep_viscosity,
    edge_stress,
    holds,
    lasting_share,
)
from softmend.science.uncertain import Uncertain
from tests.science.cantilever import wall_stress
from tests.science.checks import expected

HANDBOOK = expected("young2002")
WLF = expected("williams1955")
UNITS = pint.UnitRegistry()
exact = Uncertain.exact
sizes = st.floats(1e-3, 0.3)

JOINT = Joint(Section.RECTANGLE, exact(0.02), exact(0.03), exact(1.0))
PIECE = Piece(exact(0.3), exact(0.1), exact(0.0), exact(1.0))


def bending(section: Section) -> float:
    """Return the section modulus that a long arm shows, in mm3."""
    tension, _ = edge_stress(section, 0.02, 0.03, 1.0, 1e6, 0.0)
    return 1e6 / float(tension) * 1e9


def test_section_moduli_are_those_of_the_handbook() -> None:
    HANDBOOK["rectangle_modulus"].accept(bending(Section.RECTANGLE))
    HANDBOOK["ellipse_modulus"].accept(bending(Section.ELLIPSE))


def test_shear_and_tension_add_on_the_circle_of_stress() -> None:
    # One weight at an angle on a square metre: its normal part is 3 Pa, its shear 2 Pa.
    angle = math.degrees(math.atan2(3, 2))
    weight = math.hypot(3, 2)
    tension, shear = edge_stress(Section.RECTANGLE, 1, 1, weight, 0, angle)
    HANDBOOK["principal_tension"].accept(float(tension))
    assert float(shear) == pytest.approx(2)
    tension, _ = edge_stress(Section.RECTANGLE, 1, 1, 2.0, 0, 0)
    HANDBOOK["pure_shear"].accept(float(tension))


def test_the_edge_of_a_cantilever_against_finite_elements() -> None:
    # A bar 10 high and 60 long with its own weight: the arm is half the length.
    height, length, weight = 0.01, 0.06, 2.0
    tension, _ = edge_stress(Section.RECTANGLE, 1.0, height, weight, length / 2, 0)
    found = wall_stress(height, length, weight)
    # Read a little off the wall, and a bar this thick differs from a beam by half a percent.
    assert found == pytest.approx(float(tension), rel=0.03)


def test_units_by_pint() -> None:
    moment = UNITS.Quantity(300, "g") * UNITS.Quantity(9.80665, "m/s^2") * UNITS.Quantity(10, "cm")
    modulus = UNITS.Quantity(20, "mm") * UNITS.Quantity(30, "mm") ** 2 / 6
    found = edge_stress(Section.RECTANGLE, 0.02, 0.03, 0.3 * GRAVITY, 0.1, 0.0)[0]
    assert float(found) == pytest.approx((moment / modulus).to("Pa").magnitude, rel=3e-3)


@given(sizes, sizes, st.floats(0, 100), st.floats(0, 1), st.floats(-90, 90))
def test_a_standing_piece_pulls_least_and_nothing_is_negative(
    breadth: float, height: float, weight: float, arm: float, hang: float
) -> None:
    tension, _ = edge_stress(Section.ELLIPSE, breadth, height, weight, arm, hang)
    standing, shear = edge_stress(Section.ELLIPSE, breadth, height, weight, arm, -90)
    scale = weight / (breadth * height) * (1 + arm / height)
    assert float(standing) <= float(tension) + 1e-9 * scale
    assert float(standing) == pytest.approx(0, abs=1e-9 * scale + 1e-12)
    assert float(shear) == pytest.approx(0, abs=1e-9 * scale + 1e-12)


def test_a_piece_that_hangs_straight_down_pulls_its_weight_over_the_area() -> None:
    tension, _ = edge_stress(Section.ELLIPSE, 0.02, 0.03, 5.0, 0.5, 90)
    assert float(tension) == pytest.approx(5.0 / (math.pi / 4 * 0.02 * 0.03))


def test_creep_by_the_universal_constants() -> None:
    def decades(above: float) -> float:
        return -math.log10(float(creep_viscosity(-above)) / float(creep_viscosity(0.0)))

    WLF["decades_at_10_k"].accept(decades(10))
    WLF["decades_at_50_k"].accept(decades(50))
    WLF["log_viscosity_of_the_glass"].accept(math.log10(float(creep_viscosity(0.0))))
    assert decades(99) < WLF["decades_far_above"].value
    assert np.all(np.diff(creep_viscosity(np.linspace(-60, 40, 50))) >= 0)


def test_the_lasting_share_falls_to_nothing_at_the_transition() -> None:
    assert lasting_share([25.0, 20.0, 5.0, 0.0, -10.0]).tolist() == [1, 1, 0.25, 0, 0]


def test_exact_inputs_give_the_closed_form() -> None:
    found = holds(JOINT, PIECE, Bond(exact(3e6), exact(0.25)), exact(25.0), exact(6e6))
    tension = float(edge_stress(Section.RECTANGLE, 0.02, 0.03, 0.3 * GRAVITY, 0.1, 0.0)[0])
    assert found.load.mean == pytest.approx(tension / (3e6 * 0.25))
    assert found.least.mean == pytest.approx(tension / 0.25)
    assert (found.holds, found.bond_first) == (1.0, 1.0)
    assert found.above_transition is None
    assert found.slip is None


def test_gaps_and_rough_handling_add_up() -> None:
    half = Joint(Section.RECTANGLE, exact(0.02), exact(0.03), exact(0.5))
    rough = Piece(exact(0.3), exact(0.1), exact(0.0), exact(3.0))
    bond = Bond(exact(3e6), exact(0.25))
    base = holds(JOINT, PIECE, bond, exact(25.0)).load.mean
    assert holds(half, rough, bond, exact(25.0)).load.mean == pytest.approx(6 * base)


def test_a_warm_showcase_lets_a_soft_bond_slide() -> None:
    bond = Bond(exact(3e6), exact(0.25), exact(40.0), exact(1e-4))
    cool, warm = (holds(JOINT, PIECE, bond, exact(t)) for t in (22.0, 45.0))
    assert cool.holds == 1.0
    assert warm.holds == 0.0
    assert warm.above_transition == 1.0
    assert cool.slip is not None
    assert warm.slip is not None
    shear = 0.3 * GRAVITY / (0.02 * 0.03)
    assert cool.slip.mean == pytest.approx(shear * 1e-4 / 1e12 * YEAR)
    assert warm.slip.mean > 20 * cool.slip.mean


def test_chances_are_those_of_the_closed_form() -> None:
    strength, own = Uncertain.log_normal(3e6, 0.5), Uncertain.log_normal(6e6, 0.6)
    found = holds(JOINT, PIECE, Bond(strength, exact(0.25)), exact(25.0), own)
    sigma = math.hypot(math.sqrt(math.log1p(0.25)), math.sqrt(math.log1p(0.36)))
    chance = 0.5 * math.erfc(-math.log(2.0) / sigma / math.sqrt(2))
    assert found.bond_first == pytest.approx(chance, abs=0.01)


def test_a_stronger_bond_holds_better_and_gives_first_less() -> None:
    own = Uncertain.log_normal(6e6, 0.6)
    weak, strong = (
        holds(JOINT, PIECE, Bond(Uncertain.log_normal(s, 0.5)), exact(25.0), own)
        for s in (0.5e6, 8e6)
    )
    assert weak.holds < strong.holds
    assert weak.bond_first is not None
    assert strong.bond_first is not None
    assert weak.bond_first > strong.bond_first


def test_the_same_seed_gives_the_same_answer() -> None:
    bond = Bond(Uncertain.log_normal(3e6, 0.5))
    assert holds(JOINT, PIECE, bond, exact(25.0)) == holds(JOINT, PIECE, bond, exact(25.0))


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: edge_stress(Section.ELLIPSE, 0, 0.03, 1, 0, 0),
            "A joint has no size; got 0; allowed: above 0 m.",
        ),
        (
            lambda: edge_stress(Section.ELLIPSE, 0.02, 0.03, -1, 0, 0),
            "A weight or an arm is negative; got -1; allowed: 0 or more.",
        ),
        (
            lambda: edge_stress(Section.ELLIPSE, 0.02, 0.03, 1, 0, 120),
            "A piece cannot hang at that angle; got 120; allowed: -90 to 90 degrees.",
        ),
        (
            lambda: creep_viscosity(-150.0),
            "A bond is far above its glass transition; got 150; allowed: below 100 K.",
        ),
        (
            lambda: holds(JOINT, PIECE, Bond(exact(3e6), exact(1.5)), exact(25.0)),
            "The lasting share may be out of range; got 1.5; allowed: 1e-06 to 1.",
        ),
        (
            lambda: holds(JOINT, PIECE, Bond(exact(-1.0)), exact(25.0)),
            "The strength of the bond may be out of range; got -1 Pa; allowed: 1 to 1e+11 Pa.",
        ),
        (
            lambda: holds(JOINT, PIECE, Bond(exact(3e6)), exact(25.0), n=3),
            "The number of draws is out of range; got 3; allowed: 100 to 100 000.",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
