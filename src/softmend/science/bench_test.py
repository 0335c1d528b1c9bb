"""Small tests of the bench turned into a property with its uncertainty.

Specimens scatter more than each is mistaken. A property is what the next specimen would show: a
log-normal value whose spread joins the readings with what such materials usually scatter, so that
one reading is not taken for the truth.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from softmend.errors import InputError
from softmend.science.limits import Limits, within
from softmend.science.uncertain import Array, Uncertain

DRAWS = 4000
GRAVITY = 9.80665
PRIOR_READINGS = 2.0
"""How many readings the usual scatter of such a material counts for (our own choice)."""

USUAL_CV = 0.35
"""The scatter of strengths and moduli of fills and bonds when nothing else is known."""

SURROGATE_CV = 0.3
"""What a test on a stand-in material adds (our estimate); the object itself is never tested."""

Z_95 = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar on two supports: span, breadth, height between the supports and upright [m]."""

    span: Uncertain
    breadth: Uncertain
    height: Uncertain


@dataclass(frozen=True, slots=True)
class Property:
    """A property for the next specimen, the measured specimens, and how often one was exceeded.

    `at_least` says that no reading saw what was asked for give way: the value is a lower bound.
    """

    value: Uncertain
    specimens: tuple[float, ...]
    measured_cv: float | None
    at_least: bool = False


def bending_modulus(
    slope: ArrayLike, span: ArrayLike, breadth: ArrayLike, height: ArrayLike, poisson: ArrayLike
) -> Array:
    """Return the modulus of a bar on two supports from how it sags under a force in the middle.

    Parameters
    ----------
    slope : array, force for each metre of sag [N/m], above 0
    span : array, between the supports [m], at least 4 heights
    breadth : array, of the bar [m], above 0
    height : array, upright [m], above 0
    poisson : array, Poisson's ratio [1], 0 to 0.5

    Returns
    -------
    numpy array, Young's modulus [Pa]; shear is allowed for, which is 11 % at a span of 5 heights

    Raises
    ------
    InputError
        When the bar is too stubby or a number is not above zero.

    Source: astm-d790; timoshenko1970, section 37 (the correction, recalled).
    Checked against: tests/science/test_bench_test.py (finite elements).

    Example
    -------
    >>> round(float(bending_modulus(20e3, 0.05, 0.01, 0.005, 0.3)) / 1e6)
    514
    """
    stiff, long, wide, high, ratio = (
        np.asarray(one, dtype=np.float64) for one in (slope, span, breadth, height, poisson)
    )
    if not np.all([np.all(one > 0) for one in (stiff, long, wide, high)]):
        raise InputError("A bar has no stiffness or no size", allowed="above 0")
    if not np.all((ratio >= 0) & (ratio < 0.5)):
        raise InputError("A Poisson's ratio is impossible", allowed="0 to 0.5")
    slim = high / long
    if np.any(slim > 0.25):
        raise InputError(
            "The bar is too stubby to bend",
            value=f"a span of {float(1 / np.max(slim)):.3g} heights",
            allowed="a span of 4 heights or more",
            remedy="Move the supports apart, or make a thinner bar",
        )
    shear = 1 + (2.4 + 1.5 * ratio) * slim**2 - 0.84 * slim**3
    return np.asarray(stiff * long**3 / (4 * wide * high**3) * shear)


def sag_slope(forces: ArrayLike, sags: ArrayLike) -> tuple[float, float]:
    """Return the force for each metre of sag, and its standard uncertainty, by a straight line.

    Parameters
    ----------
    forces : array, in the middle of the bar [N], 2 or more, not all alike
    sags : array, in the middle of the bar [m], one for each force

    Returns
    -------
    tuple, slope and its standard uncertainty [N/m]; with two points the uncertainty is 5 %

    Raises
    ------
    InputError
        When the readings are too few, or more force does not mean more sag.

    Source: jcgm100, annex H.3 (line by least squares).
    Checked against: scipy.stats.linregress in tests/science/test_bench_test.py.

    Example
    -------
    >>> slope, sd = sag_slope([0, 1, 2, 3], [0.0, 1.0e-4, 2.1e-4, 3.0e-4])
    >>> round(slope), round(sd)
    (9901, 259)
    """
    force, sag = np.asarray(forces, dtype=np.float64), np.asarray(sags, dtype=np.float64)
    if force.size != sag.size or force.size < 2 or np.ptp(force) == 0:
        raise InputError(
            "The readings of a bar are too few",
            value=f"{force.size} forces, {sag.size} sags",
            allowed="2 or more pairs at different forces",
        )
    away = force - force.mean()
    give = float(away @ (sag - sag.mean()) / (away @ away))
    if give <= 0:
        raise InputError(
            "The bar rises under more force", value=f"{give:.3g} m/N", allowed="more sag"
        )
    relative = 0.05
    if force.size > 2:
        residual = sag - sag.mean() - give * away
        give_sd = math.sqrt(float(residual @ residual) / (force.size - 2) / float(away @ away))
        relative = give_sd / give
    return 1 / give, relative / give


