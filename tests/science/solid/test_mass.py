"""Mass as a range, hollows from a probe, and what a weighing says."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.mass import (
    Filling,
    Part,
    probed_hollow,
    solid_mass,
    weighed_density,
    with_fillings,
    with_length_error,
)
from softmend.science.solid.volume import capped_volume
from softmend.science.uncertain import Band
from tests.science.checks import expected
from tests.science.solid.bodies import tusk

CHECKS = expected("softmend-solids")
DENSITY = Band(1700, 1850, 1930)


def part(volume: float, centre: np.ndarray) -> Part:
    return Part(Band(volume, volume, volume), np.tile(centre, (3, 1)))


def test_the_hollow_of_a_tusk_makes_it_lighter_and_moves_its_centre() -> None:
    outer = part(*capped_volume(tusk(cavity=None)))
    known, centre = capped_volume(tusk())
    cavity = outer.volume.typical - known
    hollow_centre = (outer.volume.typical * outer.centres[0] - known * centre) / cavity
    found = solid_mass(outer, part(cavity, hollow_centre), DENSITY)
    assert found.mass.typical == pytest.approx(1850 * known, rel=1e-9)
    CHECKS["hollow_x"].accept(1e3 * found.centre[0])
    CHECKS["hollow_y"].accept(1e3 * found.centre[1])
    shift = float(np.linalg.norm(found.centre - outer.centres[0]))
    assert shift == pytest.approx(0.0666, abs=0.001)


def test_the_range_holds_the_ends_of_every_range() -> None:
    outer = Part(Band(0.0099, 0.01, 0.0101), np.zeros((3, 3)))
    hollow = probed_hollow(0.006, 0.3, [0.2, 0, 0], [-1, 0, 0])
    found = solid_mass(outer, hollow, DENSITY, 0.01)
    assert found.mass.low == pytest.approx(1700 * (0.0099 * 0.97 - 0.0018))
    assert found.mass.high == pytest.approx(1930 * (0.0101 * 1.03 - 0.0006))
    assert found.spread > 0.001
    assert 0 < found.sd < found.mass.high - found.mass.low


def test_one_percent_of_length_is_three_percent_of_mass() -> None:
    outer = part(0.01, np.zeros(3))
    found = solid_mass(outer, None, Band(1850, 1850, 1850), 0.01)
    assert found.sd / found.mass.typical == pytest.approx(0.03)


def test_the_error_of_the_length_is_in_volume_mass_and_centre() -> None:
    agreed = Band(0.0099, 0.01, 0.0101)
    volume = with_length_error(agreed, 0.01)
    half = np.hypot(0.0001, 3 * 1.6449 * 0.01 * 0.01)
    assert (volume.low, volume.high) == pytest.approx((0.01 - half, 0.01 + half))
    assert with_length_error(agreed, 0.0) == agreed
    bare, wide = Part(agreed, np.zeros((3, 3))), Part(volume, np.zeros((3, 3)))
    hollow = probed_hollow(0.006, 0.3, [0.2, 0, 0], [-1, 0, 0])
    resin = Filling(Band(1e-3, 1e-3, 1e-3), Band(1100, 1150, 1200), np.array([0.1, 0, 0]))
    told = [
        (solid_mass(one, hollow, DENSITY), with_fillings(solid_mass(one, None, DENSITY), DENSITY,
                                                         (resin,)))
        for one in (bare, wide)
    ]  # fmt: skip
    for narrow, broad in zip(*told, strict=True):
        assert broad.mass.low < narrow.mass.low
        assert broad.mass.high > narrow.mass.high
        assert broad.sd > narrow.sd
        assert broad.spread > narrow.spread
        assert broad.centre == pytest.approx(narrow.centre)
    with pytest.raises(InputError, match="uncertainty of the measured length"):
        with_length_error(agreed, 0.6)


def test_a_weighing_checks_scale_and_hollow() -> None:
    outer = part(0.01, np.zeros(3))
    assert weighed_density(Band(18.4, 18.5, 18.6), outer, None, DENSITY).fits
    light = weighed_density(Band(14.0, 14.0, 14.0), outer, None, DENSITY)
    assert not light.fits
    assert light.hollow == pytest.approx(0.01 - 14 / 1850)


def test_what_cannot_be_is_refused_in_words() -> None:
    outer = part(0.001, np.zeros(3))
    with pytest.raises(InputError, match="The hollow is not smaller than the object"):
        solid_mass(outer, part(0.002, np.zeros(3)), DENSITY)
    with pytest.raises(InputError, match="The density is out of range"):
        solid_mass(outer, None, Band(0, 1, 2))
    with pytest.raises(InputError, match="uncertainty of the measured length"):
        solid_mass(outer, None, DENSITY, 0.9)
    with pytest.raises(InputError, match="weighed mass"):
        weighed_density(Band(0, 0, 0), outer, None, DENSITY)
    with pytest.raises(InputError, match="mouth of the hollow"):
        probed_hollow(0.0, 0.3, [0, 0, 0], [1, 0, 0])


def test_an_old_fill_stands_in_the_place_of_the_object() -> None:
    volume = Part(Band(0.99e-3, 1e-3, 1.01e-3), np.zeros((3, 3)))
    own = Band(1700.0, 1800.0, 1900.0)
    bare = solid_mass(volume, None, own)
    like = Filling(Band(1e-4, 1e-4, 1e-4), own, np.array([0.1, 0, 0]))
    same = with_fillings(bare, own, (like,))
    assert same.mass.typical == pytest.approx(bare.mass.typical)
    assert same.centre == pytest.approx(bare.centre)
    resin = Filling(Band(0.8e-4, 1e-4, 1.2e-4), Band(1100.0, 1150.0, 1200.0), np.array([0.1, 0, 0]))
    found = with_fillings(bare, own, (resin,))
    assert found.mass.typical == pytest.approx(1.8 + 1e-4 * (1150 - 1800))
    assert found.mass.low < bare.mass.low
    assert found.centre[0] == pytest.approx(-0.1 * 0.065 / 1.735)
    assert found.spread > bare.spread
    big = Filling(Band(1.1e-3, 1.1e-3, 1.1e-3), own, np.zeros(3))
    with pytest.raises(InputError, match="more room than the object has"):
        with_fillings(bare, own, (big,))
