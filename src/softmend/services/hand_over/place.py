"""What the place of an object does to it: in the room, in its case, in its case with buffer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from softmend.errors import MissingEvidenceError
from softmend.pictures.case_bands import (
    PlanBars,
    Through,
    case_bands_svg,
    case_bands_words,
)
from softmend.pictures.year_strip import Edge, StripDay, year_strip_svg, year_strip_words
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.logger_file import Beside
from softmend.records.payload import as_plain
from softmend.records.place import ObjectInAir
from softmend.report.content import Working
from softmend.science.climate.record import DAY
from softmend.services.bench import Author, Bench
from softmend.services.places.account import Band, band_of, room_record
from softmend.services.places.beside import CaseBeside, case_beside
from softmend.services.places.clock import by_clock
from softmend.services.places.drawn import days_of, zone_named
from softmend.services.places.gases import Gas, gases_of
from softmend.services.places.keep import keep_place_run, kept_place_run
from softmend.services.places.nearest import loggers_for, record_for, words_of_record
from softmend.services.places.openings import CrackInPlans, cracks_in_plans, felt_climate
from softmend.services.places.plans import (
    BUFFERED,
    CASE,
    ROOM,
    Plan,
    Ranged,
    Tried,
    plans_of,
)
from softmend.services.places.reading import stated_of
from softmend.services.places.record import Record, computed
from softmend.services.places.tied import Tied, tied_in
from softmend.services.store import Reader
from softmend.services.workings import working

ABOUT = "climate"
SHOWN = ("air", "surface", "mean", "core")
MEASURE_FIRST = "Measure air exchange and case warming first: they drive what the case does."
CAUTIONS = (
    "A plan, not a promise: the model knows no hysteresis, no ageing, no salts, no old repairs, "
    "one radius and no pulp cavity. Look at the object.",
    "A band from the past does not vouch for an object whose joins are new.",
    "Low humidity stops mould and corrosion but opens cracks: composites need both looked at.",
)


@dataclass(frozen=True)
class PlacePage:
    """An object in its place as the page shows it; `lacks` says what is not said yet."""

    tied: Tied
    record: Record | None = None
    loggers: tuple[str, ...] = ()
    spoken: tuple[str, ...] = ()
    case_record: Record | None = None
    band: Band | None = None
    plans: tuple[Plan, ...] = ()
    here: str = ROOM
    sentences: tuple[str, ...] = ()
    wrong_mean: str = ""
    cracks: tuple[CrackInPlans, ...] = ()
    drawing: str = ""
    drawing_words: str = ""
    strip: str = ""
    strip_words: str = ""
    warnings: tuple[str, ...] = ()
    gases: tuple[Gas, ...] = ()
    beside: CaseBeside | None = None
    works: tuple[Working, ...] = ()
    lacks: tuple[str, ...] = ()

    @property
    def plan_here(self) -> Plan | None:
        """Return the plan that the object stands in today."""
        return next((one for one in self.plans if one.key == self.here), None)


def place_page(
    bench: Bench,
    reader: Reader,
    dossier_id: str,
    tried: Tried | None = None,
    *,
    is_quick: bool = False,
) -> PlacePage:
    """Return what an object's place does to it, whole or from a small sample; nothing is kept."""
    tied = tied_in(reader, dossier_id)
    lacks = tuple(_lacks(tied))
    if tied.place is None:
        return PlacePage(tied, lacks=lacks)
    loggers = loggers_for(reader, tied)
    record = record_for(bench, reader, tied)
    if record is None:
        return PlacePage(tied, lacks=(*lacks, "Nothing was logged in this room yet."))
    strip, strip_words = strip_of(record, tied.said, tied.place.place.zone)
    page = PlacePage(
        tied, record, band=_band(bench, record, tied), strip=strip, strip_words=strip_words,
        lacks=lacks, loggers=loggers, spoken=tuple(words_of_record(record, tied, loggers)),
    )  # fmt: skip
    if tied.said is None:
        return page
    said, case = tied.said, tied.case
    plans = plans_of(bench, record, said, case.case if case else None, tried, is_quick=is_quick)
    has_buffer = any(one.key == BUFFERED for one in plans)
    here = (BUFFERED if has_buffer else CASE) if case else ROOM
    bars = _bars(plans)
    limits = (said.low_limit_percent, said.high_limit_percent, record.sensor_percent)
    mean = _mean(bench, record, plans)
    own = _in_case(bench, reader, tied)
    return PlacePage(
        tied=tied,
        record=record,
        loggers=loggers,
        spoken=page.spoken,
        case_record=own,
        beside=_beside(own, record, next(one for one in plans if one.key == here)),
        band=page.band,
        plans=tuple(plans),
        here=here,
        sentences=tuple(_sentences(plans, here, said)),
        wrong_mean=_wrong_mean(mean, said, record.sensor_percent, has_case=case is not None),
        cracks=tuple(cracks_in_plans(reader, dossier_id, plans)),
        drawing=case_bands_svg(bars, *limits),
        drawing_words=case_bands_words(bars),
        strip=strip,
        strip_words=strip_words,
        warnings=_warnings(plans, record, _zone(tied)),
        gases=gases_of(case.case if case else None),
        works=() if is_quick else tuple(_works(plans)),
        lacks=lacks,
    )


