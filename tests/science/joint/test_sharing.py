"""Case W1 against its printed table (one spring) and finite elements (springs along the depth)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.confined import Bottom, confined_modulus
from softmend.science.joint.sharing import (
    Elastic,
    Gap,
    Section,
    Sharing,
    load_sharing,
    pull_in_the_hand,
    spring_of,
    tolerable_pressure,
)
from softmend.science.moisture.strain import ring_stresses
from tests.science.checks import expected
from tools.oracles.joint import FILLS

CHECKS = expected("softmend-mechanics-joint")
ORACLE = expected("softmend-joint-oracle")
W1 = Gap(Body(Shape.CYLINDER), 0.05, 0.02, 0.002)
IVORY = Elastic(8e9, 0.3)
MISMATCH = 0.0015
UNITS = pint.UnitRegistry()


def shared(name: str) -> Sharing:
    fill = Elastic(*FILLS[name]) if name != "unfilled" else Elastic(0.0, 0.3)
    return load_sharing(W1, IVORY, fill, MISMATCH)


def test_the_open_crack_of_w1() -> None:
    found = shared("unfilled")
    CHECKS["w1_free_opening_mm"].accept(found.free_opening_m * 1e3)
    CHECKS["w1_k0"].accept(found.tip_pa_m05 / 1e6)
    hoop, _ = ring_stresses(MISMATCH, IVORY.plane_pa, 1.0)
    CHECKS["w1_rim_mpa"].accept(float(hoop) / 1e6)
    stiff = load_sharing(W1, IVORY, Elastic(1e9, 0.0), MISMATCH)
    spring = float(spring_of(Section.BONDED, 1e9, 0.0, 0.02, 0.002)[0])
    CHECKS["w1_object_stiffness"].accept(spring / stiff.stiffness_ratio)
    assert found.traction_pa == found.released_j_m2 == 0


@pytest.mark.parametrize("name", FILLS)
def test_one_spring_for_the_whole_fill_is_the_printed_table(name: str) -> None:
    found = shared(name)
    for what, value in (
        ("confined_mpa", found.confined_pa / 1e6),
        ("ratio", found.stiffness_ratio),
        ("traction_mpa", found.one_spring.traction_pa / 1e6),
        ("energy", found.one_spring.released_j_m2),
        ("tip", found.one_spring.tip_pa_m05 / 1e6),
        ("strain_percent", found.one_spring.opening_m / W1.width_m * 100),
    ):
        CHECKS[f"w1_{name}_{what}"].accept(value)


@pytest.mark.parametrize("name", ["unfilled", *FILLS])
def test_springs_along_the_depth_against_finite_elements(name: str) -> None:
    found = shared(name)
    ORACLE[f"w1_{name}_opening_mm"].accept(found.opening_m * 1e3)
    ORACLE[f"w1_{name}_traction_mpa"].accept(found.traction_pa / 1e6)
    ORACLE[f"w1_{name}_tip_mpa_m05"].accept(found.tip_pa_m05 / 1e6)


@pytest.mark.parametrize("name", ["polyester", "microballoon", "pulp_eva"])
def test_the_correction_at_the_tip(name: str) -> None:
    CHECKS[f"w1_spread_{name}_tip"].accept(shared(name).tip_pa_m05 / 1e6)


@pytest.mark.parametrize("name", ["polyester", "microballoon", "pulp_eva"])
def test_springs_stand_for_a_real_layer(name: str) -> None:
    """A slot with a layer of fill in it, meshed as it is, shares the load as the springs do."""
    plane = Gap(Body(Shape.PLANE), 1.0, 20.0, 2.0)
    found = load_sharing(plane, IVORY, Elastic(*FILLS[name]), 1.0)
    ORACLE[f"slot_{name}_traction"].accept(found.traction_pa)
    ORACLE[f"slot_{name}_opening"].accept(found.opening_m)


@pytest.mark.parametrize("name", ["polyester", "microballoon", "pulp_eva"])
def test_the_half_plane_of_the_reference(name: str) -> None:
    plane = Gap(Body(Shape.PLANE), 1.0, 0.02, 0.002)
    mismatch = 1e-4 / (3.951 * 0.02)
    found = load_sharing(plane, IVORY, Elastic(*FILLS[name]), mismatch).one_spring
    CHECKS[f"plane_{name}_traction_mpa"].accept(found.traction_pa / 1e6)
    CHECKS[f"plane_{name}_energy"].accept(found.released_j_m2)


@pytest.mark.parametrize("ratio", [5, 10, 20])
def test_how_soft_is_soft(ratio: int) -> None:
    most = 0.1 * IVORY.plane_pa / 3.951 / ratio
    CHECKS[f"soft_{ratio}"].accept(most / 1e6)
    young = most / float(confined_modulus(1.0, 0.3, float(ratio), Bottom.BONDED))
    plane = Gap(Body(Shape.PLANE), 1.0, 0.002 * ratio, 0.002)
    found = load_sharing(plane, IVORY, Elastic(young, 0.3), 0.001)
    assert found.stiffness_ratio == pytest.approx(0.1, rel=1e-3)


@pytest.mark.parametrize("depth_mm", [5, 10, 20, 40])
def test_the_pressure_that_a_tip_bears(depth_mm: int) -> None:
    plane = Gap(Body(Shape.PLANE), 1.0, depth_mm / 1e3, 0.002)
    found = tolerable_pressure(1.6e6, plane)
    CHECKS[f"pressure_{depth_mm}"].accept(found / 1e6)
    for toughness in (0.9, 2.7):
        share = tolerable_pressure(toughness * 1e6, plane) / found
        CHECKS[f"pressure_share_{toughness:g}"].accept(share)


def test_a_fill_that_grows_presses_and_opens_the_tip() -> None:
    # Plaster's 0.2 % in 2 mm: some tenths of a megapascal, and a tip far below any toughness.
    found = load_sharing(W1, IVORY, Elastic(4e9, 0.22), 0.0, own_strain=0.002)
    assert found.traction_pa < 0
    assert found.opening_m > 0
    assert 0 < found.tip_pa_m05 < 1.6e6
    shrunk = load_sharing(W1, IVORY, Elastic(4e9, 0.22), 0.0, own_strain=-0.002)
    assert shrunk.traction_pa == pytest.approx(-found.traction_pa)
    assert shrunk.released_j_m2 == pytest.approx(found.released_j_m2)
    assert shrunk.tip_pa_m05 == 0


def test_a_fill_without_stiffness_that_grows_does_nothing() -> None:
    found = load_sharing(W1, IVORY, Elastic(1e3, 0.2), MISMATCH, own_strain=-0.05)
    free = shared("unfilled")
    assert found.opening_m == pytest.approx(free.opening_m, rel=1e-4)


@settings(max_examples=40, deadline=None)
@given(st.floats(4, 10), st.floats(0.05, 0.6), st.floats(1e-5, 0.01))
def test_soft_fills_are_one_spring_and_stiff_ones_leave_more_at_the_tip(
    log_young: float, share: float, mismatch: float
) -> None:
    gap = Gap(Body(Shape.CYLINDER), 0.05, 0.05 * share, 0.002)
    found = load_sharing(gap, IVORY, Elastic(10**log_young, 0.3), mismatch)
    one = found.one_spring
    if found.stiffness_ratio > 1 and share < 0.5:
        assert found.tip_pa_m05 > one.tip_pa_m05
        assert found.traction_pa < one.traction_pa
    if found.stiffness_ratio < 0.02:
        assert found.tip_pa_m05 == pytest.approx(one.tip_pa_m05, rel=0.02)
        assert found.traction_pa == pytest.approx(one.traction_pa, rel=0.02)


@settings(max_examples=30, deadline=None)
@given(st.floats(6, 10), st.floats(1e-5, 0.01), st.floats(0.1, 10))
def test_everything_scales_with_the_swing_and_the_size(
    log_young: float, mismatch: float, size: float
) -> None:
    fill = Elastic(10**log_young, 0.3)
    here, twice = (load_sharing(W1, IVORY, fill, k * mismatch) for k in (1, 2))
    assert twice.traction_pa == pytest.approx(2 * here.traction_pa)
    assert twice.released_j_m2 == pytest.approx(4 * here.released_j_m2)
    large = Gap(W1.body, 0.05 * size, 0.02 * size, 0.002 * size)
    grown = load_sharing(large, IVORY, fill, mismatch)
    assert grown.traction_pa == pytest.approx(here.traction_pa)
    assert grown.released_j_m2 == pytest.approx(size * here.released_j_m2)
    assert grown.tip_pa_m05 == pytest.approx(math.sqrt(size) * here.tip_pa_m05)


def test_profiles_run_from_the_surface_down_and_belong_to_their_means() -> None:
    found = shared("microballoon")
    assert found.depths_m[0] < found.depths_m[-1] < W1.depth_m
    assert found.openings_m[0] == pytest.approx(found.mouth_m, rel=1e-3)
    assert found.openings_m[-1] < found.openings_m[0]
    assert (found.openings_m < found.free_openings_m).all()
    assert found.greatest_traction_pa >= found.tractions_pa.max()
    assert found.greatest_traction_pa > found.traction_pa


def test_a_v_counts_with_its_mean_width() -> None:
    gap = Gap(W1.body, 0.05, 0.02, 0.002, Section.V)
    found = load_sharing(gap, IVORY, Elastic(4e7, 0.2), MISMATCH)
    straight = load_sharing(W1, IVORY, Elastic(4e7, 0.2), MISMATCH)
    assert found.stiffness_ratio == pytest.approx(2 * straight.stiffness_ratio, rel=0.02)


def test_loads_in_the_hand_by_pint() -> None:
    force = 4.86 * UNITS.MPa * 20 * UNITS.mm * 10 * UNITS.cm
    mass = (force / UNITS.standard_gravity).to(UNITS.kg).magnitude
    assert pull_in_the_hand(4.86e6, 0.02) == pytest.approx(mass)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: Gap(W1.body, 0.05, 0.0, 0.002),
            "Radius, depth and width of a crack must be positive; got (0.05, 0.0, 0.002).",
        ),
        (
            lambda: load_sharing(W1, Elastic(8e9, 0.6), Elastic(1e9, 0.3), 0.001),
            "The Poisson's ratio of the object is out of range; got 0.6; allowed: 0 to below 0.5.",
        ),
        (
            lambda: load_sharing(W1, IVORY, Elastic(-1.0, 0.3), 0.001),
            "A modulus is not possible; got (8000000000.0, -1.0); allowed: above 0 Pa of the "
            "object, 0 Pa or more of the fill.",
        ),
        (
            lambda: tolerable_pressure(0.0, W1),
            "A toughness is not above zero; got 0.0.",
        ),
        (
            lambda: pull_in_the_hand(1.0, 0.0),
            "The depth of a crack is not above zero; got 0.0.",
        ),
    ],
)
def test_what_cannot_share_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
