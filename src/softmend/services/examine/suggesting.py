"""Suggested cracks: looked for inside a drawn region, each accepted or refused by hand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import itertools
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
from softmend.services.recording import current_record, record_one
from softmend.services.store import Reader

TERM = "crack"
MARGIN_PX = 64
"""So much of the photograph around a region is read with it, to tell its edge from a line."""


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


def longest(lines: Sequence[Sequence[Sequence[float]]]) -> tuple[Position, ...]:
    """Return the longest line of a suggestion; its branches are drawn by hand."""

    def length(line: Sequence[Sequence[float]]) -> float:
        return sum(math.dist(a, b) for a, b in itertools.pairwise(line))

    best = max(lines, key=length)
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in best)


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


def suggested_in(
    bench: Bench, view_id: str, view: View, region_px: Sequence[Position], sensitivity: float
) -> Preview:
    """Return suggested cracks inside a drawn region; glare and the region's edge are left out."""
    picture, (left, top) = _around(bench, view, region_px)
    shifted = [[x - left, y - top] for x, y in region_px]
    asked = {"picture_file": view.canonical_sha256, "region_px": shifted,
             "sensitivity": sensitivity}  # fmt: skip
    answer = catalogue.run("photo.suggest", asked, files={"picture_file": picture})
    lines = tuple(
        Suggested(
            view_id,
            tuple((round(x + left, 2), round(y + top, 2)) for x, y in longest(one["lines_px"])),
            answer["method"],
            answer["version"],
            sensitivity,
        )
        for one in answer["suggestions"]
    )
    return Preview(lines, answer["more"], answer["looked_at_percent"], tuple(answer["warnings"]))


def _around(bench: Bench, view: View, region_px: Sequence[Position]) -> tuple[Any, tuple[int, int]]:
    """Return the part of a photograph around a region, and where its corner lies."""
    xs, ys = zip(*region_px, strict=True)
    left, top = (max(int(min(one)) - MARGIN_PX, 0) for one in (xs, ys))
    right, low = (int(max(one)) + MARGIN_PX for one in (xs, ys))
    pixels = _pixels(bench.store.files.path(view.canonical_sha256))
    return pixels[top:low, left:right], (left, top)


@lru_cache(maxsize=1)
def _pixels(canonical: Path) -> Any:
    # The path holds the hash of what lies there; the slider asks for the same one many times.
    from softmend.intake.canonical import read_canonical

    return read_canonical(canonical)
