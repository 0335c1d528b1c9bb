"""Slow loads and the ratchet of re-wetting, against closed forms of one cycle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.joint.relaxation import Yielding, ratchet, relaxed, slow_share

OBJECT, FILL = 7e10, 2.5e11
TOGETHER = OBJECT * FILL / (OBJECT + FILL)
DAY = 86400.0


@given(st.floats(1, 1e10), st.floats(1, 100), st.floats(0.05, 1))
def test_a_longer_load_never_meets_more_stiffness(time: float, more: float, left: float) -> None:
    assert 0 <= slow_share(time) <= slow_share(time * more) <= 1
    assert relaxed(1e9, left, time * more) <= relaxed(1e9, left, time) * (1 + 1e-12)
    assert left * 1e9 * (1 - 1e-9) <= float(relaxed(1e9, left, time)) <= 1e9


def test_dentine_between_its_quoted_ends() -> None:
    # Quoted: 20 to 25 GPa quick, about 12 GPa after long; a day lies between.
    assert float(relaxed(22e9, 12 / 22, 1.0)) == pytest.approx(22e9)
    assert float(relaxed(22e9, 12 / 22, 1e9)) == pytest.approx(12e9)
    assert 12e9 < float(relaxed(22e9, 12 / 22, DAY)) < 22e9


def test_without_yielding_a_cycle_returns() -> None:
    history = 1e-4 * np.sin(np.linspace(0, 6 * np.pi, 200))
    found = ratchet(history, DAY, OBJECT, FILL, Yielding(crush_pa=1e9))
    assert found.traction_pa == pytest.approx(TOGETHER * history)
    assert found.shortened_m == pytest.approx(0)
    assert found.opening_m == pytest.approx(history * OBJECT / (OBJECT + FILL))
    assert (found.gap_m, found.loose_at) == (0, None)


def test_crushing_in_the_damp_pulls_in_the_dry() -> None:
    damp, crush = 8e-5, 2e6
    found = ratchet(np.array([0, -damp, 0, 5e-5]), DAY, OBJECT, FILL, Yielding(crush))
    short = damp - crush / TOGETHER
    assert found.shortened_m[1:] == pytest.approx(short)
    assert found.traction_pa[1] == pytest.approx(-crush)
    assert found.traction_pa[2] == pytest.approx(TOGETHER * short)
    assert found.traction_pa[3] == pytest.approx(TOGETHER * (5e-5 + short))


def test_a_held_squeeze_creeps_away_as_it_should() -> None:
    creep, days = 30 * DAY, 20
    step = DAY / 50
    held = np.full(int(days * DAY / step), -8e-5)
    found = ratchet(held, step, OBJECT, FILL, Yielding(math.inf, creep))
    # Fill and object in series relax together: the rate is the object's share of the fill's.
    rate = TOGETHER / FILL / creep
    assert -found.traction_pa[-1] == pytest.approx(
        TOGETHER * 8e-5 * math.exp(-rate * days * DAY), rel=1e-3
    )


def test_each_damp_spell_shortens_until_it_settles() -> None:
    history = np.tile([0, -8e-5, 5e-5], 20).astype(float)
    found = ratchet(history, 30 * DAY, OBJECT, FILL, Yielding(math.inf, 60 * DAY))
    steps = np.diff(found.shortened_m[1::3])
    assert (steps >= 0).all()
    assert steps[-1] < steps[0]


def test_a_bond_that_lets_go_leaves_a_gap_that_the_damp_closes() -> None:
    history = np.array([0, -8e-5, 6e-5, -8e-5, 0])
    found = ratchet(history, DAY, OBJECT, FILL, Yielding(crush_pa=2e6, bond_pa=3e6))
    assert found.loose_at == 2
    assert found.traction_pa[2] == 0
    assert found.opening_m[2] == pytest.approx(6e-5)
    assert found.traction_pa[3] == pytest.approx(-2e6)
    assert found.gap_m == pytest.approx(8e-5 - 2e6 / TOGETHER)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: ratchet(np.zeros(2), 0.0, 1.0, 1.0, Yielding(1.0)),
            "Steps, stiffnesses and strengths of a history must be positive.",
        ),
        (lambda: slow_share(0.0), "A duration is not above zero; got 0.0."),
        (
            lambda: relaxed(1.0, 1.2, 1.0),
            "A relaxation factor is out of range; got 1.2; allowed: above 0 to 1.",
        ),
    ],
)
def test_what_cannot_relax_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
