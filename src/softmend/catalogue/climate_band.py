"""The band of humidity an object has lived in, or "so far"; published bands beside it as data."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite

from softmend.catalogue.climate_record import (
    RecordInput,
    Taken,
    quality_warnings,
    record_working,
    taken,
)
from softmend.catalogue.computation import Answer, Asked, Computation, Model, WorkingValue
from softmend.errors import InputError
from softmend.science.climate.band import (
    ALLOWED,
    SHORTEST_S,
    YEAR_S,
    Lived,
    held_against,
    lived_band,
    ranges,
)
from softmend.science.climate.record import DAY, HOUR, Even, evened
from softmend.science.climate.series import Summary, even_humidity, summary
from softmend.science.digits import rounded
from softmend.tables import Row, table

NEW_JOINS = "A band from the past does not vouch for an object whose joins are new."
SENSOR_K = 0.5
"""How far a logger's temperature may be off [K]; estimated."""


class BandInput(RecordInput):
    """A record of at least thirteen months, and whether the object was sound in that climate.

    `stable` is what somebody who knows the object says: it was in a good state in this climate.
    `new_joins`: joins or fills were made since the record began.
    """

    stable: bool | None = None
    new_joins: bool = False


class Level(Model):
    """The season's level on one day, and the band around it."""

    at: str
    level_percent: float
    low_percent: float
    high_percent: float


class Published(Model):
    """One published band and how the record lies in it; shares are of the readings.

    `doubtful_percent` lies nearer to a limit than the sensor can tell.
    """

    band: str
    edition: str
    speaks_of: str
    limits: str
    rh_below_percent: float | None
    rh_above_percent: float | None
    rh_doubtful_percent: float | None
    short_term: str
    season: str
    temperature: str
    note: str
    source: str
    where: str
    kind: str


class SoFar(Model):
    """What a record says before it is long enough for a band."""

    days: float
    mean_percent: float
    least_percent: float
    most_percent: float
    wanted_days: float


class BandAnswer(Answer):
    """The band of the past, or "so far"; the mean of twelve stated months; other bands beside.

    Offsets are from the season's level. `lower_found_percent` and `upper_found_percent` are the
    points below which 7 and 93 % of the swings lie; the allowed ones are at least 10 either way.
    """

    lower_found_percent: float | None = None
    upper_found_percent: float | None = None
    lower_allowed_percent: float | None = None
    upper_allowed_percent: float | None = None
    band: str = ""
    level: tuple[Level, ...] = ()
    outside_percent: float | None = None
    outside_hours: float | None = None
    so_far: SoFar | None = None
    year_mean_percent: float | None = None
    year_mean: str = ""
    year_from: str = ""
    year_to: str = ""
    coverage_percent: float = 0.0
    published: tuple[Published, ...] = ()


def climate_band(given: BandInput, asked: Asked) -> BandAnswer:
    """Return the band an object has lived in; under thirteen months "cannot say", and "so far"."""
    one = taken(given, asked)
    even = even_humidity(one.series)
    year = even.values[-round(YEAR_S / even.step_s) :]
    start = even.start_s + (even.values.size - year.size) * even.step_s
    mean = summary(year)
    seen = one.series.rh_seen
    always = BandAnswer(
        year_mean_percent=mean.mean,
        year_mean=rounded(mean.mean, given.sensor_percent).text("%RH"),
        year_from=one.moment(start),
        year_to=one.moment(float(even.times_s[-1])),
        coverage_percent=round(100 * seen.coverage, 2) if seen else 0.0,
        published=tuple(_published(one, even, mean, given)),
        working=(record_working(one, given), *_working(given)),
    )
    try:
        lived = lived_band(even.values, even.step_s)
    except InputError as refused:
        return always.model_copy(
            update={
                "answer": "cannot say",
                "reasons": (refused.sentence(),),
                "so_far": _so_far(even),
                "warnings": (*quality_warnings(one), *_warnings(given, even, None)),
            }
        )
    return always.model_copy(
        update={
            "lower_found_percent": lived.lower,
            "upper_found_percent": lived.upper,
            "lower_allowed_percent": lived.allowed_lower,
            "upper_allowed_percent": lived.allowed_upper,
            "band": _band_text(lived, given),
            "level": tuple(_level(one, even, lived)),
            "outside_percent": 100 * lived.outside / lived.counted,
            "outside_hours": lived.outside * even.step_s / HOUR,
            "warnings": (*quality_warnings(one), *_warnings(given, even, lived)),
        }
    )


