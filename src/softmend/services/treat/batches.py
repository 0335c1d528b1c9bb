"""Batches: made by mass, or through the solution calculator; what was used comes from the log."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.action import check_day
from softmend.records.batch import Batch, Ingredient, checked_batch, made_g, used_of
from softmend.records.entry import Entry
from softmend.records.material import Moved, Sum
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.numbered import record_numbered
from softmend.services.recording import current_record, current_records
from softmend.services.store import Reader


@dataclass(frozen=True)
class Stock:
    """One batch with what was made of it, what the log says was used, and what is left.

    `left_g` is None while something was not weighed or was measured by volume.
    """

    entry: Entry
    batch: Batch
    made_g: float | None
    used_g: Sum | None
    used_ml: Sum | None
    unmeasured: int

    @property
    def left_g(self) -> float | None:
        """Return the mass that should be left, or None when it cannot be told."""
        if self.made_g is None or self.used_ml is not None or self.unmeasured:
            return None
        return self.made_g - (self.used_g.value if self.used_g else 0.0)


def solution(inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a percentage means on every basis, and the masses of the wanted amount."""
    return catalogue.run("mixture.convert", inputs)


def make_batch(bench: Bench, author: Author, dossier_id: str, batch: Batch) -> Entry:
    """Record a batch; one with `mixture` gets its masses from the solution calculator."""
    return record_numbered(bench, author, dossier_id, _whole(bench, batch))


def correct_batch(
    bench: Bench, author: Author, dossier_id: str, batch_id: str, batch: Batch, based_on: str
) -> Entry:
    """Record a correction of a batch; its number stays."""
    with bench.store.reading() as reader:
        current_record(reader, dossier_id, "batch", batch_id)
    whole = _whole(bench, batch)
    return record_numbered(bench, author, dossier_id, whole, subject_id=batch_id, based_on=based_on)


def _whole(bench: Bench, batch: Batch) -> Batch:
    check_day(batch.made_on, bench_day(bench))
    return checked_batch(calculated(batch) if batch.mixture is not None else batch)


def calculated(batch: Batch) -> Batch:
    """Return a batch whose ingredients are the masses that its percentage, with basis, means."""
    inputs = batch.mixture or {}
    answer = solution(inputs)
    made = answer["batch"]
    if made is None:
        raise InputError(
            "The solution calculator was not told how much is wanted",
            remedy="Give the amount; masses are kept, not percentages",
        )
    named = {one.name.casefold(): one for one in batch.ingredients}
    ingredients = tuple(
        replace(
            named.get(str(inputs[name]).casefold(), Ingredient(str(inputs[name]))),
            mass_g=round(made[f"{name}_mass_g"]["mean"], 4),
        )
        for name in ("solute", "solvent")
    )
    percent = inputs["written_percent"]
    value = percent["value"] if isinstance(percent, Mapping) else percent
    return replace(
        batch,
        ingredients=ingredients,
        written=f"{value:g} % {inputs['basis']} {inputs['solute']} in {inputs['solvent']}",
        instruction=made["instruction"],
    )


def stock_of(reader: Reader, dossier_id: str) -> list[Stock]:
    """Return every batch with what was used of it, in the order of their numbers."""
    movements = [
        moved
        for _, action in current_records(reader, dossier_id, "action")
        for moved in action.moved
    ]
    return [
        _stock(entry, batch, movements)
        for entry, batch in current_records(reader, dossier_id, "batch")
    ]


def batches_in(reader: Reader, dossier_id: str) -> dict[str, Batch]:
    """Return the batches of a dossier by their ids."""
    held = current_records(reader, dossier_id, "batch")
    return {entry.subject_id: batch for entry, batch in held}


def _stock(entry: Entry, batch: Batch, movements: Iterable[Moved]) -> Stock:
    used_g, used_ml, unmeasured = used_of(entry.subject_id, movements)
    return Stock(entry, batch, made_g(batch), used_g, used_ml, unmeasured)
