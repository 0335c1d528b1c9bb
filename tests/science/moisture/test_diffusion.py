"""Diffusion against Crank's printed numbers and finite differences that share no code with it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import solve_banded
from scipy.optimize import brentq

from softmend.errors import InputError
from softmend.science.moisture.diffusion import (
    Form,
    core_uptake,
    penetration_depth,
    response,
    swing_share,
    uptake,
)
from tests.science.checks import expected

CRANK = expected("crank1975")
CHECKS = expected("softmend-mechanics-moisture")
DAY = 86400.0


@pytest.mark.parametrize("form", Form)
@pytest.mark.parametrize("share", [0.5, 0.9, 0.95, 0.99])
def test_the_times_of_crank(form: Form, share: float) -> None:
    found = brentq(lambda time: float(uptake(form, time)) - share, 1e-4, 3)
    CRANK[f"{form}_{share:g}"].accept(found)


def test_the_sheet_of_a_diffusion_library() -> None:
    CRANK["library_sheet"].accept(float(uptake(Form.SLAB, 1e-10 * 100 / (2 * 0.0002) ** 2)))


@pytest.mark.parametrize("rate", ["1e-12", "8e-12", "8e-11"])
def test_a_tusk_answers_seasons(rate: str) -> None:
    half = CRANK["cylinder_0.5"].value * 0.03**2 / float(rate) / DAY
    CHECKS[f"cylinder_t50_{rate}_days"].accept(half)
    assert float(uptake(Form.CYLINDER, half * DAY * float(rate) / 0.03**2)) == pytest.approx(
        0.5, abs=1e-4
    )


@pytest.mark.parametrize(("name", "rate"), [("slow", 1e-12), ("typical", 8e-12), ("fast", 8e-11)])
def test_a_slab_of_ten_millimetres(name: str, rate: float) -> None:
    days = brentq(lambda d: float(uptake(Form.SLAB, rate * d * DAY / 0.01**2)) - 0.5, 0.01, 900)
    CHECKS[f"slab_t50_{name}_days"].accept(days)


@pytest.mark.parametrize(("name", "days"), [("day", 1), ("week", 7), ("year", 365.25)])
def test_a_swing_fades_with_depth(name: str, days: float) -> None:
    CHECKS[f"depth_{name}_mm"].accept(penetration_depth(8e-12, days * DAY) * 1e3)


def by_differences(form: Form, air: np.ndarray, fourier_step: float, cells: int = 400):
    """Return mean and core by finite volumes, backward in time, many small steps a reading."""
    edges = np.linspace(0, 1, cells + 1)
    middles = (edges[1:] + edges[:-1]) / 2
    flat = form is Form.SLAB
    # A slab from its middle: half the thickness is the unit, so time runs four times as fast.
    rate = fourier_step * (4 if flat else 1)
    area, volume = (
        (np.ones(cells + 1), np.diff(edges))
        if flat
        else (edges, (edges[1:] ** 2 - edges[:-1] ** 2) / 2)
    )
    gap = np.full(cells + 1, 1 / cells)
    gap[-1] /= 2
    flow = area / gap
    flow[0] = 0
    inner = 20
    moist = np.full(cells, air[0])
    mean, core = [air[0]], [air[0]]
    step = rate / inner
    banded = np.zeros((3, cells))
    banded[0, 1:] = -step * flow[1:-1] / volume[:-1]
    banded[2, :-1] = -step * flow[1:-1] / volume[1:]
    banded[1] = 1 + step * (flow[:-1] + flow[1:]) / volume
    for before, after in pairwise(air):
        for i in range(inner):
            side = moist.copy()
            side[-1] += step * flow[-1] / volume[-1] * (before + (after - before) * (i + 1) / inner)
            moist = solve_banded((1, 1), banded, side)
        mean.append(float(volume @ moist / volume.sum()))
        core.append(float(np.interp(0, middles, moist)))
    return np.array(mean), np.array(core)


@pytest.mark.parametrize("form", Form)
def test_a_record_against_finite_differences(form: Form) -> None:
    rng = np.random.default_rng(3)
    air = np.clip(50 + np.cumsum(rng.normal(0, 2, 60)), 5, 95)
    size, rate, step = 0.01, 8e-12, DAY
    found = response(form, air, step, size, rate)
    mean, core = by_differences(form, air, rate * step / size**2)
    assert np.max(np.abs(found.mean - mean)) < 0.03 * np.ptp(air) / 5
    assert np.max(np.abs(found.core - core)) < 0.03 * np.ptp(air) / 5


@pytest.mark.parametrize("form", Form)
def test_a_step_inside_against_finite_differences(form: Form) -> None:
    air = np.array([0.0, *[100.0] * 40])
    mean, core = by_differences(form, air, 0.01)
    # The first reading is a ramp of one step: half a step later than a sudden change.
    times = 0.01 * (np.arange(2, 41) - 0.5)
    assert 100 * uptake(form, times) == pytest.approx(mean[2:], abs=1.0)
    assert 100 * core_uptake(form, times) == pytest.approx(core[2:], abs=1.0)


@pytest.mark.parametrize("form", Form)
@given(early=st.floats(0, 2), more=st.floats(0, 0.5))
def test_uptake_only_grows_and_the_core_lags(form: Form, early: float, more: float) -> None:
    assert 0 <= float(uptake(form, early)) <= float(uptake(form, early + more)) + 1e-9 <= 1 + 2e-9
    assert float(core_uptake(form, early)) <= float(uptake(form, early)) + 1e-9
    assert float(core_uptake(form, early)) <= float(core_uptake(form, early + more)) + 1e-9


@pytest.mark.parametrize("form", Form)
def test_short_times_join_the_sum(form: Form) -> None:
    times = np.array([0.99e-5, 1.01e-5])
    assert float(np.diff(uptake(form, times))[0]) == pytest.approx(0, abs=1e-4)


@pytest.mark.parametrize("form", Form)
@pytest.mark.parametrize("period_days", [1, 30, 365])
def test_a_regular_swing_against_its_record(form: Form, period_days: float) -> None:
    size, rate, step = 0.02, 8e-12, period_days * DAY / 200
    air = 50 + 20 * np.sin(2 * np.pi * np.arange(200 * 40) / 200)
    mean = response(form, air, step, size, rate).mean[-200:]
    share = float(swing_share(form, period_days * DAY, size, rate))
    assert np.ptp(mean) / 40 == pytest.approx(share, rel=0.02)


@pytest.mark.parametrize("form", Form)
def test_limits_of_a_swing(form: Form) -> None:
    assert float(swing_share(form, 1e14, 0.01, 1e-11)) == pytest.approx(1)
    assert float(swing_share(form, 60.0, 0.1, 1e-12)) < 1e-3


def test_a_still_room_and_a_linear_model() -> None:
    rng = np.random.default_rng(1)
    one, two = rng.uniform(30, 50, 50), rng.uniform(0, 20, 50)
    sum_ = response(Form.CYLINDER, one + two, 3600.0, 0.003, 1e-11)
    first = response(Form.CYLINDER, one, 3600.0, 0.003, 1e-11)
    second = response(Form.CYLINDER, two, 3600.0, 0.003, 1e-11)
    assert sum_.mean == pytest.approx(first.mean + second.mean)
    assert sum_.core == pytest.approx(first.core + second.core)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: response(Form.SLAB, np.array([50.0]), 1.0, 1.0, 1.0),
            "A humidity record cannot be used; allowed: at least two readings of 0 to 100 %.",
        ),
        (
            lambda: response(Form.SLAB, np.array([50.0, 50.0]), 1.0, 0.0, 1.0),
            "Time step, size and diffusivity must be positive; got (1.0, 0.0, 1.0).",
        ),
        (lambda: uptake(Form.SLAB, -1.0), "A time is negative; got -1.0; allowed: 0 or more."),
        (
            lambda: penetration_depth(0.0, 1.0),
            "Diffusivity and period must be positive; got (0.0, 1.0).",
        ),
        (
            lambda: swing_share(Form.SLAB, 0.0, 1.0, 1.0),
            "Period, size and diffusivity must be positive.",
        ),
    ],
)
def test_what_cannot_diffuse_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
