"""Seats: losses that a flake may have come from, looked at by eye; nothing is placed here."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.canonical import canonical_json
from softmend.records.entry import Entry
from softmend.records.fragment import Fragment
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.seat import (
    SeatLook,
    SeatSearch,
    Verdict,
    checked_look,
    checked_search,
    may_be_ranked,
)
from softmend.records.tray import FlakeOutline
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_in
from softmend.services.examine.quantities import Scaled, scales_in
from softmend.services.examine.views import views_in
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.runs import kept_run_about, record_run
from softmend.services.store import Reader
from softmend.services.treat.trays import outline_of

COMPUTATION = "fragment.seats"
ANSWER = "answer.json"
LOSS_TERMS = ("loss", "lacuna", "chip", "flaking")
AT_ONCE = 6
"""So many losses are looked at while the person waits; more in a job."""

MOST = 6


@dataclass(frozen=True)
class Loss:
    """A marked loss as it was drawn on one photograph whose scale is set."""

    entry: Entry
    mark: Mark
    seen: Sighting
    view: View
    view_entry: Entry
    scale: Scaled


@dataclass(frozen=True)
class SeatsAsked:
    """What is asked of one flake: its outline, the losses, and where the answer lies."""

    search: SeatSearch
    fragment: Fragment
    outline: FlakeOutline
    tray: View
    losses: tuple[Loss, ...]
    inputs: dict[str, Any]
    read_entry_ids: tuple[str, ...]

    @property
    def folder_name(self) -> str:
        """Return the name of the answer's folder: other inputs have another."""
        key = hashlib.sha256(canonical_json(self.inputs).encode()).hexdigest()
        return f"seats-{key[:32]}"

    def loss(self, number: int) -> Loss:
        """Return a loss by its mark's number."""
        return next(one for one in self.losses if one.mark.number == number)


@dataclass(frozen=True)
class Candidate:
    """One candidate seat: the loss, the figures of its fit, and what was seen there, if anybody."""

    loss: Loss
    answer: dict[str, Any]
    look: SeatLook | None

    @property
    def mark_id(self) -> str:
        """Return the id of the loss's mark."""
        return self.loss.entry.subject_id


@dataclass(frozen=True)
class Seats:
    """The candidates of one flake: unranked by mark until each was looked at, then by fit."""

    candidates: tuple[Candidate, ...]
    none_of_these: SeatLook | None
    is_ranked: bool
    answer: dict[str, Any]

    @property
    def left(self) -> int:
        """Return how many overlays nobody has looked at."""
        return sum(one.look is None for one in self.candidates)


def losses_in(reader: Reader, dossier_id: str) -> list[Loss]:
    """Return the marked losses that are drawn as an area on a view with a scale."""
    scales = scales_in(reader, dossier_id)
    views = {entry.subject_id: (entry, view) for entry, view in views_in(reader, dossier_id)}
    found = []
    for entry, mark in marks_in(reader, dossier_id):
        if mark.term_id not in LOSS_TERMS:
            continue
        seen = [
            one
            for one in mark.sightings
            if one.geometry.shape is Shape.AREA and one.view_id in scales and one.view_id in views
        ]
        if seen:
            # The view that shows the edge in most pixels shows it best.
            best = max(seen, key=lambda one: _reach(one.geometry))
            view_entry, view = views[best.view_id]
            scale = scales[best.view_id]
            found.append(Loss(entry, mark, best, view, view_entry, scale))
    return found


def search_of(reader: Reader, dossier_id: str, fragment_id: str) -> tuple[Entry, SeatSearch] | None:
    """Return the search that stands for a fragment, or None while nobody looked for seats."""
    for entry, search in current_records(reader, dossier_id, "seat_search"):
        if search.fragment_id == fragment_id:
            return entry, search
    return None


def record_search(bench: Bench, author: Author, dossier_id: str, search: SeatSearch) -> Entry:
    """Record how seats are looked for; it stands in place of an earlier search."""
    checked = checked_search(search)
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "fragment", search.fragment_id)
        standing = reader.latest("seat_search", search.fragment_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=search.fragment_id,
        record=checked,
        based_on=standing.id if standing else "",
    )