def keep_place(bench: Bench, author: Author, dossier_id: str) -> Entry:
    """Keep what the place does to the object where it stands today, with all that was read."""
    with bench.store.reading() as reader:
        page = place_page(bench, reader, dossier_id)
    plan, record, tied = page.plan_here, page.record, page.tied
    if plan is None or record is None or plan.answer is None or tied.said is None:
        raise MissingEvidenceError(
            "Nothing can be kept of this place yet", remedy=" ".join(page.lacks)
        )
    mean = plan.where("mean")
    outputs = {
        "plan": plan.key,
        "answer": {name: one for name, one in plan.answer.items() if name != "points"},
        "felt": felt_climate(mean) if mean else {},
        "sentences": list(page.sentences),
        "wrong_mean": page.wrong_mean,
        "warnings": list(page.warnings),
        "band": _kept_band(page),
        "spoken": list(page.spoken),
        "record": f"{record.days:.0f} days, coverage {record.coverage_percent:.1f} %",
        "limits": [tied.said.low_limit_percent, tied.said.high_limit_percent],
        "limits_basis": tied.said.limits_basis,
        "sensor_percent": record.sensor_percent,
        "half_change_days": _half_change(page),
        "days": [as_plain(one) for one in strip_days(record, _zone(tied))],
        "gel": _gel(tied),
    }
    files = [
        {"logger_file": one.file.original_sha256, "reading": stated_of(one.file),
         "rh_offset_percent": one.file.rh_offset_percent,
         "temperature_offset_degc": one.file.temperature_offset_degc}
        for one in record.files
    ]  # fmt: skip
    ids = (*record.entry_ids, tied.stands_id, tied.said_id, tied.case.entry_id if tied.case else "")
    return keep_place_run(
        bench,
        author,
        dossier_id,
        computation="showcase.simulate" if tied.case else "climate.response",
        about=ABOUT,
        inputs={"files": files},
        outputs=outputs,
        read_entry_ids=ids,
    )


def kept_place(reader: Reader, dossier_id: str) -> tuple[Entry, dict[str, object], str] | None:
    """Return what was kept of the place, and why it is stale, or None."""
    kept = kept_place_run(reader, dossier_id, ABOUT)
    return None if kept is None else (kept[0], kept[1].outputs, kept[2])


def strip_of(record: Record, said: ObjectInAir | None, zone: str) -> tuple[str, str]:
    """Return the yearly picture of a room and its words."""
    days = strip_days(record, zone)
    edges: list[Edge] = []
    if said is not None:
        edges = strip_edges(said.low_limit_percent, said.high_limit_percent, record.sensor_percent)
    return year_strip_svg(days, edges), year_strip_words(days)


def strip_edges(low: float, high: float, sensor: float) -> list[Edge]:
    """Return the two humidities that hours are counted by, as wide as the sensor's error."""
    return [
        Edge(high, sensor, f"above {high:g} %, ± {sensor:g}"),
        Edge(low, sensor, f"below {low:g} %, ± {sensor:g}"),
    ]


def strip_days(record: Record, zone: str) -> list[StripDay]:
    """Return the days of the last year, each month named at its first day."""
    there = zone_named(zone)
    read = days_of(record)
    found, before = [], ""
    for one in read:
        month = f"{datetime.fromtimestamp(one.at_s + DAY / 2, UTC).astimezone(there):%b}"
        found.append(
            StripDay(
                round((one.at_s - read[0].at_s) / DAY),
                round(one.least_percent, 1),
                round(one.mean_percent, 1),
                round(one.most_percent, 1),
                month if before and month != before else "",
            )
        )
        before = month
    return found


def _kept_band(page: PlacePage) -> str:
    if page.band is None:
        return ""
    return str(page.band.answer["band"]) if page.band.is_yearly else page.band.refused


def _half_change(page: PlacePage) -> str:
    return page.plans[0].half_time if page.plans else ""


def _zone(tied: Tied) -> str:
    return tied.place.place.zone if tied.place else NOT_KNOWN


