"""Trays: outlines of loose flakes found on a photograph, each answered by hand and named."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.errors import InputError, NotFoundError
from softmend.records.canonical import canonical_json
from softmend.records.drawing import checked_geometry
from softmend.records.entry import Entry
from softmend.records.fragment import Fragment
from softmend.records.kinds import record_in
from softmend.records.mark import BY_HAND, Geometry, Position, Shape
from softmend.records.tray import (
    FlakeOutline,
    OutlineAnswer,
    Tray,
    checked_outline_of_flake,
    checked_tray,
    free_letter,
)
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.examine.quantities import scales_in
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.store import Reader
from softmend.services.treat.fragments import number_fragment

COMPUTATION = "fragment.outlines"
ANSWER = "answer.json"
AT_ONCE_PX = 3_000_000
"""A smaller picture is looked at while the person waits; a larger one in a job."""

SAME_SHARE = 0.4
"""Two outlines that share more of their area are one flake."""

MOST_POINTS = 600


@dataclass(frozen=True)
class TrayAsked:
    """What a tray's photograph is asked, and where the answer lies."""

    tray: Tray
    view: View
    inputs: dict[str, Any]

    @property
    def folder_name(self) -> str:
        """Return the name of the answer's folder: other inputs have another."""
        key = hashlib.sha256(canonical_json(self.inputs).encode()).hexdigest()
        return f"flakes-{key[:32]}"


@dataclass(frozen=True)
class OnTray:
    """One outline on a tray: as it was answered, or as it was found and nobody has answered yet.

    `entry` is None for one that is not answered; `remarks` say what is odd about it.
    """

    outline: FlakeOutline
    entry: Entry | None
    fragment: Fragment | None
    remarks: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """Return what stands beside it on the picture: its fragment's number, or its letter."""
        return str(self.fragment.number) if self.fragment else self.outline.letter

    @property
    def is_struck(self) -> bool:
        """Say whether somebody struck it."""
        return self.entry is not None and self.outline.answer is OutlineAnswer.STRUCK


def ask_of_tray(bench: Bench, author: Author, dossier_id: str, tray: Tray) -> Entry:
    """Record what is asked of a photograph of a tray; it stands in place of an earlier asking."""
    checked = checked_tray(tray)
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "view", tray.view_id)
        standing = reader.latest("tray", tray.view_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=tray.view_id,
        record=checked,
        based_on=standing.id if standing else "",
    )


def trays_in(reader: Reader, dossier_id: str) -> list[Tray]:
    """Return the trays of a dossier whose photographs stand, in the order of their asking."""
    standing = {entry.subject_id for entry, _ in current_records(reader, dossier_id, "view")}
    trays = [tray for _, tray in current_records(reader, dossier_id, "tray")]
    return [tray for tray in trays if tray.view_id in standing]


def tray_asked(reader: Reader, dossier_id: str, view_id: str) -> TrayAsked | None:
    """Return what a tray is asked as things stand; None while nobody asked or it has no scale."""
    tray = next((one for one in trays_in(reader, dossier_id) if one.view_id == view_id), None)
    scale = scales_in(reader, dossier_id).get(view_id)
    if tray is None or scale is None:
        return None
    _, view = current_record(reader, dossier_id, "view", view_id)
    inputs = {
        "picture_file": view.canonical_sha256,
        "scale": scale.inputs,
        "ground": tray.ground.value,
        "smallest_mm": tray.smallest_mm,
    }
    return TrayAsked(tray, view, inputs)


def find_outlines(jobs: Jobs | None, bench: Bench, dossier_id: str, question: TrayAsked) -> str:
    """Look for outlines: at once on a small picture (returns ""), else in a job (its id)."""
    path = bench.store.files.path(question.view.canonical_sha256)
    folder = answer_folder(bench, question)
    work = (json.dumps(question.inputs), str(path), str(folder))
    if jobs is None or question.view.width_px * question.view.height_px <= AT_ONCE_PX:
        outlines_found(folder, _say_nothing, *work)
        return ""
    return jobs.start("flakes", dossier_id, outlines_found, *work)


def outlines_found(_: Path, report: Report, inputs_text: str, canonical: str, folder: str) -> str:
    """Look for the outlines on one photograph, in a process of its own where it is large."""
    from softmend.intake.canonical import read_canonical

    report(0, 2, "reading the photograph")
    picture = read_canonical(Path(canonical))
    report(1, 2, "telling flakes from their ground")
    answer = catalogue.run(COMPUTATION, json.loads(inputs_text), files={"picture_file": picture})
    into = Path(folder)
    unfinished = into / f"{ANSWER}.part"
    unfinished.write_text(json.dumps(answer), "utf-8")
    unfinished.rename(into / ANSWER)
    return f"{len(answer['flakes'])} outlines"


def answer_folder(bench: Bench, question: TrayAsked) -> Path:
    """Return the folder in which the answer lies, or will."""
    return bench.store.files.derived_folder(question.view.canonical_sha256, question.folder_name)


def found_on(bench: Bench, question: TrayAsked | None) -> dict[str, Any] | None:
    """Return what was found on a tray as things stand, or None while nobody looked."""
    if question is None:
        return None
    path = answer_folder(bench, question) / ANSWER
    return json.loads(path.read_text("utf-8")) if path.is_file() else None