def seats_asked(reader: Reader, dossier_id: str, search: SeatSearch) -> SeatsAsked:
    """Return what a search asks as things stand; refused while there is nothing to look at."""
    fragment_entry, fragment = current_record(reader, dossier_id, "fragment", search.fragment_id)
    outline_entry, outline = outline_of(reader, dossier_id, search.fragment_id)
    tray_entry, tray = current_record(reader, dossier_id, "view", outline.view_id)
    scale = scales_in(reader, dossier_id).get(outline.view_id)
    if scale is None:
        raise InputError(
            "The tray's photograph has no scale", remedy="Set its scale, then look for seats"
        )
    losses = tuple(losses_in(reader, dossier_id))
    if not losses:
        raise InputError(
            "No loss is marked that a flake could fit into",
            allowed="losses drawn as areas on a photograph whose scale is set",
            remedy="Draw the edge of each loss on a close photograph, and set its scale",
        )
    common = _common_view(losses)
    inputs: dict[str, Any] = {
        "flake": {"outline_px": [list(at) for at in outline.outline_px]},
        "flake_scale": scale.inputs,
        "scale": common.scale.inputs,
        "losses": [_told(one, common) for one in losses],
        "tray_file": tray.canonical_sha256,
        "object_file": common.view.canonical_sha256,
        "wear_mm": search.wear_mm,
        "gap_mm": search.gap_mm,
        "over_mm": search.over_mm,
        "either_side_up": search.either_side_up,
        "most": MOST,
    }
    read = (
        fragment_entry.id, outline_entry.id, tray_entry.id, scale.entry_id,
        *dict.fromkeys(one for loss in losses
                       for one in (loss.entry.id, loss.view_entry.id, loss.scale.entry_id)),
    )  # fmt: skip
    return SeatsAsked(search, fragment, outline, tray, losses, inputs, read)


def look_for_seats(jobs: Jobs | None, bench: Bench, dossier_id: str, question: SeatsAsked) -> str:
    """Look for seats: at once among few losses (returns ""), else in a job (its id)."""
    files = {
        name: str(bench.store.files.path(question.inputs[name]))
        for name in ("tray_file", "object_file")
    }
    folder = answer_folder(bench, question)
    work = (json.dumps(question.inputs), json.dumps(files), str(folder))
    if jobs is None or len(question.losses) <= AT_ONCE:
        seats_found(folder, _say_nothing, *work)
        return ""
    return jobs.start("seats", dossier_id, seats_found, *work)


def seats_found(_: Path, report: Report, inputs_text: str, files_text: str, folder: str) -> str:
    """Look for the seats of one flake, in a process of its own where the losses are many."""
    from softmend.intake.canonical import read_canonical

    report(0, 2, "reading both photographs")
    paths: dict[str, str] = json.loads(files_text)
    pictures = {name: read_canonical(Path(path)) for name, path in paths.items()}
    report(1, 2, "laying the flake's edge on the edge of each loss")
    answer = catalogue.run(COMPUTATION, json.loads(inputs_text), files=pictures)
    into = Path(folder)
    unfinished = into / f"{ANSWER}.part"
    unfinished.write_text(json.dumps(answer), "utf-8")
    unfinished.rename(into / ANSWER)
    return f"{len(answer['candidates'])} candidates"


def answer_folder(bench: Bench, question: SeatsAsked) -> Path:
    """Return the folder in which the answer lies, or will."""
    return bench.store.files.derived_folder(question.tray.canonical_sha256, question.folder_name)


def found_seats(bench: Bench, question: SeatsAsked) -> dict[str, Any] | None:
    """Return what was found as things stand, or None while nobody looked."""
    path = answer_folder(bench, question) / ANSWER
    return json.loads(path.read_text("utf-8")) if path.is_file() else None


def seats_shown(
    reader: Reader, dossier_id: str, question: SeatsAsked, answer: dict[str, Any]
) -> Seats:
    """Return the candidates as they may be shown: unranked until each was looked at."""
    looks = looks_at(reader, dossier_id, question, answer)
    found = [
        Candidate(loss, one, looks.get(loss.entry.subject_id))
        for one in answer["candidates"]
        for loss in [question.loss(one["number"])]
    ]
    is_ranked = may_be_ranked((one.mark_id for one in found), looks)
    shown = found if is_ranked else sorted(found, key=lambda one: one.loss.mark.number)
    return Seats(tuple(shown), looks.get(""), is_ranked, answer)


