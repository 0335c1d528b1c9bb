"""What the page and the print of a coating show: the stack, the patterns, and plain words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.errors import InputError
from softmend.pictures.layers import (
    DrawnLayer,
    PlaneBands,
    layers_size,
    layers_svg,
    layers_words,
)
from softmend.pictures.layers_patterns import pattern_named, pattern_svg, pattern_words
from softmend.records.coating import CoatingModel
from softmend.records.dossier import NOT_KNOWN
from softmend.report.coating_shown import CoatingShown, PatternShown
from softmend.services.examine.quantities import Outcome
from softmend.services.explain.coating import (
    EXPLAIN,
    WHOLE,
    BoundCoating,
    bound_coating,
    coated_places,
    explained,
    kept_coating,
)
from softmend.services.store import Reader
from softmend.services.workings import working


def coating_shown(bound: BoundCoating, draws: int = WHOLE) -> CoatingShown:
    """Return a coated place as it is shown, from so many draws."""
    name = f"{bound.place.name}: {bound.place.what}"
    try:
        found = explained(bound, draws)
    except InputError as refused:
        # What was said cannot be computed; the page must still open, to be corrected there.
        return CoatingShown(name, bound.model.coating, (), (refused.sentence(),))
    if found is None or found["answer"] == "cannot say":
        reasons = bound.missing or tuple((found or {}).get("reasons", ()))
        return CoatingShown(name, bound.model.coating, (), reasons)
    return _told(name, bound.model, bound.payload, found)


def kept_coatings(reader: Reader, dossier_id: str) -> tuple[CoatingShown, ...]:
    """Return every coating whose explanation was kept, as it was kept."""
    shown = []
    for place in coated_places(reader, dossier_id):
        kept = kept_coating(reader, dossier_id, place.subject_id)
        if kept is not None:
            _, run, stale = kept
            model = bound_coating(reader, dossier_id, place).model
            name = f"{place.name}: {place.what}"
            shown.append(_told(name, model, run.inputs, run.outputs, stale))
    return tuple(shown)


def _told(
    name: str,
    model: CoatingModel,
    inputs: Mapping[str, Any],
    found: Outcome,
    stale_because: str = "",
) -> CoatingShown:
    layers = _layers(inputs, model.body)
    planes = _planes(found)
    because = stale_because.removeprefix("stale, because ")
    return CoatingShown(
        name=name,
        what=str(inputs.get("coating", model.coating)),
        sentences=tuple(text for text in _sentences(found) if text),
        reasons=(),
        facts=tuple(_facts(found)),
        drawing=layers_svg(layers, planes),
        drawing_size=layers_size(planes),
        drawing_words=layers_words(layers, planes),
        patterns=tuple(_pattern(one) for one in found["patterns"]),
        measure_next=tuple(_drivers(found)),
        warnings=tuple(found["warnings"]),
        work=working(EXPLAIN, name, found, because),
        stale_because=stale_because,
    )


def _sentences(found: Outcome) -> list[str]:
    safe = found["safe_thickness_um"]
    crack = found["crack"]
    return [
        found["text"],
        found["seen_text"],
        found["pull_text"],
        f"Nothing would part below a thickness of {safe['text']}.",
        f"The coating itself cracks: {crack['wording'].partition(': ')[2]}." if crack else "",
    ]


def _facts(found: Outcome) -> list[tuple[str, str]]:
    contrast = found["stiffness_contrast"]
    beside = contrast["text"].replace("-", "−")
    which = "it is not known which is stiffer"
    if contrast["high"] < 0:
        which = "softer than what it lies on"
    elif contrast["low"] > 0:
        which = "stiffer than what it lies on"
    return [
        ("Tension in it", found["tension_mpa"]["text"]),
        ("Safe thickness", found["safe_thickness_um"]["text"]),
        (
            "Stiffness beside its ground",
            f"{beside} ({which}; −1 far softer, 0 alike, 1 far stiffer)",
        ),
    ]


def _layers(inputs: Mapping[str, Any], body: str) -> list[DrawnLayer]:
    told = [("coating", inputs["coating_thickness_um"])]
    told += [(one["name"], one["thickness_um"]) for one in inputs["layers"]]
    found = []
    for name, thickness in told:
        middle = Sourced.model_validate(thickness).uncertain().typical
        found.append(DrawnLayer(name, middle, f"{middle:.3g} µm"))
    return [*found, DrawnLayer("body", None, "" if body == NOT_KNOWN else body)]


def _planes(found: Outcome) -> list[PlaneBands]:
    most = max(one["first_percent"] for one in found["planes"])
    return [
        PlaneBands(
            name=one["name"],
            energy=_points(one["energy_j_per_m2"]),
            hold=_points(one["hold_j_per_m2"]),
            said=f"enough to part it, {one['wording'].partition(': ')[2]}",
            is_weakest=most > 0 and one["first_percent"] == most,
        )
        for one in found["planes"]
    ]


def _points(estimate: Mapping[str, float]) -> tuple[float, float, float]:
    return estimate["low"], estimate["typical"], estimate["high"]


def _pattern(one: Outcome) -> PatternShown:
    pattern = pattern_named(one["name"])
    asks = one["asks_j_per_m2"]
    return PatternShown(
        name=one["name"],
        svg=pattern_svg(pattern),
        words=pattern_words(pattern),
        factor=f"{one['factor']:.3g}",
        energy=one["energy_j_per_m2"]["text"],
        asks="" if asks is None else asks["text"],
        wording=one["wording"],
        is_known=asks is not None,
    )


def _drivers(found: Outcome) -> list[tuple[str, int]]:
    drivers = next(
        (
            one["energy_over_hold"]["drivers"]
            for one in found["planes"]
            if one["energy_over_hold"]["drivers"]
        ),
        (),
    )
    return [(one["name"], round(100 * one["share"])) for one in drivers[:4] if one["share"] >= 0.02]
