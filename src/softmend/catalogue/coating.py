"""Coat or not: the same object open, coated, in a case and in a case with buffer, side by side."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from softmend.catalogue.climate_body import MODEL, Body, Film, Range
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    Sourced,
    Words,
    WorkingValue,
)
from softmend.catalogue.showcase import STEADIES, Case
from softmend.errors import InputError
from softmend.science.climate.response import lag_share, swing_at
from softmend.science.climate.showcase import time_constant
from softmend.tables import table

DAY = 86400.0
PERIODS = (("day", 1.0), ("week", 7.0), ("month", 30.0), ("year", 365.0))
DECISION = (
    "A coating is only worth modelling where no case is possible, and then for hours to weeks."
)
PERFECT = (
    "The film is taken as perfect and all round; a real film is thin, cracked and one-sided, and "
    "leaves the pulp cavity open."
)


class WorthInput(Model):
    """The object, its film (a row of the table, or `body.film`), a case, and the room's swing.

    `swing_percent` is half the swing of the room, from its mean, over each of the times.
    """

    body: Body
    film_name: Words = "perfect acrylic film, tight"
    case: Case
    swing_percent: Annotated[Number, Field(gt=0, le=50)] = 12.0
    room_degc: Annotated[Number, Field(ge=0, le=40)] = 20.0
    room_mean_percent: Annotated[Number, Field(ge=0, le=100)] | None = None
    low_limit_percent: Annotated[Number, Field(ge=0, le=100)] = 40.0
    high_limit_percent: Annotated[Number, Field(ge=0, le=100)] = 65.0
    sensor_percent: Annotated[Number, Field(ge=0, le=20)] = 3.0


class Share(Model):
    """What part of a swing of one length reaches the object, and how far the surface swings."""

    over: str
    swing_days: float
    surface: Range
    mean: Range
    core: Range
    surface_swing_percent: Range


class Plan(Model):
    """One way to keep the object, over day, week, month and year."""

    plan: str
    lag_days: Range
    shares: tuple[Share, ...]


class Kept(Model):
    """Moisture that a finish kept out of wood, as measured by others."""

    finish: str
    coats: float
    day_percent: float
    week_percent: float
    fortnight_percent: float
    source: str
    kind: str


class WorthAnswer(Answer):
    """Plans side by side, and in words what a coating would add to each."""

    plans: tuple[Plan, ...] = ()
    added_without_case: tuple[str, ...] = ()
    added_in_case: tuple[str, ...] = ()
    decision: str = ""
    measured_films: tuple[Kept, ...] = ()


def coating_worth(given: WorthInput, asked: Asked) -> WorthAnswer:
    """Return what reaches an object open, coated, in a case, and in a case with buffer."""
    film = given.body.film or _film(given.film_name)
    plans = tuple(_plans(given, film))
    named = {one.plan: one for one in plans}
    adds_open = tuple(_added(named["open"], named["open, coated"], given))
    buffered = "in a case with buffer" in named
    plain = "in a case with buffer" if buffered else "in a case"
    adds_case = tuple(_added(named[plain], named[f"{plain}, coated"], given))
    return WorthAnswer(
        plans=plans,
        added_without_case=adds_open,
        added_in_case=adds_case,
        decision=_decision(named[plain], named[f"{plain}, coated"], given),
        measured_films=tuple(_measured()),
        warnings=(*_warnings(given), *given.case.warnings(), *given.body.warnings()),
        working=(
            *given.body.working(),
            *given.case.working(),
            WorkingValue(
                name="film modelled",
                text=f"{film.thickness_um.uncertain().typical:g} µm, "
                f"{film.permeability_barrer:g} Barrer",
                kind=film.kind,
                origin="typed" if given.body.film else f"table:coating_films/{given.film_name}",
            ),
        ),
    )


def _film(name: str) -> Film:
    rows = {str(row["film"]): row for row in table("coating_films").rows}
    if name not in rows:
        raise InputError("There is no such film", value=name, allowed="; ".join(rows))
    row = rows[name]
    return Film(
        thickness_um=Sourced(value=float(row["thickness_um"] or 0), kind="recalled"),
        permeability_barrer=float(row["permeability_barrer"] or 0),
    )


def _plans(given: WorthInput, film: Film) -> Iterator[Plan]:
    none = (0.0, 0.0, 0.0)
    bare = _lags(given, buffered=False)
    yield _plan("open", none, None, given)
    yield _plan("open, coated", none, film, given)
    yield _plan("in a case", bare, None, given)
    if not given.case.buffer_kg:
        yield _plan("in a case, coated", bare, film, given)
        return
    held = _lags(given, buffered=True)
    yield _plan("in a case with buffer", held, None, given)
    yield _plan("in a case with buffer, coated", held, film, given)


def _lags(given: WorthInput, *, buffered: bool) -> tuple[float, float, float]:
    """Return the lag of the case for a low, a typical and a high exchange [s]."""
    known = given.case.known()
    buffer = known.buffer_kg_m3 if buffered else 0.0
    band = known.exchange_per_s.band
    low, typical, high = (
        float(time_constant(one, buffer, known.capacity.typical, given.room_degc))
        for one in (band.high, band.typical, band.low)
    )
    return low, typical, high


def _plan(
    name: str, lags: tuple[float, float, float], film: Film | None, given: WorthInput
) -> Plan:
    low, typical, high = (lag / DAY for lag in lags)
    return Plan(
        plan=name,
        lag_days=Range(low=low, typical=typical, high=high),
        shares=tuple(_share(over, days, lags, film, given) for over, days in PERIODS),
    )


def _share(
    over: str,
    days: float,
    lags: tuple[float, float, float],
    film: Film | None,
    given: WorthInput,
) -> Share:
    """Return the shares for slow to fast objects in leaky to tight cases; typical in the middle."""
    band, size = given.body.rate().band, given.body.size().typical

    def shares(rate: float, lag: float) -> tuple[float, float, float]:
        skin = given.body.surface(rate, film, given.room_degc)
        found = swing_at(given.body.shape(), days * DAY, size, rate, skin)
        through = lag_share(days * DAY, lag)[0]
        return through * found.surface, through * found.mean, through * found.core

    middle = shares(band.typical, lags[1])
    every = [shares(rate, lag) for rate in (band.low, band.typical, band.high) for lag in lags]
    surface, mean, core = (
        Range(low=min(values), typical=typical, high=max(values))
        for typical, values in zip(middle, zip(*every, strict=True), strict=True)
    )
    swing = given.swing_percent
    return Share(
        over=over,
        swing_days=days,
        surface=surface,
        mean=mean,
        core=core,
        surface_swing_percent=Range(
            low=swing * surface.low, typical=swing * surface.typical, high=swing * surface.high
        ),
    )


def _added(bare: Plan, coated: Plan, given: WorthInput) -> Iterator[str]:
    for one, other in zip(bare.shares, coated.shares, strict=True):
        before, after = one.surface_swing_percent.typical, other.surface_swing_percent.typical
        less = "less than" if before - after < given.sensor_percent else "more than"
        yield (
            f"Over a {one.over} of ± {given.swing_percent:g} %RH the surface sees ± {before:.1f} "
            f"%RH without a film and ± {after:.1f} with a perfect one: {less} the sensor's error "
            f"apart (± {given.sensor_percent:g})."
        )


def _decision(bare: Plan, coated: Plan, given: WorthInput) -> str:
    gains = [
        one.surface_swing_percent.typical - other.surface_swing_percent.typical
        for one, other in zip(bare.shares, coated.shares, strict=True)
    ]
    if max(gains) < given.sensor_percent:
        return f"{bare.plan.capitalize()} a coating adds nothing worth having. {DECISION}"
    over = [one.over for one, gain in zip(bare.shares, gains, strict=True)
            if gain >= given.sensor_percent]  # fmt: skip
    return (
        f"{bare.plan.capitalize()} a perfect film would be felt over a {' and a '.join(over)}; "
        f"buffer or a tighter case does more. {DECISION}"
    )


def _measured() -> Iterator[Kept]:
    for row in table("finish_exclusion").rows:
        yield Kept(
            finish=str(row["finish"]),
            coats=float(row["coats"] or 0),
            day_percent=float(row["kept_out_1_day_percent"] or 0),
            week_percent=float(row["kept_out_7_days_percent"] or 0),
            fortnight_percent=float(row["kept_out_14_days_percent"] or 0),
            source=str(row["source"]),
            kind=str(row["kind"]),
        )


def _warnings(given: WorthInput) -> Iterator[str]:
    yield PERFECT
    mean = given.room_mean_percent
    if mean is None:
        yield "A case does not change the mean: state the room's to see where it will settle."
        return
    yield f"{STEADIES} Your room averages {mean:.0f} %; the case settles there."
    if not given.low_limit_percent <= mean <= given.high_limit_percent:
        yield (
            f"That is outside {given.low_limit_percent:g} to {given.high_limit_percent:g} %: the "
            "object would be held at the wrong place, steadily. It needs conditioned gel, renewed, "
            "or the room changed."
        )


COMPUTATIONS = {
    "coating.worth": Computation(
        name="coating.worth",
        title="Coat it, or case it",
        input_model=WorthInput,
        output_model=WorthAnswer,
        function=coating_worth,
        formula="share of a regular swing: 1 / sqrt(1 + (2 pi lag / period)²) of the case, times "
        "diffusion behind still air and film (Bessel functions)",
        sources=("softmend-climate", "crank1975", "finish-exclusion"),
        cautions=(
            DECISION,
            "A finish slows, never stops; coatings contaminate, and are unnecessary where the "
            "climate is controlled.",
            MODEL,
        ),
        checked="tests/science/climate/test_response.py",
    ),
}
