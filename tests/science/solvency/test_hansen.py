"""Hansen and Teas: worked values, collodion, two scales that are never mixed, a fitted sphere."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solvency.hansen import (
    Teas,
    TeasScale,
    blend_molar_volume,
    blend_position,
    blend_teas,
    distance,
    regular_chi,
    relative_distance,
    teas_of_hansen,
)
from softmend.science.solvency.sphere import fitted_sphere
from softmend.tables.solvency import coating
from softmend.tables.solvents import solvent, solvents
from tests.science.checks import expected

CHECKS = expected("softmend-solvents")
AXES = ("dispersion", "polar", "hydrogen")


def sphere(name: str) -> tuple[list[float], float]:
    row = coating(name)
    return [float(row[f"{axis}_sqrt_mpa"]) for axis in AXES], float(row["radius_sqrt_mpa"])


def red(position: object, name: str) -> float:
    centre, radius = sphere(name)
    return float(relative_distance(position, centre, radius))


def half(one: str, other: str) -> np.ndarray:
    return blend_position([solvent(one).position, solvent(other).position], [50, 50])


@pytest.mark.parametrize(("test", "name"), [("t1", "acetone"), ("t2", "toluene")])
def test_a_solvent_has_its_distance_to_a_sphere(test: str, name: str) -> None:
    centre, _ = sphere("ethyl-methacrylate")
    CHECKS[f"{test}_ra"].accept(float(distance(solvent(name).position, centre)))
    CHECKS[f"{test}_red"].accept(red(solvent(name).position, "ethyl-methacrylate"))


def test_neither_ethanol_nor_ether_dissolves_cellulose_nitrate_but_their_blend_does() -> None:
    mixed = half("ethanol", "diethyl-ether")
    for axis, value in zip(AXES, mixed, strict=True):
        CHECKS[f"t3_{axis}"].accept(value)
    CHECKS["t3_ra"].accept(float(distance(mixed, sphere("cellulose-nitrate")[0])))
    CHECKS["t3_red"].accept(red(mixed, "cellulose-nitrate"))
    CHECKS["t3_red_ethanol"].accept(red(solvent("ethanol").position, "cellulose-nitrate"))
    CHECKS["t3_red_ether"].accept(red(solvent("diethyl-ether").position, "cellulose-nitrate"))
    assert red(mixed, "cellulose-nitrate") < 1 < red(solvent("ethanol").position,
                                                     "cellulose-nitrate")  # fmt: skip


def test_ethanol_and_toluene_make_a_solvent_for_pmma() -> None:
    mixed = half("ethanol", "toluene")
    for axis, value in zip(AXES, mixed, strict=True):
        CHECKS[f"t4_{axis}"].accept(value)
    # The check values were worked out with the sphere rounded to one decimal; the table's own,
    # 18.64/10.52/7.51, gives 0.836, 1.545 and 1.248.
    places = {"": mixed, "_ethanol": solvent("ethanol").position,
              "_toluene": solvent("toluene").position}  # fmt: skip
    for name, place in places.items():
        CHECKS[f"t4_red{name}"].accept(float(relative_distance(place, [18.6, 10.5, 7.5], 8.6)))
    unrounded = [red(place, "pmma") for place in places.values()]
    assert unrounded == pytest.approx([0.8358, 1.5452, 1.2479], abs=1e-4)
    assert unrounded[0] < 1 < min(unrounded[1:])


def test_acetone_in_white_spirit_on_both_scales() -> None:
    parts = [solvent("acetone"), solvent("ws-low")]
    mixed = blend_position([one.position for one in parts], [30, 70])
    for axis, value in zip(AXES, mixed, strict=True):
        CHECKS[f"t5_{axis}"].accept(value)
    CHECKS["t5_red"].accept(red(mixed, "ethyl-methacrylate"))
    found = teas_of_hansen(mixed)
    assert found.scale is TeasScale.FROM_HANSEN
    printed = blend_teas([Teas(TeasScale.PUBLISHED, *one.teas) for one in parts], [30, 70])
    for letter, axis in zip("dph", AXES, strict=True):
        CHECKS[f"teas_from_hansen_{letter}"].accept(getattr(found, axis))
        CHECKS[f"teas_published_{letter}"].accept(getattr(printed, axis))


def test_a_blend_on_the_published_scale() -> None:
    parts = [Teas(TeasScale.PUBLISHED, *solvent(one).teas) for one in ("ethanol", "toluene")]
    found = blend_teas(parts, [50, 50])
    for axis in AXES:
        CHECKS[f"t6_{axis}"].accept(getattr(found, axis))


def test_the_two_scales_of_teas_are_never_mixed() -> None:
    one = Teas(TeasScale.PUBLISHED, 36, 18, 46)
    with pytest.raises(InputError) as refused:
        blend_teas([one, teas_of_hansen([18.0, 1.4, 2.0])], [50, 50])
    assert "The two scales of Teas cannot be mixed" in str(refused.value)
    assert "every part on one and the same scale" in str(refused.value)


def test_the_fractions_of_the_table_follow_from_its_hansen_values() -> None:
    for one in solvents():
        shares = teas_of_hansen(one.position)
        assert shares.dispersion + shares.polar + shares.hydrogen == pytest.approx(100)


def test_a_fitted_sphere_misfits_nothing_and_lies_near_the_one_another_library_finds() -> None:
    places = np.array([one.position for one in solvents()])
    centre, radius = sphere("ethyl-methacrylate")
    found = fitted_sphere(places, relative_distance(places, centre, radius) <= 1)
    CHECKS["t7_misfits"].accept(found.misfits)
    for axis, value in zip(AXES, found.centre, strict=True):
        CHECKS[f"t7_{axis}"].accept(value)
    CHECKS["t7_radius"].accept(found.radius)


def test_a_sphere_needs_both_kinds_of_tests() -> None:
    with pytest.raises(InputError, match="A sphere cannot be fitted to these tests"):
        fitted_sphere(np.zeros((5, 3)), [True] * 5)


@pytest.mark.parametrize("alcohol", ["ethanol", "propan-2-ol"])
def test_a_regular_solution_calls_apart_what_does_mix(alcohol: str) -> None:
    one, other = solvent(alcohol), solvent("heptane")
    volume = (one.molar_volume * other.molar_volume) ** 0.5
    found = regular_chi(one.position, other.position, volume)
    CHECKS[f"chi_{alcohol.replace('-', '_')}_heptane"].accept(found)


def test_the_molar_volume_of_a_blend_is_its_volume_over_its_moles() -> None:
    assert blend_molar_volume([50e-6, 150e-6], [1, 3]) == pytest.approx(
        4 / (1 / 50 + 3 / 150) / 1e6
    )


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: distance([1, 2], [1, 2, 3]), "A position needs three parts"),
        (lambda: distance([1, 2, -3], [1, 2, 3]), "A Hansen parameter is out of range; got -3"),
        (lambda: distance([99, 2, 3], [1, 2, 3]), "(cal/cm3)^0.5, which is 2.046 MPa^0.5"),
        (lambda: relative_distance([1, 2, 3], [1, 2, 3], 0), "A sphere has no radius"),
        (lambda: blend_position([[1, 2, 3]], [0]), "The parts of a blend are impossible"),
        (lambda: blend_position([[1, 2, 3]], [1, 2]), "do not pair"),
    ],
)
def test_slips_are_refused_in_words(call: object, words: str) -> None:
    with pytest.raises(InputError) as refused:
        call()
    assert words in str(refused.value)
