"""The form of what is said of a crack beside its mark: shape, matter, climate, fills."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from pydantic import BaseModel, Field

from softmend.records.crack_model import LIMITS, Basis, BodyAround, CrackModel, Told
from softmend.web.numbers import known, typed_number
from softmend.web.words import said as _

Line: TypeAlias = Annotated[str, Field(max_length=2000)]
Lines: TypeAlias = Annotated[list[Line], Field(max_length=len(LIMITS))]
Quantity: TypeAlias = Literal[
    "radius_mm", "inner_radius_mm", "modulus_gpa", "poisson", "relaxation", "strength_mpa",
    "toughness_mpa_m05", "mismatch_percent", "fall_percent", "rise_percent",
]  # fmt: skip

HINTS = {
    "radius_mm": _("Half the width across the shaft is near enough."),
    "inner_radius_mm": _("Of a hollow or soft core; only for a hollow shaft."),
    "modulus_gpa": _("Across the growth, of this state."),
    "relaxation": _("The share of the stiffness that is left after weeks: 0 to 1."),
    "mismatch_percent": _("Tangentially less radially; above 0 opens on drying, below closes."),
    "fall_percent": _("From the humidity at which the fill was placed, as the object feels it."),
    "rise_percent": _("Left empty, only the drying counts."),
}


@dataclass(frozen=True)
class Row:
    """One quantity of the form: its name, words and unit, what was told, and a hint."""

    name: str
    words: str
    unit: str
    told: Told | None
    hint: str


class SaidForm(BaseModel):
    """What is said of a crack; each quantity has its low, typical and high in one order."""

    mark_id: Annotated[str, Field(max_length=40)]
    based_on: Annotated[str, Field(max_length=40)] = ""
    body: BodyAround = BodyAround.NOT_KNOWN
    material: Line = ""
    preservation: Line = ""
    old_fill: Line = ""
    old_fill_grounds: Line = ""
    new_fill: Line = ""
    quantity: Annotated[list[Quantity], Field(max_length=len(LIMITS))] = []
    low: Lines = []
    typical: Lines = []
    high: Lines = []
    basis: Annotated[list[Basis], Field(max_length=len(LIMITS))] = []
    grounds: Lines = []

    def record(self) -> CrackModel:
        """Return what was typed as a record; a quantity left empty is not known."""
        return CrackModel(
            body=self.body,
            material=known(self.material),
            preservation=known(self.preservation),
            old_fill=known(self.old_fill),
            old_fill_grounds=known(self.old_fill_grounds),
            new_fill=known(self.new_fill),
            **dict(self._told()),
        )

    def _told(self) -> Iterator[tuple[str, Told]]:
        lines = (self.quantity, self.low, self.typical, self.high, self.basis, self.grounds)
        for name, low, typical, high, basis, grounds in zip(*lines, strict=True):
            if not any(text.strip() for text in (low, typical, high)):
                continue
            words, unit, least, most = LIMITS[name]
            points = {
                which: typed_number(text, f"{words}, {which}", unit, least, most)
                for which, text in (("low", low), ("typical", typical), ("high", high))
            }
            yield name, Told(**points, basis=basis, grounds=known(grounds))


def form_rows(model: CrackModel) -> list[Row]:
    """Return the quantities of the form with what was told before."""
    return [
        Row(name, words, unit, getattr(model, name), HINTS.get(name, ""))
        for name, (words, unit, _least, _most) in LIMITS.items()
    ]
