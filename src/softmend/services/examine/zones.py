"""Zones: a new body zone is cut against its neighbours; tone never lies on original."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from softmend.errors import InputError, RuleError
from softmend.records.drawing import checked_rings
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import Position
from softmend.records.passing import Passed, passing_of
from softmend.records.zone import Body, BodyZone, OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import scale_statement, scales_in
from softmend.services.passing import append_pass, passings_in
from softmend.services.recording import append_record, current_record, current_records
from softmend.services.store import Reader, Writer

if TYPE_CHECKING:
    from softmend.science.photo.partition import Region

Rings = tuple[tuple[Position, ...], ...]


@dataclass(frozen=True)
class Yes:
    """A named person's pass of rule 7 for a tone over original: why, who, and what they saw.

    `about` names the overlaps as the refusal did; where it is given, the pass holds for no other.
    """

    because: str = ""
    by: str = ""
    about: tuple[str, ...] = ()


NOBODY = Yes()


class ToneOnOriginalError(RuleError):
    """New tone over original; it carries what a pass would be about, one line an overlap."""

    def __init__(self, sentences: Sequence[str], about: tuple[str, ...]) -> None:
        """Say every overlap, and both ways out."""
        self.about = about
        super().__init__(
            "; ".join(sentences),
            rule=7,
            remedy="Draw the tone on the fill only; or a named person passes the rule where the "
            "zone is recorded, and the reason is printed",
        )


def record_body_zone(
    bench: Bench,
    author: Author,
    dossier_id: str,
    zone: BodyZone,
    *,
    passed: Yes = NOBODY,
    subject_id: str = "",
    based_on: str = "",
) -> list[Entry]:
    """Record a body zone cut against its neighbours, and the neighbours' shared vertices with it.

    The zone comes first in the answer; pieces that a neighbour cuts off get numbers of their own.
    Original that lies under new tone needs a named person's pass (rule 7).
    """
    from softmend.science.photo.partition import cut_against

    subject_id = subject_id or bench.fresh_id()
    with bench.store.writing() as writer:
        rings = _checked_rings(writer, dossier_id, zone.view_id, zone.rings)
        if zone.body is Body.ORIGINAL:
            number = _number(writer, dossier_id, "body_zone", subject_id)
            under = replace(zone, rings=rings, number=number)
            found = _original_under_tone(writer, dossier_id, under)
            _pass_or_refuse(bench, writer, author, dossier_id, found, passed)
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
    passed: Yes = NOBODY,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record what lies on the body; new tone over original needs a named person's pass (rule 7)."""
    with bench.store.writing() as writer:
        rings = _checked_rings(writer, dossier_id, zone.view_id, zone.rings)
        subject_id = subject_id or bench.fresh_id()
        number = _number(writer, dossier_id, "on_zone", subject_id)
        checked = replace(zone, rings=rings, number=number)
        found = _tone_on_original(writer, dossier_id, checked)
        _pass_or_refuse(bench, writer, author, dossier_id, found, passed)
        entry = append_record(
            bench,
            writer,
            author,
            dossier_id=dossier_id,
            subject_id=subject_id,
            record=checked,
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


def bring_back_zone(bench: Bench, author: Author, earlier: Entry, based_on: str) -> Entry:
    """Bring back an earlier state of a zone under today's rules: cut anew, tone off original."""
    zone, dossier_id = record_in(earlier), earlier.dossier_id
    subject_id = earlier.subject_id
    if isinstance(zone, BodyZone):
        return record_body_zone(
            bench, author, dossier_id, zone, subject_id=subject_id, based_on=based_on
        )[0]
    return record_on_zone(bench, author, dossier_id, zone, subject_id=subject_id, based_on=based_on)


@dataclass(frozen=True)
class _Over:
    """One tone over one original: how a pass names it, and how it is said.

    A pass that was given before the view had a scale names the width in the view's pixels.
    """

    about: str
    sentence: str
    about_before: str


def _pass_or_refuse(
    bench: Bench, writer: Writer, author: Author, dossier_id: str, found: list[_Over], passed: Yes
) -> None:
    """Record a named person's pass of every overlap, or refuse them all in one sentence."""
    about = tuple(one.about for one in found)
    if not found:
        return
    if not passed.because.strip() or (passed.about and set(about) - set(passed.about)):
        raise ToneOnOriginalError([one.sentence for one in found], about)
    for one in about:
        said = Passed(7, one, passed.because.strip(), passed.by.strip())
        append_pass(bench, writer, author, dossier_id, said)


def _tone_on_original(reader: Reader, dossier_id: str, zone: OnZone) -> list[_Over]:
    if zone.on_it is not OnIt.NEW_TONE:
        return []
    body = [body for _, body in current_records(reader, dossier_id, "body_zone")]
    scale = _px_per_mm(reader, dossier_id, zone.view_id)
    found = [_over(zone, one, "This tone lies over original zone {body}", scale) for one in body]
    return _not_passed(reader, dossier_id, found)


def _original_under_tone(reader: Reader, dossier_id: str, body: BodyZone) -> list[_Over]:
    tones = [tone for _, tone in current_records(reader, dossier_id, "on_zone")]
    scale = _px_per_mm(reader, dossier_id, body.view_id)
    words = "This original lies under the tone of zone {tone}"
    found = [_over(one, body, words, scale) for one in tones]
    return _not_passed(reader, dossier_id, found)


def _not_passed(reader: Reader, dossier_id: str, found: list[_Over | None]) -> list[_Over]:
    passings = passings_in(reader, dossier_id)
    return [
        one
        for one in found
        if one
        and passing_of(passings, 7, one.about) is None
        and passing_of(passings, 7, one.about_before) is None
    ]


def _px_per_mm(reader: Reader, dossier_id: str, view_id: str) -> float | None:
    """Return the scale of a view, or None where it has none that can be used."""
    _, answer = scale_statement(scales_in(reader, dossier_id).get(view_id))
    return None if answer is None else float(answer["scale_px_per_mm"]["mean"])


def _over(tone: OnZone, body: BodyZone, words: str, px_per_mm: float | None) -> _Over | None:
    from softmend.science.photo.partition import Meeting, meeting, overlap_width_px

    is_asked = tone.on_it is OnIt.NEW_TONE and body.body is Body.ORIGINAL
    if not is_asked or tone.view_id != body.view_id:
        return None
    accuracy_px = max(tone.accuracy_px, body.accuracy_px)
    drawn, original = _region(tone.rings), _region(body.rings)
    if meeting(drawn, original, accuracy_px) is not Meeting.OVERLAPPING:
        return None
    wide_px = overlap_width_px(drawn, original)
    before = f"tone of zone {tone.name} over original zone {body.name} by up to {wide_px:.1f} px"
    about, exact = before, f"{accuracy_px:g} px"
    if px_per_mm is not None:
        wide = f"by up to {wide_px / px_per_mm:.2g} mm"
        about = f"tone of zone {tone.name} over original zone {body.name} {wide}"
        exact = f"{accuracy_px / px_per_mm:.2g} mm"
    said = f"{words.format(tone=tone.name, body=body.name)} {about[about.index('by up to') :]}"
    return _Over(about, f"{said}, where the drawing is exact to ± {exact}", before)


def _checked_rings(reader: Reader, dossier_id: str, view_id: str, rings: Rings) -> Rings:
    _, view = current_record(reader, dossier_id, "view", view_id)
    if not rings:
        raise InputError("A zone needs its outline", remedy="Draw it on the photograph")
    return checked_rings(rings, view.width_px, view.height_px)


def _number(writer: Writer, dossier_id: str, kind: str, subject_id: str) -> int:
    if not writer.history(kind, subject_id):
        return writer.next_number(dossier_id, kind)
    standing = record_in(writer.history(kind, subject_id)[0])
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
