"""Fills side by side for one crack: the bench's shelf first, the rest when it is asked for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from softmend.services.examine.quantities import Outcome
from softmend.services.explain.binding import Bound
from softmend.services.explain.binding_fill import fill_system, system_names
from softmend.services.explain.crack import Role, crack_numbered, fill_named, side_by_side
from softmend.services.explain.shelf import offered
from softmend.services.store import Reader

PARTS = {"fill": "the fill", "bond": "its bond", "lips": "the object, walls",
         "tip": "the object, tip", "not known": "cannot be said"}  # fmt: skip


@dataclass(frozen=True)
class FillLine:
    """One fill in the table: its row, whether it is on the shelf, in the crack, or proposed."""

    row: Outcome
    is_offered: bool
    is_in: bool
    is_proposed: bool
    acidity: str
    caution: str

    @property
    def first(self) -> str:
        """Return who gives first, in words."""
        return PARTS[self.row["first_part"]]


@dataclass(frozen=True)
class Choice:
    """The fills side by side, what could not be compared, and how many more there are."""

    bound: Bound
    lines: tuple[FillLine, ...]
    left_out: tuple[str, ...]
    warnings: tuple[str, ...]
    open_tip: str
    others: int
    has_shelf: bool
    is_whole: bool


def choice_on(
    reader: Reader, dossier_id: str, number: int, today: date, *, with_all: bool
) -> Choice:
    """Return the fills side by side: those of the shelf with the old and the proposed, or all."""
    bound = crack_numbered(reader, dossier_id, number)
    names, shelf = system_names(reader), offered(reader, today)
    on_shelf = [name for name in names if name in shelf]
    old, new = (fill_named(reader, dossier_id, bound, role) for role in Role)
    named = {one.name for one in (old, new) if one is not None}
    is_whole = with_all or not on_shelf
    asked = names if is_whole else [name for name in names if name in shelf or name in named]
    answer = side_by_side(reader, bound, asked)
    if answer is None or answer["answer"] == "cannot say":
        reasons = tuple(one.sentence for one in bound.missing)
        reasons += tuple(answer["reasons"]) if answer else ()
        return Choice(bound, (), reasons, (), "", 0, bool(on_shelf), is_whole)
    lines = [
        FillLine(
            row=row,
            is_offered=row["name"] in shelf,
            is_in=old is not None and row["name"] == old.name,
            is_proposed=new is not None and row["name"] == new.name,
            **_said(reader, row["name"]),
        )
        for row in answer["fills"]
    ]
    return Choice(
        bound=bound,
        lines=tuple(sorted(lines, key=lambda line: not line.is_offered)),
        left_out=tuple(answer["reasons"]),
        warnings=tuple(answer["warnings"]),
        open_tip=answer["open_tip_demand"]["text"],
        others=len(names) - len(asked),
        has_shelf=bool(on_shelf),
        is_whole=is_whole,
    )


def _said(reader: Reader, name: str) -> dict[str, str]:
    system = fill_system(reader, name)
    said = system.said if system else {}
    return {"acidity": said.get("acidity", ""), "caution": said.get("caution", "")}
