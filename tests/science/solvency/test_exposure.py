"""Vapour in a room: printed examples, the bench example, and the closed form against an oracle."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from softmend.errors import InputError
from softmend.science.solvency.exposure import (
    Zones,
    near_zone,
    single_swab,
    single_swab_peak,
    time_weighted,
    two_zone,
    two_zone_mean,
    well_mixed,
)
from softmend.science.solvency.mixed_air import (
    MOLAR_VOLUME_UK,
    blend_flash,
    flammable_limit,
    flammable_share,
    mass_concentration,
    mixture_index,
    reciprocal_limit,
    saturated_share,
)
from softmend.tables.exposure_limits import exposure_limits
from softmend.tables.solvents import solvent, solvents
from tests.science.checks import expected

CHECKS = expected("softmend-solvents-air")
HOUR, MG = 3600.0, 1e6


def bench(air_changes: float) -> Zones:
    volume, between = near_zone(0.3, 3.6 / 60)
    return Zones(volume, 50 - volume, between, 50 * air_changes / HOUR)


def test_the_build_up_that_a_help_page_prints() -> None:
    found = well_mixed(11 * 60, 1.4 / 60, 2500 / 60, 75_000)
    CHECKS["t8_ppm"].accept(float(found) * 1e6)


def test_time_weighted_means_and_indices_that_rules_print() -> None:
    CHECKS["t9_ppm"].accept(time_weighted([150, 75, 50], [2, 2, 4], 8))
    examples = {
        "t10": ([500, 45, 40], [1000, 200, 200]),
        "t11": ([150, 300], [200, 400]),
        "t12": ([400, 150, 100], [500, 200, 200]),
    }
    for name, (amounts, limits) in examples.items():
        found = mixture_index(amounts, limits, [1.0] * len(limits))
        CHECKS[f"{name}_index"].accept(found.known or 0.0)
        assert found.is_complete


def test_limits_of_liquid_mixtures() -> None:
    CHECKS["t13_limit"].accept(reciprocal_limit([50, 30, 20], [1640, 1910, 170]))
    CHECKS["t14_limit"].accept(reciprocal_limit([52, 27, 21], [1200, 800, 500]))


def test_the_benzene_problem() -> None:
    steady = float(well_mixed(1e9, 1e-3 / 60, 10 / 60, 108)) * MG
    CHECKS["t15_steady"].accept(steady)
    minutes = -math.log(0.05) * 108 / 10
    CHECKS["t15_minutes"].accept(minutes)
    at = float(well_mixed(minutes * 60, 1e-3 / 60, 10 / 60, 108)) * MG
    assert at == pytest.approx(0.95 * steady)


@pytest.mark.parametrize(
    ("case", "name", "changes"),
    [("acetone", "acetone", 3), ("toluene", "toluene", 3), ("dcm", "dcm", 3),
     ("closed", "toluene", 0.5)],
)  # fmt: skip
def test_the_bench_example(case: str, name: str, changes: float) -> None:
    zones, source = bench(changes), 5e-6 / HOUR * solvent(name).density
    if case != "closed":
        CHECKS[f"{case}_source"].accept(source * MG * 60)
    near, far = two_zone(1e9, source, zones)
    CHECKS[f"{case}_far"].accept(float(far) * MG)
    CHECKS[f"{case}_near"].accept(float(near) * MG)
    CHECKS[f"{case}_near_60"].accept(float(two_zone(HOUR, source, zones)[0]) * MG)
    mean = float(two_zone_mean(0, HOUR, HOUR, source, zones)[0])
    CHECKS[f"{case}_mean"].accept(mean * MG)
    last = two_zone_mean(0.75 * HOUR, HOUR, HOUR, source, zones)[0]
    CHECKS[f"{case}_last_15"].accept(float(last) * MG)
    CHECKS[f"{case}_shift"].accept(time_weighted([mean], [HOUR], 8 * HOUR) * MG)


def test_the_near_zone_of_the_bench_example() -> None:
    volume, between = near_zone(0.3, 3.6 / 60)
    CHECKS["near_volume"].accept(float(volume))
    CHECKS["near_exchange"].accept(float(between) * 60)


def test_the_closed_form_of_the_check_values() -> None:
    zones = Zones(math.pi / 1000, 3.8, 5.0, 13.8)
    for name, time in (("0.1", 0.1), ("1", 1.0), ("steady", 1e3)):
        near, far = two_zone(time, 351.54, zones)
        CHECKS[f"closed_form_near_{name}"].accept(float(near))
        CHECKS[f"closed_form_far_{name}"].accept(float(far))


@pytest.mark.parametrize("seed", range(6))
def test_the_closed_form_agrees_with_an_integration_of_the_balance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    near_m3, far_m3, between, out = rng.uniform(0.02, 1), rng.uniform(5, 200), *rng.uniform(
        [0.005, 0.005], [0.3, 0.5])  # fmt: skip
    source, work = rng.uniform(1e-7, 1e-4), rng.uniform(600, 4000)
    zones = Zones(near_m3, far_m3, between, out)

    def balance(time: float, state: np.ndarray, on: float) -> list[float]:
        near, far = state[0], state[1]
        return [
            (on + between * (far - near)) / near_m3,
            (between * (near - far) - out * far) / far_m3,
            near,
            far,
        ]

    options = {"rtol": 1e-9, "atol": 1e-16, "method": "LSODA"}
    on = solve_ivp(balance, (0, work), [0, 0, 0, 0], args=(source,), **options)
    off = solve_ivp(balance, (work, 8 * HOUR), on.y[:, -1], args=(0.0,), **options)
    near, far = two_zone(work, source, zones)
    assert [float(near), float(far)] == pytest.approx(on.y[:2, -1], rel=1e-6)
    means = two_zone_mean(0, 8 * HOUR, work, source, zones)
    assert [float(one) for one in means] == pytest.approx(off.y[2:, -1] / (8 * HOUR), rel=1e-6)


def test_one_swab_peaks_when_the_worked_example_says() -> None:
    when, high = single_swab_peak(0.785e-3, 0.4 / 60, 2.5 / 60, 50)
    CHECKS["swab_peak"].accept(float(high) * MG)
    CHECKS["swab_minutes"].accept(float(when) / 60)
    around = single_swab(np.array([0.9, 1, 1.1]) * when, 0.785e-3, 0.4 / 60, 2.5 / 60, 50)
    assert np.argmax(around) == 1


def test_a_swab_that_dries_as_fast_as_the_room_clears_is_no_division_by_zero() -> None:
    same, near = (float(single_swab(100, 1e-3, rate, 0.5, 50)) for rate in (0.01, 0.0100001))
    assert same == pytest.approx(near, rel=1e-4)
    assert same == pytest.approx(1e-3 * 0.01 / 50 * 100 * math.exp(-1))


def test_all_that_evaporates_leaves_through_the_room() -> None:
    zones, work = bench(3), HOUR
    far = two_zone_mean(0, 100 * HOUR, work, 1e-6, zones)[1]
    assert float(far) * 100 * HOUR * float(zones.out) == pytest.approx(1e-6 * work, rel=1e-6)


def test_a_missing_limit_is_never_zero() -> None:
    found = mixture_index([10.0, 10.0], [100.0, None], [50.0, 50.0])
    assert (found.known, found.with_limit, found.parts) == (0.1, 1, 2)
    assert found.careful == pytest.approx(0.3)
    assert not found.is_complete
    assert mixture_index([10.0], [None], [50.0]).known is None
    with pytest.raises(InputError, match="it is never zero"):
        mixture_index([10.0], [0.0], [50.0])


def test_flammable_limits_and_saturated_air() -> None:
    CHECKS["flammable_mix"].accept(100 * flammable_limit([0.6, 0.4], [0.025, 0.010]))
    for case, name in (("quarter_acetone", "acetone"), ("quarter_white_spirit", "ws-low")):
        one = solvent(name)
        a_ml = flammable_share([one.density * 1e-6], [one.molar_mass], [one.flammable_limit or 0])
        CHECKS[case].accept(0.25 / a_ml)
    for case, name in (("acetone", "acetone"), ("toluene", "toluene"), ("ethanol", "ethanol"),
                       ("pm", "pm"), ("white_spirit", "ws-low")):  # fmt: skip
        one = solvent(name)
        found = saturated_share(one.vapour_pressure, one.flammable_limit or 0)
        CHECKS[f"saturated_{case}"].accept(found)


@pytest.mark.parametrize(
    ("case", "flashes", "alcohol"),
    [("flash_ethanol_octane", (13.0, 13.5), True), ("flash_butan_1_ol_decane", (36, 46), True),
     ("flash_propan_2_ol_isooctane", (12.0, -12.0), True),
     ("flash_acetone_decane", (-20.0, 46.0), False)],
)  # fmt: skip
def test_the_flash_rule_lies_below_every_computed_case(
    case: str, flashes: tuple[float, ...], alcohol: bool
) -> None:
    found = blend_flash(flashes, has_alcohol=alcohol, has_hydrocarbon=True)
    assert found is not None
    assert found <= CHECKS[case].value
    assert found <= min(flashes)


def test_a_blend_without_a_known_flash_point_has_none() -> None:
    assert blend_flash([None], has_alcohol=True, has_hydrocarbon=False) is None


def test_british_ppm_and_mg_pairs_agree_but_for_nmp() -> None:
    off = {
        one.id: found.mg_per_m3 / (mass_concentration(found.ppm, one.molar_mass, MOLAR_VOLUME_UK)
                                   * MG)
        for one in solvents()
        for found in exposure_limits(one.id).values()
        if found.ppm and found.mg_per_m3
    }  # fmt: skip
    assert len(off) > 30
    # By rounding to whole milligrams the smallest limits are off by more.
    assert {name for name, ratio in off.items() if abs(ratio - 1) > 0.021} <= {
        "nmp", "2-ethoxyethanol", "ims"}  # fmt: skip


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: near_zone(0, 1), "The distance of the head is not above zero"),
        (lambda: Zones(1, 1, 0, 1), "The zones have no between"),
        (lambda: two_zone(-1, 1, Zones(1, 1, 1, 1)), "A time or a source is negative"),
        (lambda: two_zone_mean(5, 5, 1, 1, Zones(1, 1, 1, 1)), "A time ends before it begins"),
        (lambda: well_mixed(1, 1, 0, 1), "none leaves"),
        (lambda: reciprocal_limit([1], [0]), "The parts of a mixture are impossible"),
        (lambda: mixture_index([], [], []), "do not pair with their limits"),
    ],
)
def test_slips_are_refused_in_words(call: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        call()
