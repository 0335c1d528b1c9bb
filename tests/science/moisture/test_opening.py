"""Measured openings: two readings by arithmetic, a record against scipy's curve_fit."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import curve_fit

from softmend.errors import InputError
from softmend.science.moisture.opening import opening_of_record, opening_of_two
from softmend.science.uncertain import Uncertain

DAY = 86400.0
exact = Uncertain.exact


def test_two_readings_are_a_quotient_and_know_their_sign() -> None:
    found = opening_of_two((exact(0.0010), exact(0.0012)), (exact(55), exact(45)))
    assert found.per_percent.typical == pytest.approx(2e-5)
    turned = opening_of_two((exact(0.0012), exact(0.0010)), (exact(45), exact(55)))
    assert turned.per_percent.typical == pytest.approx(2e-5)
    closing = opening_of_two((exact(0.0012), exact(0.0010)), (exact(55), exact(45)))
    assert closing.per_percent.typical == pytest.approx(-2e-5)
    assert found.lag_s is None


def test_the_spread_of_two_readings_is_that_of_first_order() -> None:
    widths = (Uncertain.normal(0.0010, 1e-5), Uncertain.normal(0.0012, 1e-5))
    found = opening_of_two(widths, (Uncertain.normal(60, 0.5), Uncertain.normal(40, 0.5)))
    relative = np.hypot(np.sqrt(2) * 1e-5 / 2e-4, np.sqrt(2) * 0.5 / 20)
    assert found.per_percent.sd / found.per_percent.typical == pytest.approx(relative, rel=0.05)


def logger(lag_days: float):
    """Return times and air of a year, and the humidity felt, by an independent integrator."""
    times = np.arange(0, 365.0, 0.5) * DAY
    air = (
        50
        + 10 * np.sin(2 * np.pi * times / (365 * DAY))
        + 6 * np.sin(2 * np.pi * times / (21 * DAY))
    )
    felt = solve_ivp(
        lambda t, x: (np.interp(t, times, air) - x) / (lag_days * DAY), (0, times[-1]), [air[0]],
        t_eval=times, rtol=1e-8, max_step=DAY / 2,
    )  # fmt: skip
    return times, air, felt.y[0]


def test_a_gauge_beside_a_logger_gives_slope_and_lag() -> None:
    times, air, felt = logger(6)
    rng = np.random.default_rng(0)
    taken = times[60::14]
    widths = 0.001 - 2e-5 * (felt[60::14] - 50) + rng.normal(0, 5e-6, taken.size)
    found = opening_of_record(taken, widths, times, air)
    assert abs(found.per_percent.mean - 2e-5) < 3 * found.per_percent.sd
    assert found.lag_s is not None
    assert found.lag_s[0] < 6 * DAY < found.lag_s[2]
    assert found.residual_m == pytest.approx(5e-6, rel=0.3)

    def model(at, rest, slope, lag):
        step = times[1] - times[0]
        followed = [air[0]]
        for value in air[1:]:
            followed.append(followed[-1] + (value - followed[-1]) * (1 - np.exp(-step / lag)))
        return rest - slope * np.interp(at, times, followed)

    truth, spread = curve_fit(model, taken, widths, p0=(0.002, 1e-5, 3 * DAY))
    assert found.per_percent.typical == pytest.approx(truth[1], rel=0.03)
    assert found.per_percent.sd == pytest.approx(np.sqrt(spread[1, 1]), rel=0.35)
    assert found.lag_s[1] == pytest.approx(truth[2], rel=0.15)


def test_a_crack_that_follows_at_once_has_no_lag_to_speak_of() -> None:
    times, air, _ = logger(1)
    taken = times[60::14]
    found = opening_of_record(taken, 0.001 + 1e-5 * (air[60::14] - 50), times, air)
    assert found.per_percent.typical == pytest.approx(-1e-5, rel=0.01)
    assert found.lag_s is not None
    assert found.lag_s[2] < 0.5 * DAY


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: opening_of_two((exact(0.001), exact(0.001)), (exact(50), exact(51))),
            "The two humidities are too near to each other to give an opening; got 1.0 %RH apart; "
            "allowed: at least 2.0 %RH; Wait for the season to change; do not condition the room "
            "for a number.",
        ),
        (
            lambda: opening_of_record(np.arange(3.0), np.ones(3), np.arange(9.0), np.ones(9)),
            "A lag cannot be told from so few widths; got 3; allowed: four or more, each with its "
            "time; With two readings give their humidities; no lag is then fitted.",
        ),
        (
            lambda: opening_of_record(np.arange(5.0), np.ones(5), np.arange(1.0, 9), np.ones(8)),
            "The widths do not lie inside the logger's record; allowed: rising times, the first "
            "and last width between the record's ends.",
        ),
        (
            lambda: opening_of_record(np.arange(5.0), np.ones(5), np.arange(9.0), np.ones(9)),
            "The air hardly moved in the record; got 0.0 %RH; allowed: at least 2 %RH; Wait for "
            "the season to change; do not condition the room for a number.",
        ),
    ],
)
def test_what_gives_no_opening_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
