"""Recipes that are kept: on which fill, where it is seen, how found again, and how it came out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from softmend.errors import ConflictError, MissingEvidenceError, NotFoundError, RuleError
from softmend.pictures.tint_strip import strips_in_words
from softmend.records.bookkeeping import Run
from softmend.records.entry import Entry
from softmend.records.mark import Mark
from softmend.records.paint import ReadingOf
from softmend.records.tint_recipe import (
    Drawdown,
    MixedPart,
    Sight,
    TintRecipe,
    TintWay,
    checked_recipe,
)
from softmend.records.trial_card import TrialCard
from softmend.records.zone import OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome
from softmend.services.paints import as_asked
from softmend.services.paints_files import Said, readings_of_file
from softmend.services.paints_looking import distances_in
from softmend.services.propose.colour_readings import mean_place
from softmend.services.propose.sight import (
    AskedOfSight,
    SightShown,
    sight_kept,
    sight_place,
    sight_shown,
)
from softmend.services.propose.tint_cards import (
    card_sight,
    grain_sentences,
    seen_sentences,
)
from softmend.services.propose.tint_search import AskedOfTint, answered, bound_tint, strip_rows
from softmend.services.propose.tint_size import TintedPlace
from softmend.services.recording import current_record, current_records, record_one
from softmend.services.runs import record_run, run_subject, stale_because
from softmend.services.store import Reader

RECIPE, CORRECT, WINDOW = "tint.recipe", "tint.correct", "sight.window"
KINDS_OF_RECIPE = ("recommended", "fewest_paints", "closest")


@dataclass(frozen=True)
class KeptTint:
    """A recipe with its mark, its zone of tone, and why it is stale, or ""."""

    entry: Entry
    recipe: TintRecipe
    mark_id: str
    zone: OnZone | None
    stale_because: str = ""


def tints_in(reader: Reader, dossier_id: str) -> list[KeptTint]:
    """Return the recipes of a dossier by the number of their mark."""
    marks = {
        mark.number: entry.subject_id for entry, mark in current_records(reader, dossier_id, "mark")
    }
    zones = {zone.number: zone for _, zone in tone_zones(reader, dossier_id)}
    runs = runs_by_subject(reader, dossier_id)
    found = []
    for entry, recipe in current_records(reader, dossier_id, "tint_recipe"):
        mark_id = marks.get(recipe.mark_number, "")
        run = runs.get(run_subject(dossier_id, RECIPE, mark_id))
        stale = stale_because(reader, run) if run and recipe.way is TintWay.BY_READINGS else ""
        found.append(KeptTint(entry, recipe, mark_id, zones.get(recipe.on_zone_number), stale))
    return sorted(found, key=lambda one: one.recipe.mark_number)


def tone_zones(reader: Reader, dossier_id: str) -> list[tuple[Entry, OnZone]]:
    """Return the zones of new tone; each lies on fills only, as its recording made sure."""
    return [
        (entry, zone)
        for entry, zone in current_records(reader, dossier_id, "on_zone")
        if zone.on_it is OnIt.NEW_TONE
    ]


def kept_tint(reader: Reader, dossier_id: str, mark_id: str) -> KeptTint | None:
    """Return the recipe of one fill, or None."""
    return next((one for one in tints_in(reader, dossier_id) if one.mark_id == mark_id), None)


def keep_by_readings(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    asked: AskedOfTint,
    *,
    which: str,
    found_again: str,
    on_zone_number: int = 0,
    based_on: str = "",
) -> Entry:
    """Keep one of the recipes that a search gives, with all that went into the search."""
    if which not in KINDS_OF_RECIPE:
        raise NotFoundError("That recipe is not offered", allowed=", ".join(KINDS_OF_RECIPE))
    with bench.store.reading() as reader:
        place = sight_place(reader, dossier_id, mark_id)
        bound = bound_tint(reader, dossier_id, asked)
        _refuse_if_newer(reader, dossier_id, mark_id, based_on)
        _entry, house = distances_in(reader)
        looked = AskedOfSight(surround=asked.target, far_mm=house.far_mm, near_mm=house.near_mm)
        shown = sight_shown(bench, reader, dossier_id, place, looked)
        _check_zone(reader, dossier_id, on_zone_number, place.mark)
    if bound.missing:
        raise MissingEvidenceError("No recipe can be kept yet", remedy=" ".join(bound.missing))
    answer = answered(bench, RECIPE, bound.payload)
    found = answer[which]
    rows = strip_rows(bench, bound, found)
    recipe = TintRecipe(
        mark_number=place.mark.number,
        way=TintWay.BY_READINGS,
        lines=tuple(one["text"] for one in found["lines"]),
        cup=found["cup"] or "not known",
        lamps=asked.lamps,
        expected=found["shown"],
        coat=f"{asked.thickness_um:g} µm dry, ± {asked.coat_percent:g} %",
        found_again=found_again,
        on_zone_number=on_zone_number,
        parts=_parts(found),
        strips=strips_in_words(rows),
        sight=_sight_of_recipe(found, shown, looked),
        cautions=(*bound.words, *answer["warnings"]),
    )
    checked = checked_recipe(recipe)
    record_run(
        bench, author, dossier_id, computation=RECIPE, inputs=bound.payload, outputs=answer,
        read_entry_ids=(place.entry_id, *bound.read_entry_ids), about=mark_id,
        tables=("lamps", "observers"),
    )  # fmt: skip
    if shown.window is not None:
        _record_window(bench, author, dossier_id, place, shown.window_inputs, shown.window)
    return _record(bench, author, dossier_id, mark_id, checked, based_on)


def keep_by_eye(
    bench: Bench,
    author: Author,
    dossier_id: str,
    card_id: str,
    *,
    found_again: str,
    on_zone_number: int = 0,
    based_on: str = "",
) -> Entry:
    """Keep the mixture of a trial card, word for word, as the recipe of its fill."""
    with bench.store.reading() as reader:
        _, card = current_record(reader, dossier_id, "trial_card", card_id)
        mark_id, mark = _mark_numbered(reader, dossier_id, card.mark_number)
        told = card_sight(reader, dossier_id, card)
        place = sight_place(reader, dossier_id, mark_id)
        _check_zone(reader, dossier_id, on_zone_number, mark)
        _refuse_if_newer(reader, dossier_id, mark_id, based_on)
    recipe = TintRecipe(
        mark_number=card.mark_number,
        way=TintWay.BY_EYE,
        lines=(card.mixed,),
        lamps=(card.lamp,),
        expected=f"{card.beside.value}, judged dry by eye",
        coat=card.coats,
        found_again=found_again,
        on_zone_number=on_zone_number,
        trial_card_number=card.number,
        sight=_sight_of_card(card, told.far, told.near, told.window, " ".join(told.basis)),
    )
    checked = checked_recipe(recipe)
    if told.answer is not None:
        _record_window(bench, author, dossier_id, place, told.asked, told.answer)
    return _record(bench, author, dossier_id, mark_id, checked, based_on)


def keep_sight(
    bench: Bench, author: Author, dossier_id: str, mark_id: str, asked: AskedOfSight, based_on: str
) -> Entry:
    """Keep where a fill is seen with its recipe, as it was tried out on the page."""
    with bench.store.reading() as reader:
        kept = _kept_or_refused(reader, dossier_id, mark_id)
        place = sight_place(reader, dossier_id, mark_id)
        seen = sight_kept(sight_shown(bench, reader, dossier_id, place, asked), asked)
    if seen is None:
        raise MissingEvidenceError(
            "It cannot be told where this fill is seen", remedy="Say how wide and long it is"
        )
    changed = replace(kept.recipe, sight=seen)
    return _record(bench, author, dossier_id, mark_id, changed, based_on)


def record_drawdown(
    bench: Bench,
    author: Author,
    dossier_id: str,
    mark_id: str,
    sha256: str,
    file_name: str,
    said: Said,
    based_on: str,
) -> Entry:
    """Record a dry drawdown as it was measured, how far it was off, and the corrected mixture."""
    with bench.store.reading() as reader:
        kept = _kept_or_refused(reader, dossier_id, mark_id)
        run = runs_by_subject(reader, dossier_id).get(run_subject(dossier_id, RECIPE, mark_id))
    if run is None or not kept.recipe.parts:
        raise MissingEvidenceError(
            "This recipe was found by eye and cannot be corrected by a reading",
            remedy="Search a recipe by readings first, or record a further trial",
        )
    place, _words = mean_place(
        "dry drawdown", readings_of_file(bench, sha256, file_name, ReadingOf.OTHER, said)
    )
    if place.reading is None:
        raise MissingEvidenceError("The file holds no curve")
    asked = {
        **{name: value for name, value in run.inputs.items() if name != "most_paints"},
        "mixture": [
            {"paint": one.paint, "share_percent": one.share_percent} for one in kept.recipe.parts
        ],
        "measured": as_asked(place.reading),
    }
    answer = answered(bench, CORRECT, asked)
    corrected = answer["corrected"]
    drawdown = Drawdown(
        reading=place.reading,
        off=answer["first_off"],
        off_text=answer["text"],
        direction=answer["first_direction"],
        model_missed=answer["model_missed"],
        corrected=tuple(one["text"] for one in corrected["lines"]),
        corrected_parts=_parts(corrected),
        corrected_cup=corrected["cup"],
        corrected_shown=corrected["shown"],
    )
    record_run(
        bench, author, dossier_id, computation=CORRECT, inputs=asked, outputs=answer,
        read_entry_ids=(kept.entry.id,), about=mark_id, tables=("lamps", "observers"),
    )  # fmt: skip
    changed = replace(kept.recipe, drawdown=drawdown)
    return _record(bench, author, dossier_id, mark_id, changed, based_on)


def last_time(reader: Reader, dossier_id: str) -> tuple[str, ...]:
    """Return how recipes were wrong so far: every measured drawdown, newest last."""
    return tuple(
        f"Mark {one.recipe.mark_number}: expected {one.recipe.expected}; the dry drawdown was "
        f"{one.recipe.drawdown.direction} by {one.recipe.drawdown.off:.1f} CIEDE2000. "
        f"{one.recipe.drawdown.model_missed}"
        for one in tints_in(reader, dossier_id)
        if one.recipe.drawdown is not None
    )


def _parts(found: Outcome) -> tuple[MixedPart, ...]:
    return tuple(MixedPart(one["paint"], one["share_percent"]) for one in found["lines"])


def _sight_of_recipe(found: Outcome, shown: SightShown, asked: AskedOfSight) -> Sight | None:
    """Return where a recipe is seen with all that may go wrong, not as if nothing did."""
    kept = sight_kept(shown, asked)
    if kept is None or shown.window is None:
        return None
    far, near, _ = seen_sentences(
        found["predicted"], found["expected_high"], shown.window, asked.far_mm, asked.near_mm
    )
    if shown.verdict is not None:
        grains = (shown.verdict["far"]["grain"], shown.verdict["near"]["grain"])
        seen, again = grain_sentences(*grains, asked.far_mm, asked.near_mm)
        far, near = seen or far, again or near
    return replace(kept, text=f"{far} {near}", far_text=far, near_text=near)


def _sight_of_card(card: TrialCard, far: str, near: str, window: str, basis: str) -> Sight | None:
    if card.width_mm is None or card.length_mm is None:
        return None
    return Sight(
        far_mm=card.far_mm,
        near_mm=card.near_mm,
        width_mm=card.width_mm,
        length_mm=card.length_mm,
        text=f"{far} {near}",
        far_text=f"looked from afar: {card.from_far.value}",
        near_text=f"looked at the bench: {card.from_near.value}",
        window_text=window or "not known",
        basis=basis or "not known",
    )


def _mark_numbered(reader: Reader, dossier_id: str, number: int) -> tuple[str, Mark]:
    for entry, mark in current_records(reader, dossier_id, "mark"):
        if mark.number == number:
            return entry.subject_id, mark
    raise NotFoundError("There is no such mark in this dossier", value=number)


def _check_zone(reader: Reader, dossier_id: str, number: int, mark: Mark) -> None:
    """Refuse a zone that is no new tone: a recipe lies where tone was drawn, and nowhere else."""
    if not number:
        return
    zone = next((one for _, one in tone_zones(reader, dossier_id) if one.number == number), None)
    if zone is None:
        raise RuleError(
            f"SZ{number} is no zone of new tone",
            rule=7,
            remedy="Draw the tone as a zone on the fill: over original it is refused there",
        )
    if zone.view_id not in {seen.view_id for seen in mark.sightings}:
        raise RuleError(
            f"SZ{number} and mark {mark.number} are not seen on one view",
            rule=7,
            remedy="Choose the tone that was drawn on this fill",
        )


def _refuse_if_newer(reader: Reader, dossier_id: str, mark_id: str, based_on: str) -> None:
    standing = reader.latest("tint_recipe", _subject(dossier_id, mark_id))
    if (standing.id if standing else "") != based_on:
        raise ConflictError(
            "Somebody kept another recipe for this fill since you opened the page; nothing was "
            "written",
            remedy="Open the page again and look at theirs first",
        )


def _record_window(
    bench: Bench,
    author: Author,
    dossier_id: str,
    place: TintedPlace,
    inputs: dict[str, Any],
    outputs: Outcome,
) -> None:
    record_run(
        bench, author, dossier_id, computation=WINDOW, inputs=inputs, outputs=outputs,
        read_entry_ids=(place.entry_id,), about=place.mark_id, tables=("lamps", "observers"),
    )  # fmt: skip


def _kept_or_refused(reader: Reader, dossier_id: str, mark_id: str) -> KeptTint:
    kept = kept_tint(reader, dossier_id, mark_id)
    if kept is None:
        raise MissingEvidenceError(
            "This fill has no recipe yet", remedy="Keep one first, by eye or by readings"
        )
    return kept


def runs_by_subject(reader: Reader, dossier_id: str) -> dict[str, Run]:
    """Return the kept runs of a dossier by their subject."""
    found: list[tuple[Entry, Any]] = current_records(reader, dossier_id, "run")
    return {entry.subject_id: run for entry, run in found}


def _subject(dossier_id: str, mark_id: str) -> str:
    return f"{dossier_id}:tint:{mark_id}"


def _record(
    bench: Bench, author: Author, dossier_id: str, mark_id: str, recipe: TintRecipe, based_on: str
) -> Entry:
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(dossier_id, mark_id),
        record=recipe,
        based_on=based_on,
    )
