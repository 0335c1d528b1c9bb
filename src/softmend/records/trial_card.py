"""Trial cards: a tint judged by eye beside the object, with the recipe kept as it was mixed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.looking import FAR_MM, NEAR_MM


class Beside(Enum):
    """How a dry trial looks held against the object, edge to edge, at the bench."""

    SAME = "cannot be told apart"
    JUST = "just told apart"
    CLEAR = "clearly apart"
    PLAIN = "plainly another colour"
    NOT_KNOWN = "not judged"


class Way(Enum):
    """Which way a trial differs from the object."""

    LIGHTER = "lighter"
    DARKER = "darker"
    REDDER = "redder"
    GREENER = "greener"
    YELLOWER = "yellower"
    BLUER = "bluer"
    DULLER = "duller"
    NOT_KNOWN = "not known"


class Seen(Enum):
    """What a person saw from one distance."""

    SEEN = "seen"
    NOT_SEEN = "not seen"
    NOT_LOOKED = "not looked"


class Dryness(Enum):
    """Whether the trial was dry when it was judged."""

    DRY = "dry"
    WET = "still wet"
    NOT_KNOWN = "not known"


class Sheen(Enum):
    """How the trial's sheen stands to the object's."""

    SAME = "same sheen"
    GLOSSIER = "glossier"
    DULLER = "more matt"
    NOT_KNOWN = "not known"


@dataclass(frozen=True)
class TrialCard:
    """One trial: what was mixed, under which lamp it was judged dry, and how it was found.

    `mixed` is kept word for word. `second_look_by` is another person. `view_number` is the
    photograph of the card beside the object, 0 for none. `width_mm` and `length_mm` are the fill's.
    """

    number: int
    mark_number: int
    mixed: str
    made_on: str = NOT_KNOWN
    dryness: Dryness = Dryness.NOT_KNOWN
    dried_h: float | None = None
    coats: str = NOT_KNOWN
    lamp: str = NOT_KNOWN
    beside: Beside = Beside.NOT_KNOWN
    way: Way = Way.NOT_KNOWN
    sheen: Sheen = Sheen.NOT_KNOWN
    from_far: Seen = Seen.NOT_LOOKED
    from_near: Seen = Seen.NOT_LOOKED
    far_mm: float = FAR_MM
    near_mm: float = NEAR_MM
    width_mm: float | None = None
    length_mm: float | None = None
    surround: str = NOT_KNOWN
    view_number: int = 0
    judged_by: str = NOT_KNOWN
    second_look_by: str = NOT_KNOWN
    note: str = NOT_KNOWN


def checked_card(card: TrialCard) -> TrialCard:
    """Return a trial card if it keeps a recipe and nothing was judged wet."""
    if not card.mixed.strip() or card.mixed == NOT_KNOWN:
        raise InputError(
            "A trial card keeps what was mixed",
            remedy="Write it as you mixed it: 5 g binder, 12 drops yellow earth, 2 drops black",
        )
    looked = Seen.NOT_LOOKED not in (card.from_far, card.from_near)
    if card.dryness is not Dryness.DRY and (card.beside is not Beside.NOT_KNOWN or looked):
        raise InputError(
            "A trial is judged dry",
            value=card.dryness.value,
            allowed="dry",
            remedy="Let it dry and look again; leave the verdict as “not judged” until then",
        )
    if card.beside in (Beside.CLEAR, Beside.PLAIN) and card.way is Way.NOT_KNOWN:
        raise InputError(
            "A trial that is told apart differs in some way",
            allowed=", ".join(one.value for one in Way if one is not Way.NOT_KNOWN),
            remedy="Say whether it is lighter, darker, redder, …",
        )
    if not 0 < card.near_mm < card.far_mm:
        raise InputError(
            "The bench is nearer than the visitor",
            value=f"{card.near_mm:g} and {card.far_mm:g} mm",
            allowed="near above 0 and below far",
        )
    return card
