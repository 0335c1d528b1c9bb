"""Two photographs of two dates compared: asked for, computed in a job, kept as a run."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.bookkeeping import Run
from softmend.records.canonical import canonical_json
from softmend.records.comparison_of_views import ComparisonOfViews, checked_comparison
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import Mark, Shape
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_on_view
from softmend.services.examine.quantities import scales_in
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import current_record, record_one
from softmend.services.runs import record_run, run_subject, stale_because
from softmend.services.store import Reader

COMPUTATION = "photo.change"
FILES = ("earlier_file", "later_file", "repeat_file")
ANSWER = "answer.json"


@dataclass(frozen=True)
class Asked:
    """What a comparison asks photo.change, the entries that it read, and where the answer lies."""

    comparison: ComparisonOfViews
    earlier: View
    later: View
    marks: tuple[tuple[Entry, Mark], ...]
    inputs: dict[str, Any]
    read_entry_ids: tuple[str, ...]

    @property
    def folder_name(self) -> str:
        """Return the name of the answer's folder: other inputs have another."""
        key = hashlib.sha256(canonical_json(self.inputs).encode()).hexdigest()
        return f"moved-{key[:32]}"


@dataclass(frozen=True)
class Moved:
    """The kept answer of a comparison, and why it is stale, "" while it holds."""

    entry: Entry
    run: Run
    stale: str


def subject_of(earlier_id: str, later_id: str) -> str:
    """Return the subject of a comparison of two views."""
    return f"{earlier_id}:{later_id}"


def record_comparison(
    bench: Bench, author: Author, dossier_id: str, comparison: ComparisonOfViews
) -> Entry:
    """Record which views are compared and in what air; it stands in place of an earlier asking."""
    checked = checked_comparison(comparison)
    subject_id = subject_of(checked.earlier_view_id, checked.later_view_id)
    with bench.store.reading() as reader:
        for view_id in filter(None, (checked.earlier_view_id, checked.later_view_id,
                                     checked.repeat_view_id)):  # fmt: skip
            current_record(reader, dossier_id, "view", view_id)
        standing = reader.latest("comparison_of_views", subject_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=subject_id,
        record=checked,
        based_on=standing.id if standing else "",
    )


def comparison_between(
    reader: Reader, earlier_id: str, later_id: str
) -> tuple[Entry, ComparisonOfViews] | None:
    """Return what was asked of two views, or None."""
    entry = reader.latest("comparison_of_views", subject_of(earlier_id, later_id))
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    return entry, record_in(entry)


def asked(reader: Reader, dossier_id: str, entry: Entry, comparison: ComparisonOfViews) -> Asked:
    """Return what a comparison asks as things stand: its cracks, scale and air."""
    earlier_id, later_id = comparison.earlier_view_id, comparison.later_view_id
    earlier_entry, earlier = current_record(reader, dossier_id, "view", earlier_id)
    later_entry, later = current_record(reader, dossier_id, "view", later_id)
    marks = tuple(
        (one, mark)
        for one, mark in marks_on_view(reader, dossier_id, earlier_id)
        if any(_is_line_on(seen, earlier_id) for seen in mark.sightings)
    )
    scale = scales_in(reader, dossier_id).get(earlier_id)
    inputs: dict[str, Any] = {
        "earlier_file": earlier.canonical_sha256,
        "later_file": later.canonical_sha256,
        "cracks": [_crack(mark, earlier_id) for _entry, mark in marks],
        "scale": scale.inputs if scale else None,
        "earlier_percent": _air(comparison, comparison.earlier_percent),
        "later_percent": _air(comparison, comparison.later_percent),
        "earlier_degc": comparison.earlier_degc,
        "later_degc": comparison.later_degc,
    }
    read = [*(one.id for one, _mark in marks), earlier_entry.id, later_entry.id, entry.id]
    if comparison.repeat_view_id:
        repeat_entry, repeat = current_record(reader, dossier_id, "view", comparison.repeat_view_id)
        inputs["repeat_file"] = repeat.canonical_sha256
        read.append(repeat_entry.id)
    if scale:
        read.append(scale.entry_id)
    return Asked(comparison, earlier, later, marks, inputs, tuple(read))


def answer_folder(bench: Bench, question: Asked) -> Path:
    """Return where the answer and the pictures of a comparison lie, or will."""
    return bench.store.files.derived_folder(question.later.canonical_sha256, question.folder_name)


def answer_of(bench: Bench, question: Asked) -> dict[str, Any] | None:
    """Return the answer to a comparison as it stands, or None while there is none."""
    path = answer_folder(bench, question) / ANSWER
    return json.loads(path.read_text("utf-8")) if path.is_file() else None


