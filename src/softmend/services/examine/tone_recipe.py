"""What a zone of new tone was mixed from, for the panel of the zone and the condition report."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.records.tint_recipe import TintRecipe
from softmend.services.recording import current_records
from softmend.services.store import Reader

NO_RECIPE = "no recipe is kept for it"


@dataclass(frozen=True)
class ToneRecipe:
    """The recipe of one tone, in the pieces that a panel sets under each other."""

    of: str
    lines: tuple[str, ...] = ()
    about: str = ""


def recipe_of_tone(reader: Reader, dossier_id: str, zone_number: int) -> ToneRecipe:
    """Return the recipe of one tone; that none is kept is told as well."""
    for _, one in current_records(reader, dossier_id, "tint_recipe"):
        if one.on_zone_number == zone_number:
            lines = tuple(line.rstrip(".") for line in one.lines)
            return ToneRecipe(f"mark {one.mark_number}, {one.way.value}", lines, _about(one))
    return ToneRecipe(NO_RECIPE)


def recipes_of_tones(reader: Reader, dossier_id: str) -> dict[int, str]:
    """Return the recipe of each tone that has one, in a sentence, by the number of its zone."""
    return {
        recipe.on_zone_number: recipe_in_words(recipe)
        for _, recipe in current_records(reader, dossier_id, "tint_recipe")
        if recipe.on_zone_number
    }


def recipe_in_words(recipe: TintRecipe) -> str:
    """Return what a recipe is, under which lamps, how thick, and how the tone is found again."""
    mixed = "; ".join(line.rstrip(".") for line in recipe.lines)
    return f"mark {recipe.mark_number}, {recipe.way.value}: {mixed}; {_about(recipe)}"


def _about(recipe: TintRecipe) -> str:
    lamps = f"for {', '.join(recipe.lamps)}; " if recipe.lamps else ""
    return f"{lamps}coat {recipe.coat}; found again by {recipe.found_again.rstrip('.')}"