def _gel(tied: Tied) -> dict[str, object]:
    """Return the routine of the buffer, without what tells which case it is."""
    case = tied.case.case if tied.case else None
    if case is None or case.buffer_kg <= 0:
        return {}
    return {
        "routine": case.gel_routine,
        "checked_every_days": case.gel_checked_every_days,
        "conditioned_on": case.gel_conditioned_on,
        "start_percent": case.start_percent,
    }


def _lacks(tied: Tied) -> Iterator[str]:
    if tied.stands is None:
        yield "Where the object stands is not said."
    elif tied.place is None:
        yield "The place that it was tied to is not in this house."
    if tied.said is None:
        yield "The body that moisture enters is not said: a radius or a thickness is enough."


def _band(bench: Bench, record: Record, tied: Tied) -> Band:
    if tied.said is None:
        return band_of(bench, record)
    return band_of(bench, record, tied.said.stable, has_new_joins=tied.said.has_new_joins)


def _mean(bench: Bench, record: Record, plans: Sequence[Plan]) -> float:
    """Return the room's mean: that of what a case was run through, else of the twelve months."""
    for one in plans:
        if one.answer is not None and "room_mean_percent" in one.answer:
            return float(one.answer["room_mean_percent"])
    answer = computed(bench, record, "climate.band", {"stable": None, "new_joins": False})
    return float(answer["year_mean_percent"])


def _in_case(bench: Bench, reader: Reader, tied: Tied) -> Record | None:
    if tied.place is None or tied.case is None:
        return None
    return room_record(bench, reader, tied.place.subject_id, Beside.CASE, tied.case.subject_id)


def _beside(own: Record | None, room: Record, plan: Plan) -> CaseBeside | None:
    if own is None or plan.answer is None:
        return None
    return case_beside(own, room, plan.answer)


def _bars(plans: Sequence[Plan]) -> list[PlanBars]:
    words = {"air": "the air", "surface": "its surface", "mean": "its mean", "core": "its core"}
    return [
        PlanBars(
            one.key.capitalize(),
            tuple(
                Through(words[key], _three(where.least), _three(where.most))
                for key in SHOWN
                if (where := one.where(key)) is not None
            ),
        )
        for one in plans
    ]


def _three(one: Ranged) -> tuple[float, float, float]:
    return one.low, one.typical, one.high


def _sentences(plans: Sequence[Plan], here: str, said: ObjectInAir) -> Iterator[str]:
    plan = next(one for one in plans if one.key == here)
    found = {key: plan.where(key) for key in SHOWN}
    air, surface, core = found["air"], found["surface"], found["core"]
    if air is None or surface is None or core is None:
        return
    yield (
        f"{here.capitalize()} the air round it runs from {_about(air.least)} to "
        f"{_about(air.most)} %RH; its surface follows from {_about(surface.least)} to "
        f"{_about(surface.most)}, its core only from {_about(core.least)} to {_about(core.most)}."
    )
    counted = air if air.below is not None else found["mean"]
    if counted is not None and counted.below is not None and counted.above is not None:
        yield (
            f"That air is below {said.low_limit_percent:g} %RH for {counted.below.hours} hours a "
            f"year and above {said.high_limit_percent:g} for {counted.above.hours}."
        )
    if here != ROOM:
        yield MEASURE_FIRST


def _about(one: Ranged) -> str:
    return f"{one.typical:.0f}"


def _wrong_mean(mean: float, said: ObjectInAir, sensor: float, *, has_case: bool) -> str:
    """Return that a steady case will settle at the wrong mean, or within sensor error of it."""
    low, high = said.low_limit_percent, said.high_limit_percent
    limit = low if mean < (low + high) / 2 else high
    inside = mean - low if limit == low else high - mean
    if inside >= sensor:
        return ""
    settles = "this case will settle there" if has_case else "a case would settle there too"
    found = f"Your room averages {mean:.1f} ± {sensor:g} %RH"
    if has_case:
        found = f"Buffer steadies; it does not lift. {found}"
    if inside > -sensor:
        return (
            f"{found}, within the sensor's error of {limit:g}: {settles}. Compare the logger with "
            "a reference before trusting the steady case."
        )
    side = "below" if limit == low else "above"
    return (
        f"{found}, {side} {limit:g}: {settles}, steady at the wrong place. It needs conditioned "
        "gel, renewed again and again, or the room changed."
    )


def _warnings(plans: Sequence[Plan], record: Record, zone: str) -> tuple[str, ...]:
    told = dict.fromkeys(line for one in plans for line in one.warnings)
    said = (line for line in (*told, *CAUTIONS) if line not in record.flags)
    return tuple(by_clock(line, zone) for line in said)


def _works(plans: Sequence[Plan]) -> Iterator[Working]:
    for one in plans:
        if one.answer is not None:
            name = "climate.response" if one.key == ROOM else "showcase.simulate"
            yield working(name, one.key, one.answer)
