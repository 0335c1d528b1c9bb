"""Open and bridged cracks against printed tables and finite elements."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.joint.body import Body, Shape
from softmend.science.joint.crack import slit
from tests.science.checks import expected
from tools.oracles.joint import cracked

CHECKS = expected("softmend-mechanics-joint")
ORACLE = expected("softmend-joint-oracle")
SOLID, RING, PLANE = Body(Shape.CYLINDER), Body(Shape.HOLLOW, 0.4), Body(Shape.PLANE)
DEPTHS = [0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8]


def pressed(body: Body, depth: float) -> tuple[float, float]:
    """Return compliance C and geometry factor F under an even pressure."""
    one = slit(body, depth)
    even = np.ones_like(one.own)
    terms = one.solve(0.0, even, 0 * even)[0]
    return float(one.mean(terms)), float(one.tip(terms)) / math.sqrt(math.pi)


def bridged(body: Body, depth: float, spring: float) -> tuple[float, float, float]:
    """Return mean and mouth opening and tip over the radius, for a mismatch of 1."""
    one = slit(body, depth)
    terms = one.solve(spring * depth, one.own, 0 * one.own)[0]
    return (float(one.mean(terms)) * depth, float(one.mouth(terms)) * depth,
            float(one.tip(terms)) * math.sqrt(depth))  # fmt: skip


def test_an_edge_crack_in_a_half_plane() -> None:
    compliance, factor = pressed(PLANE, 1.0)
    CHECKS["plane_c"].accept(compliance)
    CHECKS["plane_f"].accept(factor)
    # The energy identity: a long crack's compliance is pi times the factor squared.
    assert compliance == pytest.approx(math.pi * factor**2, rel=1e-3)


@pytest.mark.parametrize("depth", DEPTHS)
def test_a_solid_cylinder(depth: float) -> None:
    compliance, factor = pressed(SOLID, depth)
    mean, _, tip = bridged(SOLID, depth, 0.0)
    for name, value in (("c", compliance), ("f", factor), ("b", mean), ("k0", tip)):
        CHECKS[f"disc_{name}_{depth:g}"].accept(value)


@pytest.mark.parametrize("depth", [0.1, 0.2, 0.3, 0.4, 0.5])
def test_a_hollow_cylinder(depth: float) -> None:
    CHECKS[f"ring_c_{depth:g}"].accept(pressed(RING, depth)[0])


def test_a_crack_almost_to_the_middle_opens_almost_as_a_slit() -> None:
    mouth = bridged(SOLID, 0.95, 0.0)[1]
    CHECKS["disc_rim_0.95"].accept(mouth)
    assert mouth < 2 * math.pi


@pytest.mark.parametrize("name", [name for name in ORACLE if name.startswith(("disc_", "ring_"))])
def test_bridged_cracks_against_finite_elements(name: str) -> None:
    shape, depth, spring, what = name.split("_")
    body = SOLID if shape == "disc" else RING
    found = bridged(body, float(depth), float(spring))
    ORACLE[name].accept(found[("mean", "mouth", "tip").index(what)])


def test_the_finite_elements_live() -> None:
    live = cracked(0.4, 5.0, growth=1.4)
    mean, mouth, tip = bridged(SOLID, 0.4, 5.0)
    assert mean == pytest.approx(live.mean, rel=0.01)
    assert mouth == pytest.approx(live.mouth, rel=0.01)
    assert tip == pytest.approx(live.tip, rel=0.04)


def test_a_small_hole_changes_nothing_and_a_small_crack_sees_a_plane() -> None:
    pinhole = pressed(Body(Shape.HOLLOW, 0.02), 0.3)
    assert pinhole == pytest.approx(pressed(SOLID, 0.3), rel=2e-3)
    assert pressed(SOLID, 0.002) == pytest.approx(pressed(PLANE, 1.0), rel=0.01)
    assert bridged(SOLID, 0.002, 0)[2] == pytest.approx(
        0.5 * 1.1215 * math.sqrt(0.002 * math.pi), 0.01
    )


@settings(max_examples=30, deadline=None)
@given(st.floats(0.05, 0.9), st.sampled_from([SOLID, RING, PLANE]))
def test_the_compliance_is_the_integral_of_the_tip(share: float, body: Body) -> None:
    """G dA is the work of an even pressure: d(C d^2)/dd = 2 pi F^2 d, for every body."""
    if body is PLANE:
        return
    depth = share * body.deepest
    step = 1e-3 * depth
    above, below = (pressed(body, depth + s)[0] * (depth + s) ** 2 for s in (step, -step))
    tip = pressed(body, depth)[1]
    assert (above - below) / (2 * step) == pytest.approx(2 * math.pi * tip**2 * depth, rel=0.01)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.05, 0.6), st.floats(0.01, 50), st.floats(1.05, 5))
def test_a_stiffer_spring_leaves_less_everywhere(depth: float, spring: float, more: float) -> None:
    soft, stiff = bridged(SOLID, depth, spring), bridged(SOLID, depth, spring * more)
    assert stiff[0] < soft[0]
    assert stiff[1] < soft[1]
    assert stiff[2] < soft[2]


@settings(max_examples=30, deadline=None)
@given(st.floats(0.05, 0.9), st.floats(0, 20), st.floats(0, 20))
def test_reciprocity(depth: float, first: float, second: float) -> None:
    """The work of one load on the opening of another is the same the other way round."""
    one = slit(SOLID, depth)
    loads = (1 + first * one.places, 1 + second * one.places**2)
    openings = [one.profile(one.solve(0.7, load, 0 * load)[0]) for load in loads]
    there, back = (float(one.weights @ (loads[i] * openings[1 - i])) for i in (0, 1))
    assert there == pytest.approx(back, rel=2e-3)


def test_springs_at_rest_in_the_open_crack_carry_nothing() -> None:
    one = slit(SOLID, 0.4)
    free = one.solve(0.0, one.own, 0 * one.own)[0]
    same = one.solve(3.0, one.own, one.profile(free))[0]
    assert same == pytest.approx(free, abs=1e-8)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: slit(SOLID, 0.97),
            "The crack is too deep for this body; got 0.97 of the outer radius; allowed: above 0 "
            "to 0.95; A crack to the middle or through the wall opens freely: see the slit "
            "cylinder.",
        ),
        (
            lambda: Body(Shape.CYLINDER, 0.3),
            "The hole of a body is not possible; got 0.3; allowed: a hollow cylinder has one of up "
            "to 0.9 of the outer radius, others none.",
        ),
    ],
)
def test_what_is_no_crack_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
