"""What is known of a fill system, from the bench's own values and the tables, as a computation
takes it: each value with its kind and origin, nothing filled in that is not known.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.catalogue.joint_values import FillSystem
from softmend.catalogue.material import sourced
from softmend.records.dossier import NOT_KNOWN
from softmend.records.shelf import OwnSystem
from softmend.services.explain.bench_units import BenchUnit
from softmend.services.explain.bounded import bounded
from softmend.services.explain.own_values import own_rows, own_systems, said_of_system
from softmend.services.store import Reader
from softmend.tables import table
from softmend.tables.materials import MaterialValue, material_values, materials

PERCENT_UNIT = BenchUnit("%", 1e-2)
# Field of a fill -> names of its property, the first that is known; unit at the bench.
FIELDS: Mapping[str, tuple[tuple[str, ...], BenchUnit]] = {
    "modulus_gpa": (("modulus",), BenchUnit("GPa", 1e9)),
    "poisson": (("poisson",), BenchUnit("", 1.0)),
    "relaxation": (("relaxation_factor",), BenchUnit("", 1.0)),
    "strength_mpa": (("tensile_strength",), BenchUnit("MPa", 1e6)),
    "elongation_percent": (("elongation",), PERCENT_UNIT),
    "shrinkage_percent": (("volumetric_shrinkage",), PERCENT_UNIT),
    "bond_strength_mpa": (("bond_strength", "bond_strength_lower_bound"), BenchUnit("MPa", 1e6)),
    "density_g_per_ml": (("density",), BenchUnit("g/mL", 1e3)),
    "solids_percent": (("solids",), PERCENT_UNIT),
}
NOTHING_DRIES = Sourced(value=100.0, kind="derived", origin="nothing in it dries away")
AT_LEAST_CV = 0.6
DRY_SOLIDS_PERCENT = 95.0


@dataclass(frozen=True)
class System:
    """A fill system as it is compared: its payload, the words said of it, what was read."""

    name: str
    payload: dict[str, Any]
    said: Mapping[str, str]
    read_entry_ids: tuple[str, ...]
    is_own: bool = False


def system_names(reader: Reader) -> list[str]:
    """Return the names of all fill systems, the table's in its order, then the bench's own."""
    in_table = list(dict.fromkeys(str(row["material"]) for row in table("fill_systems").rows))
    return in_table + [own.material for _, own in own_systems(reader)]


def fill_system(reader: Reader, name: str) -> System | None:
    """Return a fill system, or None when its stiffness or Poisson's ratio is not known."""
    own_entry, own = next(
        ((entry, own) for entry, own in own_systems(reader) if own.material == name), (None, None)
    )
    values, read = _values(reader, name)
    if "modulus_gpa" not in values or "poisson" not in values:
        return None
    said = {one.aspect: one.wording for one in said_of_system(reader, name)}
    liquid = _liquid(said, values.get("solids_percent"))
    if liquid == "none":
        values.setdefault("solids_percent", NOTHING_DRIES)
    fill = FillSystem.model_validate(
        {
            "name": name,
            **values,
            **(_laid(name) if own is None else _laid_by(own)),
            "liquid": liquid,
            "reversible_in": said.get("comes off with", "")[:500],
            "hazards": [said["hazard"]] if "hazard" in said else [],
        }
    )
    entries = (*read, *((own_entry.id,) if own_entry else ()))
    payload = fill.model_dump(mode="json", exclude_none=True)
    return System(name, payload, said, entries, own is not None)


def _values(reader: Reader, name: str) -> tuple[dict[str, Sourced], tuple[str, ...]]:
    rows = material_values(name) if name in materials() else []
    own_of = own_rows(reader, name)
    found: dict[str, Sourced] = {}
    read = []
    for field, (wanted, unit) in FIELDS.items():
        for one in wanted:
            own = [row for row in own_of if row.value.property == one]
            if own:
                found[field] = own[0].sourced(unit)
                read.append(own[0].entry_id)
                break
            in_table = [row for row in rows if row.property == one]
            if len(in_table) == 1:
                found[field] = _from_table(in_table[0], unit)
                break
    return {name: bounded(name, value) for name, value in found.items()}, tuple(read)


def _from_table(row: MaterialValue, unit: BenchUnit) -> Sourced:
    if not row.property.endswith("_lower_bound"):
        return sourced(row, 1 / unit.factor)
    # Where the stone failed first the bond held at least so much; on this object nobody knows.
    return Sourced(
        value={"family": "log_normal", "median": row.typical / unit.factor, "cv": AT_LEAST_CV},
        kind="estimated",
        origin=f"our spread round what a bond on stone held at least, {row.origin}"[:500],
    )


def _laid(name: str) -> dict[str, Any]:
    for row in table("fill_laying").rows:
        if row["material"] == name:
            columns = ("reversible", "layer_mm", "layer_drying_days")
            return {column: row[column] for column in columns}
    return {}


def _laid_by(own: OwnSystem) -> dict[str, Any]:
    said = {"layer_mm": own.layer_mm, "layer_drying_days": own.layer_drying_days}
    return said if own.reversible == NOT_KNOWN else said | {"reversible": own.reversible}


def _liquid(said: Mapping[str, str], solids: Sourced | None) -> str | None:
    carries = said.get("carries water", "")
    if carries.startswith("yes"):
        return "water"
    if not carries.startswith("no"):
        return None
    if solids is None or solids.uncertain().typical >= DRY_SOLIDS_PERCENT:
        return "none"
    return "solvent"
