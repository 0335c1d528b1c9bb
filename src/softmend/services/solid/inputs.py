"""What a dossier supplies to each computation on a scan, with what every value rests on."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.scan import ScanHolding, ScanLength, ScanMatter
from softmend.services.solid.scans import OnScan

CHECK, VOLUME, MASS = "solid.check", "solid.volume", "solid.mass"
SUPPORTS, BENDING = "solid.supports", "solid.bending"
LENGTH, VOID = "solid.surface_length", "solid.void"
SEEN = "solid.marks_along"


@dataclass(frozen=True)
class Question:
    """One computation on a scan: its inputs, what it is about, the entries that it reads."""

    computation: str
    about: str
    inputs: dict[str, Any]
    read_entry_ids: tuple[str, ...] = field(default=())


def questions_on(on: OnScan) -> list[Question]:
    """Return everything that can be asked of a scan as things stand; before a length, its state."""
    read = [on.entry.id]
    scan: dict[str, Any] = {"scan_file": on.scan.original_sha256}
    if on.length is None:
        return [Question(CHECK, on.scan_id, scan, tuple(read))]
    entry, length = on.length
    read.append(entry.id)
    scan["length"] = length_inputs(length, f"entry:{entry.id}")
    asked = [Question(name, on.scan_id, scan, tuple(read)) for name in (CHECK, VOLUME)]
    for line_entry, line in on.lines:
        inputs = {**scan, "picks": [list(one) for one in line.picks]}
        asked.append(Question(LENGTH, line_entry.subject_id, inputs, (*read, line_entry.id)))
    for void_entry, void in on.voids:
        inputs = {
            **scan,
            "rim": [list(one) for one in void.rim],
            "inside": list(void.inside),
            "mouth": void.mouth.value,
            "depths_mm": [void.fill_below_rim_mm] if void.fill_below_rim_mm else [],
        }
        asked.append(Question(VOID, void_entry.subject_id, inputs, (*read, void_entry.id)))
    asked += [
        Question(SEEN, one.entry.subject_id, {**scan, **one.inputs()}, (*read, *one.read_entry_ids))
        for one in on.seen
        if one.scale
    ]
    if on.matter is None or not on.has_matter:
        return asked
    read.append(on.matter[0].id)
    scan = {**scan, **matter_inputs(on.matter[1], f"entry:{on.matter[0].id}")}
    asked.append(Question(MASS, on.scan_id, scan, tuple(read)))
    if on.holding is None:
        return asked
    read += [on.holding[0].id, *(one.id for one, _line in on.lines)]
    for one in on.seen:
        read += [*one.read_entry_ids, *(entry.id for entry, _aside, _holds in one.aside.values())]
    held = {**scan, **holding_inputs(on.held)}
    asked.append(
        Question(SUPPORTS, on.scan_id, {**held, "friction": on.held.friction}, tuple(read))
    )
    cracks = [
        {"number": line.number, "at": list(_middle(line.picks)), "depth_mm": line.depth_mm}
        for _entry, line in on.lines
        if line.depth_mm is not None
    ]
    asked.append(Question(BENDING, on.scan_id, {**held, "cracks": cracks}, tuple(read)))
    return asked


def length_inputs(length: ScanLength, origin: str) -> dict[str, Any]:
    """Return a measured length as the computations take it."""
    return {
        "length_mm": {
            "value": {"value": length.length_mm, "expanded": length.expanded_mm},
            "kind": "measured",
            "origin": origin,
        },
        "between": [list(one) for one in length.between] or None,
        "unit": length.unit.value,
    }


def matter_inputs(matter: ScanMatter, origin: str) -> dict[str, Any]:
    """Return what is said of the matter as the computations take it."""
    inputs: dict[str, Any] = {}
    if matter.density_g_per_ml is not None:
        inputs["density_g_per_ml"] = _told(matter.density_g_per_ml, origin)
    elif matter.material != NOT_KNOWN:
        inputs["material"] = matter.material
    if matter.weighed_g is not None:
        inputs["mass_g"] = {
            "value": {"value": matter.weighed_g, "expanded": matter.weighed_expanded_g},
            "kind": "measured",
            "origin": origin,
        }
    if matter.hollow_depth_mm is not None:
        mouth = [list(one) for one in matter.hollow_mouth]
        inputs["hollow"] = {"mouth": mouth, "depth_mm": matter.hollow_depth_mm}
    if matter.fills:
        inputs["fills"] = [
            {
                "volume_ml": _estimated(fill.volume_ml, fill.volume_expanded_ml, origin),
                "density_g_per_ml": _estimated(
                    fill.density_g_per_ml, fill.density_expanded_g_per_ml, origin
                ),
                "at": list(fill.at),
            }
            for fill in matter.fills
        ]
    return inputs


def holding_inputs(held: ScanHolding) -> dict[str, Any]:
    """Return a way of holding as the computations take it."""
    names = ("support", "place", "pad_length_mm", "half_angle_degrees", "foam_mpa",
             "foam_thickness_mm", "pressure_limit_kpa", "tipping_least")  # fmt: skip
    return {
        **{name: getattr(held, name) for name in names},
        "down": list(held.down),
        "pads": [{"at_percent": at} for at in held.pads_percent] or None,
        "forbidden": [
            {"from_percent": one.from_percent, "to_percent": one.to_percent, "why": one.why}
            for one in held.forbidden
        ],
    }


def _estimated(value: float, expanded: float, origin: str) -> dict[str, Any]:
    told = {"value": value, "expanded": expanded}
    return {"value": told, "kind": "estimated", "origin": origin}


def _told(told: Told, origin: str) -> dict[str, Any]:
    return {
        "value": {"low": told.low, "typical": told.typical, "high": told.high},
        "kind": told.basis.value,
        "origin": origin if told.grounds == NOT_KNOWN else f"{origin}, {told.grounds}"[:500],
    }


def _middle(picks: tuple[tuple[float, float, float], ...]) -> tuple[float, float, float]:
    return picks[len(picks) // 2]
