"""Light: the dose of a plan of display against budgets, each with the name of its rule."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Number,
    Words,
    WorkingValue,
)
from softmend.errors import InputError
from softmend.science.climate.light import light_dose, ultraviolet
from softmend.tables import Row, table

HOUR, YEAR_DAYS = 3600.0, 365.25
MILLION = 1e6
UV_OLD, UV_REACHABLE = 75.0, 10.0
"""The old limit, set by what tungsten gave, and what can be reached [µW/lm]; quoted."""
ORDER = ("none", "low", "medium", "high")
Sensitivity = Literal["none", "low", "medium", "high"]
WOOL_CLASSES = ((3, "high"), (6, "medium"), (8, "low"))
"""The last blue wool of each class of CIE 157; recalled."""
METER_SHARE = 0.1
"""How far a light meter may be off; estimated."""


class Lit(Model):
    """One kind of light in a year: lamps, daylight, openings or cleaning."""

    what: Words
    light_lux: Annotated[Number, Field(ge=0, le=200_000)]
    hours_a_day: Annotated[Number, Field(ge=0, le=24)]
    days_a_year: Annotated[Number, Field(ge=0, le=366)]
    ultraviolet_uw_per_lm: Annotated[Number, Field(ge=0, le=2000)] | None = None


class Part(Model):
    """One part of the object; its sensitivity stated, or by its blue wool, or by name from a table.

    A stated sensitivity goes before a blue wool, a blue wool before the table.
    """

    part: Words
    sensitivity: Sensitivity | None = None
    blue_wool: Annotated[int, Field(ge=1, le=8)] | None = None


class Loan(Model):
    """A dose that has fallen already, on loan or on display."""

    what: Words
    dose_lux_hours: Annotated[Number, Field(ge=0, le=1e9)]
    in_this_year: bool = False


class BudgetInput(Model):
    """A plan of display for a year, the parts of the object, and what has fallen already."""

    plan: Annotated[list[Lit], Field(min_length=1, max_length=50)]
    parts: Annotated[list[Part], Field(min_length=1, max_length=50)]
    past: Annotated[tuple[Loan, ...], Field(max_length=500)] = ()


class PartSeen(Model):
    """A part with its sensitivity, and the years until a fade just shows."""

    part: str
    sensitivity: str
    blue_wool: int | None
    fade_years_filtered: float | None
    fade_years_rich: float | None
    kind: str
    source: str


class RuleSeen(Model):
    """One rule for the most sensitive part: its limit, its budget, and what is left of it."""

    rule: str
    sensitivity: str
    most_lux: float | None
    budget_lux_hours: float | None
    used_percent: float | None
    left_lux_hours: float | None
    days_to_spend: float | None
    words: str
    source: str
    where: str
    kind: str


class Fallen(Model):
    """The dose of one line of the plan."""

    what: str
    dose_lux_hours: float
    ultraviolet_mw_per_m2: float | None


class BudgetAnswer(Answer):
    """The year's dose against each rule by its name; the most sensitive part decides."""

    dose_lux_hours: float = 0.0
    dose: str = ""
    fallen: tuple[Fallen, ...] = ()
    past_lux_hours: float = 0.0
    most_lux: float = 0.0
    decides: str = ""
    sensitivity: str = ""
    rules: tuple[RuleSeen, ...] = ()
    parts: tuple[PartSeen, ...] = ()


def light_budget(given: BudgetInput, asked: Asked) -> BudgetAnswer:
    """Return the dose of a year's display and what each rule leaves of its budget."""
    fallen = tuple(_fallen(one) for one in given.plan)
    dose = sum(one.dose_lux_hours for one in fallen)
    spent = sum(one.dose_lux_hours for one in given.past if one.in_this_year)
    parts = tuple(_part(one, dose) for one in given.parts)
    decides = max(parts, key=lambda one: (ORDER.index(one.sensitivity), -(one.blue_wool or 9)))
    lit = [one for one in given.plan if one.hours_a_day > 0 and one.days_a_year > 0]
    brightest = max((one.light_lux for one in lit), default=0.0)
    rules = tuple(
        _rule(row, dose, spent, brightest)
        for row in table("light_rules").rows
        if row["sensitivity"] == decides.sensitivity
        or (row["rule"] != "CIE 157" and decides.sensitivity != "none")
    )
    return BudgetAnswer(
        dose_lux_hours=dose,
        dose=f"{_round(dose)} lx h a year, ± {100 * METER_SHARE:.0f} % by the meter",
        fallen=fallen,
        past_lux_hours=sum(one.dose_lux_hours for one in given.past),
        most_lux=brightest,
        decides=decides.part,
        sensitivity=decides.sensitivity,
        rules=rules,
        parts=parts,
        warnings=tuple(_warnings(given, decides)),
        working=tuple(_working(given)),
    )


def _fallen(one: Lit) -> Fallen:
    dose = float(light_dose(one.light_lux, one.hours_a_day * one.days_a_year * HOUR)) / HOUR
    uv = one.ultraviolet_uw_per_lm
    return Fallen(
        what=one.what,
        dose_lux_hours=dose,
        ultraviolet_mw_per_m2=None
        if uv is None
        else 1e3 * float(ultraviolet(one.light_lux, uv * 1e-6)),
    )


