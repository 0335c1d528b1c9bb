"""The ways in which a coating may give, against the printed example and against each other."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

import pytest

from softmend.errors import InputError
from softmend.science.film.energy import Pattern
from softmend.science.film.layers import Between, Body, Coat, lifting
from softmend.science.film.pattern import patterns
from softmend.science.uncertain import Uncertain

exact = Uncertain.exact
# E' of 2 GPa, 0.2 mm, 10 MPa: the example of the reference.
VARNISH = Coat(exact(2e9 * (1 - 0.35**2)), exact(0.35), exact(0.2e-3), exact(10e6), exact(10.0))
EVEN = Body(exact(2e9 * (1 - 0.35**2)), exact(0.35), exact(10.0))
ONE = exact(1.0)


def energies(**change: Uncertain) -> dict[Pattern, float]:
    found = patterns(replace(VARNISH, **change), None, EVEN, ONE)
    return {one.pattern: one.energy.mean for one in found.each}


def test_the_printed_example() -> None:
    found = energies()
    printed = {
        Pattern.SURFACE_CRACK: 39.5, Pattern.CHANNEL: 19.8, Pattern.SPALL: 3.43,
        Pattern.PEEL_START: 10.3, Pattern.PEEL: 5.00,
    }  # fmt: skip
    for pattern, value in printed.items():
        assert found[pattern] == pytest.approx(value, rel=4e-3)


def test_a_stiffer_ground_quiets_the_running_crack_alone() -> None:
    stiff = patterns(VARNISH, None, replace(EVEN, modulus=exact(7.5e9)), ONE)
    found = {one.pattern: one.energy.mean for one in stiff.each}
    even = energies()
    assert stiff.contrast.mean < -0.5
    assert found[Pattern.CHANNEL] < 0.75 * even[Pattern.CHANNEL]
    others = set(Pattern) - {Pattern.CHANNEL}
    assert {one: found[one] for one in others} == {one: even[one] for one in others}


def test_energy_goes_with_the_square_of_the_tension_and_with_the_thickness() -> None:
    even, thick = energies(), energies(thickness=exact(0.4e-3))
    tight = energies(stress=exact(20e6))
    for pattern in Pattern:
        assert thick[pattern] == pytest.approx(2 * even[pattern])
        assert tight[pattern] == pytest.approx(4 * even[pattern])


def test_peeling_agrees_with_the_layers() -> None:
    peel = lifting(VARNISH, [], EVEN, ONE).planes[0]
    assert energies()[Pattern.PEEL] == pytest.approx(peel.energy.mean, rel=1e-9)


def test_what_nobody_knows_has_no_chance() -> None:
    patina = Between("patina", exact(2e9), exact(0.3), exact(50e-6), exact(5.0))
    found = {one.pattern: one for one in patterns(VARNISH, patina, EVEN, ONE).each}
    assert found[Pattern.CHANNEL].chance is None
    assert found[Pattern.SPALL].asks is None
    assert found[Pattern.PEEL].chance == 0.0
    known = replace(VARNISH, toughness=exact(30.0))
    surface = patterns(known, patina, EVEN, ONE).each[0]
    assert (surface.pattern, surface.chance) == (Pattern.SURFACE_CRACK, 1.0)


def test_a_factor_that_nobody_computed_is_left_out() -> None:
    soft = replace(EVEN, modulus=exact(50e6))
    found = {one.pattern for one in patterns(VARNISH, None, soft, ONE).each}
    assert set(Pattern) - found == {Pattern.CHANNEL}


@pytest.mark.parametrize(
    ("coat", "n", "words"),
    [
        (VARNISH, 10, "The number of draws is out of range"),
        (replace(VARNISH, stretch=exact(-0.05)), 1000, "The coating may press instead of pulling"),
    ],
)
def test_what_is_no_pattern_is_refused(coat: Coat, n: int, words: str) -> None:
    with pytest.raises(InputError, match=words):
        patterns(coat, None, EVEN, ONE, n)
