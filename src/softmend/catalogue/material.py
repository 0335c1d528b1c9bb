"""A value of the tables of materials as an input: in bench units, with its mark and origin."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

from softmend.catalogue.computation import Sourced
from softmend.tables.materials import MaterialValue, material_value, material_values

if TYPE_CHECKING:
    from collections.abc import Iterable


def sourced(found: MaterialValue, factor: float = 1.0) -> Sourced:
    """Return a row of the table as an input, in a unit of which `factor` make the row's unit."""
    from softmend.science.uncertain import Uncertain

    value = Uncertain.from_json(found.distribution)
    scaled = value if factor == 1 else value.scaled(factor)
    return Sourced.model_validate(
        {"value": scaled.to_json(), "kind": found.kind, "origin": found.origin}
    )


def typed_or_table(
    typed: Sourced | None, material: str | None, property_name: str, factor: float = 1.0
) -> Sourced | None:
    """Return what a person typed, else the table's only row, else None: not known."""
    if typed is not None or material is None:
        return typed
    found = material_value(material, property_name)
    return None if found is None else sourced(found, factor)


def first_of(
    material: str, names: Iterable[str], condition: str | None = None
) -> MaterialValue | None:
    """Return the first property of a list that the table has for a material in a state."""
    for name in names:
        found = material_value(material, name, condition)
        if found is not None:
            return found
    return None


def states_of(material: str, names: Iterable[str]) -> list[str]:
    """Return the states for which the table has one of the named properties, in its words."""
    wanted = set(names)
    rows = [one for one in material_values(material) if one.property in wanted]
    return sorted({one.condition or "" for one in rows})