def _band_text(lived: Lived, given: BandInput) -> str:
    low = rounded(lived.allowed_lower, given.sensor_percent)
    high = rounded(lived.allowed_upper, given.sensor_percent)
    return (
        f"{low.value} to +{high.value} %RH around the season's level, each edge ± "
        f"{given.sensor_percent:g} %RH by the sensor"
    )


def _so_far(even: Even) -> SoFar:
    found = summary(even.values)
    return SoFar(
        days=(even.values.size - 1) * even.step_s / DAY,
        mean_percent=found.mean,
        least_percent=found.least,
        most_percent=found.most,
        wanted_days=SHORTEST_S / DAY,
    )


def _level(one: Taken, even: Even, lived: Lived) -> Iterator[Level]:
    """Yield one point a day, for a picture; days without a level are left out."""
    for i in range(0, lived.level.size, max(1, round(DAY / even.step_s))):
        level = float(lived.level[i])
        if isfinite(level):
            yield Level(
                at=one.moment(even.start_s + i * even.step_s),
                level_percent=round(level, 2),
                low_percent=round(level + lived.allowed_lower, 2),
                high_percent=round(level + lived.allowed_upper, 2),
            )


def _warnings(given: BandInput, even: Even, lived: Lived | None) -> Iterator[str]:
    if lived is None:
        yield (
            "No band is shown: a record under thirteen months gives one that is too narrow. What "
            "stands here is “so far”."
        )
    else:
        yield (
            "By construction 14 % of the past readings lie outside the points found; the count "
            "outside says nothing of harm."
        )
        if lived.lower > -ALLOWED or lived.upper < ALLOWED:
            yield (
                "± 10 %RH applies around the season's line, not around 50 %; a sudden move to a "
                "new building is outside it."
            )
    if even.step_s > HOUR + 1:
        yield "The record is coarser than hourly: the points found are distorted."
    if given.stable is None:
        yield "Was the object stable in this climate? The band counts only if it was."
    elif not given.stable:
        yield "The object was not stable in this climate: its past is no band to keep to."
    if given.new_joins:
        yield NEW_JOINS
    yield (
        f"The sensor may be off by {given.sensor_percent:g} %RH, and drifts by about 1 a year; "
        "between green and red lies “within sensor error”."
    )


def _published(one: Taken, even: Even, mean: Summary, given: BandInput) -> Iterator[Published]:
    for row in table("climate_bands").rows:
        low, high = _number(row, "rh_low_percent"), _number(row, "rh_high_percent")
        held = None
        if low is not None or high is not None:
            held = held_against(even.values, low, high, given.sensor_percent)
        yield Published(
            band=str(row["band"]),
            edition=str(row["edition"]),
            speaks_of=str(row["speaks_of"]),
            limits=_limits(row),
            rh_below_percent=None if held is None else round(100 * held.below, 2),
            rh_above_percent=None if held is None else round(100 * held.above, 2),
            rh_doubtful_percent=None if held is None else round(100 * held.doubtful, 2),
            short_term=_short_term(row, even),
            season=_season(row, even, mean),
            temperature=_temperature(row, one, even),
            note=str(row["note"]),
            source=str(row["source"]),
            where=str(row["where"]),
            kind=str(row["kind"]),
        )


