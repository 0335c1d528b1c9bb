"""Zones: a new body zone is cut against its neighbours; tone never lies on original."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from softmend.errors import InputError, RuleError
from softmend.records.drawing import checked_rings
from softmend.records.entry import Entry
from softmend.records.mark import Position
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.recording import append_record, current_record, current_records
from softmend.services.store import Reader, Writer

if TYPE_CHECKING:
    from softmend.science.photo.partition import Region

Rings = tuple[tuple[Position, ...], ...]


def record_body_zone(
    bench: Bench,
    author: Author,
    dossier_id: str,
    zone: BodyZone,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> list[Entry]:
    """Record a body zone cut against its neighbours, and the neighbours' shared vertices with it.

    The zone comes first in the answer; pieces that a neighbour cuts off get numbers of their own.
    """
    from softmend.science.photo.partition import cut_against

    subject_id = subject_id or bench.fresh_id()
    with bench.store.writing() as writer:
        rings = _checked_rings(writer, dossier_id, zone.view_id, zone.rings)
        if zone.body is Body.ORIGINAL:
            _refuse_original_under_tone(writer, dossier_id, replace(zone, rings=rings))
        neighbours = [
            (entry, other)
            for entry, other in current_records(writer, dossier_id, "body_zone")
            if other.view_id == zone.view_id and entry.subject_id != subject_id
        ]
        cut = cut_against(_region(rings), [_region(other.rings) for _, other in neighbours])
        changes = [(subject_id, based_on, replace(zone, rings=_rings(cut.pieces[0])))]
        changes += [
            (bench.fresh_id(), "", replace(zone, rings=_rings(piece))) for piece in cut.pieces[1:]
        ]
        changes += [
            (entry.subject_id, entry.id, replace(other, rings=_rings(kept)))
            for (entry, other), kept in zip(neighbours, cut.neighbours, strict=True)
            if _rings(kept) != other.rings
        ]
        entries = [
            append_record(
                bench,
                writer,
                author,
                dossier_id=dossier_id,
                subject_id=changed_id,
                record=replace(
                    changed, number=_number(writer, dossier_id, "body_zone", changed_id)
                ),
                based_on=seen,
            )
            for changed_id, seen, changed in changes
        ]
        writer.drop_draft(author.person_id, "body_zone", subject_id)
        writer.commit()
    return entries


def record_on_zone(
    bench: Bench,
    author: Author,
    dossier_id: str,
    zone: OnZone,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record what lies on the body; new tone over original is refused (rule 7)."""
    with bench.store.writing() as writer:
        rings = _checked_rings(writer, dossier_id, zone.view_id, zone.rings)
        checked = replace(zone, rings=rings)
        if zone.on_it is OnIt.NEW_TONE:
            _refuse_tone_on_original(writer, dossier_id, checked)
        subject_id = subject_id or bench.fresh_id()
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=replace(checked, number=_number(writer, dossier_id, "on_zone", subject_id)),
            based_on=based_on,
        )
        writer.drop_draft(author.person_id, "on_zone", subject_id)
        writer.commit()
    return entry


def zones_on_view(
    reader: Reader, dossier_id: str, view_id: str
) -> tuple[list[tuple[Entry, BodyZone]], list[tuple[Entry, OnZone]]]:
    """Return the zones of both levels that are drawn on a view."""
    body = current_records(reader, dossier_id, "body_zone")
    on_it = current_records(reader, dossier_id, "on_zone")
    return (
        [(entry, zone) for entry, zone in body if zone.view_id == view_id],
        [(entry, zone) for entry, zone in on_it if zone.view_id == view_id],
    )


def _refuse_tone_on_original(reader: Reader, dossier_id: str, tone: OnZone) -> None:
    for _, body in current_records(reader, dossier_id, "body_zone"):
        if body.view_id == tone.view_id and body.body is Body.ORIGINAL:
            _refuse_overlap(tone, body, f"This tone lies over original zone {body.number}")


def _refuse_original_under_tone(reader: Reader, dossier_id: str, body: BodyZone) -> None:
    for _, tone in current_records(reader, dossier_id, "on_zone"):
        if tone.view_id == body.view_id and tone.on_it is OnIt.NEW_TONE:
            _refuse_overlap(tone, body, f"This original lies under the tone of zone {tone.number}")


def _refuse_overlap(tone: OnZone, body: BodyZone, words: str) -> None:
    from softmend.science.photo.partition import Meeting, meeting, overlap_width_px

    accuracy_px = max(tone.accuracy_px, body.accuracy_px)
    drawn, original = _region(tone.rings), _region(body.rings)
    if meeting(drawn, original, accuracy_px) is Meeting.OVERLAPPING:
        raise RuleError(
            f"{words} by up to {overlap_width_px(drawn, original):.1f} px; "
            f"the drawing is exact to ± {accuracy_px:g} px",
            rule=7,
            remedy="Draw the tone on the fill only",
        )


def _checked_rings(reader: Reader, dossier_id: str, view_id: str, rings: Rings) -> Rings:
    _, view = current_record(reader, dossier_id, "view", view_id)
    if not rings:
        raise InputError("A zone needs its outline", remedy="Draw it on the photograph")
    return checked_rings(rings, view.width_px, view.height_px)


def _number(writer: Writer, dossier_id: str, kind: str, subject_id: str) -> int:
    if not writer.history(kind, subject_id):
        return writer.next_number(dossier_id, kind)
    _, standing = current_record(writer, dossier_id, kind, subject_id)
    number: int = standing.number
    return number


def _region(rings: Rings) -> Region:
    from softmend.science.photo.partition import region

    outline, *holes = ([list(point) for point in ring] for ring in rings)
    return region(outline, holes)


def _rings(area: Region) -> Rings:
    return tuple(_ring(ring) for ring in (area.outline, *area.holes))


def _ring(points: Iterable[Iterable[float]]) -> tuple[Position, ...]:
    return tuple((round(float(x), 2) + 0.0, round(float(y), 2) + 0.0) for x, y in points)
