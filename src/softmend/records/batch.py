"""Batches of adhesive, consolidant, pulp and tint: made by mass, numbered, labelled, used up."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import Any

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.material import Direction, Moved, Sum
from softmend.records.mixing import refuse_bare_percentage


class BatchKind(Enum):
    """What a batch is for."""

    ADHESIVE = "adhesive"
    CONSOLIDANT = "consolidant"
    PULP = "pulp"
    TINT = "tint"
    CLEANING = "cleaning"
    OTHER = "other"


@dataclass(frozen=True)
class Ingredient:
    """One thing that went in, by mass; a mass of None was not weighed."""

    name: str
    mass_g: float | None = None
    supplier: str = NOT_KNOWN
    lot: str = NOT_KNOWN


@dataclass(frozen=True)
class Batch:
    """One batch as it was made; its makings are masses, never a bare percentage.

    `mixture` holds the inputs of mixture.convert when the masses came from the solution
    calculator, and is empty when they were weighed as they are.
    """

    number: int
    kind: BatchKind
    name: str
    made_on: str
    ingredients: tuple[Ingredient, ...]
    written: str = NOT_KNOWN
    instruction: str = NOT_KNOWN
    use_until: str = NOT_KNOWN
    removal_route: str = NOT_KNOWN
    hazard: str = NOT_KNOWN
    mixture: dict[str, Any] | None = None


def checked_batch(batch: Batch) -> Batch:
    """Return a batch if it has a name, ingredients and no bare percentage."""
    if not batch.name.strip():
        raise InputError("A batch needs a name", remedy="Say what it is in a few words")
    if not batch.ingredients:
        raise InputError(
            "A batch says what went in",
            remedy="Name each ingredient with its mass; “not weighed” is an answer",
        )
    refuse_bare_percentage(batch.name, batch.written, *(one.name for one in batch.ingredients))
    for one in batch.ingredients:
        if not one.name.strip():
            raise InputError("An ingredient needs a name", remedy="Say what went in")
        if one.mass_g is not None and not (math.isfinite(one.mass_g) and 0 < one.mass_g <= 1e6):
            raise InputError(
                f"The mass of {one.name} is not possible", value=one.mass_g, allowed="more than 0 g"
            )
    return batch


def made_g(batch: Batch) -> float | None:
    """Return the mass that was made, or None when something was not weighed."""
    masses = [one.mass_g for one in batch.ingredients]
    return None if None in masses else math.fsum(mass for mass in masses if mass is not None)


def shares_percent(batch: Batch) -> tuple[float | None, ...]:
    """Return each ingredient's share by mass (w/w), in the order of the ingredients."""
    total = made_g(batch)
    return tuple(
        None if total is None or one.mass_g is None else 100 * one.mass_g / total
        for one in batch.ingredients
    )


def used_of(batch_id: str, movements: Iterable[Moved]) -> tuple[Sum | None, Sum | None, int]:
    """Return the mass and the volume of a batch put on so far, and how often none was measured."""
    used = [
        one for one in movements if one.batch_id == batch_id and one.direction is Direction.PUT_ON
    ]
    return (
        Sum.of((one.mass_g, one.expanded_percent) for one in used if one.mass_g is not None),
        Sum.of((one.volume_ml, one.expanded_percent) for one in used if one.volume_ml is not None),
        sum(not one.is_measured for one in used),
    )
