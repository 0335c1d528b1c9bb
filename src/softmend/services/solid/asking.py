"""Computations on a scan: one job answers all that is not answered yet; each answer is a run."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.services.bench import Author, Bench
from softmend.services.jobs import Jobs, Report
from softmend.services.runs import kept_run_about, record_run
from softmend.services.solid.inputs import BENDING, MASS, SEEN, SUPPORTS, Question, questions_on
from softmend.services.solid.measuring_mesh import asked_folder, checked_scan_in, scan_folder
from softmend.services.solid.scans import OnScan, on_scan
from softmend.services.store import Reader

if TYPE_CHECKING:
    from softmend.catalogue.solid_scan import CheckedScan

MEASURING = "measure scan"
ANSWERS = "answers.json"
WORDS = {
    "solid.check": "the state of the scan",
    "solid.volume": "two independent volumes",
    MASS: "mass and centre of gravity",
    SUPPORTS: "pads, tipping and lifting",
    BENDING: "bending along it and at each crack",
    "solid.surface_length": "the length of a line over the surface",
    "solid.void": "the volume of a void",
    SEEN: "where the marks of a photograph lie along it",
}


@dataclass(frozen=True)
class Answered:
    """The kept answer to a question; `stale` is "" while it holds."""

    entry: Entry
    run: Run
    stale: str

    @property
    def outputs(self) -> dict[str, Any]:
        """Return what was answered."""
        return self.run.outputs


def answered(reader: Reader, dossier_id: str, computation: str, about: str) -> Answered | None:
    """Return the kept answer of a computation about a scan, a line or a void, or None."""
    kept = kept_run_about(reader, dossier_id, computation, about)
    return None if kept is None else Answered(*kept)


def answered_on(reader: Reader, dossier_id: str, on: OnScan, computation: str) -> Answered | None:
    """Return the kept answer about a scan; stale too once something stands that it never read."""
    kept = answered(reader, dossier_id, computation, on.scan_id)
    asked = next((one for one in questions_on(on) if one.computation == computation), None)
    if kept is None or kept.stale or asked is None or _reads_the_same(kept.run, asked):
        return kept
    return replace(kept, stale=_not_counted(on, kept.run, asked))


def open_questions(reader: Reader, dossier_id: str, on: OnScan) -> list[Question]:
    """Return the questions on a scan that have no answer, or only a stale one."""
    found = []
    for question in questions_on(on):
        kept = answered(reader, dossier_id, question.computation, question.about)
        if kept is None or kept.stale or not _reads_the_same(kept.run, question):
            found.append(question)
    return found


def measure_later(bench: Bench, jobs: Jobs | None, dossier_id: str, scan_id: str) -> str:
    """Start the job that answers what is open on a scan; "" when there is nothing or no job."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        asked = open_questions(reader, dossier_id, on)
        seen = _seen(reader, dossier_id, on)
    if not asked:
        return ""
    folder = scan_folder(bench, on.scan.original_sha256)
    lines = [
        {"name": f"line {line.number}, {line.what}", "picks": line.picks, "clear_mm": line.clear_mm}
        for _entry, line in on.lines
    ]
    work = (
        json.dumps([asdict(one) for one in asked]),
        json.dumps(lines),
        json.dumps(seen),
        str(folder),
        str(_answer_path(bench, on, asked)),
    )
    if jobs is None:
        measured(folder, _say_nothing, *work)
        return ""
    return jobs.start(MEASURING, dossier_id, measured, *work)


def _seen(reader: Reader, dossier_id: str, on: OnScan) -> list[dict[str, Any]]:
    """Return each photograph laid along a scan: what is set aside, and its answer if it has one."""
    found = []
    for laid in on.seen:
        kept = answered(reader, dossier_id, SEEN, laid.entry.subject_id)
        outputs = kept.outputs if kept else None
        about = {"about": laid.entry.subject_id, "view": laid.name}
        found.append({**about, "aside": list(laid.set_aside), "outputs": outputs})
    return found


def answers_wait(bench: Bench, reader: Reader, dossier_id: str, on: OnScan) -> bool:
    """Say whether the job has answered what is open, and nobody kept it yet."""
    asked = open_questions(reader, dossier_id, on)
    return bool(asked) and _answer_path(bench, on, asked).is_file()


