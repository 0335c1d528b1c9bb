"""The table of values that people tell: low, typical, high, kind, and what each rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, TypeAlias

from pydantic import BaseModel, Field

from softmend.errors import InputError
from softmend.records.crack_model import Basis, Told
from softmend.records.told import Limits
from softmend.web.numbers import known, typed_number

MOST_ROWS = 40
Line: TypeAlias = Annotated[str, Field(max_length=2000)]
Lines: TypeAlias = Annotated[list[Line], Field(max_length=MOST_ROWS)]


@dataclass(frozen=True)
class ToldRow:
    """One quantity of the form: its name, words and unit, what was told, hint, what is taken."""

    name: str
    words: str
    unit: str
    told: Told | None
    hint: str = ""
    taken: str = ""


class ToldForm(BaseModel):
    """A form with such a table; each quantity has its three points in one order."""

    based_on: Annotated[str, Field(max_length=40)] = ""
    quantity: Lines = []
    low: Lines = []
    typical: Lines = []
    high: Lines = []
    basis: Annotated[list[Basis], Field(max_length=MOST_ROWS)] = []
    grounds: Lines = []

    def told(self, limits: Limits) -> dict[str, Told]:
        """Return what was told of each quantity; one that is left empty is not known."""
        lines = (self.quantity, self.low, self.typical, self.high, self.basis, self.grounds)
        if len({len(one) for one in lines}) > 1:
            raise InputError("The table of values is not whole", remedy="Load the page again")
        found = {}
        for name, low, typical, high, basis, grounds in zip(*lines, strict=True):
            if not any(text.strip() for text in (low, typical, high)):
                continue
            if name not in limits:
                raise InputError("Nothing of that name is asked here", value=name)
            words, unit, least, most = limits[name]
            points = [
                typed_number(text, f"{words}, {which}", unit, least, most)
                for which, text in (("low", low), ("typical", typical), ("high", high))
            ]
            found[name] = Told(points[0], points[1], points[2], basis, known(grounds))
        return found


def told_rows(
    record: object,
    limits: Limits,
    hints: Mapping[str, str],
    taken: Mapping[str, Any],
) -> list[ToldRow]:
    """Return the rows of the table with what was told before, and what is taken instead."""
    return [
        ToldRow(
            name,
            words,
            unit,
            getattr(record, name),
            hints.get(name, ""),
            str(taken.get(name, "")),
        )
        for name, (words, unit, _least, _most) in limits.items()
    ]
