"""What the numbers of a crack say in plain words, each sentence as strong as its band allows."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from softmend.services.examine.quantities import Outcome
from softmend.services.explain.binding import Bound
from softmend.services.explain.crack import FillOn, Role

MODEL = "This is a model of one straight crack in an even material."
UNSEEN = (
    "It does not know how the grain turns, what other cracks take up or add, or that the pull is "
    "greater right at the mouth."
)
OPEN_CRACK = (
    "Left open, the crack is spared the pull on its walls; but it may snag, take dirt, and lose "
    "its edges and the support of its sides."
)
STEADY = "No fill takes the place of steady humidity."
MOSTLY, HARDLY_LESS, A_PART = 50.0, 0.7, 0.3
RARELY = 1.0
"""Percent of what is possible, below which a fill that may let go is not worth a word."""
FUSE = ("fill", "bond")
SURROGATE = "a bar or block of a lawful surrogate (shed antler, butcher's bone, offcut): it only "
# What drives the spread -> how it is measured; never on the object, never by conditioning it.
HOW = {
    "movement of the crack with humidity": "read one width of the crack at two humidities, a "
    "season apart: two photographs do",
    "stiffness of the object": f"bend {SURROGATE}bounds the old matter",
    "relaxation of the object": f"leave a weight for weeks on {SURROGATE}bounds the old matter",
    "strength of the object": f"pull off {SURROGATE}bounds the old matter",
    "toughness of the object": "no bench test does it; ask a laboratory with a surrogate",
    "depth of the crack": "an X-ray, if there is one; never probe",
    "width of the crack": "feeler gauges at more places",
    "radius of the object": "callipers across the shaft",
    "fall of humidity": "a logger where it stands, for a year",
    "rise of humidity": "a logger where it stands, for a year",
    "stiffness of the fill": "bend a bar of the mixed fill",
    "strength of the fill": "break a bar of the mixed fill",
    "strength of the bond": "a pull-off on a lawful surrogate",
    "shrinkage of the fill": "measure a bar of the mixed fill wet and dry",
    "share of shrinkage after setting": "measure a bar of the mixed fill from when it no longer "
    "gives to the thumb",
}


@dataclass(frozen=True)
class Said:
    """The paragraph of a crack: its first sentence, the rest, and what the numbers cannot know."""

    lead: str
    rest: tuple[str, ...]
    cannot_know: tuple[str, ...]


def said_of(bound: Bound, fills: Sequence[FillOn]) -> Said:
    """Return the paragraph that follows from the numbers of a crack's fills."""
    told = [one for one in fills if one.giving is not None]
    if not told:
        reasons = tuple(f"{one.name}: {' '.join(one.reasons)}" for one in fills if one.reasons)
        return Said("Nothing can be said yet.", reasons, (MODEL,))
    lead = " ".join(f"{_with(one)}, {_lower(one.giving or {})}" for one in told)
    rest = [_of_fill(one) for one in told]
    rest += [f"{one.name}: {' '.join(one.reasons)}" for one in fills if one.giving is None]
    return Said(lead, (*rest, OPEN_CRACK), _cannot_know(bound, told[0]))


def how_to_measure(driver: str) -> str:
    """Return how the bench can learn what spreads an answer, or "" where it hardly can."""
    return HOW.get(driver, "")


def _lower(giving: Outcome) -> str:
    sentence = str(giving["sentence"])
    return sentence[:1].lower() + sentence[1:]


def _with(one: FillOn) -> str:
    return "With the fill that is in" if one.role is Role.OLD else "With the fill proposed"


def _of_fill(one: FillOn) -> str:
    giving = one.giving or {}
    name = one.name[:1].upper() + one.name[1:]
    walls = str(_part(giving, "lips")["sentence"])
    if giving.get("lets_go_percent", 0.0) >= MOSTLY:
        walls = f"If it held: {walls[:1].lower()}{walls[1:]}"
    return f"{name}: {_chance(giving)} {reached_words(giving)} {walls} {tip_words(giving)}"


def reached_words(giving: Outcome) -> str:
    """Return what pull reaches the walls, and what it would be if fill and bond held throughout.

    A run that was kept before this was computed says only the second.
    """
    if not giving.get("reached_mpa"):
        return f"If it holds, its pull on the walls is {giving['traction_mpa']['text']}."
    reached = giving["reached_mpa"]["text"]
    if giving["lets_go_percent"] < RARELY:
        return f"It holds in nearly all that is possible, and pulls on the walls with {reached}."
    return (
        f"Before the fill or its bond lets go, {reached} of pull reach the walls; if it held, it "
        f"would be {giving['traction_mpa']['text']}."
    )


def _chance(giving: Outcome) -> str:
    band = giving["object_first_percent"]
    mean = giving["object_first_mean_percent"]
    if band["high"] < 1:
        return "the chance that the object gives first in a year is below 1 % over the whole band."
    about = "below 1" if mean < 1 else f"{mean:.0f}"
    return (
        f"the chance that the object gives first in a year is {about} % on average, and what is "
        f"not known of the materials spreads it from {_end(band['low'])} to {_end(band['high'])} %."
    )


def _end(percent: float) -> str:
    if percent < 1:
        return "below 1"
    return "above 99" if percent > 99 else f"{percent:.0f}"


def tip_words(giving: Outcome) -> str:
    """Return the sentence about the tip of the crack: shielded, partly, or as in the open crack."""
    opened, tip = giving["open_tip_demand"], _part(giving, "tip")["demand"]
    fuse = sum(_part(giving, name)["first_if_any_percent"] for name in FUSE)
    if fuse >= MOSTLY:
        return (
            "Its bond or the fill itself is the likelier to let go; the tip of the crack then "
            f"bears what it bears in the open crack, {opened['text']} of what it stands. {STEADY}"
        )
    ratio = tip["typical"] / opened["typical"] if opened["typical"] > 0 else 1.0
    if ratio > HARDLY_LESS:
        return f"The tip of the crack is hardly shielded: {tip['text']} of what it stands. {STEADY}"
    if ratio > A_PART:
        return (
            f"The tip of the crack is shielded in part: {tip['text']} of what it stands. {STEADY}"
        )
    return (
        f"While it holds, it shields the tip of the crack ({tip['text']} of what it stands, "
        f"against {opened['text']} in the open crack) and loads the walls instead."
    )


def _cannot_know(bound: Bound, one: FillOn) -> tuple[str, ...]:
    giving = one.giving or {}
    lines = [MODEL, UNSEEN]
    if 0 < giving["opens_percent"] < 100:
        lines.append(
            "Whether drying opens or closes this crack is not known; both are drawn: it opens in "
            f"{giving['opens_percent']:.0f} % of what is possible."
        )
    if giving["used"] == "measured":
        lines.append("The movement was measured on the object; the model of its movement was not "
                     "used.")  # fmt: skip
    else:
        lines.append("The movement is modelled; a width read at two humidities would replace it.")
    if bound.payload["crack"].get("known_how") == "not known":
        lines.append("The depth is not known, only bounded: do not probe for it.")
    return tuple(lines)


def _part(giving: Outcome, name: str) -> Outcome:
    found: Outcome = next(part for part in giving["parts"] if part["part"] == name)
    return found
