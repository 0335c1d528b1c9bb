"""The recipe of a tinted skin on one fill: how it is mixed, where it is seen, how it is found."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError, RuleError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.paint import Reading


class TintWay(Enum):
    """How a recipe was come by."""

    BY_EYE = "by eye"
    BY_READINGS = "by readings"


@dataclass(frozen=True)
class MixedPart:
    """One paint of a mixture and its share of the dry skin."""

    paint: str
    share_percent: float


@dataclass(frozen=True)
class Drawdown:
    """A dry drawdown of the recipe as it was measured, and how far off it was."""

    reading: Reading
    off: float
    off_text: str
    direction: str
    model_missed: str
    corrected: tuple[str, ...] = ()
    corrected_parts: tuple[MixedPart, ...] = ()
    corrected_cup: str = ""
    corrected_shown: str = ""


@dataclass(frozen=True)
class Sight:
    """Where a tint is seen: figures from both distances, in words that say their uncertainty."""

    far_mm: float
    near_mm: float
    width_mm: float
    length_mm: float
    text: str
    far_text: str = NOT_KNOWN
    near_text: str = NOT_KNOWN
    window_text: str = NOT_KNOWN
    basis: str = NOT_KNOWN


@dataclass(frozen=True)
class TintRecipe:
    """The tint of one fill; `on_zone_number` is its zone of new tone, 0 while none is drawn.

    `lines` are the mixture as it is dosed, `parts` the same as shares of the dry skin. What the
    search for it was asked and said is kept as a run; by eye, `trial_card_number` names the card.
    """

    mark_number: int
    way: TintWay
    lines: tuple[str, ...]
    cup: str = NOT_KNOWN
    lamps: tuple[str, ...] = ()
    expected: str = NOT_KNOWN
    coat: str = NOT_KNOWN
    found_again: str = NOT_KNOWN
    on_zone_number: int = 0
    trial_card_number: int = 0
    parts: tuple[MixedPart, ...] = ()
    strips: tuple[str, ...] = ()
    sight: Sight | None = None
    drawdown: Drawdown | None = None
    cautions: tuple[str, ...] = ()


def checked_recipe(recipe: TintRecipe) -> TintRecipe:
    """Return a recipe if it says what is mixed and how the tone is found again (rule 8)."""
    if not any(line.strip() for line in recipe.lines):
        raise InputError("A recipe says what is mixed", remedy="Give it line by line")
    if recipe.found_again.strip() in ("", NOT_KNOWN):
        raise RuleError(
            "A tone that nobody can find again is not recorded",
            rule=8,
            remedy="Say how it is found: seen at the bench, hatch, level, gloss, ultraviolet, or "
            "the record alone",
        )
    if recipe.way is TintWay.BY_EYE and not recipe.trial_card_number:
        raise InputError(
            "A recipe found by eye names its trial card", remedy="Record the trial first"
        )
    return recipe
