"""Sources that contradict each other, side by side: which way ivory moves more."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass

from softmend.tables.materials import MaterialValue, material_values

IVORIES = ("elephant ivory", "mammoth ivory (sub-fossil)")
TOTALS = ("total_change_radial", "total_change_tangential", "total_change_along")
WAYS = {
    "total_change_radial": "radially",
    "total_change_tangential": "tangentially",
    "total_change_along": "along",
}


@dataclass(frozen=True)
class SourceSays:
    """What one source says of the movement of ivory, and what that would do to a radial crack."""

    source: str
    says: tuple[str, ...]
    note: str
    so: str


def contradicting_sources(material: str) -> tuple[SourceSays, ...]:
    """Return the sources on the swelling of ivory side by side; empty for other materials."""
    if material not in IVORIES:
        return ()
    rows = [row for row in material_values("elephant ivory") if row.property in TOTALS]
    sources = dict.fromkeys(row.source for row in rows)
    return tuple(_of(source, [row for row in rows if row.source == source]) for source in sources)


def _of(source: str, rows: list[MaterialValue]) -> SourceSays:
    typical = {row.property: row.typical for row in rows}
    radial = typical.get("total_change_radial", 0.0)
    tangential = typical.get("total_change_tangential", 0.0)
    so = (
        "dried, a radial crack would close and the rings part"
        if radial > tangential
        else "dried, a radial crack would open"
    )
    says = tuple(
        f"{WAYS[row.property]} {row.typical * 100:.2g} % ({row.condition}; {row.kind})"
        for row in rows
    )
    return SourceSays(source, says, "; ".join(filter(None, (row.note for row in rows))), so)
