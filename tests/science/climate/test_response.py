"""What reaches an object: against printed times, closed forms, and finite volumes of its own."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.linalg import solve_banded
from scipy.optimize import brentq
from scipy.special import j0

from softmend.errors import InputError
from softmend.science.climate.response import (
    after_a_move,
    first_order,
    followed,
    held_strain,
    lag_share,
    swing_at,
)
from softmend.science.climate.surface_film import (
    STILL_AIR,
    biot,
    film_modes,
    vapour_conductivity,
)
from softmend.science.moisture.diffusion import Form, core_uptake, uptake
from tests.science.checks import expected

CHECKS = expected("softmend-climate")
DAY, HOUR = 86400.0, 3600.0
BARRER = 6.03e-18
RADIUS, RATE, UPTAKE = 0.03, 5e-11, 1.85


def film_biot(barrer: float) -> float:
    film = 20e-6 / (barrer * BARRER) if barrer else 0.0
    conductivity = vapour_conductivity(RATE, UPTAKE, 20)
    return float(biot(Form.CYLINDER, RADIUS, conductivity, STILL_AIR + film))


def time_of(share, form: Form, part: float) -> float:
    return brentq(lambda f: float(share(form, f)) - part, 1e-3, 2)


@pytest.mark.parametrize(("period", "lag"), [(30, 10), (365, 160), (1, 10)])
def test_a_single_lag(period: int, lag: int) -> None:
    share, late = lag_share(period, lag)
    CHECKS[f"lag_share_{period}_{lag}"].accept(share)
    if period > 1:
        CHECKS[f"lag_days_{period}_{lag}"].accept(late)


def test_a_step_through_a_single_lag_is_exact_at_uneven_steps() -> None:
    times = np.cumsum(np.random.default_rng(0).uniform(1, 9000, 500))
    found = first_order(times, np.full(500, 60.0), 7 * HOUR, 40.0)
    true = 60 - 20 * np.exp(-(times - times[0]) / (7 * HOUR))
    assert np.max(np.abs(found - true)) < 1e-12


def test_a_daily_swing_through_a_single_lag_loses_only_to_the_straight_lines() -> None:
    times = np.arange(0, 60 * DAY, HOUR)
    found = first_order(times, np.sin(2 * np.pi * times / DAY), 10 * DAY, 0.0)[-48:]
    assert np.ptp(found) / 2 == pytest.approx(lag_share(1, 10)[0], rel=0.007)


def test_lags_of_next_to_no_step_stay_right() -> None:
    assert first_order([0, 1e-3], [1, 1], 1e4, 0.0)[1] == pytest.approx(1e-7, rel=1e-6)


def test_the_printed_times_of_slab_and_cylinder() -> None:
    for name, of, form, half, part in (
        ("slab_t50", uptake, Form.SLAB, 4, 0.5),
        ("slab_t90", uptake, Form.SLAB, 4, 0.9),
        ("cylinder_t50", uptake, Form.CYLINDER, 1, 0.5),
        ("cylinder_t90", uptake, Form.CYLINDER, 1, 0.9),
        ("cylinder_core_t50", core_uptake, Form.CYLINDER, 1, 0.5),
    ):
        CHECKS[name].accept(half * time_of(of, form, part))
    CHECKS["cylinder_slowest"].accept(float(film_modes(Form.CYLINDER, 1e6).rates[0]))
    for fourier in (0.1, 0.3):
        CHECKS[f"cylinder_mean_{fourier}"].accept(float(uptake(Form.CYLINDER, fourier)))
        CHECKS[f"cylinder_core_{fourier}"].accept(float(core_uptake(Form.CYLINDER, fourier)))


@pytest.mark.parametrize("rate", ["1e-11", "5e-11", "2e-10"])
def test_half_changes_of_objects(rate: str) -> None:
    for name, form, size in (
        ("plaque_4", Form.SLAB, 0.004),
        ("r10", Form.CYLINDER, 0.01),
        ("r25", Form.CYLINDER, 0.025),
        ("r50", Form.CYLINDER, 0.05),
    ):
        half = time_of(uptake, form, 0.5)
        CHECKS[f"half_{name}_{rate}"].accept(half * size**2 / float(rate) / DAY)


@pytest.mark.parametrize("period", [1, 30, 365])
def test_a_bare_cylinder_in_a_regular_swing(period: int) -> None:
    found = swing_at(Form.CYLINDER, period * DAY, 0.025, 5e-11)
    CHECKS[f"swing_mean_{period}"].accept(found.mean)
    CHECKS[f"swing_core_{period}"].accept(found.core)
    # The core by the integral that defines the Bessel function, not by a library's.
    z = complex(0.025 * np.sqrt(2j * np.pi / (period * DAY) / 5e-11))
    real = quad(lambda a: (np.exp(z * np.cos(a)) / np.pi).real, 0, np.pi, limit=200)[0]
    imaginary = quad(lambda a: (np.exp(z * np.cos(a)) / np.pi).imag, 0, np.pi, limit=200)[0]
    assert found.core == pytest.approx(1 / abs(complex(real, imaginary)), rel=1e-6)


@pytest.mark.parametrize("number", [100, 10, 1, 0.1])
def test_a_film_lengthens_the_slowest_lag(number: float) -> None:
    bare = float(film_modes(Form.CYLINDER, 1e6).rates[0])
    CHECKS[f"film_{number:g}"].accept(bare / float(film_modes(Form.CYLINDER, number).rates[0]))


PLANS = {
    "open": (0, 0), "film_3000": (0, 3000), "film_1000": (0, 1000), "case_10": (0.1, 0),
    "case_1": (1, 0), "gel_47": (47, 0), "gel_236": (236, 0), "gel_236_film": (236, 1000),
}  # fmt: skip


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("days", [1, 7, 30, 365])
def test_the_table_of_coatings_and_cases(plan: str, days: int) -> None:
    lag, barrer = PLANS[plan]
    through = lag_share(days, lag)[0]
    found = swing_at(Form.CYLINDER, days * DAY, RADIUS, RATE, film_biot(barrer))
    CHECKS[f"plan_{plan}_{days}_mean"].accept(through * found.mean)
    CHECKS[f"plan_{plan}_{days}_surface"].accept(through * found.surface)


def test_in_a_case_with_gel_a_film_adds_less_than_the_sensor_errs() -> None:
    through = 12 * lag_share(365, 236)[0]
    bare, film = (
        through * swing_at(Form.CYLINDER, 365 * DAY, RADIUS, RATE, film_biot(b)).surface
        for b in (0, 1000)
    )
    CHECKS["year_bare"].accept(bare)
    CHECKS["year_film"].accept(film)


@pytest.mark.parametrize(("radius", "rate"), [(10, "5e-11"), (30, "5e-11"), (30, "1e-11")])
@pytest.mark.parametrize("days", [0, 3, 10, 30, 90])
def test_the_table_of_moves(radius: int, rate: str, days: int) -> None:
    found = after_a_move(Form.CYLINDER, radius / 1e3, float(rate), days * DAY, -20)
    CHECKS[f"move_{radius}_{rate}_{days}"].accept(found)


@pytest.mark.parametrize("form", Form)
@pytest.mark.parametrize("number", [2.3, 150.0])
def test_a_record_settles_to_the_closed_form(form: Form, number: float) -> None:
    times = np.arange(0, 500 * DAY, 2 * HOUR)
    air = 50 + 10 * np.sin(2 * np.pi * times / (30 * DAY))
    found = followed(form, air, 2 * HOUR, RADIUS, RATE, number)
    closed = swing_at(form, 30 * DAY, RADIUS, RATE, number)
    for place in ("surface", "mean", "core"):
        last = getattr(found, place)[-360:]
        assert np.ptp(last) / 20 == pytest.approx(getattr(closed, place), abs=2e-4)


def by_volumes(form: Form, hours: int, number: float, rings: int = 300) -> tuple[float, ...]:
    """Return surface, mean and core after a unit step of the air, by implicit finite volumes."""
    edges = np.linspace(0, 1, rings + 1)
    round_body = form is Form.CYLINDER
    area = edges if round_body else np.ones(rings + 1)
    volume = np.diff(edges**2) / 2 if round_body else np.diff(edges)
    reach = RADIUS if round_body else RADIUS / 2
    step = RATE * HOUR / 4 / reach**2
    inner = area[1:-1] * rings
    outer = area[-1] / (0.5 / rings + 1 / number)
    down, up = np.append(0, inner), np.append(inner, outer)
    diagonal = 1 + step / volume * (down + up)
    bands = np.zeros((3, rings))
    bands[1] = diagonal
    bands[0, 1:] = -(step / volume * up)[:-1]
    bands[2, :-1] = -(step / volume * down)[1:]
    moist = np.zeros(rings)
    for _ in range(4 * hours):
        right = moist.copy()
        right[-1] += step / volume[-1] * outer
        moist = solve_banded((1, 1), bands, right)
    skin = moist[-1] + (1 - moist[-1]) * outer * 0.5 / rings
    return skin, float(moist @ volume / volume.sum()), float(moist[0])


@pytest.mark.parametrize("form", Form)
@pytest.mark.parametrize("number", [3.0, 60.0])
def test_a_step_is_that_of_finite_volumes(form: Form, number: float) -> None:
    hours = 240
    air = np.concatenate([[0.0], np.full(hours + 1, 100.0)])
    # The step falls within the first row; half a row earlier or later is all that differs.
    found = followed(form, air, HOUR, RADIUS, RATE, number)
    early, late = by_volumes(form, hours, number), by_volumes(form, hours + 1, number)
    for place, low, high in zip(("surface", "mean", "core"), early, late, strict=True):
        value = getattr(found, place)[-1] / 100
        assert low - 2e-3 <= value <= high + 2e-3


def test_bodies_start_in_equilibrium_and_end_in_it() -> None:
    air = np.concatenate([np.full(5, 40.0), np.full(9000, 60.0)])
    for number in (None, 0.5, 500.0):
        found = followed(Form.CYLINDER, air, 6 * HOUR, 0.01, RATE, number)
        for place in (found.surface, found.mean, found.core):
            assert place[0] == 40
            assert place[-1] == pytest.approx(60, abs=1e-6)


def test_weights_of_the_modes_sum_to_one() -> None:
    for form in Form:
        found = film_modes(form, 2.0, 400)
        assert found.mean.sum() == pytest.approx(1, abs=1e-6)
        assert found.surface.sum() == pytest.approx(1, abs=3e-3)
    roots = np.sqrt(film_modes(Form.CYLINDER, 1e6, 5).rates)
    assert np.abs(j0(roots)).max() < 1e-5


def test_a_drier_surface_is_pulled() -> None:
    assert float(held_strain(40, 50, 6e-5)) == pytest.approx(6e-4)
    assert float(held_strain(60, 50, 6e-5)) < 0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: first_order([0, 0], [1, 1], 1, 0), "A record cannot be followed"),
        (lambda: lag_share(0, 1), "Period and lag must be positive"),
        (lambda: vapour_conductivity(0, 1, 20), "Diffusivity and uptake must be positive"),
        (lambda: biot(Form.SLAB, 0.01, 1e-12, 0), "Size, conductivity and resistance"),
        (lambda: film_modes(Form.SLAB, 1e9), "A Biot number is out of range"),
        (lambda: followed(Form.SLAB, [50], 1, 1, 1, 1.0), "A record or a body cannot be used"),
        (lambda: swing_at(Form.SLAB, 0, 1, 1), "Period, size and diffusivity must be positive"),
        (lambda: after_a_move(Form.SLAB, 0, 1, 1, 1), "Size and diffusivity must be positive"),
    ],
)
def test_what_is_out_of_range_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert words in refused.value.sentence()
