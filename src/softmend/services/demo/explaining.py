"""The demo's mechanics: what this invented bench knows and stocks, and says of two cracks."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.records.crack_model import CrackModel
from softmend.records.payload import from_plain
from softmend.records.shelf import OwnValue, ShelfItem
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import marks_in
from softmend.services.explain.crack_keep import keep_crack, say_of_crack
from softmend.services.explain.own_values import record_own_value
from softmend.services.explain.shelf import put_on_shelf

Told = Mapping[str, Any]


def stock_the_bench(bench: Bench, author: Author, scenario: Told) -> None:
    """Type in the bench's own values, each marked as what it is, and fill its shelf."""
    for value in scenario["own_value"]:
        record_own_value(bench, author, from_plain(OwnValue, value))
    for item in scenario["shelf"]:
        put_on_shelf(bench, author, from_plain(ShelfItem, item))


def explain_cracks(bench: Bench, author: Author, dossier_id: str, told: Told) -> None:
    """Say of each crack what its mechanics ask, and keep what is computed of some."""
    with bench.store.reading() as reader:
        marks = {mark.number: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
    for crack in told["crack"]:
        said = {name: value for name, value in crack.items() if name != "mark"}
        model = from_plain(CrackModel, said)
        say_of_crack(bench, author, dossier_id, marks[crack["mark"]], model, "")
    for number in told["keep"]:
        keep_crack(bench, author, dossier_id, number)
