"""What the page and the print of a join show: the drawing, the strengths, and plain words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.errors import InputError
from softmend.pictures.join_drawing import (
    HEIGHT,
    WIDTH,
    JoinDrawing,
    StrengthBand,
    join_svg,
    join_words,
)
from softmend.records.holding import JoinModel
from softmend.report.holding_shown import JoinShown
from softmend.services.examine.quantities import Outcome
from softmend.services.explain.joins import (
    HOLDS,
    BoundJoin,
    JoinPlace,
    bound_join,
    held,
    joins_in,
    kept_join,
)
from softmend.services.store import Reader
from softmend.services.workings import working


def join_shown(bound: BoundJoin) -> JoinShown:
    """Return a join as it is shown."""
    what = _what(bound.place)
    try:
        found = held(bound)
    except InputError as refused:
        # What was said cannot be computed; the page must still open, to be corrected there.
        refusal = (refused.sentence(),)
        return JoinShown(bound.place.name, what, bound.model.adhesive, (), refusal)
    if found is None or found["answer"] == "cannot say":
        reasons = bound.missing or tuple((found or {}).get("reasons", ()))
        return JoinShown(bound.place.name, what, bound.model.adhesive, (), reasons)
    return _told(bound.place, bound.model, bound.payload, found)


def kept_joins(reader: Reader, dossier_id: str) -> tuple[JoinShown, ...]:
    """Return every join of which it was kept whether it holds, as it was kept."""
    shown = []
    for place in joins_in(reader, dossier_id):
        kept = kept_join(reader, dossier_id, place.name)
        if kept is not None:
            _, run, stale = kept
            model = bound_join(reader, dossier_id, place).model
            shown.append(_told(place, model, run.inputs, run.outputs, stale))
    return tuple(shown)


def _what(place: JoinPlace) -> str:
    what = " + ".join(place.pieces) or "not in the order of assembly"
    return what + (", made" if place.is_made else ", not made yet" if place.pieces else "")


def _told(
    place: JoinPlace,
    model: JoinModel,
    inputs: Mapping[str, Any],
    found: Outcome,
    stale_because: str = "",
) -> JoinShown:
    drawn = _drawing(inputs, found)
    because = stale_because.removeprefix("stale, because ")
    return JoinShown(
        name=place.name,
        what=_what(place),
        adhesive=model.adhesive,
        sentences=tuple(_sentences(found)),
        reasons=(),
        facts=tuple(_facts(found)),
        drawing=join_svg(drawn),
        drawing_size=(WIDTH, HEIGHT),
        drawing_words=join_words(drawn),
        measure_next=tuple(
            (one["name"], round(100 * one["share"]))
            for one in found["load_over_lasting"]["drivers"][:4]
            if one["share"] >= 0.02
        ),
        warnings=tuple(found["warnings"]),
        work=working(HOLDS, f"join {place.name}", found, because),
        stale_because=stale_because,
    )


def _sentences(found: Outcome) -> list[str]:
    texts = ("text", "first_text", "warmth_text", "stays_text", "pull_text")
    return [*(found[name] for name in texts if found[name]), _window(found)]


def _window(found: Outcome) -> str:
    """Return the window in which a bond holds the piece and still gives before the object."""
    least, most = found["least_strength_mpa"], found["most_strength_mpa"]
    if most is None:
        return f"A bond needs {least['text']} here, measured in minutes, to last for years."
    if least["high"] < most["low"]:
        return (
            f"A bond between {least['high']:.2g} and {most['low']:.2g} MPa, measured in minutes, "
            "would hold the piece and still give before the object."
        )
    return (
        "No strength of a bond is sure both to hold the piece and to give before the object: "
        "carry the piece by a support instead, or make the joint larger."
    )


def _facts(found: Outcome) -> list[tuple[str, str]]:
    facts = [
        ("Tension at its worst edge", found["edge_tension_mpa"]["text"]),
        ("Load over what lasts (at 1 it gives)", found["load_over_lasting"]["text"]),
        ("Strength that it needs", found["least_strength_mpa"]["text"]),
    ]
    for name, words in (
        ("bond_over_object", "Bond over object (below 1 the bond gives first)"),
        ("slip_a_year_mm", "Slip in a year at that warmth"),
    ):
        if found[name] is not None:
            facts.append((words, found[name]["text"]))
    return facts


def _drawing(inputs: Mapping[str, Any], found: Outcome) -> JoinDrawing:
    middle = {
        name: Sourced.model_validate(inputs[name]).uncertain().typical
        for name in ("arm_mm", "height_mm", "hang_degrees", "mass_g")
    }
    bond = Sourced.model_validate(inputs["bond_strength_mpa"]).uncertain().band
    at_least = "at least " if inputs.get("bond_strength_at_least") else ""
    strengths = [
        _strength("The weight asks for", found["least_strength_mpa"], is_asked=True),
        StrengthBand(
            "The bond has",
            (bond.low, bond.typical, bond.high),
            f"{at_least}{bond.typical:.2g} ({bond.low:.2g} to {bond.high:.2g}) MPa",
        ),
    ]
    if found["most_strength_mpa"] is not None:
        strengths.append(_strength("The object has", found["most_strength_mpa"]))
    mass = middle["mass_g"]
    return JoinDrawing(
        arm_mm=middle["arm_mm"],
        height_mm=middle["height_mm"],
        hang_degrees=middle["hang_degrees"],
        weight_said=f"{mass / 1000:.3g} kg" if mass >= 1000 else f"{mass:.3g} g",
        arm_said=f"{middle['arm_mm']:.3g} mm",
        strengths=tuple(strengths),
    )


def _strength(name: str, estimate: Outcome, *, is_asked: bool = False) -> StrengthBand:
    band = (estimate["low"], estimate["typical"], estimate["high"])
    return StrengthBand(name, band, estimate["text"], is_asked)