def bending(
    bars: Sequence[tuple[Bar, Sequence[float], Sequence[float]]],
    poisson: Uncertain,
    usual_cv: float = USUAL_CV,
    seed: int = 0,
) -> Property:
    """Return the modulus of a fill from bars that were loaded in the middle.

    Parameters
    ----------
    bars : sequence of (Bar, forces [N], sags [m]), one or more
    poisson : Uncertain, Poisson's ratio [1], 0 to 0.5
    usual_cv : float, usual scatter of such a material [1], above 0
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Property, Young's modulus [Pa]

    Raises
    ------
    InputError
        When a bar cannot be read.

    Source: astm-d790; gelman2013, chapter 3.
    Checked against: tests/science/test_bench_test.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> bar = Bar(exact(0.05), exact(0.01), exact(0.005))
    >>> found = bending([(bar, [0, 1, 2], [0, 5e-5, 10e-5])], exact(0.3))
    >>> round(found.value.typical / 1e6)
    514
    """
    rng = np.random.default_rng(seed)
    found = []
    for bar, forces, sags in bars:
        _refuse_slips(bar, forces, sags)
        slope, sd = sag_slope(forces, sags)
        draws = bending_modulus(
            np.maximum(Uncertain.normal(slope, sd).draw(DRAWS, rng), slope / 10),
            bar.span.draw(DRAWS, rng),
            bar.breadth.draw(DRAWS, rng),
            bar.height.draw(DRAWS, rng),
            poisson.draw(DRAWS, rng),
        )
        found.append(draws)
    return _property(found, usual_cv)


def shrinkage(
    pairs: Sequence[tuple[Uncertain, Uncertain]], usual_cv: float = USUAL_CV, seed: int = 0
) -> tuple[Property, Property]:
    """Return how far a fill shrinks on drying, along one line and in volume.

    Parameters
    ----------
    pairs : sequence of (length wet, length dry) [m], one or more; the wet one is the mould's
    usual_cv : float, usual scatter of such a material [1], above 0
    seed : int, seed of the random numbers [1]

    Returns
    -------
    tuple, Property of the linear and of the volumetric shrinkage [1], alike in all directions

    Raises
    ------
    InputError
        When a bar did not shrink, so that no shrinkage can be told.

    Source: derived, 1 - (1 - s)^3.
    Checked against: tests/science/test_bench_test.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> line, volume = shrinkage([(exact(0.06), exact(0.054))])
    >>> round(line.value.typical, 3), round(volume.value.typical, 3)
    (0.1, 0.271)
    """
    rng = np.random.default_rng(seed)
    lines = []
    for wet, dry in pairs:
        before, after = wet.draw(DRAWS, rng), dry.draw(DRAWS, rng)
        part = 1 - after / before
        if np.mean(part > 0) < 0.95 or np.any(after <= 0):
            raise InputError(
                "A bar did not shrink by more than its lengths are uncertain",
                value=f"{float(np.median(part)):.2%}",
                allowed="a dry length below the wet one",
                remedy="Use a longer bar, or measure both ends with a gauge",
            )
        lines.append(np.maximum(part, 1e-9))
    volumes = [1 - (1 - part) ** 3 for part in lines]
    return _property(lines, usual_cv), _property(volumes, usual_cv)


