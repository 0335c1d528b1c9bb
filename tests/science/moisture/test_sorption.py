"""Sorption curves against printed isotherms, a fit of our own and finite differences."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from softmend.errors import InputError
from softmend.science.moisture.sorption import (
    Course,
    Gab,
    moisture_between,
    moisture_content,
    moisture_slope,
)
from tests.science.checks import expected

CHECKS = expected("softmend-mechanics-moisture")
WOODS = {
    "oak": {Course.ADSORPTION: Gab(6.19, 7.36, 0.72), Course.DESORPTION: Gab(11.1, 7.26, 0.51)},
    "lime": {Course.ADSORPTION: Gab(4.51, 7.42, 0.79), Course.DESORPTION: Gab(7.69, 4.70, 0.66)},
}
RH = np.array([5, 10, 20, 30, 40, 50, 60, 70, 80, 90.0])
COLLAGEN = Gab(11.3, 18.0, 0.806)
curves = st.builds(Gab, st.floats(0.5, 30), st.floats(1, 60), st.floats(0.3, 0.95))


@pytest.mark.parametrize("wood", WOODS)
@pytest.mark.parametrize("course", Course)
def test_wood_holds_what_is_printed(wood: str, course: Course) -> None:
    CHECKS[f"{wood}_{course}_50"].accept(float(moisture_content(50, WOODS[wood][course])))
    ends = moisture_content(np.array([40, 60]), WOODS[wood][course])
    CHECKS[f"{wood}_{course}_slope"].accept(float(ends[1] - ends[0]) / 20)


@pytest.mark.parametrize("rh", RH)
def test_collagen_holds_what_is_printed(rh: float) -> None:
    CHECKS[f"collagen_{rh:g}"].accept(float(moisture_content(rh, COLLAGEN)))


def test_a_fit_to_the_printed_collagen_gives_the_constants() -> None:
    printed = np.array([CHECKS[f"collagen_{rh:g}"].value for rh in RH])
    found, _ = curve_fit(
        lambda rh, vm, c, k: moisture_content(rh, Gab(vm, c, k)), RH, printed, p0=(10, 10, 0.8)
    )
    for name, value in zip(("vm", "c", "k"), found, strict=True):
        CHECKS[f"collagen_{name}"].accept(value)
    worst = np.max(np.abs(moisture_content(RH, Gab(*found)) - printed))
    CHECKS["collagen_largest_error"].accept(float(worst))


@pytest.mark.parametrize(("material", "share"), [("ivory", 0.33), ("bone", 0.28), ("antler", 0.4)])
def test_a_mineral_tissue_holds_its_share_of_collagen(material: str, share: float) -> None:
    printed = CHECKS["collagen_60"].value - CHECKS["collagen_40"].value
    CHECKS[f"{material}_slope"].accept(share * printed / 20)
    fitted = np.diff(moisture_content(np.array([40, 60]), COLLAGEN))[0]
    assert fitted == pytest.approx(printed, rel=0.05)


@given(curves, st.floats(1, 98))
def test_the_slope_is_the_difference(curve: Gab, rh: float) -> None:
    near = moisture_content(np.array([rh - 0.01, rh + 0.01]), curve)
    assert float(moisture_slope(rh, curve)) == pytest.approx(float(np.diff(near)[0]) / 0.02, 1e-3)


@given(curves, st.floats(0, 99), st.floats(0, 1))
def test_moister_air_never_means_less_water(curve: Gab, rh: float, more: float) -> None:
    assert moisture_content(rh + more, curve) >= moisture_content(rh, curve)
    assert float(moisture_content(0, curve)) == 0


def test_drying_and_damping_are_read_on_their_own_curves() -> None:
    oak = WOODS["oak"]
    damped, dried = moisture_between(40, 60, oak), moisture_between(60, 40, oak)
    assert damped == pytest.approx(20 * 0.137, rel=0.01)
    assert dried == pytest.approx(-20 * 0.156, rel=0.01)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: moisture_content([50, 120], COLLAGEN),
            "A relative humidity is out of range; got 120.0; allowed: 0 to 100 %.",
        ),
        (
            lambda: Gab(5, 10, 1.1),
            "The constants of a sorption curve are impossible; got (5, 10, 1.1); allowed: "
            "monolayer above 0 to 200 % of dry mass, c above 0 to 1000, k between 0 and 1.",
        ),
    ],
)
def test_what_is_no_curve_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
