"""K and S from readings: round trips, flags on bad readings, noise, the fit over several films."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.coefficients import (
    Drawdown,
    fitted,
    from_black_and_hiding,
    from_masstone_and_tint,
    from_two_backings,
)
from softmend.science.tint.film import Surface, film, hiding, seen_from_outside, under_the_surface
from tests.science.checks import expected
from tests.science.tint import invented

CHECKS = expected("softmend-colour")


@pytest.mark.parametrize("black", [0.0, 0.05])
def test_two_backings_give_back_what_the_film_was_made_of(black: float) -> None:
    over = [float(film(0.36, 0.96, ground)) for ground in (black, 0.85)]
    if black == 0:
        CHECKS["round_trip_R0"].accept(over[0])
    CHECKS["round_trip_Rw"].accept(over[1])
    found = from_two_backings(over[0], over[1], black, 0.85, 1.2)
    assert (float(found.absorption), float(found.scattering)) == pytest.approx((0.3, 0.8), abs=1e-9)
    CHECKS["round_trip_a"].accept(1 + float(found.absorption / found.scattering))
    CHECKS["round_trip_SX"].accept(float(found.scattering) * 1.2)
    assert found.usable.all()
    assert found.why == ()


def test_the_paper_form_gives_the_same() -> None:
    thick = float(hiding(0.3 / 0.8))
    CHECKS["round_trip_Rinf"].accept(thick)
    found = from_black_and_hiding(float(film(0.36, 0.96, 0.0)), thick, 1.2)
    assert (float(found.absorption), float(found.scattering)) == pytest.approx((0.3, 0.8), abs=1e-9)


def test_masstone_and_tint_give_the_paint_relative_to_its_white() -> None:
    white, mass = float(hiding(0.004)), float(hiding(4.0))
    ratio = (0.1 * 1.2 + 0.9 * 0.004) / (0.1 * 0.3 + 0.9)
    CHECKS["tint_Ft"].accept(ratio)
    tint = float(hiding(ratio))
    for name, value in (("Rm", mass), ("Rt", tint), ("Rw", white)):
        CHECKS[f"tint_{name}"].accept(value)
    found = from_masstone_and_tint(mass, tint, white, 0.1)
    assert (float(found.absorption), float(found.scattering)) == pytest.approx((1.2, 0.3), abs=1e-9)


def test_readings_that_contradict_each_other_are_flagged_and_not_clipped() -> None:
    swapped = from_two_backings([0.5, 0.37], [0.37, 0.515], [0.0, 0.0], [0.85, 0.85], 1.2)
    assert swapped.usable.tolist() == [False, True]
    assert np.isnan(swapped.absorption[0])
    assert "1 of 2 wavelengths" in swapped.why[0]
    hidden = from_two_backings(0.40, 0.401, 0.0, 0.85, 1.2)
    assert "hides its ground" in hidden.why[0]
    brighter = from_two_backings(0.86, 0.99, 0.0, 0.85, 1.2)
    assert not brighter.usable.any()
    assert not from_black_and_hiding(0.5, 0.4, 1.0).usable.any()
    assert "95 % opaque" in from_black_and_hiding(0.80, 0.81, 1.0).why[0]
    assert not from_masstone_and_tint(0.5, 0.95, 0.9, 0.1).usable.any()


def test_the_fit_finds_the_paint_through_noise_and_predicts_its_colour() -> None:
    """Noise of 0.003 leaves the predicted colour within half a CIEDE2000 over the pulp."""
    rng = np.random.default_rng(3)
    surface, day = Surface(), invented.lamp("D65")
    k, s = 0.05 * invented.ABSORPTION[0], 0.05 * invented.SCATTERING[0]
    films = []
    for ground in (np.full(31, 0.04), np.full(31, 0.88)):
        read = seen_from_outside(film(k * 0.06 * 10, s * 0.06 * 10, ground), surface)
        read = read + 0.003 / 2**0.5 * (rng.standard_normal(31) + rng.standard_normal())
        films.append(Drawdown(0.6, ground, under_the_surface(np.clip(read, 0, 1), surface)))
    found = fitted(films)
    wanted = day.lab(seen_from_outside(film(k * 0.6, s * 0.6, invented.PULP), surface))
    got = day.lab(
        seen_from_outside(
            film(found.absorption * 0.6, found.scattering * 0.6, invented.PULP), surface
        )
    )
    assert np.linalg.norm(got - wanted) < 1.0
    assert np.median(np.abs(found.absorption / k - 1)) < 0.05


def test_the_fit_says_where_no_film_gives_the_readings() -> None:
    films = [Drawdown(1.0, np.full(6, 0.0), np.full(6, 0.5)),
             Drawdown(1.0, np.full(6, 0.9), np.full(6, 0.3))]  # fmt: skip
    found = fitted(films)
    assert not found.usable.any()
    assert "within 2 %" in found.why[0]


def test_bad_requests_are_refused_in_words() -> None:
    with pytest.raises(InputError, match="no thickness"):
        from_two_backings(0.3, 0.5, 0, 0.8, 0.0)
    with pytest.raises(InputError, match="share of paint in the tint"):
        from_masstone_and_tint(0.1, 0.6, 0.9, 1.0)
    with pytest.raises(InputError, match="two drawdowns"):
        fitted([])
    with pytest.raises(InputError, match="not a number"):
        from_two_backings(float("nan"), 0.5, 0, 0.8, 1.0)
