"""Tints as they are printed: recipe, lamps, where it is seen, how found again, workings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator

from softmend.records.tint_recipe import TintRecipe
from softmend.report.content import Working
from softmend.report.tint_shown import TintShown
from softmend.services.examine.quantities import scales_in, zone_area
from softmend.services.propose.tint_cards import cards_in, distance_words
from softmend.services.propose.tint_keep import (
    CORRECT,
    RECIPE,
    WINDOW,
    KeptTint,
    runs_by_subject,
    tints_in,
)
from softmend.services.propose.tint_size import tinted_places
from softmend.services.runs import run_subject, stale_because
from softmend.services.store import Reader
from softmend.services.workings import STALE, working


def tints_shown(reader: Reader, dossier_id: str) -> tuple[TintShown, ...]:
    """Return every recipe of a dossier as it is printed, by the number of its mark."""
    words = {one.mark_id: one.words for one in tinted_places(reader, dossier_id)}
    return tuple(
        _shown(reader, dossier_id, one, words.get(one.mark_id, f"Mark {one.recipe.mark_number}"))
        for one in tints_in(reader, dossier_id)
    )


def _shown(reader: Reader, dossier_id: str, kept: KeptTint, words: str) -> TintShown:
    recipe = kept.recipe
    return TintShown(
        title=words,
        way=recipe.way.value,
        lines=recipe.lines,
        cup="" if recipe.cup == "not known" else recipe.cup,
        facts=tuple(_facts(reader, dossier_id, kept)),
        sight=tuple(_sight(recipe)),
        strips=recipe.strips,
        drawdown=tuple(_drawdown(recipe)),
        cautions=recipe.cautions,
        works=tuple(_works(reader, dossier_id, kept, words)),
        stale_because=kept.stale_because.removeprefix(STALE),
    )


def _facts(reader: Reader, dossier_id: str, kept: KeptTint) -> Iterator[tuple[str, str]]:
    recipe = kept.recipe
    if kept.zone is None:
        yield "The tone, as drawn", "not drawn"
    else:
        area = zone_area(kept.zone, scales_in(reader, dossier_id)).text
        yield "The tone, as drawn", f"{kept.zone.name}, {area}, {kept.zone.checked_how}"
    yield "Found again by", recipe.found_again
    yield "Lamps", ", ".join(recipe.lamps) or "not known"
    yield "Coat", recipe.coat
    yield "Expected of the first coat", recipe.expected
    card = next(
        (one for _, one in cards_in(reader, dossier_id) if one.number == recipe.trial_card_number),
        None,
    )
    if card is not None:
        shown = f", view {card.view_number}" if card.view_number else ""
        yield (
            f"Trial {card.number}",
            f"{card.dryness.value}, {card.beside.value}, {card.way.value}, under {card.lamp}"
            f"{shown}; judged by {card.judged_by}, second look {card.second_look_by}",
        )


def _sight(recipe: TintRecipe) -> Iterator[tuple[str, str]]:
    seen = recipe.sight
    if seen is None:
        return
    yield f"Visitor, {distance_words(seen.far_mm)}", seen.far_text
    yield f"Bench, {distance_words(seen.near_mm)}", seen.near_text
    yield "What may differ", seen.window_text
    yield "Fill", f"{seen.width_mm:g} × {seen.length_mm:g} mm. {seen.basis}"


def _drawdown(recipe: TintRecipe) -> Iterator[str]:
    down = recipe.drawdown
    if down is None:
        return
    yield down.off_text
    yield down.model_missed
    yield "Mixed again, corrected: " + "; ".join(down.corrected) + "."
    yield f"{down.corrected_cup} Expect {down.corrected_shown}."


def _works(reader: Reader, dossier_id: str, kept: KeptTint, words: str) -> Iterator[Working]:
    runs = runs_by_subject(reader, dossier_id)
    for name in (RECIPE, CORRECT, WINDOW):
        run = runs.get(run_subject(dossier_id, name, kept.mark_id))
        if run is None or (name != WINDOW and not kept.recipe.parts):
            continue
        yield working(name, words, run.outputs, stale_because(reader, run))
