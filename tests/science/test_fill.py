"""Fill volumes against exact solids, pint's units and closed forms of products."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math

import numpy as np
import pint
import pytest
from scipy import integrate

from softmend.errors import InputError
from softmend.science.fill import Crack, Errors, Section, Station, Void, fill_volumes
from softmend.science.uncertain import Uncertain

UNITS = pint.UnitRegistry()
exact = Uncertain.exact


def flat(value: float) -> list[Station]:
    return [Station(0.5, exact(value))]


def tapering(value: float) -> list[Station]:
    return [Station(0.0, exact(0.0)), Station(1.0, exact(value))]


def volume(hollow: Crack | Void) -> float:
    return fill_volumes({"it": hollow})[0]["it"].mean


def test_a_box_by_pint() -> None:
    box = Crack(exact(0.120), flat(0.0015), flat(0.004), Section.RECTANGLE)
    truth = 120 * UNITS.mm * 1.5 * UNITS.mm * 4 * UNITS.mm
    assert volume(box) == pytest.approx(truth.to(UNITS.m**3).magnitude)
    assert volume(box) * 1e6 == pytest.approx(truth.to(UNITS.milliliter).magnitude)


def test_a_prism_is_half_a_box_and_a_tetrahedron_a_sixth() -> None:
    assert volume(Crack(exact(0.1), flat(0.002), flat(0.01), Section.V)) == pytest.approx(1e-6)
    corner = Crack(exact(0.1), tapering(0.002), tapering(0.01), Section.V)
    # Three edges that meet in a corner span a tetrahedron of a sixth of their product.
    assert volume(corner) == pytest.approx(0.1 * 0.002 * 0.01 / 6)


def test_a_wedge_with_a_rectangular_section_is_a_pyramid() -> None:
    pyramid = Crack(exact(0.1), tapering(0.002), tapering(0.01), Section.RECTANGLE)
    assert volume(pyramid) == pytest.approx(0.1 * 0.002 * 0.01 / 3)


def test_a_lens_is_the_area_under_a_parabola() -> None:
    width, depth = 0.003, 0.002
    area, _ = integrate.quad(lambda x: depth * (1 - (2 * x / width) ** 2), -width / 2, width / 2)
    lens = Crack(exact(0.05), flat(width), flat(depth), Section.LENS)
    assert volume(lens) == pytest.approx(area * 0.05)


def test_profiles_between_stations_are_integrated_exactly() -> None:
    widths = [Station(a, exact(w)) for a, w in ((0.1, 0.001), (0.4, 0.003), (0.9, 0.0005))]
    depths = [Station(a, exact(d)) for a, d in ((0.0, 0.002), (0.55, 0.006))]

    def product(x: float) -> float:
        return np.interp(x, [0.1, 0.4, 0.9], [0.001, 0.003, 0.0005]) * np.interp(
            x, [0.0, 0.55], [0.002, 0.006]
        )

    truth, _ = integrate.quad(product, 0, 1, points=[0.1, 0.4, 0.55, 0.9])
    found = volume(Crack(exact(0.2), widths, depths, Section.RECTANGLE))
    assert found == pytest.approx(0.2 * truth, rel=1e-9)


def test_voids_are_a_slab_a_cone_and_a_paraboloid() -> None:
    area, depth = math.pi * 0.01**2, 0.006
    assert volume(Void(exact(area), exact(depth), Section.RECTANGLE)) == pytest.approx(area * depth)
    assert volume(Void(exact(area), exact(depth), Section.V)) == pytest.approx(area * depth / 3)
    bowl, _ = integrate.quad(lambda r: 2 * math.pi * r * depth * (1 - (r / 0.01) ** 2), 0, 0.01)
    assert volume(Void(exact(area), exact(depth), Section.LENS)) == pytest.approx(bowl)


def test_a_product_of_log_normals_spreads_as_the_closed_form() -> None:
    crack = Crack(
        Uncertain.log_normal(0.1, 0.05),
        [Station(0.5, Uncertain.log_normal(0.002, 0.2))],
        [Station(0.5, Uncertain.log_normal(0.01, 0.4))],
        Section.RECTANGLE,
    )
    found = fill_volumes({"it": crack}, n=50_000)[0]["it"]
    sigma = math.sqrt(sum(math.log(1 + cv * cv) for cv in (0.05, 0.2, 0.4)))
    assert found.band.typical == pytest.approx(2e-6, rel=0.01)
    assert found.band.high == pytest.approx(2e-6 * math.exp(1.6449 * sigma), rel=0.02)
    assert found.drivers[0].name == "depth"


def test_readings_that_err_together_spread_more_than_those_that_err_apart() -> None:
    depths = [Station(a, Uncertain.normal(0.01, 0.002)) for a in np.linspace(0, 1, 9)]

    def spread_when(errors: Errors) -> float:
        crack = Crack(exact(0.1), flat(0.002), depths, Section.RECTANGLE, depths_err=errors)
        return fill_volumes({"it": crack}, n=20_000)[0]["it"].sd

    together, apart = spread_when(Errors.TOGETHER), spread_when(Errors.APART)
    assert together == pytest.approx(0.1 * 0.002 * 0.002, rel=0.02)
    # Nine stations of a trapezoid: the end stations weigh half.
    weights = np.array([0.5, *[1.0] * 7, 0.5]) / 8
    assert apart == pytest.approx(together * np.sqrt(np.sum(weights**2)), rel=0.03)


def test_the_total_is_the_sum_and_names_what_to_measure_first() -> None:
    sure = Void(exact(1e-4), exact(0.01), Section.RECTANGLE)
    unsure = Void(exact(1e-4), Uncertain.from_low_typical_high(0.002, 0.01, 0.03), Section.LENS)
    each, total = fill_volumes({"7": sure, "9": unsure})
    assert total.mean == pytest.approx(each["7"].mean + each["9"].mean)
    assert total.drivers[0].name == "9"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: fill_volumes({}),
            "There is nothing to fill; allowed: at least one crack or void.",
        ),
        (
            lambda: volume(Crack(exact(0.1), [], flat(0.01), Section.V)),
            "A crack needs a width and a depth at one station or more; got []; allowed: stations "
            "between both ends.",
        ),
        (
            lambda: volume(
                Crack(exact(0.1), flat(0.01), [Station(0.5, exact(0.1))] * 2, Section.V)
            ),
            "Two stations stand at the same place; allowed: one reading a place.",
        ),
        (
            lambda: volume(Crack(exact(0.1), flat(-0.01), flat(0.01), Section.V)),
            "A width or depth may be negative; allowed: 0 or more.",
        ),
    ],
)
def test_what_cannot_be_filled_is_refused(call, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert str(refused.value) == words
