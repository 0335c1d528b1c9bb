"""Suggested cracks: looked for inside a drawn region, each accepted or refused by hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import importlib.util
import itertools
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.canonical import canonical_json
from softmend.records.drawing import checked_geometry
from softmend.records.entry import Entry
from softmend.records.kinds import record_in
from softmend.records.mark import Geometry, Mark, Position, Shape
from softmend.records.suggestion import SuggestionAnswer, checked_answer
from softmend.records.view import View
from softmend.services.bench import Author, Bench
from softmend.services.examine.drawn import suggested_sighting
from softmend.services.examine.marks import record_mark
from softmend.services.jobs import Jobs, Report
from softmend.services.recording import current_record, record_one
from softmend.services.store import Reader

TERM = "crack"
MARGIN_PX = 64
"""So much of the photograph around a region is read with it, to tell its edge from a line."""

BRANCH_PX = 15.0
"""A branch that is shorter is left out of what is shown."""

MOST_LINES = 300
"""So many lines are shown, those first that stand out most: more cannot be judged one by one."""

LIVE_PX = {"classical": 600_000, "network": 100_000}
"""A region of so many pixels is looked at while the slider moves; a larger one is a job."""

ANSWER = "answer.json"


@dataclass(frozen=True)
class Suggested:
    """A suggested line on a view, and how it came about."""

    view_id: str
    line_px: tuple[Position, ...]
    method: str
    version: str
    sensitivity: float

    @property
    def subject_id(self) -> str:
        """Return the subject of its answer: the same line on the same view has one answer."""
        key = hashlib.sha256(canonical_json([list(at) for at in self.line_px]).encode())
        return f"{self.view_id}:suggested:{key.hexdigest()[:32]}"


@dataclass(frozen=True)
class Looking:
    """How to look for cracks: sensitivity 0 to 100, by what, ruled lines as well or left out."""

    sensitivity: float
    engine: str = "classical"
    even_lines: bool = False


def lines_of(found: Sequence[dict[str, Any]]) -> list[tuple[Position, ...]]:
    """Return each suggested crack as lines: the longest way through it, then each branch."""
    return [
        tuple((round(float(x), 2), round(float(y), 2)) for x, y in line)
        for one in found
        for number, line in enumerate(one["lines_px"])
        if number == 0 or _length(line) >= BRANCH_PX
    ]


def _length(line: Sequence[Sequence[float]]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(line))


def answer_suggestion(
    bench: Bench, author: Author, dossier_id: str, one: Suggested, *, is_accepted: bool
) -> Entry:
    """Record that a suggestion was accepted, which makes a mark of it, or refused."""
    with bench.store.reading() as reader:
        _, view = current_record(reader, dossier_id, "view", one.view_id)
        standing = reader.latest("suggestion_answer", one.subject_id)
        answered = answer_to(reader, one)
    if answered is not None and answered.is_accepted:
        raise InputError(
            "This suggestion was accepted already",
            value=f"mark {answered.mark_number}",
            remedy="Strike the mark if it is none",
        )
    line = checked_geometry(Geometry(Shape.LINE, (one.line_px,)), view.width_px, view.height_px)
    number = 0
    if is_accepted:
        seen = suggested_sighting(one.view_id, line, one.method, one.version, one.sensitivity)
        entry = record_mark(bench, author, dossier_id, Mark(0, TERM, (seen,)))
        number = record_in(entry).number
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=one.subject_id,
        record=checked_answer(
            SuggestionAnswer(
                one.view_id, one.line_px, one.method, one.version, one.sensitivity, is_accepted,
                number,
            )
        ),
        based_on=standing.id if standing else "",
    )  # fmt: skip


def answer_to(reader: Reader, one: Suggested) -> SuggestionAnswer | None:
    """Return how a suggestion was answered, or None while nobody has."""
    entry = reader.latest("suggestion_answer", one.subject_id)
    if entry is None or entry.payload is None or entry.kind == "struck":
        return None
    found: SuggestionAnswer = record_in(entry)
    return found


@dataclass(frozen=True)
class Preview:
    """What is suggested inside a region at one sensitivity, and what could not be looked at."""

    lines: tuple[Suggested, ...]
    more: int
    looked_at_percent: float
    warnings: tuple[str, ...]


def has_network() -> bool:
    """Return whether the package that runs the network is installed here."""
    return importlib.util.find_spec("onnxruntime") is not None


def suggested_in(
    bench: Bench, view_id: str, view: View, region_px: Sequence[Position], how: Looking
) -> Preview:
    """Return suggested cracks inside a drawn region; glare and the region's edge are left out."""
    inputs = _inputs(view, region_px, how)
    answer = _kept(bench, view, inputs) if is_large(region_px, how) else None
    if answer is None:
        answer = _looked(_pixels(bench.store.files.path(view.canonical_sha256)), inputs)
    lines = lines_of(answer["suggestions"])
    return Preview(
        tuple(
            Suggested(view_id, line, answer["method"], answer["version"], how.sensitivity)
            for line in lines[:MOST_LINES]
        ),
        answer["more"] + max(len(lines) - MOST_LINES, 0),
        answer["looked_at_percent"],
        tuple(answer["warnings"]),
    )


