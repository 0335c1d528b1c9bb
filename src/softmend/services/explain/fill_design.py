"""The design of each fill for the proposal: from the runs that were kept, never computed anew."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.catalogue.computation import Sourced
from softmend.catalogue.joint_answer import banded
from softmend.pictures.section import HEIGHT, WIDTH, section_svg, section_words
from softmend.records.dossier import NOT_KNOWN
from softmend.report.content import Working
from softmend.report.explain_design import FillDesign
from softmend.science.digits import few_digits
from softmend.services.explain.binding import bound_crack
from softmend.services.explain.crack import COMPARING, GIVING, SHARING, FillOn, Role, cracks_in
from softmend.services.explain.crack_drawing import section_drawing
from softmend.services.explain.crack_keep import Kept, kept_of
from softmend.services.explain.crack_words import said_of, tip_words
from softmend.services.propose.fills import fills_in
from softmend.services.workings import working
from softmend.tables import table

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import Any

    from softmend.science.uncertain import Uncertain
    from softmend.services.examine.quantities import Outcome
    from softmend.services.explain.binding import Bound
    from softmend.services.store import Reader

LEFT_AT_LEAST = 0.05
"""However much a fill shrinks, something of it is left."""


def designs_in(
    reader: Reader, dossier_id: str
) -> tuple[tuple[FillDesign, ...], tuple[Working, ...]]:
    """Return the fills of each crack from its kept runs, the old one first, and their workings."""
    volumes = _volumes(reader, dossier_id)
    designs, workings = [], []
    for entry, mark in cracks_in(reader, dossier_id):
        kept = kept_of(reader, dossier_id, entry.subject_id)
        bound = bound_crack(reader, dossier_id, entry, mark)
        for role in Role:
            giving = kept.get((GIVING, role.value))
            sharing = kept.get((SHARING, role.value))
            if giving is None or sharing is None:
                continue
            designs.append(_design(bound, role, giving, sharing, volumes.get(mark.number)))
            name = giving.run.inputs["fill"]["name"]
            about = f"Mark {mark.number}, {name}"
            workings += [
                working(name, about, one.run.outputs, one.stale_because)
                for name, one in ((GIVING, giving), (SHARING, sharing))
            ]
        compared = kept.get((COMPARING, ""))
        if compared is not None:
            about = f"Mark {mark.number}, fills side by side"
            workings.append(working(COMPARING, about, compared.run.outputs, compared.stale_because))
    return tuple(designs), tuple(workings)


def _design(
    bound: Bound, role: Role, giving: Kept, sharing: Kept, volume: Uncertain | None
) -> FillDesign:
    asked, answer = giving.run.inputs, giving.run.outputs
    fill, crack = asked["fill"], asked["crack"]
    parts = {part["part"]: part for part in answer["parts"]}
    drawn = section_drawing(crack, fill["name"], sharing.run.outputs, answer)
    said = said_of(bound, [FillOn(role, fill["name"], "", None, answer, sharing.run.outputs)])
    mean = answer["object_first_mean_percent"]
    about = "below 1" if mean < 1 else f"{mean:.0f}"
    places = (bound.mark.part, bound.mark.side, bound.mark.place)
    return FillDesign(
        mark_number=bound.mark.number,
        place=", ".join(one for one in places if one != NOT_KNOWN) or NOT_KNOWN,
        is_in=role is Role.OLD,
        fill=fill["name"],
        first=answer["sentence"],
        object_first=f"{about} % on average; middle and band "
        f"{answer['object_first_percent']['text']}",
        walls=parts["lips"]["demand"]["text"],
        tip=parts["tip"]["demand"]["text"],
        open_tip=answer["open_tip_demand"]["text"],
        reached=(answer.get("reached_mpa") or {}).get("text", ""),
        reached_in_the_hand=answer.get("reached_hand_text", ""),
        pull=answer["traction_mpa"]["text"],
        in_the_hand=answer["hand_text"],
        tip_words=tip_words(answer),
        movement=f"the movement is {answer['used']}",
        size=_size(crack),
        layers=_layers(fill, crack),
        volume=_volume(fill, volume),
        mix=_mix(fill, volume),
        comes_off=fill.get("reversible_in") or fill.get("reversible") or NOT_KNOWN,
        hazards="; ".join(fill.get("hazards", ())),
        cannot_know=said.cannot_know,
        stale_because=giving.stale_because,
        drawing=section_svg(drawn),
        drawing_size=(WIDTH, HEIGHT),
        drawing_words=section_words(drawn),
    )


def _volumes(reader: Reader, dossier_id: str) -> dict[int, Uncertain]:
    """Return the volume of each crack in mL by the number of its mark, where it is known."""
    from softmend.science.uncertain import Uncertain

    fills = fills_in(reader, dossier_id)
    if fills.answer is None:
        return {}
    marks = {one.counted_as or f"mark {one.mark.number}": one.mark.number for one in fills.each}
    found = {}
    for part in fills.answer["parts"]:
        if part["name"] not in marks:
            continue
        told, number = part["volume_ml"], marks[part["name"]]
        points = (told["low"], told["typical"], told["high"])
        found[number] = Uncertain.from_low_typical_high(*points)
    return found


def _size(crack: Mapping[str, Any]) -> str:
    depth, width = (_of(crack[name]) for name in ("depth_mm", "width_mm"))
    return (
        f"depth {banded(depth.band, 'mm')} ({crack['known_how']}), width at the mouth "
        f"{banded(width.band, 'mm')}, section {crack['section']}"
    )


def _layers(fill: Mapping[str, Any], crack: Mapping[str, Any]) -> str:
    if "layer_mm" not in fill:
        return ""
    import math

    count = max(1, math.ceil(_of(crack["depth_mm"]).typical / fill["layer_mm"] - 1e-9))
    words = "1 layer" if count == 1 else f"{count} layers"
    drying = fill.get("layer_drying_days")
    each = "" if drying is None else f", each about {drying:.2g} d to dry"
    return f"{words} of at most {fill['layer_mm']:.2g} mm{each} (estimated)"


def _volume(fill: Mapping[str, Any], volume: Uncertain | None) -> str:
    if volume is None:
        return ""
    told = f"{banded(volume.band, 'mL')} to fill"
    if "shrinkage_percent" not in fill:
        return f"{told}; its shrinkage is not known and not allowed for"
    laid = _spread(lambda v, o: v / _left(o), volume, _of(fill["shrinkage_percent"]))
    return f"{told}; {banded(laid, 'mL')} laid, its shrinkage allowed for"


def _mix(fill: Mapping[str, Any], volume: Uncertain | None) -> str:
    if volume is None or "density_g_per_ml" not in fill:
        return ""
    dry = _spread(lambda v, o: v * o, volume, _of(fill["density_g_per_ml"]))
    told = f"{banded(dry, 'g')} dry"
    row = next((one for one in table("fill_laying").rows if one["material"] == fill["name"]), None)
    fibre, solids = (row["fibre_percent"], row["binder_solids_percent"]) if row else (None, None)
    if not isinstance(fibre, float) or not isinstance(solids, float):
        return told
    pulp, binder = fibre / 100, (1 - fibre / 100) / (solids / 100)
    return (
        f"{told}: mix about {few_digits(dry.typical * pulp)} g of dry pulp with "
        f"{few_digits(dry.typical * binder)} g of dispersion or solution of {solids:.2g} % w/w, "
        "and what stays in the pot (the share of pulp is our estimate; the recipe decides)"
    )


def _spread(function: Any, volume: Uncertain, other: Uncertain) -> Any:
    from softmend.science.propagation import propagate

    return propagate(function, {"v": volume, "o": other}).band


def _left(shrinkage_percent: Any) -> Any:
    return (1 - shrinkage_percent / 100).clip(min=LEFT_AT_LEAST)


def _of(value: Outcome) -> Uncertain:
    return Sourced.model_validate(value).uncertain()
