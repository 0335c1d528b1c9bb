"""Which layer lets go: against closed forms, a finite-element laminate, and limits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.film.energy import crack_intensities, plane_strain_modulus, released, spall
from softmend.science.film.layers import Between, Body, Coat, Layer, lifting, peel_energy
from softmend.science.uncertain import Uncertain
from tests.science.checks import expected
from tests.science.film.finite_elements import freed_by_a_stack

CHECKS = expected("hutchinson1992")
exact = Uncertain.exact


def layer(modulus: float, thickness: float, stress: float = 0.0) -> Layer:
    return Layer(np.array(modulus), np.array(thickness), np.array(stress))


def varnish(**other: Uncertain) -> Coat:
    given = {
        "modulus": exact(1.8e9), "poisson": exact(0.375), "thickness": exact(40e-6),
        "stress": exact(6e6), "hold": exact(20.0),
    }  # fmt: skip
    return Coat(**{**given, **other})


IVORY = Body(exact(7.5e9), exact(0.3), exact(240.0))
PATINA = Between("patina", exact(2e9), exact(0.3), exact(100e-6), exact(5.0))


def test_a_single_film_is_the_printed_example() -> None:
    CHECKS["energy_peel"].accept(float(peel_energy([layer(2e9, 0.2e-3, 10e6)])))


@pytest.mark.parametrize("depth", [0.0, 0.5, 1.0, spall().depth_over_thickness, 8.0])
def test_an_even_stack_gives_up_what_the_intensities_say(depth: float) -> None:
    # Irwin: K squared over the modulus.
    thickness, stress, modulus = 0.2e-3, 10e6, 2e9
    opening, sliding = crack_intensities(stress, thickness, depth * thickness)
    stack = [layer(modulus, thickness, stress), layer(modulus, max(depth, 1e-12) * thickness)]
    assert float(peel_energy(stack)) == pytest.approx(float(opening**2 + sliding**2) / modulus)


def test_a_mismatched_stack_against_finite_elements() -> None:
    # A stiff coating of thickness 1 on a soft layer of thickness 2.
    found = float(peel_energy([layer(1.0, 1.0, 1.0), layer(0.2, 2.0)]))
    assert freed_by_a_stack((1.0, 1.0, 1.0), (0.2, 2.0, 0.0)) == pytest.approx(found, rel=5e-3)


def test_cutting_a_layer_in_two_changes_nothing() -> None:
    whole = [layer(2e9, 1e-4, 5e6), layer(1e9, 3e-4, 1e6)]
    cut = [layer(2e9, 4e-5, 5e6), layer(2e9, 6e-5, 5e6), *[layer(1e9, 1e-4, 1e6)] * 3]
    assert float(peel_energy(cut)) == pytest.approx(float(peel_energy(whole)))


def test_a_layer_below_that_is_rigid_keeps_almost_all_the_energy_in_the_coating() -> None:
    coat = layer(1e9, 1e-4, 5e6)
    assert float(peel_energy([coat, layer(1e15, 1e-3)])) < 1e-4 * float(peel_energy([coat]))


def test_exact_inputs_give_the_closed_form_and_a_yes_or_no() -> None:
    found = lifting(varnish(), [PATINA], IVORY, exact(0.2))
    coat = float(plane_strain_modulus(1.8e9, 0.375))
    names = [one.name for one in found.planes]
    assert names == ["between coating and patina", "between patina and body", "inside the body"]
    assert found.planes[0].energy.mean == pytest.approx(float(released(0.5, 6e6, 40e-6, coat)))
    assert found.planes[1].hold.mean == pytest.approx(1.0)
    assert found.anything == 0
    assert sum(one.first for one in found.planes) == found.anything


def test_a_coating_of_the_safe_thickness_is_on_the_edge() -> None:
    safe = lifting(varnish(), [PATINA], IVORY, exact(0.2)).safe_thickness.mean
    just = lifting(varnish(thickness=exact(safe * 1.001)), [PATINA], IVORY, exact(0.2))
    not_yet = lifting(varnish(thickness=exact(safe * 0.999)), [PATINA], IVORY, exact(0.2))
    assert just.anything == 1
    assert not_yet.anything == 0


def test_without_layers_between_the_safe_thickness_is_the_closed_form() -> None:
    found = lifting(varnish(), [], IVORY, exact(0.25)).safe_thickness.mean
    coat = float(plane_strain_modulus(1.8e9, 0.375))
    assert found == pytest.approx(20 * 0.25 * coat / (0.5 * 6e6**2), rel=1e-4)


def test_the_weaker_plane_lets_go_first() -> None:
    strong = Between("patina", exact(2e9), exact(0.3), exact(20e-6), exact(200.0))
    weak = Between("patina", exact(2e9), exact(0.3), exact(20e-6), exact(0.1))
    thick = varnish(thickness=exact(400e-6), stress=exact(15e6), hold=exact(10.0))
    for between, first in (
        (strong, "between coating and patina"),
        (weak, "between patina and body"),
    ):
        found = lifting(thick, [between], IVORY, exact(0.5))
        assert max(found.planes, key=lambda one: one.first).name == first


def test_chances_rise_with_thickness_and_tension_and_fall_with_hold() -> None:
    unsure = {"stress": Uncertain.log_normal(6e6, 0.6), "hold": Uncertain.log_normal(20.0, 0.8)}
    base = lifting(varnish(**unsure), [PATINA], IVORY).anything
    thicker = lifting(varnish(**unsure, thickness=exact(200e-6)), [PATINA], IVORY).anything
    weaker = lifting(
        varnish(stress=unsure["stress"], hold=Uncertain.log_normal(2.0, 0.8)), [PATINA], IVORY
    ).anything
    assert base < thicker
    assert base < weaker


def test_the_band_of_a_log_normal_load_is_the_closed_form() -> None:
    # Load = s^2 h / (2 E' hold): log-normal in s and hold.
    coat = varnish(stress=Uncertain.log_normal(6e6, 0.6), hold=Uncertain.log_normal(20.0, 0.8))
    load = lifting(coat, [], IVORY, exact(0.3)).weakest.load
    sigma = np.hypot(2 * np.sqrt(np.log1p(0.36)), np.sqrt(np.log1p(0.64)))
    middle = float(released(0.5, 6e6, 40e-6, plane_strain_modulus(1.8e9, 0.375))) / (20 * 0.3)
    assert load.band.typical == pytest.approx(middle, rel=0.02)
    assert load.band.high == pytest.approx(middle * np.exp(1.6449 * sigma), rel=0.03)
    assert load.drivers[0].name == "drying tension of the coating"


def test_the_same_seed_gives_the_same_answer_and_another_one_nearly_so() -> None:
    coat = varnish(stress=Uncertain.log_normal(6e6, 0.6), hold=Uncertain.log_normal(20.0, 0.8))
    one, again = (lifting(coat, [PATINA], IVORY, seed=3) for _ in range(2))
    other = lifting(coat, [PATINA], IVORY, seed=4)
    assert one == again
    assert one.planes[0].load.band.high == pytest.approx(other.planes[0].load.band.high, rel=0.03)


def test_a_ground_that_outgrew_the_coating_adds_its_tension() -> None:
    stretched = lifting(varnish(stretch=exact(0.001)), [], IVORY).tension
    assert stretched.mean == pytest.approx(6e6 + 1.8e9 * 0.001 / (1 - 0.375))


def test_the_coating_cracks_only_if_its_toughness_is_known_and_small() -> None:
    assert lifting(varnish(), [PATINA], IVORY).crack is None
    brittle = lifting(varnish(toughness=exact(0.5)), [PATINA], IVORY).crack
    tough = lifting(varnish(toughness=exact(500.0)), [PATINA], IVORY).crack
    assert brittle is not None
    assert tough is not None
    assert (brittle.chance, tough.chance) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: peel_energy([]), "There is no layer that could part; allowed: one layer or more."),
        (
            lambda: lifting(varnish(), [], IVORY, n=10),
            "The number of draws is out of range; got 10; allowed: 100 to 100 000.",
        ),
        (
            lambda: lifting(varnish(stress=Uncertain.normal(1e6, 1e6)), [], IVORY),
            "The coating may press instead of pulling; got 16% of the draws; allowed: a tension "
            "above 0; A coating that presses buckles, which this model does not know.",
        ),
    ],
)
def test_what_is_no_coating_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words


def test_a_safe_thickness_of_fewer_draws_keeps_its_band() -> None:
    seeds = [
        lifting(varnish(hold=Uncertain.log_normal(20.0, 0.8)), [], IVORY, seed=seed)
        for seed in range(6)
    ]
    typical = [one.safe_thickness.band.typical for one in seeds]
    assert max(typical) / min(typical) < 1.02