def is_large(region_px: Sequence[Position], how: Looking) -> bool:
    """Return whether a region is too large to be looked at while the slider moves."""
    (left, top), (right, low) = _box(region_px)
    return (right - left) * (low - top) > LIVE_PX[how.engine]


def suggest_later(
    jobs: Jobs | None,
    bench: Bench,
    dossier_id: str,
    view: View,
    region_px: Sequence[Position],
    how: Looking,
) -> str:
    """Start a job where the region is large and was not looked at so; return its id, else ""."""
    inputs = _inputs(view, region_px, how)
    if jobs is None or not is_large(region_px, how) or _kept(bench, view, inputs) is not None:
        return ""
    path = bench.store.files.path(view.canonical_sha256)
    work = (json.dumps(inputs), str(path), str(_folder(bench, view, inputs)))
    return jobs.start("suggest", dossier_id, looked_in_job, *work)


def looked_in_job(_: Path, report: Report, inputs_text: str, path: str, folder: str) -> str:
    """Look for cracks in a process of its own and leave the answer in a folder."""
    report(0, 3, "reading the photograph")
    pixels = _pixels(Path(path))
    report(1, 3, "looking for dark lines")
    answer = _looked(pixels, json.loads(inputs_text))
    report(2, 3, "writing down what was found")
    unfinished = Path(folder) / f"{ANSWER}.part"
    unfinished.write_text(json.dumps(answer), "utf-8")
    unfinished.rename(Path(folder) / ANSWER)
    return "looked"


def _inputs(view: View, region_px: Sequence[Position], how: Looking) -> dict[str, Any]:
    return {
        "picture_file": view.canonical_sha256,
        "region_px": [list(at) for at in region_px],
        "sensitivity": how.sensitivity,
        "engine": how.engine,
        "even_lines": how.even_lines,
    }


def _folder(bench: Bench, view: View, inputs: dict[str, Any]) -> Path:
    from softmend.catalogue.eyes_suggest import VERSION

    key = hashlib.sha256(canonical_json([VERSION, inputs]).encode()).hexdigest()
    return bench.store.files.derived_folder(view.canonical_sha256, f"suggested-{key[:32]}")


def _kept(bench: Bench, view: View, inputs: dict[str, Any]) -> dict[str, Any] | None:
    """Return what a job found with the same inputs, or None."""
    path = _folder(bench, view, inputs) / ANSWER
    return json.loads(path.read_text("utf-8")) if path.is_file() else None


def _looked(pixels: Any, inputs: dict[str, Any]) -> dict[str, Any]:
    """Return the answer for a region, looked for in the part of the photograph around it."""
    (left, top), (right, low) = _box(inputs["region_px"])
    shifted = [[x - left, y - top] for x, y in inputs["region_px"]]
    part = pixels[top:low, left:right]
    asked = {**inputs, "region_px": shifted}
    answer = catalogue.run("photo.suggest", asked, files={"picture_file": part})
    for one in answer["suggestions"]:
        one["lines_px"] = [[[x + left, y + top] for x, y in line] for line in one["lines_px"]]
    return answer


def _box(region_px: Sequence[Sequence[float]]) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the corners of the part of a photograph that is read with a region."""
    xs, ys = zip(*region_px, strict=True)
    left, top = (max(int(min(one)) - MARGIN_PX, 0) for one in (xs, ys))
    right, low = (int(max(one)) + MARGIN_PX for one in (xs, ys))
    return (left, top), (right, low)


@lru_cache(maxsize=1)
def _pixels(canonical: Path) -> Any:
    # The path holds the hash of what lies there; the slider asks for the same one many times.
    from softmend.intake.canonical import read_canonical

    return read_canonical(canonical)
