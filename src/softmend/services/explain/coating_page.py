"""What the page and the print of a coating show: the stack, the patterns, and plain words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from softmend.pictures.layers import DrawnLayer, PlaneBands, layers_svg, layers_words
from softmend.pictures.layers_patterns import pattern_named, pattern_svg, pattern_words
from softmend.records.dossier import NOT_KNOWN
from softmend.report.content import Working
from softmend.services.examine.quantities import Outcome
from softmend.services.explain.coating import EXPLAIN, WHOLE, BoundCoating, explained
from softmend.services.workings import working

CANNOT_KNOW = (
    "Model of one even coating on even layers with one straight peeling edge.",
    "It does not know dirt, grease or salts at the foot of the coating, or water that gets in.",
    "Adhesion and tension are estimates unless this bench measured them; none is published for "
    "ivory, bone or antler.",
    "A coating that presses, because the body has shrunk under it, buckles: that is not in it.",
)


@dataclass(frozen=True)
class PatternShown:
    """One way of giving: its drawing, what it frees and asks, and how surely it comes."""

    name: str
    svg: str
    words: str
    factor: str
    energy: str
    asks: str
    wording: str
    is_known: bool


@dataclass(frozen=True)
class CoatingShown:
    """A coating explained: sentences, pictures, numbers; `reasons` says why nothing can be said."""

    name: str
    what: str
    sentences: tuple[str, ...]
    reasons: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    drawing: str = ""
    drawing_words: str = ""
    patterns: tuple[PatternShown, ...] = ()
    measure_next: tuple[tuple[str, int], ...] = ()
    warnings: tuple[str, ...] = ()
    cannot_know: tuple[str, ...] = CANNOT_KNOW
    work: Working | None = None


def coating_shown(bound: BoundCoating, draws: int = WHOLE) -> CoatingShown:
    """Return a coated place as it is shown, from so many draws."""
    found = explained(bound, draws)
    name = f"{bound.place.name}: {bound.place.what}"
    what = bound.model.coating
    if found is None or found["answer"] == "cannot say":
        reasons = bound.missing or tuple((found or {}).get("reasons", ()))
        return CoatingShown(name, what, (), reasons)
    layers = _layers(bound)
    planes = _planes(found)
    return CoatingShown(
        name=name,
        what=what,
        sentences=tuple(text for text in _sentences(found) if text),
        reasons=(),
        facts=tuple(_facts(found)),
        drawing=layers_svg(layers, planes),
        drawing_words=layers_words(layers, planes),
        patterns=tuple(_pattern(one) for one in found["patterns"]),
        measure_next=tuple(_drivers(found)),
        warnings=tuple(found["warnings"]),
        work=working(EXPLAIN, name, found),
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
    word = "softer" if contrast["typical"] < 0 else "stiffer"
    return [
        ("Tension in it", found["tension_mpa"]["text"]),
        ("Safe thickness", found["safe_thickness_um"]["text"]),
        (
            "Stiffness beside its ground",
            f"{beside} ({word} than what it lies on; −1 far softer, 0 alike, 1 far stiffer)",
        ),
    ]


def _layers(bound: BoundCoating) -> list[DrawnLayer]:
    coat = bound.values["coating_thickness_um"].uncertain().band
    found = [
        DrawnLayer("coating", coat.typical, f"{coat.typical:.3g} µm"),
    ]
    if bound.payload["layers"]:
        thick = bound.model.layer_thickness_um
        middle = thick.typical if thick else 0.0
        found.append(DrawnLayer(bound.model.layer, middle, f"{middle:.3g} µm"))
    body = "" if bound.model.body == NOT_KNOWN else bound.model.body
    return [*found, DrawnLayer("body", None, body)]


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
