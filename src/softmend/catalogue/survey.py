"""How many objects to grade, what the count says of all, and whether graders agree."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from itertools import combinations
from typing import Annotated, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import Answer, Asked, Computation, Model, Number, WorkingValue
from softmend.errors import InputError
from softmend.science.digits import band_text
from softmend.science.sampling import (
    agreement,
    design_effect,
    sample_size,
    wilson_interval,
)
from softmend.science.uncertain import Band

ENOUGH, TENTATIVE = 0.8, 0.667
"""Alpha from which grades may be relied on, and from which they may tentatively be."""

COMPARED = 12
SHOWN_APART = 20

Count: TypeAlias = Annotated[int, Field(ge=0, le=100_000_000)]
Percent: TypeAlias = Annotated[Number, Field(gt=0, lt=100)]
Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]


class Clusters(Model):
    """Objects taken shelf by shelf: how many a shelf has, and how alike those of one shelf are."""

    objects_on_a_shelf: Annotated[Number, Field(ge=1, le=1_000_000)]
    likeness: Annotated[Number, Field(ge=0, le=1)]


class SizeInput(Model):
    """How exact a share is wanted, and the collection it is a share of."""

    half_width_percent: Annotated[Number, Field(gt=0, lt=50)]
    collection: Annotated[int, Field(ge=1, le=100_000_000)] | None = None
    expected_percent: Percent = 50.0
    clusters: Clusters | None = None


class SizeAnswer(Answer):
    """How many objects to grade."""

    objects: int
    design_effect: float
    text: str


class CountedGrade(Model):
    """One count: how many of the objects graded were found so."""

    name: Name
    found: Count
    graded: Annotated[int, Field(ge=1, le=100_000_000)]


class IntervalInput(Model):
    """Counts from a sample, and the collection that it was drawn from."""

    counts: Annotated[list[CountedGrade], Field(min_length=1, max_length=200)]
    collection: Annotated[int, Field(ge=1, le=100_000_000)] | None = None
    clusters: Clusters | None = None


class CountedShare(Model):
    """One share of the collection with its 95 % interval."""

    name: str
    low_percent: float
    found_percent: float
    high_percent: float
    text: str


class IntervalAnswer(Answer):
    """The share of the collection behind each count, and which of them are no difference."""

    shares: tuple[CountedShare, ...]
    no_difference: tuple[str, ...] = ()


class GradedTwice(Model):
    """One object and the grades it got, one place a grader, empty where there is none."""

    object: Name
    grades: Annotated[
        list[Annotated[int, Field(ge=1, le=10)] | None], Field(min_length=2, max_length=50)
    ]


class AgreementInput(Model):
    """Objects that were graded by two or more; who graded is not asked."""

    objects: Annotated[list[GradedTwice], Field(max_length=20_000)]


class ObjectApart(Model):
    """An object whose grades lie furthest apart."""

    object: str
    lowest: int
    highest: int


class AgreementAnswer(Answer):
    """How far graders agree beyond chance (alpha, ordinal), and the objects to talk about first."""

    alpha: float | None = None
    alpha_low: float | None = None
    alpha_high: float | None = None
    objects: int = 0
    grades: int = 0
    text: str = ""
    apart: tuple[ObjectApart, ...] = ()


def survey_size(given: SizeInput, _: Asked) -> SizeAnswer:
    """Return how many objects to grade for a wanted interval."""
    inflated = _design_effect(given.clusters)
    objects = sample_size(
        given.half_width_percent / 100, given.collection, given.expected_percent / 100, inflated
    )
    of = "" if given.collection is None else f" of {given.collection}"
    return SizeAnswer(
        objects=objects,
        design_effect=inflated,
        text=f"Grade {objects}{of} objects, drawn at random, for ± {given.half_width_percent:g} "
        "points at 95 %.",
        warnings=_warnings_of(given.clusters),
        working=(
            _line("share expected", f"{given.expected_percent:g} %"),
            _line("objects in the collection", str(given.collection or "very many")),
            *_working_of(given.clusters),
        ),
    )


def survey_interval(given: IntervalInput, _: Asked) -> IntervalAnswer:
    """Return the share behind each count with its Wilson interval."""
    inflated = _design_effect(given.clusters)
    shares = tuple(_share(one, given.collection, inflated) for one in given.counts)
    return IntervalAnswer(
        shares=shares,
        no_difference=_no_difference(shares),
        warnings=_warnings_of(given.clusters),
        working=(
            *(_line(one.name, f"{one.found} of {one.graded}") for one in given.counts),
            _line("objects in the collection", str(given.collection or "very many")),
            *_working_of(given.clusters),
        ),
    )


def survey_agreement(given: AgreementInput, asked: Asked) -> AgreementAnswer:
    """Return Krippendorff's alpha of the grades; "cannot say" when too few pair up."""
    width = max((len(one.grades) for one in given.objects), default=0)
    paired = [one for one in given.objects if len(_given(one)) >= 2]
    if len(paired) < 2:
        return AgreementAnswer(
            answer="cannot say",
            reasons=("Fewer than two objects were graded by two or more people.",),
        )
    rows = [[_number(one, grader) for one in given.objects] for grader in range(width)]
    found = agreement(rows, seed=asked.seed)
    if found.alpha is None:
        return AgreementAnswer(
            answer="cannot say",
            reasons=("Every object got the same grade: there is nothing to tell apart.",),
        )
    return AgreementAnswer(
        alpha=found.alpha,
        alpha_low=found.band.low if found.band else None,
        alpha_high=found.band.high if found.band else None,
        objects=found.objects,
        grades=found.grades,
        text=_agreement_text(found.alpha, found.band),
        apart=_apart(paired),
        working=(
            _line("objects graded by two or more", str(found.objects)),
            _line("grades that pair", str(found.grades)),
        ),
    )