def _part(one: Part, dose: float) -> PartSeen:
    rows = {str(row["part"]): row for row in table("light_sensitivities").rows}
    stated = one.sensitivity or _class_of(one.blue_wool)
    if stated:
        return _seen(one, stated, one.blue_wool, dose, ("estimated", "typed"))
    if one.part not in rows:
        raise InputError(
            "The sensitivity of a part is not known",
            value=one.part,
            allowed="; ".join(rows),
            remedy="State its sensitivity or its blue wool, or call it “unknown colour” until "
            "somebody has looked",
        )
    row = rows[one.part]
    found = row["blue_wool"]
    wool = int(found) if isinstance(found, float) else None
    from_row = (str(row["kind"]), str(row["source"]))
    return _seen(one, str(row["sensitivity"]), wool, dose, from_row)


def _class_of(wool: int | None) -> str | None:
    return next((name for last, name in WOOL_CLASSES if wool is not None and wool <= last), None)


def _seen(
    one: Part, sensitivity: str, wool: int | None, dose: float, known: tuple[str, str]
) -> PartSeen:
    filtered, rich = _years(wool, dose)
    return PartSeen(
        part=one.part,
        sensitivity=sensitivity,
        blue_wool=wool,
        fade_years_filtered=filtered,
        fade_years_rich=rich,
        kind=known[0],
        source=known[1],
    )


def _years(wool: int | None, dose: float) -> tuple[float | None, float | None]:
    if wool is None or dose <= 0:
        return None, None
    row = next(r for r in table("light_fades").rows if r["blue_wool"] == wool)
    doses = (row["filtered_mlux_hours"], row["rich_mlux_hours"])
    filtered, rich = (float(one or 0) * MILLION / dose for one in doses)
    return filtered, rich


def _rule(row: Row, dose: float, spent: float, brightest: float) -> RuleSeen:
    budget, most = row["budget_lux_hours"], row["most_lux"]
    limit = most if isinstance(most, float) else None
    found = RuleSeen(
        rule=str(row["rule"]),
        sensitivity=str(row["sensitivity"]),
        most_lux=limit,
        budget_lux_hours=None,
        used_percent=None,
        left_lux_hours=None,
        days_to_spend=None,
        words="",
        source=str(row["source"]),
        where=str(row["where"]),
        kind=str(row["kind"]),
    )
    over = ""
    if limit is not None and brightest > limit:
        over = f"; {brightest:g} lx is above its {limit:g} lx"
    if not isinstance(budget, float):
        words = "gives no yearly budget" if limit is not None else "sets no limit"
        rule = found.rule[:1].upper() + found.rule[1:]
        return found.model_copy(update={"words": f"{rule} {words}{over}."})
    used = dose + spent
    left = max(0.0, budget - spent)
    days = left / (dose / YEAR_DAYS) if dose > 0 else None
    verb = "spends" if used <= budget else "overspends:"
    return found.model_copy(
        update={
            "budget_lux_hours": budget,
            "used_percent": 100 * used / budget,
            "left_lux_hours": budget - used,
            "days_to_spend": days,
            "words": f"By {row['rule']} the plan {verb} {_round(100 * used / budget)} % of "
            f"{_round(budget)} lx h a year{over}.",
        }
    )


def _round(value: float) -> str:
    return f"{float(f'{value:.2g}'):,.0f}".replace(",", " ")


def _warnings(given: BudgetInput, decides: PartSeen) -> Iterator[str]:
    yield "Limits differ six-fold between authorities: name the rule wherever the figure is shown."
    if len(given.parts) > 1:
        yield f"The most sensitive part decides: {decides.part}."
    if any("ivory" in one.part for one in given.parts):
        yield "Ivory bleaches in light and yellows in the dark: darkness is not free."
    for one in given.plan:
        uv = one.ultraviolet_uw_per_lm
        if uv is None:
            yield f"Ultraviolet of “{one.what}” is not known: measure it."
        elif uv > UV_OLD:
            yield (
                f"“{one.what}” has {uv:g} µW/lm of ultraviolet: filter it to {UV_OLD:g} or less; "
                f"{UV_REACHABLE:g} can be reached."
            )
    if not any("day" in one.what.lower() for one in given.plan):
        yield "Daylight, openings and cleaning hours count: is any of them missing from the plan?"


def _working(given: BudgetInput) -> Iterator[WorkingValue]:
    for one in given.plan:
        yield WorkingValue(
            name=one.what,
            text=f"{one.light_lux:g} lx, {one.hours_a_day:g} h a day, {one.days_a_year:g} days a "
            "year",
            kind="estimated",
            origin="typed",
        )
    for loan in given.past:
        yield WorkingValue(
            name=loan.what, text=f"{_round(loan.dose_lux_hours)} lx h", kind="estimated",
            origin="typed",
        )  # fmt: skip


COMPUTATIONS = {
    "light.budget": Computation(
        name="light.budget",
        title="Light of a year against its budget",
        input_model=BudgetInput,
        output_model=BudgetAnswer,
        function=light_budget,
        formula="dose = lux x hours x days; ultraviolet = lux x µW/lm; budget and just noticeable "
        "fade by the rule and the most sensitive part",
        sources=("cie157", "light-advice-bone", "softmend-climate"),
        cautions=(
            "No budget is a permission: light that has fallen stays fallen.",
            "No spotlights inside a case; record the dose after each loan.",
        ),
        checked="tests/science/climate/test_showcase.py",
    ),
}
