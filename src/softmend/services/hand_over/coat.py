"""Coat or not: the same object open, coated, in a case and in a case with buffer, side by side."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import InputError
from softmend.records.crack_model import Basis, Told
from softmend.records.entry import Entry
from softmend.records.proposal import Coating
from softmend.records.showcase import Showcase
from softmend.report.content import Working
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.places.drawn import season_swing
from softmend.services.places.keep import keep_place_run, kept_place_run
from softmend.services.places.nearest import record_for
from softmend.services.places.plans import body_payload, case_payload
from softmend.services.places.record import Record
from softmend.services.places.tied import Tied, tied_in
from softmend.services.propose.proposals import proposal_in, write_proposal
from softmend.services.store import Reader
from softmend.services.workings import working
from softmend.tables import table

ABOUT = "coat"
ASSUMED_SWING = 12.0
ASSUMED_CASE = Showcase("", "a case of 1 m³", 1.0, None, "regular gel", 4.0,
                        Told(1.5, 2.0, 2.5, Basis.RECALLED, "regular gel"))  # fmt: skip


@dataclass(frozen=True)
class CoatPage:
    """The four ways side by side and what a film would add; `lacks` says what is not said yet."""

    tied: Tied
    film: str
    films: tuple[str, ...]
    swing_percent: float = ASSUMED_SWING
    swing_from: str = ""
    answer: Outcome | None = None
    assumed: tuple[str, ...] = ()
    lacks: str = ""
    work: Working | None = None
    payload: dict[str, Any] | None = None
    record: Record | None = None


def films() -> tuple[str, ...]:
    """Return the films that the table knows."""
    return tuple(str(row["film"]) for row in table("coating_films").rows)


def coat_page(bench: Bench, reader: Reader, dossier_id: str, film: str = "") -> CoatPage:
    """Return what reaches the object in each way over day, week, month and year."""
    tied = tied_in(reader, dossier_id)
    known = films()
    chosen = film if film in known else known[0]
    if tied.said is None:
        return CoatPage(tied, chosen, known, lacks="The body that moisture enters is not said.")
    record = record_for(bench, reader, tied)
    swing, swing_from, mean = _swing(record)
    case, assumed = _case(tied)
    payload: dict[str, Any] = {
        "body": body_payload(tied.said),
        "film_name": chosen,
        "case": {name: one for name, one in case_payload(case).items() if name != "start_percent"},
        "swing_percent": swing,
        "low_limit_percent": tied.said.low_limit_percent,
        "high_limit_percent": tied.said.high_limit_percent,
    }
    if mean is not None and record is not None:
        payload |= {"room_mean_percent": mean, "sensor_percent": record.sensor_percent}
    try:
        answer = outcome("coating.worth", payload)
    except InputError as refused:
        return CoatPage(tied, chosen, known, swing, swing_from, lacks=refused.sentence())
    work = working("coating.worth", "coat or not", answer)
    return CoatPage(
        tied, chosen, known, swing, swing_from, answer, tuple(assumed), "", work, payload, record
    )


def decide_coating(
    bench: Bench, author: Author, dossier_id: str, coating: Coating, film: str, based_on: str
) -> Entry:
    """Record the decision as the proposal's own answer, and keep what it was decided on."""
    with bench.store.reading() as reader:
        page = coat_page(bench, reader, dossier_id, film)
        _entry_id, before = proposal_in(reader, dossier_id)
    entry = write_proposal(bench, author, dossier_id, replace(before, coating=coating), based_on)
    if page.answer is not None and page.payload is not None:
        tied = page.tied
        ids = (tied.said_id, tied.case.entry_id if tied.case else "",
               *(page.record.entry_ids if page.record else ()))  # fmt: skip
        keep_place_run(
            bench,
            author,
            dossier_id,
            computation="coating.worth",
            about=ABOUT,
            inputs=page.payload,
            outputs=page.answer | {"assumed": list(page.assumed), "swing_from": page.swing_from},
            read_entry_ids=ids,
        )
    return entry


def kept_coat(reader: Reader, dossier_id: str) -> tuple[Entry, Outcome, str] | None:
    """Return what a decision on coating was taken on, and why it is stale, or None."""
    kept = kept_place_run(reader, dossier_id, ABOUT)
    return None if kept is None else (kept[0], kept[1].outputs, kept[2])


def _swing(record: Record | None) -> tuple[float, str, float | None]:
    if record is None:
        return ASSUMED_SWING, "assumed: no record of the room", None
    mean = float(record.hours.rh.mean())
    swing = season_swing(record)
    if swing is None:
        return ASSUMED_SWING, "assumed: the record has not seen a whole year", mean
    return swing, "half the span of the monthly means of the room's record", mean


def _case(tied: Tied) -> tuple[Showcase, Sequence[str]]:
    if tied.case is None:
        return ASSUMED_CASE, (
            "No case is described: one of 1 m³ with 4 kg of regular gel was taken, its air "
            "exchange guessed.",
        )
    case = tied.case.case
    if case.buffer_kg > 0:
        return case, ()
    with_gel = replace(
        case,
        buffer_kg=4 * case.volume_m3,
        capacity_g_per_kg=ASSUMED_CASE.capacity_g_per_kg,
    )
    return with_gel, ("The case has no buffer: 4 kg of regular gel for each m³ were taken.",)
