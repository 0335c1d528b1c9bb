"""Mass and centre of gravity before and after the fills planned in the voids of a scan."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from softmend.records.dossier import NOT_KNOWN
from softmend.report.scan_shown import ScanPart
from softmend.services.examine.quantities import outcome
from softmend.services.solid.asking import Answered, answered
from softmend.services.solid.inputs import MASS, VOID
from softmend.services.solid.scans import OnScan
from softmend.services.solid.stills import mm_per_unit
from softmend.services.solid.void_fills import VoidFill, fills_on
from softmend.services.store import Reader
from softmend.services.workings import working

FILLED = "solid.filled_mass"
KEY, TITLE = "filled", "Mass before and after the planned fill"
OFF_PRINT = "What the planned fills add stands on the registrar's copy."


def filled_part(reader: Reader, dossier_id: str, on: OnScan) -> ScanPart | None:
    """Return what the fills planned in a scan's voids add, or None where none is planned."""
    fills = fills_on(reader, dossier_id, on)
    mass = answered(reader, dossier_id, MASS, on.scan_id)
    if not fills or mass is None:
        return None
    counted, left = _told_apart(reader, dossier_id, fills)
    reasons = tuple(f"Not counted: {name}, {why}" for name, why in left)
    before = _before(on, mass)
    scale = mm_per_unit(on)
    if not counted or before is None or scale is None or mass.outputs["centre"] is None:
        if before is None or mass.outputs["centre"] is None:
            reasons = (*reasons, "The mass and the centre of gravity before are not known.")
        return ScanPart(KEY, TITLE, reasons=reasons, tells_mass=True, without_mass=_bare())
    asked = {
        "mass_g": before,
        "centre_mm": [one * scale for one in mass.outputs["centre"]],
        "centre_spread_mm": mass.outputs["centre_spread_mm"] or 0.0,
        "fills": [_planned(fill, middle, scale) for fill, middle in counted],
    }
    told = outcome(FILLED, asked)
    return ScanPart(
        KEY,
        TITLE,
        sentences=(_names(fill for fill, _middle in counted),),
        facts=tuple(_facts(told, scale)),
        reasons=reasons,
        warnings=tuple(told["warnings"]),
        work=working(FILLED, f"scan {on.scan.number}", told, mass.stale),
        stale_because=mass.stale,
        tells_mass=True,
        without_mass=_bare(),
    )


def _bare() -> ScanPart:
    return ScanPart(KEY, TITLE, (OFF_PRINT,))


def _told_apart(
    reader: Reader, dossier_id: str, fills: list[VoidFill]
) -> tuple[list[tuple[VoidFill, list[float]]], list[tuple[str, str]]]:
    """Return the fills that can be weighed with their middles, and the others with the reason."""
    from softmend.tables.materials import material_value

    counted: list[tuple[VoidFill, list[float]]] = []
    left: list[tuple[str, str]] = []
    for fill in fills:
        kept = answered(reader, dossier_id, VOID, fill.subject_id)
        middle = kept.outputs.get("middle") if kept is not None else None
        if fill.volume_ml is None:
            left.append((fill.name, fill.reason))
        elif fill.void.material == NOT_KNOWN:
            left.append((fill.name, "the fill is not chosen yet."))
        elif material_value(fill.void.material, "density") is None:
            left.append((fill.name, f"the table has no density of {fill.void.material}."))
        elif middle is None:
            left.append((fill.name, "its middle was not measured: compute it again."))
        else:
            counted.append((fill, middle))
    return counted, left


def _before(on: OnScan, mass: Answered) -> dict[str, Any] | None:
    """Return the mass of the object as it is: weighed, else as computed."""
    said = on.matter[1] if on.matter else None
    if on.matter is not None and said is not None and said.weighed_g is not None:
        value = {"value": said.weighed_g, "expanded": said.weighed_expanded_g}
        return {"value": value, "kind": "measured", "origin": f"entry:{on.matter[0].id}, weighed"}
    found = mass.outputs["computed_mass_g"]
    if not found:
        return None
    value = {name: found[name] for name in ("low", "typical", "high")}
    return {"value": value, "kind": "derived", "origin": f"entry:{mass.entry.id}, solid.mass"}


def _planned(fill: VoidFill, middle: list[float], scale: float) -> dict[str, Any]:
    low, typical, high = fill.volume_ml or (0.0, 0.0, 0.0)
    value: Any = {"low": low, "typical": typical, "high": high} if low < high else typical
    return {
        "name": fill.name,
        "volume_ml": {"value": value, "kind": "derived", "origin": f"entry:{fill.entry_id}"},
        "material": fill.void.material,
        "at_mm": [one * scale for one in middle],
    }


def _names(fills: Iterable[VoidFill]) -> str:
    told = ", ".join(f"void {fill.void.number} with {fill.void.material}" for fill in fills)
    return f"Filled as planned: {told}."


def _facts(told: dict[str, Any], scale: float) -> Iterable[tuple[str, str]]:
    yield "Mass before", told["mass_before_g"]["text"]
    yield "The fills add", told["added_g"]["text"]
    yield "Mass after", told["mass_after_g"]["text"]
    at = ", ".join(f"{one / scale:.4g}" for one in told["centre_mm"]).replace("-", "−")
    yield "Centre of gravity after, in the file's coordinates", at
    yield (
        "It moves by",
        f"{told['centre_shift_mm']:g} mm; it may lie off by ± {told['centre_spread_mm']:g} mm",
    )