def looks_at(
    reader: Reader, dossier_id: str, question: SeatsAsked, answer: dict[str, Any]
) -> dict[str, SeatLook]:
    """Return what was seen at each loss by the answer that stands; older looks do not hold."""
    own = [
        look
        for _, look in current_records(reader, dossier_id, "seat_look")
        if look.fragment_id == question.search.fragment_id
    ]
    hold = {
        run_id: record_in(reader.entry(run_id)).outputs == answer
        for run_id in {look.run_id for look in own}
    }
    return {look.mark_id: look for look in own if hold[look.run_id]}


def record_look(
    bench: Bench,
    author: Author,
    dossier_id: str,
    question: SeatsAsked,
    *,
    mark_id: str,
    verdict: Verdict,
    seen_observed: str,
) -> Entry:
    """Record what was seen of a flake laid on one loss, or that none of these is its seat.

    The answer that was looked at is kept as a run with it.
    """
    answer = found_seats(bench, question)
    if answer is None:
        raise InputError(
            "Seats were not looked for as things stand now", remedy="Look for seats again"
        )
    fragment_id = question.search.fragment_id
    run_id = _kept(bench, author, dossier_id, question, answer)
    look = SeatLook(fragment_id, mark_id, verdict, seen_observed.strip(), run_id)
    ids = [question.loss(one["number"]).entry.subject_id for one in answer["candidates"]]
    subject_id = f"{fragment_id}:seat:{mark_id or 'none'}"
    with bench.store.reading() as reader:
        standing = reader.latest("seat_look", subject_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id,
        record=checked_look(look, ids),
        based_on=standing.id if standing else "",
    )


def kept_seats(reader: Reader, dossier_id: str, fragment_id: str) -> tuple[Entry, Run, str] | None:
    """Return the kept run on the seats of a fragment and why it is stale, or None."""
    return kept_run_about(reader, dossier_id, COMPUTATION, fragment_id)


def candidate_of(
    question: SeatsAsked, answer: dict[str, Any], mark_id: str
) -> tuple[Loss, dict[str, Any]]:
    """Return one candidate of an answer by its loss's mark."""
    for one in answer["candidates"]:
        loss = question.loss(one["number"])
        if loss.entry.subject_id == mark_id:
            return loss, one
    raise NotFoundError("This loss is no candidate for this flake", remedy="Look for seats again")


def _kept(
    bench: Bench, author: Author, dossier_id: str, question: SeatsAsked, answer: dict[str, Any]
) -> str:
    about = question.search.fragment_id
    with bench.store.reading() as reader:
        kept = kept_run_about(reader, dossier_id, COMPUTATION, about)
    if kept is not None and kept[1].outputs == answer and not kept[2]:
        return kept[0].id
    return record_run(
        bench,
        author,
        dossier_id,
        computation=COMPUTATION,
        inputs=question.inputs,
        outputs=answer,
        read_entry_ids=question.read_entry_ids,
        about=about,
    ).id


def _common_view(losses: tuple[Loss, ...]) -> Loss:
    """Return the loss whose view shows most of them: surfaces are compared on that photograph."""
    counts: dict[str, int] = {}
    for one in losses:
        counts[one.seen.view_id] = counts.get(one.seen.view_id, 0) + 1
    return max(losses, key=lambda one: counts[one.seen.view_id])


def _told(one: Loss, common: Loss) -> dict[str, Any]:
    ring = [list(at) for at in one.seen.geometry.parts[0]]
    told: dict[str, Any] = {"number": one.mark.number, "outline_px": ring}
    if one.seen.view_id != common.seen.view_id:
        told["scale"] = one.scale.inputs
    return told


def _reach(geometry: Geometry) -> float:
    xs, ys = zip(*geometry.parts[0], strict=True)
    return float(max(xs) - min(xs) + max(ys) - min(ys))


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""