def compare_later(jobs: Jobs | None, bench: Bench, dossier_id: str, question: Asked) -> str:
    """Start the job that compares and return its id; without jobs compare at once, return ""."""
    files = {
        name: str(bench.store.files.path(question.inputs[name]))
        for name in FILES
        if question.inputs.get(name)
    }
    folder = answer_folder(bench, question)
    work = (json.dumps(question.inputs), json.dumps(files), str(folder))
    if jobs is None:
        compared(folder, _say_nothing, *work)
        return ""
    return jobs.start("compare", dossier_id, compared, *work)


def compared(_: Path, report: Report, inputs_text: str, files_text: str, folder: str) -> str:
    """Compare two photographs in a process of its own: numbers, then the pictures for the eye."""
    from softmend.intake.canonical import read_canonical
    from softmend.services.revisit.laying import write_pictures

    inputs: dict[str, Any] = json.loads(inputs_text)
    report(0, 4, "reading the photographs")
    paths: dict[str, str] = json.loads(files_text)
    pictures = {name: read_canonical(Path(path)) for name, path in paths.items()}
    report(1, 4, "looking for their blur")
    for name, picture in pictures.items():
        inputs[name.replace("_file", "_blur")] = blur_in(picture)
    report(2, 4, "laying the later on the earlier, measuring each crack in both")
    outputs = catalogue.run(COMPUTATION, inputs, files=pictures)
    report(3, 4, "making the pictures for the eye")
    into = Path(folder)
    write_pictures(
        into,
        Path(paths["earlier_file"]),
        Path(paths["later_file"]),
        (pictures["earlier_file"], pictures["later_file"]),
        outputs["whole"],
    )
    # The answer comes last: where it stands, the pictures stand too.
    unfinished = into / f"{ANSWER}.part"
    unfinished.write_text(json.dumps({"inputs": inputs, "outputs": outputs}), "utf-8")
    unfinished.rename(into / ANSWER)
    return "compared"


def blur_in(picture: Any) -> dict[str, Any] | None:
    """Return the way to a photograph's blur by its printed markers, or None without any."""
    from softmend.science.photo.marker import detect_markers

    try:
        found = detect_markers(picture)
    except InputError:
        return None
    return {"method": "markers"} if found else None


def keep_moved(bench: Bench, author: Author, dossier_id: str, question: Asked) -> Entry:
    """Keep what a comparison found as a run, with all that went in."""
    answer = answer_of(bench, question)
    if answer is None:
        raise InputError(
            "These two views were not compared as things stand now",
            remedy="Compare them, then keep what was found",
        )
    comparison = question.comparison
    return record_run(
        bench,
        author,
        dossier_id,
        computation=COMPUTATION,
        inputs=answer["inputs"],
        outputs=answer["outputs"],
        read_entry_ids=question.read_entry_ids,
        about=subject_of(comparison.earlier_view_id, comparison.later_view_id),
    )


def keep_holding(bench: Bench, author: Author, dossier_id: str, question: Asked) -> None:
    """Let a kept answer go on to hold when a mark's words changed and its line did not."""
    comparison = question.comparison
    ids = (comparison.earlier_view_id, comparison.later_view_id)
    with bench.store.reading() as reader:
        moved = moved_between(reader, dossier_id, *ids)
    if moved is None or any(
        moved.run.inputs.get(one) != now for one, now in question.inputs.items()
    ):
        return
    record_run(
        bench,
        author,
        dossier_id,
        computation=COMPUTATION,
        inputs=moved.run.inputs,
        outputs=moved.run.outputs,
        read_entry_ids=question.read_entry_ids,
        about=subject_of(*ids),
    )


def moved_between(reader: Reader, dossier_id: str, earlier_id: str, later_id: str) -> Moved | None:
    """Return the kept answer on two views, or None."""
    subject = run_subject(dossier_id, COMPUTATION, subject_of(earlier_id, later_id))
    entry = reader.latest("run", subject)
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    run: Run = record_in(entry)
    return Moved(entry, run, stale_because(reader, run))


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""


def _is_line_on(seen: Any, view_id: str) -> bool:
    return bool(seen.view_id == view_id and seen.geometry.shape is Shape.LINE)


def _crack(mark: Mark, view_id: str) -> dict[str, Any]:
    line = next(seen for seen in mark.sightings if _is_line_on(seen, view_id))
    return {"number": mark.number, "line_px": [list(at) for at in line.geometry.parts[0]]}


def _air(comparison: ComparisonOfViews, percent: float | None) -> dict[str, Any] | None:
    if percent is None:
        return None
    spread = {"value": percent, "expanded": comparison.air_expanded_percent}
    return {"value": spread, "kind": "measured", "origin": comparison.air_from[:500]}
