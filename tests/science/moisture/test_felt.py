"""What an object feels of a record, against single responses and the closed form of a swing."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.moisture.diffusion import Form, response, swing_share, uptake
from softmend.science.moisture.felt import HALF_TIME, felt_swings
from softmend.science.uncertain import Uncertain

DAY = 86400.0
YEARS = 50 + 15 * np.sin(2 * np.pi * np.arange(3 * 365) / 365)
exact = Uncertain.exact


@pytest.mark.parametrize("form", Form)
def test_without_spread_it_is_the_single_response(form: Form) -> None:
    found = felt_swings(form, YEARS, DAY, exact(0.03), exact(8e-12), 52.0)
    mean = response(form, YEARS, DAY, 0.03, 8e-12).mean
    assert found.fall.mean == pytest.approx(52 - mean.min())
    assert found.rise.mean == pytest.approx(mean.max() - 52)
    assert found.fall.sd == 0


def test_a_long_record_swings_by_the_closed_form() -> None:
    air = np.tile(YEARS, 8)
    found = felt_swings(Form.CYLINDER, air, DAY, exact(0.03), exact(8e-12), 50.0)
    share = float(swing_share(Form.CYLINDER, 365 * DAY, 0.03, 8e-12))
    assert found.fall.mean == pytest.approx(15 * share, rel=0.02)


def test_the_band_is_that_of_many_single_responses() -> None:
    rate = Uncertain.log_normal(8e-12, 1.3)
    found = felt_swings(Form.SLAB, YEARS, DAY, exact(0.02), rate, 50.0)
    for point, truth in zip((0.05, 0.5, 0.95), (found.fall.band.low, found.fall.band.typical,
                                                found.fall.band.high), strict=True):  # fmt: skip
        single = response(Form.SLAB, YEARS, DAY, 0.02, float(rate.quantile(point))).mean
        assert truth == pytest.approx(50 - single.min(), abs=0.35)


@pytest.mark.parametrize("form", Form)
def test_the_half_time_is_that_of_crank(form: Form) -> None:
    assert float(uptake(form, HALF_TIME[form])) == pytest.approx(0.5, abs=2e-5)


@pytest.mark.parametrize(
    ("size", "placed", "n", "words"),
    [
        (0.01, 120.0, 1000, "A relative humidity is out of range; got 120.0; allowed: 0 to 100 %."),
        (0.01, 50.0, 3, "The number of draws is out of range; got 3; allowed: 100 to 100 000."),
        (-0.01, 50.0, 1000, "Size and diffusivity must be positive in every draw."),
    ],
)
def test_what_feels_nothing_is_refused(size: float, placed: float, n: int, words: str) -> None:
    with pytest.raises(InputError) as refused:
        felt_swings(Form.SLAB, YEARS, DAY, exact(size), exact(1e-11), placed, n)
    assert str(refused.value) == words
