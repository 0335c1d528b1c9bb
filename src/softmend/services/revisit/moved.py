"""What moved, crack by crack: in words, as a state offered to the person, as a measured opening."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import InputError
from softmend.records.comparison_of_views import ComparisonOfViews
from softmend.records.entry import Entry
from softmend.records.mark import Mark, State
from softmend.records.opening import MeasuredOpening, OpeningWay, WidthReading
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.examine.suggesting import Suggested, lines_of
from softmend.services.explain.measured_opening import measured_opening, record_opening
from softmend.services.recording import current_record
from softmend.services.revisit.comparing import Asked, asked, comparison_between, keep_holding
from softmend.services.store import Reader


@dataclass(frozen=True)
class CrackMoved:
    """One crack of a comparison: its answer, and the state that may be recorded, with grounds.

    `offered` is None where nothing can be said; `is_recorded` says that the mark stands so.
    """

    entry: Entry
    mark: Mark
    answer: dict[str, Any]
    offered: State | None
    grounds: str

    @property
    def is_recorded(self) -> bool:
        """Say whether the mark has this state on these grounds already."""
        return self.mark.state is self.offered and self.mark.state_grounds == self.grounds

    @property
    def finding(self) -> str:
        """Return what was found, in one sentence."""
        said = self.answer["text"] or self.answer["reason"] or self.answer["state"]
        return f"{said.rstrip('.')}."


def cracks_moved(question: Asked, outputs: dict[str, Any]) -> list[CrackMoved]:
    """Return each crack that was compared, in the order of the marks."""
    by_number = {one["number"]: one for one in outputs["cracks"]}
    grounds = grounds_of(question, outputs)
    found = []
    for entry, mark in question.marks:
        answer = by_number.get(mark.number)
        if answer is None:
            continue
        state = State(answer["state"])
        offered = None if state is State.NOT_KNOWN else state
        found.append(CrackMoved(entry, mark, answer, offered, grounds))
    return found


def grounds_of(question: Asked, outputs: dict[str, Any]) -> str:
    """Return the grounds of a state: two dates, the smallest change that shows, and the air."""
    how = "measured" if outputs["is_floor_measured"] else "no second photograph of the first day"
    return (
        f"views {question.earlier.number} and {question.later.number}, "
        f"{day_of(question.earlier)} and {day_of(question.later)}; "
        f"floor {outputs['floor_px']:.2g} px, {how}; {air_words(question.comparison)}"
    )


def air_words(comparison: ComparisonOfViews) -> str:
    """Return the air of both dates in words; what is not known is said."""
    percents = (comparison.earlier_percent, comparison.later_percent)
    degrees = (comparison.earlier_degc, comparison.later_degc)
    humid = " and ".join("not known" if one is None else f"{one:g}" for one in percents)
    warm = " and ".join("not known" if one is None else f"{one:g}" for one in degrees)
    known = any(one is not None for one in percents)
    spread = f" ± {comparison.air_expanded_percent:g}" if known else ""
    return f"{humid}{spread} %RH, {warm} °C"


def day_of(view: View) -> str:
    """Return the day that a view was taken on, or that it is not known."""
    return view.taken_on if view.taken_on != "not known" else "a day not known"


def record_state(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    question: Asked,
    outputs: dict[str, Any],
    based_on: str,
) -> Entry:
    """Record what was shown of a crack as the state of its mark, because a person says so."""
    one = _of_mark(question, outputs, mark_id)
    if one.offered is None:
        raise InputError(
            f"Of mark {one.mark.number} nothing can be said",
            value=one.finding,
            remedy="Leave its state as not known",
        )
    with bench.store.reading() as reader:
        _, mark = current_record(reader, dossier_id, "mark", mark_id)
    entry = record_mark(
        bench,
        author,
        dossier_id,
        replace(mark, state=one.offered, state_grounds=one.grounds),
        subject_id=mark_id,
        based_on=based_on,
    )
    ids = (question.comparison.earlier_view_id, question.comparison.later_view_id)
    with bench.store.reading() as reader:
        standing = comparison_between(reader, *ids)
        now = asked(reader, dossier_id, *standing) if standing else question
    keep_holding(bench, author, dossier_id, now)
    return entry


def record_as_opening(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    question: Asked,
    outputs: dict[str, Any],
) -> Entry:
    """Record both widths of a crack as its measured opening, which stands before every model."""
    one = _of_mark(question, outputs, mark_id)
    readings = one.answer["readings"]
    if readings is None:
        raise InputError(
            f"Mark {one.mark.number} was not read at two humidities",
            allowed="a scale on the earlier view, and humidities far enough apart",
            remedy="Compare two dates whose humidity differs, or read a gauge",
        )
    days = (day_of(question.earlier), day_of(question.later))
    opening = MeasuredOpening(
        way=OpeningWay.PHOTOGRAPHS,
        readings=tuple(
            WidthReading(
                read_on=day,
                width_mm=readings[f"{which}_width_mm"]["value"]["value"],
                expanded_mm=readings[f"{which}_width_mm"]["value"]["expanded"],
                air_percent=readings[f"{which}_percent"]["value"]["value"],
                air_expanded_percent=readings[f"{which}_percent"]["value"]["expanded"],
            )
            for day, which in zip(days, ("first", "second"), strict=True)
        ),
        measured_with="both photographs, slab and blur in linear light",
        note_observed=one.grounds,
    )
    with bench.store.reading() as reader:
        standing = measured_opening(reader, dossier_id, mark_id)
    based_on = standing.entry_id if standing else ""
    return record_opening(bench, author, dossier_id, mark_id, opening, based_on)


def mark_has_opening(reader: Reader, dossier_id: str, mark_id: str) -> bool:
    """Say whether a mark has a measured opening already."""
    return measured_opening(reader, dossier_id, mark_id) is not None


def new_cracks(question: Asked, outputs: dict[str, Any]) -> list[Suggested]:
    """Return the suggested new cracks as lines on the later view, in its own pixels."""
    from softmend.science.photo.laid import on_later

    plane = outputs["whole"]["to_earlier"]
    return [
        Suggested(
            view_id=question.comparison.later_view_id,
            line_px=tuple(
                (round(float(x), 2), round(float(y), 2))
                for x, y in on_later([list(at) for at in line], plane)
            ),
            method="lines of the later photograph that the earlier does not show",
            version="1",
            sensitivity=50.0,
        )
        for line in lines_of(outputs["new_cracks"])
    ]


def _of_mark(question: Asked, outputs: dict[str, Any], mark_id: str) -> CrackMoved:
    for one in cracks_moved(question, outputs):
        if one.entry.subject_id == mark_id:
            return one
    raise InputError(
        "This mark was not compared", remedy="Trace it on the earlier view, then compare again"
    )