def _design_effect(clusters: Clusters | None) -> float:
    if clusters is None:
        return 1.0
    return design_effect(clusters.objects_on_a_shelf, clusters.likeness)


def _share(one: CountedGrade, collection: int | None, inflated: float) -> CountedShare:
    if one.found > one.graded:
        raise InputError(
            f"More objects were found “{one.name}” than were graded",
            value=f"{one.found} of {one.graded}",
            allowed="at most all of them",
        )
    interval = wilson_interval(one.found, one.graded, collection, inflated)
    low, found, high = (100 * value for value in (interval.low, interval.found, interval.high))
    return CountedShare(
        name=one.name,
        low_percent=low,
        found_percent=found,
        high_percent=high,
        text=f"{one.found} of {one.graded}: {band_text(low, found, high, '%')}",
    )


def _no_difference(shares: tuple[CountedShare, ...]) -> tuple[str, ...]:
    if len(shares) > COMPARED:
        return ()
    return tuple(
        f"{one.name} and {other.name}: the intervals overlap, no difference is shown"
        for one, other in combinations(shares, 2)
        if one.low_percent <= other.high_percent and other.low_percent <= one.high_percent
    )


def _given(one: GradedTwice) -> list[int]:
    return [grade for grade in one.grades if grade is not None]


def _number(one: GradedTwice, grader: int) -> float:
    grade = one.grades[grader] if grader < len(one.grades) else None
    return float("nan") if grade is None else float(grade)


def _agreement_text(alpha: float, band: Band | None) -> str:
    # Without a band, too few objects differ to rely on anything.
    low, high = (band.low, band.high) if band else (-1.0, 1.0)
    if low >= ENOUGH:
        says = "the grades may be relied on"
    elif alpha >= TENTATIVE:
        says = "good enough for tentative conclusions only"
    else:
        says = "too little: talk about the definitions, then grade again"
    return f"alpha {band_text(min(low, alpha), alpha, max(high, alpha))}: {says}"


def _apart(paired: list[GradedTwice]) -> tuple[ObjectApart, ...]:
    spans = [
        ObjectApart(object=one.object, lowest=min(_given(one)), highest=max(_given(one)))
        for one in paired
    ]
    differing = [one for one in spans if one.highest > one.lowest]
    return tuple(sorted(differing, key=lambda one: one.lowest - one.highest)[:SHOWN_APART])


def _warnings_of(clusters: Clusters | None) -> tuple[str, ...]:
    if clusters is not None:
        return ()
    return ("Objects are taken as drawn one by one; whole shelves tell less, so say so.",)


def _working_of(clusters: Clusters | None) -> tuple[WorkingValue, ...]:
    if clusters is None:
        return ()
    return (
        _line("objects on a shelf", f"{clusters.objects_on_a_shelf:g}"),
        WorkingValue(
            name="likeness inside a shelf",
            text=f"{clusters.likeness:g}",
            kind="estimated",
            origin="typed",
        ),
    )


def _line(name: str, text: str) -> WorkingValue:
    return WorkingValue(name=name, text=text, kind="measured", origin="typed")


COMPUTATIONS = {
    "survey.size": Computation(
        name="survey.size",
        title="How many objects to grade",
        input_model=SizeInput,
        output_model=SizeAnswer,
        function=survey_size,
        formula="n0 = z^2 p (1 - p) / E^2 times the design effect; n = n0 / (1 + (n0 - 1) / N)",
        sources=("cochran1977", "kish1965"),
        cautions=(
            "It counts objects drawn at random, not those that were easy to reach.",
            "“A few percent” is no rule: how exact a share is hangs on n and hardly on N.",
        ),
        checked="tests/catalogue/test_survey.py",
    ),
    "survey.interval": Computation(
        name="survey.interval",
        title="What a count says of the whole collection",
        input_model=IntervalInput,
        output_model=IntervalAnswer,
        function=survey_interval,
        formula="Wilson's score interval on the effective number of objects",
        sources=("wilson1927", "korn1998", "kish1965"),
        cautions=(
            "Overlapping intervals show no difference; that is not the same as no difference.",
            "The interval holds chance only, not how differently people grade.",
        ),
        checked="tests/catalogue/test_survey.py",
    ),
    "survey.agreement": Computation(
        name="survey.agreement",
        title="Whether graders agree",
        input_model=AgreementInput,
        output_model=AgreementAnswer,
        function=survey_agreement,
        formula="alpha = 1 - observed / expected disagreement, ordinal; band by drawing objects "
        "again",
        sources=("krippendorff2011", "efron1979"),
        cautions=(
            "Agreement is not truth: people may agree on a wrong grade.",
            "Trained graders often disagree; read the definition at the moment of grading.",
        ),
        checked="tests/catalogue/test_survey.py",
    ),
}
