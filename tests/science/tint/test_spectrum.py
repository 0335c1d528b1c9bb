"""Curves made from a colour: they have that colour, and their error under other lamps is known."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.tint.difference import colour_difference_ciede2000
from softmend.science.tint.spectrum import OTHER_LAMP_ERROR, smoothest_spectrum, spectrum_like
from tests.science.tint import invented

DAY = invented.lamp("D65")
OTHERS = [invented.lamp(name) for name in ("A", "LED-B2", "FL11")]


def test_the_smoothest_curve_has_the_colour_and_is_off_elsewhere_by_no_more_than_said() -> None:
    each, worst = [], []
    for true in invented.targets(30):
        made = smoothest_spectrum(DAY.xyz(true), DAY)
        assert DAY.xyz(made) == pytest.approx(DAY.xyz(true), abs=1e-8)
        assert np.all((made > 0) & (made < 1))
        off = [float(colour_difference_ciede2000(w.lab(made), w.lab(true))) for w in OTHERS]
        each += off
        worst.append(max(off))
    usual, largest = OTHER_LAMP_ERROR
    assert np.mean(each) < usual
    assert max(worst) < largest


def test_local_readings_do_better_than_smoothness() -> None:
    all_of_them = invented.targets(40)
    local, unseen = all_of_them[:30], all_of_them[30:]
    errors = []
    for true in unseen:
        smooth = smoothest_spectrum(DAY.xyz(true), DAY)
        alike = spectrum_like(DAY.xyz(true), DAY, local)
        errors.append([
            np.mean([colour_difference_ciede2000(w.lab(m), w.lab(true)) for w in OTHERS])
            for m in (smooth, alike)
        ])  # fmt: skip
    smooth_error, local_error = np.mean(errors, axis=0)
    assert local_error < smooth_error


def test_too_few_local_readings_are_refused() -> None:
    with pytest.raises(InputError, match="10 or more"):
        spectrum_like(DAY.white, DAY, invented.targets(3))