def flakes_on(
    reader: Reader, dossier_id: str, view_id: str, found: dict[str, Any] | None = None
) -> list[OnTray]:
    """Return every outline on a tray by its letter: those answered, then those only found."""
    fragments = {
        entry.subject_id: one for entry, one in current_records(reader, dossier_id, "fragment")
    }
    answered = [
        OnTray(one, entry, fragments.get(one.fragment_id))
        for entry, one in outlines_in(reader, dossier_id)
        if one.view_id == view_id
    ]
    shown = list(answered)
    taken = [one.outline.letter for one in answered]
    for flake in found["flakes"] if found else ():
        ring = thinned(flake["outline_px"])
        if any(_is_same(ring, one.outline.outline_px) for one in answered):
            continue
        letter = free_letter(taken)
        taken.append(letter)
        how = f"found ({found['method']}, version {found['version']})" if found else BY_HAND
        outline = FlakeOutline(view_id, letter, ring, OutlineAnswer.ACCEPTED, how)
        shown.append(OnTray(outline, None, None, tuple(_remarks(flake))))
    return sorted(shown, key=lambda one: (len(one.outline.letter), one.outline.letter))


def outlines_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, FlakeOutline]]:
    """Return every answered outline of a dossier."""
    return current_records(reader, dossier_id, "flake_outline")


def outline_of(reader: Reader, dossier_id: str, fragment_id: str) -> tuple[Entry, FlakeOutline]:
    """Return the newest accepted outline of a fragment."""
    own = [held for held in outlines_in(reader, dossier_id) if held[1].fragment_id == fragment_id]
    if not own:
        raise NotFoundError(
            "This fragment has no outline yet",
            remedy="Photograph it on a tray, then say there which outline it is",
        )
    return max(own, key=lambda held: held[0].number)


def answer_outline(
    bench: Bench,
    author: Author,
    dossier_id: str,
    one: FlakeOutline,
    based_on: str,
) -> Entry:
    """Record what a person said of one outline: accepted, struck, drawn again, or which it is."""
    checked = checked_outline_of_flake(one)
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", one.view_id)
        if one.fragment_id:
            current_record(reader, dossier_id, "fragment", one.fragment_id)
            _refuse_twice(reader, dossier_id, one)
    drawn = checked_geometry(Geometry(Shape.AREA, (one.outline_px,)), view.width_px, view.height_px)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=f"{one.view_id}:flake:{one.letter}",
        record=replace(checked, outline_px=drawn.parts[0]),
        based_on=based_on,
    )


def number_from_tray(
    bench: Bench,
    author: Author,
    dossier_id: str,
    one: FlakeOutline,
    found_where: str,
    found_by: str,
) -> str:
    """Give a fragment that lies on the tray its number; return its id, to be linked."""
    found = Fragment(
        number=0,
        found_where=found_where.strip(),
        found_on=bench_day(bench),
        found_by=found_by,
        view_ids=(one.view_id,),
    )
    return number_fragment(bench, author, dossier_id, found).subject_id


def measured_flake(outline: Sequence[Position], scale: dict[str, Any] | None) -> dict[str, Any]:
    """Return area and length of an outline with their uncertainty, {} without a scale."""
    from softmend.science.photo.fragment_outline import farthest_apart
    from softmend.services.examine.quantities import outcome

    if scale is None:
        return {}
    ring = [list(at) for at in outline]
    ends = [ring[number] for number in farthest_apart(ring)]
    return {
        "area": outcome("photo.area", {"scale": scale, "outline_px": ring, "click_sd_px": 0.5}),
        "length": outcome("photo.length", {"scale": scale, "line_px": ends, "click_sd_px": 0.5}),
    }


def thinned(outline: Sequence[Sequence[float]]) -> tuple[Position, ...]:
    """Return an outline with no more points than a record should carry."""
    step = max(1, -(-len(outline) // MOST_POINTS))
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in outline[::step])


def _remarks(flake: dict[str, Any]) -> list[str]:
    words = {
        "is_cut": "runs out of the picture",
        "was_touching": "was parted from a neighbour that it touched",
        "has_soft_edge": "its edge is soft in places: a shadow?",
    }
    return [said for name, said in words.items() if flake[name]]


def _is_same(one: Sequence[Position], other: Sequence[Position]) -> bool:
    from softmend.science.photo.fragment_outline import overlap_share

    return overlap_share([list(at) for at in one], [list(at) for at in other]) > SAME_SHARE


def _refuse_twice(reader: Reader, dossier_id: str, one: FlakeOutline) -> None:
    for _, other in outlines_in(reader, dossier_id):
        is_other = (other.view_id, other.letter) != (one.view_id, one.letter)
        if is_other and other.view_id == one.view_id and other.fragment_id == one.fragment_id:
            raise InputError(
                "This fragment lies on this tray already",
                value=f"outline {other.letter}",
                remedy="Choose another fragment, or take it off that outline first",
            )


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""


def standing_outline(
    reader: Reader, view_id: str, letter: str
) -> tuple[Entry, FlakeOutline] | None:
    """Return an answered outline by its letter, or None while nobody has answered it."""
    entry = reader.latest("flake_outline", f"{view_id}:flake:{letter}")
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    return entry, record_in(entry)