def keep_answers(bench: Bench, author: Author, dossier_id: str, scan_id: str) -> int:
    """Keep what the job answered as runs, with all that went in; return how many."""
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
        asked = open_questions(reader, dossier_id, on)
    path = _answer_path(bench, on, asked)
    if not asked or not path.is_file():
        return 0
    for one in json.loads(path.read_text("utf-8")):
        record_run(
            bench,
            author,
            dossier_id,
            computation=one["computation"],
            inputs=one["inputs"],
            outputs=one["outputs"],
            read_entry_ids=tuple(one["read_entry_ids"]),
            about=one["about"],
            tables=("materials",),
        )
    return len(asked)


def measured(
    _: Path,
    report: Report,
    questions_text: str,
    lines_text: str,
    seen_text: str,
    folder: str,
    answers: str,
) -> str:
    """Answer the questions on a scan in a process of its own."""
    from softmend.services.solid.pads import keep_beam, with_lines_forbidden
    from softmend.services.solid.seen_stretches import with_seen_forbidden

    questions = [Question(**one) for one in json.loads(questions_text)]
    report(0, len(questions) + 1, "taking up the measuring mesh")
    scan = checked_scan_in(Path(folder))
    lines, seen = json.loads(lines_text), json.loads(seen_text)
    told: list[dict[str, Any]] = []
    for k, question in enumerate(questions):
        report(k + 1, len(questions) + 1, WORDS[question.computation])
        inputs = question.inputs
        if question.computation in (SUPPORTS, BENDING):
            inputs = with_lines_forbidden(inputs, lines, scan)
            inputs = with_seen_forbidden(inputs, seen, told)
        told.append(
            {
                **asdict(question),
                "inputs": inputs,
                "outputs": _outcome(question.computation, inputs, scan),
            }
        )
        if question.computation == SUPPORTS:
            keep_beam(inputs, scan, Path(folder))
    path = Path(answers)
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_suffix(".part")
    unfinished.write_text(json.dumps(told), "utf-8")
    unfinished.rename(path)
    return "measured"


def _outcome(computation: str, inputs: dict[str, Any], scan: CheckedScan) -> dict[str, Any]:
    """Return the answer, or the refusal in its own sentence as the reason why there is none."""
    try:
        return catalogue.run(computation, inputs, files={"scan_file": scan})
    except InputError as refused:
        nothing = catalogue.entry(computation).output_model(
            answer="cannot say", reasons=(refused.sentence(),)
        )
        return nothing.model_dump(mode="json")


def _answer_path(bench: Bench, on: OnScan, asked: list[Question]) -> Path:
    questions = [_asked(one) for one in asked]
    return asked_folder(bench, on.scan.original_sha256, "asked", questions) / ANSWERS


def _asked(question: Question) -> list[Any]:
    return [question.computation, question.about, question.inputs, list(question.read_entry_ids)]


def _reads_the_same(run: Run, question: Question) -> bool:
    return set(run.read_entry_ids) == set(question.read_entry_ids)


def _not_counted(on: OnScan, run: Run, asked: Question) -> str:
    """Return why an answer is stale that never read what came after it, or what is gone now."""
    names = {entry.id: f"line {line.number}, {line.what}" for entry, line in on.lines}
    for laid in on.seen:
        names[laid.entry.id] = f"{laid.name}, as it is laid along the scan"
        if laid.scale is not None:
            names[laid.scale.entry_id] = f"the scale of {laid.name}"
        names |= {entry.id: f"what is set aside on {laid.name}"
                  for entry, _aside, _holds in laid.aside.values()}  # fmt: skip
        names |= {one.entry.id: f"{one.name} on {laid.name}" for one in laid.drawn}
    later = [one for one in asked.read_entry_ids if one not in run.read_entry_ids]
    if not later:
        return "stale, because something that it counts no longer stands on the scan"
    words = dict.fromkeys(names.get(one, "what is said of the scan") for one in later)
    return f"stale, because it does not count what came later: {'; '.join(words)}"


def _say_nothing(_done: int, _total: int, _message: str = "") -> None:
    """Take a report of progress when nobody waits for one."""