def pull_off(
    forces: Sequence[Uncertain],
    diameter: Uncertain,
    at_the_bond: Sequence[bool],
    stand_in_cv: float = 0.0,
    usual_cv: float = USUAL_CV,
    seed: int = 0,
) -> Property:
    """Return the strength of a bond from round studs that were pulled off.

    A stud that came off elsewhere shows that the bond is at least as strong. When none came off
    at the bond, the strongest of them is a lower bound and is marked so.

    Parameters
    ----------
    forces : sequence of Uncertain, force at which each stud came off [N], above 0
    diameter : Uncertain, of the studs [m], above 0
    at_the_bond : sequence of bool, whether each came off at the bond that is tested
    stand_in_cv : float, what is added for another material than the object's [1], 0 or more
    usual_cv : float, usual scatter of bonds [1], above 0
    seed : int, seed of the random numbers [1]

    Returns
    -------
    Property, strength [Pa]

    Raises
    ------
    InputError
        When there is no stud, or the list of places is not as long.

    Source: iso4624; gelman2013, chapter 3.
    Checked against: tests/science/test_bench_test.py.

    Example
    -------
    >>> exact = Uncertain.exact
    >>> found = pull_off([exact(628.3)], exact(0.02), [True])
    >>> round(found.value.typical / 1e6, 2), found.at_least
    (2.0, False)
    """
    if len(forces) != len(at_the_bond) or not forces:
        raise InputError(
            "Each stud needs a force and a place where it came off",
            value=f"{len(forces)} forces, {len(at_the_bond)} places",
            allowed="one of each, at least one stud",
        )
    rng = np.random.default_rng(seed)
    drawn = [force.draw(DRAWS, rng) for force in forces]
    across = diameter.draw(DRAWS, rng)
    within({"diameter of the studs": (across, Limits.LENGTH)})
    within({f"force at stud {at}": (one, Limits.FORCE) for at, one in enumerate(drawn, start=1)})
    strengths = [one / (math.pi / 4 * across**2) for one in drawn]
    if not any(at_the_bond):
        strongest = max(strengths, key=lambda draws: float(np.median(draws)))
        return _property([strongest], usual_cv, stand_in_cv, at_least=True)
    failed = [draws for draws, here in zip(strengths, at_the_bond, strict=True) if here]
    held = [draws for draws, here in zip(strengths, at_the_bond, strict=True) if not here]
    # A stud that held tells at least its own strength: it counts where that lifts the middle.
    middle = math.exp(float(np.mean([np.log(np.median(draws)) for draws in failed])))
    failed += [draws for draws in held if float(np.median(draws)) > middle]
    return _property(failed, usual_cv, stand_in_cv)


def _property(
    specimens: Sequence[Array], usual_cv: float, extra_cv: float = 0.0, at_least: bool = False
) -> Property:
    """Return what the next specimen would show: readings, usual scatter, and measuring errors."""
    _refuse_nothing(specimens)
    from scipy.special import stdtrit

    logs = [np.log(draws) for draws in specimens]
    middles = np.array([float(np.mean(one)) for one in logs])
    mistaken = float(np.mean([np.var(one) for one in logs]))
    count = middles.size
    scatter = float(np.var(middles, ddof=1)) if count > 1 else 0.0
    usual = math.log1p(usual_cv**2)
    freedom = PRIOR_READINGS + count - 1
    joined = (PRIOR_READINGS * usual + (count - 1) * scatter) / freedom
    # The next specimen: its own scatter, that of the middle, and the tails of few readings.
    wide = joined * (1 + 1 / count) * (float(stdtrit(freedom + 1, 0.95)) / Z_95) ** 2
    variance = wide + mistaken + math.log1p(extra_cv**2)
    return Property(
        Uncertain.log_normal(math.exp(float(middles.mean())), math.sqrt(math.expm1(variance))),
        tuple(float(np.median(draws)) for draws in specimens),
        math.sqrt(math.expm1(scatter)) if count > 1 else None,
        at_least,
    )


def _refuse_slips(bar: Bar, forces: Sequence[float], sags: Sequence[float]) -> None:
    span = bar.span.typical
    within(
        {
            "span of the bar": (span, Limits.LENGTH),
            "breadth of the bar": (bar.breadth.typical, Limits.LENGTH),
            "height of the bar": (bar.height.typical, Limits.LENGTH),
            "largest force on the bar": (max(forces, default=0.0), Limits.FORCE),
        }
    )
    if np.ptp(sags) > span / 10:
        raise InputError(
            "The bar sags too far for the formula",
            value=f"{np.ptp(sags) * 1e3:.3g} mm",
            allowed="a tenth of the span at most",
        )
    if np.ptp(sags) < 1e-7:
        raise InputError("The bar does not sag", value="0 mm", allowed="a sag that can be read")


def _refuse_nothing(specimens: Sequence[Array]) -> None:
    least = min((float(draws.min()) for draws in specimens), default=None)
    if least is None or least <= 0:
        raise InputError(
            "A specimen may give no value above zero",
            value="no specimen" if least is None else f"{least:.3g}",
            allowed="one specimen or more, each above 0",
        )
