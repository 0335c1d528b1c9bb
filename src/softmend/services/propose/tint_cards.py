"""By eye first: trial cards beside the object, and where each will be seen."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from softmend.errors import InputError, NotFoundError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.trial_card import Beside, Seen, TrialCard, Way, checked_card
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.numbered import append_numbered
from softmend.services.propose.colour_readings import targets_in
from softmend.services.recording import current_records
from softmend.services.store import Reader

# How far apart the words stand, CIEDE2000 edge to edge at the bench: low, typical, high.
STEPS: dict[Beside, tuple[float, float, float]] = {
    Beside.SAME: (0.0, 0.4, 1.0),
    Beside.JUST: (0.6, 1.2, 2.0),
    Beside.CLEAR: (1.5, 2.5, 4.0),
    Beside.PLAIN: (4.0, 6.0, 10.0),
}
FOUND_TIMES = 1.5
STEP_NOTE = "estimated: words for a difference between large, plain patches edge to edge"
# A guess of the object's colour where nobody has read it: L*, a*, b* for D65.
SURROUNDS: dict[str, tuple[float, float, float]] = {
    "pale ivory or bone": (82.0, 2.0, 16.0),
    "honey-coloured": (72.0, 5.0, 24.0),
    "tan, as antler": (62.0, 7.0, 26.0),
    "brown": (45.0, 9.0, 22.0),
    "dark brown": (32.0, 6.0, 12.0),
}
_WINDOW_WAYS = tuple(one.value for one in Way if one is not Way.NOT_KNOWN)


@dataclass(frozen=True)
class CardSight:
    """Where a trial will be seen: a sentence for each distance, and what will do besides."""

    far: str
    near: str
    window: str
    cues: tuple[tuple[str, str], ...]
    basis: tuple[str, ...]
    answer: Outcome | None
    contradiction: str = ""
    asked: dict[str, Any] = field(default_factory=dict)


def cards_in(reader: Reader, dossier_id: str) -> list[tuple[Entry, TrialCard]]:
    """Return the trial cards of a dossier, the newest first."""
    found: list[tuple[Entry, TrialCard]] = current_records(reader, dossier_id, "trial_card")
    return sorted(found, key=lambda one: -one[1].number)


def record_card(
    bench: Bench,
    author: Author,
    dossier_id: str,
    card: TrialCard,
    *,
    subject_id: str = "",
    based_on: str = "",
) -> Entry:
    """Record a trial card; what was mixed is kept as it was, a corrected card too."""
    checked = checked_card(card)
    with bench.store.writing() as writer:
        numbers = {one.number for _, one in current_records(writer, dossier_id, "mark")}
        if checked.mark_number not in numbers:
            raise NotFoundError(
                "A trial belongs to a fill", value=f"mark {checked.mark_number}",
                allowed=", ".join(f"mark {n}" for n in sorted(numbers)) or "no mark is drawn yet",
            )  # fmt: skip
        views = {one.number for _, one in current_records(writer, dossier_id, "view")}
        if checked.view_number and checked.view_number not in views:
            raise NotFoundError("There is no such view", value=checked.view_number)
        if subject_id:
            _refuse_other_mixture(writer, subject_id, checked)
        entry = append_numbered(
            bench, writer, author, dossier_id, checked, subject_id=subject_id, based_on=based_on
        )
        writer.commit()
    return entry


def _refuse_other_mixture(reader: Reader, subject_id: str, card: TrialCard) -> None:
    from softmend.records.kinds import record_in

    standing = reader.latest("trial_card", subject_id)
    if standing is None or standing.payload is None or standing.kind != "trial_card":
        return
    before: TrialCard = record_in(standing)
    if before.mixed != card.mixed:
        raise InputError(
            f"Trial {before.number} keeps its mixture as it was",
            value=card.mixed[:60],
            allowed=before.mixed[:120],
            remedy="Record another mixture as a trial of its own",
        )


def card_sight(reader: Reader, dossier_id: str, card: TrialCard) -> CardSight:
    """Return where a trial will be seen, from its words and the size of its fill."""
    if card.width_mm is None or card.length_mm is None:
        return _nothing("Say how wide and long the fill is, and it can be told where it is seen.")
    if card.beside not in STEPS:
        return _nothing("Judge the dry trial beside the object, and it can be told.")
    lab, basis = surround_of(reader, dossier_id, card.surround)
    ways = [card.way.value] if card.way is not Way.NOT_KNOWN else list(_WINDOW_WAYS)
    asked: dict[str, Any] = {
        "surround": {"name": "surround", "lab": list(lab)},
        "width_mm": card.width_mm, "length_mm": card.length_mm,
        "far_mm": card.far_mm, "near_mm": card.near_mm, "directions": ways,
    }  # fmt: skip
    answer = outcome("sight.window", asked)
    low, _, high = STEPS[card.beside]
    far, near, unseen = seen_sentences(low, high, answer, card.far_mm, card.near_mm)
    return CardSight(
        far=far,
        near=near,
        window=answer["text"],
        cues=tuple((one["name"], one["text"]) for one in answer["cues"]),
        basis=(
            f"“{card.beside.value}” was taken as {low:g} to {high:g} CIEDE2000 ({STEP_NOTE}).",
            basis,
        ),
        answer=answer,
        contradiction=_contradiction(card, low, high, unseen),
        asked=asked,
    )


def surround_of(reader: Reader, dossier_id: str, said: str) -> tuple[Any, str]:
    """Return the colour round a fill, and what it rests on: a reading, or a guess by its name."""
    for target in targets_in(reader, dossier_id):
        if target.key == said:
            found = outcome("colour.lab", {"readings": [target.reading]})
            lab = found["colours"][0]["by_lamp"][0]["lab"]
            return lab, f"The colour round the fill is that of {target.words}."
    named = said if said in SURROUNDS else "honey-coloured"
    return SURROUNDS[named], f"The colour round the fill is a guess: “{named}” (estimated)."


def _nothing(sentence: str) -> CardSight:
    return CardSight(sentence, sentence, "", (), (), None)


def distance_words(mm: float) -> str:
    """Return a distance as it is said: 1829 mm is "1.8 m", 250 mm is "25 cm"."""
    return f"{mm / 1000:.1f} m" if mm >= 1000 else f"{mm / 10:.0f} cm"


def seen_sentences(
    low: float, high: float, window: Outcome, far_mm: float, near_mm: float
) -> tuple[str, str, float]:
    """Return what a difference between two bounds does far away and near, and what is unseen.

    The direction that is seen soonest counts far away, the one found latest near.
    """
    unseen = min(one["most_unseen"] for one in window["windows"])
    founds = [one["least_found"] for one in window["windows"]]
    found = None if None in founds else max(founds)
    return _far(low, high, unseen, far_mm), _near(low, high, found, near_mm), unseen


def grain_sentences(
    far: float | None, near: float | None, far_mm: float, near_mm: float
) -> tuple[str, str]:
    """Return what lacking the object's grain does to a flat tint, "" where it does nothing.

    `far` and `near` are how many times what draws the eye is missed there.
    """
    seen, found = "", ""
    if far is not None and far >= 1:
        seen = (
            f"From {distance_words(far_mm)} a flat tint will be seen whatever its colour, by the "
            f"grain that it lacks ({far:.1f} times what draws the eye): stipple it."
        )
    if near is not None and near >= FOUND_TIMES:
        found = (
            f"At the bench ({distance_words(near_mm)}) a flat tint will be found again by the "
            f"grain that it lacks ({near:.1f} times what draws the eye)."
        )
    return seen, found


def _far(low: float, high: float, unseen: float, far_mm: float) -> str:
    where = f"From {distance_words(far_mm)}"
    limit = f"up to about {unseen:.1f} CIEDE2000 is unseen there on this fill"
    if high <= unseen:
        return f"{where} it will not draw the eye: {limit}."
    if low > unseen:
        return f"{where} it will be seen: only {limit}."
    return f"{where} it may be seen: {limit}, and the tint may lie on either side."


def _near(low: float, high: float, found: float | None, near_mm: float) -> str:
    where = f"At the bench ({distance_words(near_mm)})"
    if found is None:
        return f"{where} colour alone will not find it again: give it another cue."
    limit = f"about {found:.1f} CIEDE2000 or more is found there"
    if low >= found:
        return f"{where} it will be found again: {limit}."
    if high < found:
        return f"{where} it will be missed by its colour: {limit}. Give it another cue."
    return f"{where} it may be missed: {limit}. Give it another cue as well."


def _contradiction(card: TrialCard, low: float, high: float, unseen: float) -> str:
    """Return what the person saw against the model; the person's eyes count."""
    if card.from_far is Seen.SEEN and high <= unseen:
        return "It was seen from afar, though the model says unseen: believe the eyes."
    if card.from_far is Seen.NOT_SEEN and low > unseen:
        return "It was not seen from afar, though the model says seen: let two look."
    return ""


def photograph_words(card: TrialCard) -> str:
    """Return which photograph shows a trial beside the object."""
    return f"view {card.view_number}" if card.view_number else NOT_KNOWN
