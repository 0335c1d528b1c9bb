"""The fill of each void picked on a scan as the proposal counts it: its volume, layers, hours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

from softmend.records.estimate import Pace, PlanTask, ThreeHours, WaitAfter, WaitFor
from softmend.records.scan import ScanVoid
from softmend.services.solid.asking import answered
from softmend.services.solid.fill_of_void import layers_of
from softmend.services.solid.inputs import VOID
from softmend.services.solid.scans import OnScan, on_scan, scans_in
from softmend.services.store import Reader
from softmend.tables import table


@dataclass(frozen=True)
class VoidFill:
    """One void of a scan; `volume_ml` is least, likeliest and most, or None with the reason.

    `since` is the number of the entry from which on it has been known as it is; `overlaps` names
    the voids of the same scan whose rims bound the same opening.
    """

    void: ScanVoid
    scan_id: str
    scan_number: int
    entry_id: str
    subject_id: str
    since: int
    volume_ml: tuple[float, float, float] | None
    reason: str
    layers: int | None
    read_entry_ids: tuple[str, ...]
    overlaps: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Return what it is called in sums and plans."""
        return f"void {self.void.number} of scan {self.scan_number}"

    @property
    def twice(self) -> str:
        """Return the warning that it may be counted twice, or "" where its rim stands alone."""
        if not self.overlaps:
            return ""
        others = ", ".join(self.overlaps)
        return (
            f"Its rim overlaps that of {others}: one opening picked twice is counted twice, in "
            "volume, hours and mass. Take one out if it is the same."
        )

    @property
    def part(self) -> dict[str, Any] | None:
        """Return it as fill.volume takes it, or None where its volume is not known."""
        if self.volume_ml is None:
            return None
        low, typical, high = self.volume_ml
        value: Any = {"low": low, "typical": typical, "high": high} if low < high else typical
        origin = f"entry:{self.entry_id}, {self.name}"
        volume = {"value": value, "kind": "derived", "origin": origin}
        return {"shape": "scanned", "name": self.name, "volume_ml": volume}

    @property
    def task(self) -> PlanTask | None:
        """Return its filling as a task: layers times hours a layer, then the days of drying."""
        each = self.void.hours_a_layer
        if self.layers is None or each is None or self.volume_ml is None:
            return None
        days = drying_days(self.void.material)
        dries = "its drying is not known" if days is None else (
            f"{days:g} days to dry each (estimated, by the table of laying)"
        )  # fmt: skip
        words = (
            f"void of scan {self.scan_number}: {self.layers} layers of {each.low:g} to "
            f"{each.high:g} h ({each.basis.value}), {dries}"
        )
        # Rounded as a form sends them back, so that what was not changed is seen as not changed.
        hours = ThreeHours(
            *(float(f"{self.layers * one:.6g}") for one in (each.low, each.typical, each.high))
        )
        still = float(f"{self.layers * (days or 0.0):.6g}")
        return PlanTask(
            f"Fill {self.name}",
            hours=hours,
            wait=WaitAfter(still, still, still, WaitFor.DRYING) if still else None,
            pace=Pace(1 / each.typical, words, self.entry_id),
        )


def void_fills(reader: Reader, dossier_id: str) -> list[VoidFill]:
    """Return the fill of each void of a dossier, scan by scan; nothing is recorded."""
    return [
        fill
        for entry, _scan in scans_in(reader, dossier_id)
        for fill in fills_on(reader, dossier_id, on_scan(reader, dossier_id, entry.subject_id))
    ]


def fills_on(reader: Reader, dossier_id: str, on: OnScan) -> list[VoidFill]:
    """Return the fill of each void of one scan."""
    overlaps = _overlaps(reader, dossier_id, on)
    return [
        replace(
            _fill(reader, dossier_id, on.scan_id, on.scan.number, one),
            overlaps=overlaps.get(one[0].subject_id, ()),
        )
        for one in on.voids
    ]


def _overlaps(reader: Reader, dossier_id: str, on: OnScan) -> dict[str, tuple[str, ...]]:
    """Return for each void the others of its scan whose rims lie within one another's."""
    from softmend.science.solid.overlap import TOUCHING, rims_overlap

    rims = []
    for entry, void in on.voids:
        found = answered(reader, dossier_id, VOID, entry.subject_id)
        rim = found.outputs["rim_found"] if found and found.outputs["rim_found"] else void.rim
        rims.append((entry.subject_id, f"void {void.number}", rim))
    met: dict[str, tuple[str, ...]] = {}
    for (one, name, rim), (other, its_name, its_rim) in combinations(rims, 2):
        if rims_overlap(rim, its_rim) >= TOUCHING:
            met[one] = (*met.get(one, ()), its_name)
            met[other] = (*met.get(other, ()), name)
    return met


def drying_days(material: str) -> float | None:
    """Return how long one layer of a fill dries by the table, or None where it does not say."""
    for row in table("fill_laying").rows:
        if row["material"] == material and row["layer_drying_days"] is not None:
            return float(row["layer_drying_days"])
    return None


def _fill(reader: Reader, dossier_id: str, scan_id: str, number: int, one: Any) -> VoidFill:
    entry, void = one
    found = answered(reader, dossier_id, VOID, entry.subject_id)
    volume, reason = None, "it is not measured yet."
    if found is not None and (found.stale or found.run.read_entry_ids[-1] != entry.id):
        reason = "it changed since it was measured: compute it again on its scan."
    elif found is not None:
        volume = _volume(void, found.outputs)
        said = " ".join(found.outputs["reasons"]) or "its volume cannot be told."
        reason = "" if volume else said
    return VoidFill(
        void,
        scan_id,
        number,
        entry.id,
        entry.subject_id,
        entry.number if found is None else found.entry.number,
        volume,
        reason,
        layers_of(void, found.outputs) if found is not None and volume else None,
        found.run.read_entry_ids if found is not None else (entry.id,),
    )


def _volume(void: ScanVoid, told: dict[str, Any]) -> tuple[float, float, float] | None:
    whole = told["volume_ml"]
    if not whole:
        return None
    if void.fill_below_rim_mm is None or not told["part_fills"]:
        return whole["low"], whole["typical"], whole["high"]
    # A part fill lies under the same caps and the same length: it is as uncertain as the whole.
    part = told["part_fills"][0]["volume_ml"] / whole["typical"]
    return part * whole["low"], part * whole["typical"], part * whole["high"]
