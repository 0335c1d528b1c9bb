"""Fills side by side: masses by pint, and the order of Pareto by brute force."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError
from softmend.science.joint.compare import dominated_by, making

UNITS = pint.UnitRegistry()
tables = st.dictionaries(
    st.text("abcdef", min_size=1, max_size=2),
    st.lists(st.sampled_from([1.0, 2.0, 3.0]), min_size=3, max_size=3),
    min_size=1,
)


def test_masses_by_pint() -> None:
    found = making(40e-6, 550.0, 0.35, 0.02, 0.006)
    dry = (40 * UNITS.mm**2 * 10 * UNITS.cm * 550 * UNITS.kg / UNITS.m**3).to(UNITS.kg).magnitude
    assert found.dry_kg == pytest.approx(dry)
    assert found.paste_kg == pytest.approx(dry / 0.35)
    assert found.paste_kg == pytest.approx(found.dry_kg + found.liquid_kg)
    assert found.layers == 4


@pytest.mark.parametrize(("layer", "layers"), [(None, 1), (0.02, 1), (0.0199, 2), (0.005, 4)])
def test_layers(layer: float | None, layers: int) -> None:
    assert making(4e-5, 500.0, 1.0, 0.02, layer).layers == layers


@given(tables)
def test_the_order_is_that_of_pareto(systems: dict[str, list[float]]) -> None:
    found = dominated_by(systems)
    for name, mine in systems.items():
        truth = {
            other
            for other, theirs in systems.items()
            if all(a <= b for a, b in zip(theirs, mine, strict=True)) and theirs != mine
        }
        assert set(found[name]) == truth
    assert any(not others for others in found.values())


def test_what_is_not_known_decides_nothing() -> None:
    assert dominated_by({"a": [1, None], "b": [2, 3]}) == {"a": (), "b": ()}
    assert dominated_by({"a": [1.0, 1.0], "b": [1.01, 1.01]}) == {"a": (), "b": ()}


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: dominated_by({"a": [1.0], "b": [1.0, 2.0]}),
            "The systems are not compared in the same respects.",
        ),
        (
            lambda: making(1e-5, 500.0, 0.0, 0.01, None),
            "What a fill takes cannot be computed; got (1e-05, 500.0, 0.0, 0.01, None); allowed: "
            "positive sizes and density, solids above 0 to 1.",
        ),
    ],
)
def test_what_cannot_be_compared_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
