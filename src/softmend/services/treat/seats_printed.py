"""Trays and seats as the treatment record prints them: only what people answered and looked at."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Any

from softmend.errors import InputError, NotFoundError
from softmend.pictures.drawing import Drawing
from softmend.records.fragment import Fragment
from softmend.records.mark import Geometry, Shape
from softmend.records.seat import Verdict
from softmend.report.content import ReportView
from softmend.report.fragment_shown import Ring, SeatRow, SeatsShown, TrayShown
from softmend.report.treatment_report import TreatmentReport
from softmend.services.bench import Bench
from softmend.services.examine.printing import print_copy_path
from softmend.services.examine.quantities import scale_statement, scales_in
from softmend.services.examine.report_rows import scale_bar
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader
from softmend.services.treat.seat_overlay import Overlay, overlay_pictures
from softmend.services.treat.seats import (
    Candidate,
    Seats,
    SeatsAsked,
    found_seats,
    kept_seats,
    seats_asked,
    seats_shown,
)
from softmend.services.treat.trays import OnTray, flakes_on, measured_flake, trays_in

FLAKE_CODE = "F"
SOLID = 0.85


def with_seats(bench: Bench, dossier_id: str, report: TreatmentReport) -> TreatmentReport:
    """Return a treatment record with the seats that were looked at."""
    with bench.store.reading() as reader:
        return replace(report, seats=seats_printed(reader, bench, dossier_id))


def treatment_pictures(bench: Bench, dossier_id: str, report: TreatmentReport) -> dict[str, bytes]:
    """Return the pictures that a treatment record shows: hidden faces, trays, overlays."""
    hashes = {face.shown.picture for face in report.hidden if face.shown is not None}
    hashes |= {tray.shown.picture for tray in report.trays}
    kept = {
        sha256: print_copy_path(bench, sha256).read_bytes()
        for sha256 in sorted(hashes)
        if bench.store.files.has(sha256)
    }
    return kept | seat_pictures(bench, dossier_id, report.seats)


def trays_printed(reader: Reader, dossier_id: str) -> tuple[TrayShown, ...]:
    """Return each tray with the outlines that were accepted on it."""
    scales = scales_in(reader, dossier_id)
    found = []
    for tray in trays_in(reader, dossier_id):
        lying = [one for one in flakes_on(reader, dossier_id, tray.view_id) if not one.is_struck]
        if not lying:
            continue
        _, view = current_record(reader, dossier_id, "view", tray.view_id)
        scale = scales.get(tray.view_id)
        statement, run = scale_statement(scale)
        shown = ReportView(
            view,
            view.canonical_sha256,
            drawings=tuple(_drawing(one) for one in lying),
            scale_bar=scale_bar(scale, run),
            scale_statement=statement,
        )
        rows = tuple(_row(one, scale.inputs if scale else None) for one in lying)
        found.append(TrayShown(shown, rows))
    return tuple(found)


def seats_printed(reader: Reader, bench: Bench, dossier_id: str) -> tuple[SeatsShown, ...]:
    """Return what was seen of each fragment at each loss, by the answer that stands."""
    found = []
    for entry, search in current_records(reader, dossier_id, "seat_search"):
        try:
            question = seats_asked(reader, dossier_id, search)
        except (InputError, NotFoundError):
            # The outline or the scale went since; what was looked at stays in the journal.
            continue
        answer = found_seats(bench, question)
        if answer is None:
            continue
        seats = seats_shown(reader, dossier_id, question, answer)
        if seats.none_of_these is None and all(one.look is None for one in seats.candidates):
            continue
        kept = kept_seats(reader, dossier_id, entry.subject_id)
        said = f"kept {kept[0].at[:10]}, method version {answer['version']}" if kept else ""
        found.append(_shown(question, seats, said))
    return tuple(found)


def seat_pictures(bench: Bench, dossier_id: str, shown: tuple[SeatsShown, ...]) -> dict[str, bytes]:
    """Return the overlays that are printed, by their names."""
    from softmend.intake.overlay import laid_over_jpeg

    wanted = {one.picture for one in shown if one.picture}
    pictures = {}
    with bench.store.reading() as reader:
        for _, search in current_records(reader, dossier_id, "seat_search"):
            for name, question, one in _nameable(reader, bench, dossier_id, search):
                if name in wanted:
                    both = overlay_pictures(bench, question, one.loss, one.answer)
                    pictures[name] = laid_over_jpeg(both["loss.jpg"], both["flake.png"], SOLID)
    return pictures


def _nameable(
    reader: Reader, bench: Bench, dossier_id: str, search: Any
) -> list[tuple[str, SeatsAsked, Candidate]]:
    try:
        question = seats_asked(reader, dossier_id, search)
    except (InputError, NotFoundError):
        return []
    answer = found_seats(bench, question)
    if answer is None:
        return []
    shown = seats_shown(reader, dossier_id, question, answer)
    return [(_name(question, one), question, one) for one in shown.candidates]


def _name(question: SeatsAsked, one: Candidate) -> str:
    return f"seat-{question.fragment.number}-{one.loss.mark.number}"


def _shown(question: SeatsAsked, seats: Seats, kept: str) -> SeatsShown:
    looked = [one for one in seats.candidates if one.look is not None]
    rows = tuple(_seat_row(question.fragment, one, is_ranked=seats.is_ranked) for one in looked)
    none = seats.none_of_these.seen_observed if seats.none_of_these else ""
    shown = SeatsShown(question.fragment.number, rows, none, kept)
    fitting = [one for one in looked if one.look and one.look.verdict is Verdict.FITS]
    if not fitting:
        return shown
    one = fitting[0]
    laid = Overlay.of(one.loss, one.answer)
    return SeatsShown(
        shown.fragment,
        rows,
        none,
        kept,
        picture=_name(question, one),
        picture_of=f"mark {one.loss.mark.number}",
        size_px=(laid.width, laid.height),
        flake=_placed(laid, one.answer["overlay"]),
        loss=_placed(laid, one.loss.seen.geometry.parts[0]),
    )


def _placed(laid: Overlay, ring: Any) -> Ring:
    return tuple(
        (round((x - laid.left) * laid.zoom, 1), round((y - laid.top) * laid.zoom, 1))
        for x, y in ring
    )


def _seat_row(fragment: Fragment, one: Candidate, *, is_ranked: bool) -> SeatRow:
    place = f"mark {one.loss.mark.number}"
    said = f"{one.look.verdict.value}: {one.look.seen_observed}" if one.look else ""
    figures = (
        one.answer["text"],
        f"uniqueness {one.answer['uniqueness']['text']}",
    )
    evidence = "; ".join(
        f"{each.code.value}: {each.reason_observed}"
        for each in fragment.evidence
        if each.place == place
    )
    return SeatRow(place, said, figures if is_ranked else (), evidence or "none recorded")


def _drawing(one: OnTray) -> Drawing:
    return Drawing(FLAKE_CODE, one.label, Geometry(Shape.AREA, (one.outline.outline_px,)))


def _row(one: OnTray, scale: dict[str, Any] | None) -> tuple[str, str, str]:
    size = measured_flake(one.outline.outline_px, scale)
    text = (
        f"{size['area']['area_mm2']['text']}, {size['length']['length_mm']['text']}"
        if size
        else "no scale"
    )
    name = f"fragment {one.fragment.number}" if one.fragment else f"outline {one.outline.letter}"
    return name, text, one.outline.drawn_how
