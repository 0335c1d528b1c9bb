"""The demo's lifting varnish and its one join: what is said of them, and what is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.records.coating import CoatingModel
from softmend.records.holding import JoinModel
from softmend.records.payload import from_plain
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_in
from softmend.services.explain.coating import keep_coating, say_of_coating
from softmend.services.explain.joins import keep_join, say_of_join

Told = Mapping[str, Any]


def explain_coating(bench: Bench, author: Author, dossier_id: str, told: Told) -> None:
    """Say of the lifting patch what its mechanics ask, and keep which layer lets go."""
    with bench.store.reading() as reader:
        marks = {mark.term_id: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
    for coating in told.get("coating", ()):
        model = from_plain(CoatingModel, {name: coating[name] for name in coating if name != "on"})
        say_of_coating(bench, author, dossier_id, marks[coating["on"]], model, "")
        keep_coating(bench, author, dossier_id, marks[coating["on"]])


def explain_joins(bench: Bench, author: Author, dossier_id: str, told: Told) -> None:
    """Say of each join that was made what its mechanics ask, and keep whether it holds."""
    for join in told.get("join", ()):
        model = from_plain(JoinModel, join)
        say_of_join(bench, author, dossier_id, model, "")
        keep_join(bench, author, dossier_id, model.name)
