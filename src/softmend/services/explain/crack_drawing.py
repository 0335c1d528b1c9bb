"""From what was computed of a crack to what page and print draw of it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.pictures.bands import BandGroup, BandRow
from softmend.pictures.section import AtDepth, SectionDrawing
from softmend.services.examine.quantities import Outcome

ROWS = (
    ("fill", "the fill gives", False),
    ("bond", "its bond gives", False),
    ("lips", "the object, walls", True),
    ("tip", "the object, tip", True),
)
REACHED, PULL = "pull that reaches the walls", "pull on the walls, if it held"
MOSTLY = 50.0
"""Percent of what is possible in which fill or bond lets go, above which the drawing says so."""
SHIELDED, IN_PART = 0.3, 0.7
"""Shares of what the open crack bears, below which its tip is shielded, or shielded in part."""


def section_drawing(
    crack: Mapping[str, Any], fill: str = "", sharing: Outcome | None = None,
    giving: Outcome | None = None,
) -> SectionDrawing:  # fmt: skip
    """Return a crack in section, open or with a fill and what it bears."""
    sizes = {
        name: Sourced.model_validate(crack[name]).uncertain().typical
        for name in ("depth_mm", "width_mm", "radius_mm")
        if name in crack
    }
    bare = SectionDrawing(
        depth_mm=sizes["depth_mm"],
        width_mm=sizes["width_mm"],
        radius_mm=sizes.get("radius_mm"),
        fill=fill,
        is_v=crack["section"] == "V",
    )
    if sharing is None:
        return bare
    return SectionDrawing(
        depth_mm=bare.depth_mm,
        width_mm=bare.width_mm,
        radius_mm=bare.radius_mm,
        fill=fill,
        is_v=bare.is_v,
        pull=tuple(AtDepth(at["depth_mm"], at["traction_mpa"]) for at in sharing["profile"]),
        pull_lines=_pull_lines(sharing, giving),
        opening_lines=("empty, it would open by", sharing["free_opening_mm"]["text"]),
        tip_lines=("at its tip", sharing["tip_mpa_m05"]["text"], *_tip_words(giving)),
        is_tip_loaded=giving is None
        or _left(giving) >= SHIELDED
        or giving.get("lets_go_percent", 0.0) >= MOSTLY,
    )


def groups_of(givings: Sequence[tuple[str, Outcome]]) -> tuple[BandGroup, ...]:
    """Return who gives first as groups of bands, one for each fill by its title."""
    return tuple(BandGroup(title, _rows(giving)) for title, giving in givings)


def _rows(giving: Outcome) -> tuple[BandRow, ...]:
    parts = {part["part"]: part for part in giving["parts"]}
    rows = [
        BandRow(
            words,
            parts[name]["first_percent"]["low"],
            parts[name]["first_percent"]["typical"],
            parts[name]["first_percent"]["high"],
            parts[name]["first_mean_percent"],
            is_object=is_object,
        )
        for name, words, is_object in ROWS
    ]
    anything = giving["anything_percent"]
    rows.append(
        BandRow(
            "nothing gives",
            100 - anything["high"],
            100 - anything["typical"],
            100 - anything["low"],
            100 - giving["anything_mean_percent"],
            is_nothing=True,
        )
    )
    return tuple(rows)


def _tip(giving: Outcome) -> Outcome:
    found: Outcome = next(part for part in giving["parts"] if part["part"] == "tip")
    return found


def _left(giving: Outcome) -> float:
    """Return the share of what the tip bears in the open crack that the fill leaves it."""
    opened: float = giving["open_tip_demand"]["typical"]
    tip: float = _tip(giving)["demand"]["typical"]
    return tip / opened if opened > 0 else 1.0


def _pull_lines(sharing: Outcome, giving: Outcome | None) -> tuple[str, ...]:
    """Return what reaches the walls first, and what would if the fill held throughout."""
    pull = sharing["traction_mpa"]["text"]
    if giving is None or not giving.get("reached_mpa"):
        return (PULL, pull, sharing["hand_text"])
    reached = giving["reached_mpa"]["text"]
    return (REACHED, reached, giving["reached_hand_text"], f"if it held: {pull}")


def _tip_words(giving: Outcome | None) -> tuple[str, ...]:
    if giving is None:
        return ()
    if giving.get("lets_go_percent", 0.0) >= MOSTLY:
        return ("if it held; once it has let go, as in the open crack",)
    left = _left(giving)
    if left < SHIELDED:
        return ("shielded while the fill holds",)
    if left < IN_PART:
        return ("shielded in part while it holds",)
    return ("hardly shielded: steady the humidity",)