def _number(row: Row, column: str) -> float | None:
    value = row[column]
    return value if isinstance(value, float) else None


def _limits(row: Row) -> str:
    parts = [
        _between(_number(row, f"{name}_low_{unit}"), _number(row, f"{name}_high_{unit}"), sign)
        for name, unit, sign in (("rh", "percent", "%RH"), ("temperature", "degc", "°C"))
    ]
    return ", ".join(part for part in parts if part) or "no number is held"


def _between(low: float | None, high: float | None, sign: str) -> str:
    if low is None and high is None:
        return ""
    if low is None:
        return f"up to {high:g} {sign}"
    return f"{low:g} to {high:g} {sign}" if high is not None else f"from {low:g} {sign}"


def _short_term(row: Row, even: Even) -> str:
    """Return how often the air swung more than the band's short-term limit, within a day."""
    limit = _number(row, "rh_short_percent")
    if limit is None:
        return "no limit is held"
    if even.step_s > DAY / 3:
        return f"limit {limit:g} %RH; the record is too coarse to say"
    spans = ranges(even.values, even.step_s)
    # A limit of ± x leaves a span of 2 x; "at most x in 24 h" is the span itself.
    whole = 2 * limit if _number(row, "short_hours") is None or "±" in str(row["note"]) else limit
    if not spans.size:
        return f"limit {limit:g} %RH; the record is too short or broken to say"
    share = 100 * float((spans > whole).mean())
    return f"span of 24 h above {whole:g} %RH in {share:.1f} % of such windows"


def _season(row: Row, even: Even, mean: Summary) -> str:
    """Return how far months lie from the mean of the stated twelve."""
    limit = _number(row, "rh_season_percent")
    if limit is None:
        return "no limit is held"
    months = evened(even.times_s, even.values, YEAR_S / 12).values[-13:]
    if even.values.size * even.step_s < YEAR_S - DAY:
        return f"limit {limit:g} %RH either way; the record is under a year"
    found = summary(months)
    off = max(found.most - mean.mean, mean.mean - found.least)
    return f"months lie up to {off:.1f} %RH from the mean of the twelve (limit {limit:g})"


def _temperature(row: Row, one: Taken, even: Even) -> str:
    low, high = _number(row, "temperature_low_degc"), _number(row, "temperature_high_degc")
    if one.series.temperature is None:
        return "no temperature was read"
    if low is None and high is None:
        return "no limit is held"
    values = evened(one.series.times.times_s, one.series.temperature, even.step_s).values
    held = held_against(values, low, high, SENSOR_K)
    return (
        f"below in {100 * held.below:.1f} %, above in {100 * held.above:.1f} %, within sensor "
        f"error in {100 * held.doubtful:.1f} % of the readings"
    )


def _working(given: BandInput) -> Iterator[WorkingValue]:
    yield WorkingValue(
        name="sensor", text=f"± {given.sensor_percent:g} %RH", kind="estimated", origin="typed"
    )
    yield WorkingValue(
        name="window and points",
        text="15 days either side, 7 and 93 % points straight between readings, ± 10 %RH allowed",
        kind="recalled",
        origin="table:climate_bands",
    )


COMPUTATIONS = {
    "climate.band": Computation(
        name="climate.band",
        title="The band an object has lived in",
        input_model=BandInput,
        output_model=BandAnswer,
        function=climate_band,
        formula="season's level = mean from 15 days before to 15 days after each reading, at even "
        "steps; band = level + 7 and 93 % points of the swings, at least ± 10 %RH",
        sources=("en15757", "camuffo2022", "ashrae-applications2019"),
        cautions=(
            NEW_JOINS,
            "None of the published bands is a limit for this object; its own history beats them.",
            "Classes of the published bands speak of rooms and their plant, not of objects.",
            "A page describes what a place does; it never permits. Who decides, and when to look "
            "again, stand at its end.",
        ),
        checked="tests/catalogue/test_climate.py",
    ),
}
