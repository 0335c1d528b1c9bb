"""Values of materials: one property of one material in one state, with its mark and source.

A state of preservation that has no row has no value: nothing is taken from a nearby state.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from softmend.errors import InputError, NotFoundError
from softmend.tables import Row, table

NAME = "materials"

# Family of a row -> the parameters of that family, in the order and words that science uses.
PARAMETERS: Mapping[str, Mapping[str, str]] = {
    "exact": {"value": "typical"},
    "normal": {"mean": "typical", "sd": "sd"},
    "log_normal": {"median": "typical", "cv": "cv"},
    "truncated_normal": {"mean": "typical", "sd": "sd", "least": "least", "most": "most"},
    "random_sign": {"median": "typical", "cv": "cv"},
}


@dataclass(frozen=True, slots=True)
class MaterialValue:
    """One row: the points to display, the distribution to compute with, and where it is from.

    The distribution is the plain object that an uncertain value is read from; it is built from
    the row's family and spread, which win over the low and high that are shown.
    """

    material: str
    property: str
    condition: str
    low: float
    typical: float
    high: float
    unit: str
    distribution: Mapping[str, str | float]
    kind: str
    source: str
    where: str
    note: str
    origin: str


def materials(group: str = "") -> list[str]:
    """Return the names of the materials, or of those of one group, sorted.

    Parameters
    ----------
    group : str, "substrate", "hard fill", "reversible fill" or "coating"; empty for all

    Returns
    -------
    list of str, names

    Raises
    ------
    NotFoundError
        When there is no such group.

    Source: softmend-materials.
    Checked against: tests/tables/test_materials.py.

    Example
    -------
    >>> materials("coating")[:2]
    ['PVAc', 'acrylic copolymer (Tg about 40 C)']
    """
    rows = table(NAME).rows
    groups = {str(row["group"]) for row in rows}
    if group and group not in groups:
        raise NotFoundError(
            "There is no group of materials of that name",
            value=group,
            allowed=", ".join(sorted(groups)),
        )
    return sorted({str(row["material"]) for row in rows if group in {"", str(row["group"])}})


def material_values(material: str) -> list[MaterialValue]:
    """Return every value of one material, as the table has them.

    Parameters
    ----------
    material : str, one of materials()

    Returns
    -------
    list of MaterialValue, each in the one unit of its property [SI; temperatures in degC]

    Raises
    ------
    NotFoundError
        When the table has no such material.

    Source: softmend-materials.
    Checked against: tests/tables/test_materials.py.

    Example
    -------
    >>> {one.unit for one in material_values("shellac") if one.property == "modulus"}
    {'Pa'}
    """
    if material not in materials():
        raise NotFoundError(
            "There is no material of that name",
            value=material,
            allowed=", ".join(materials()),
            remedy="Type the values as your own, with their source",
        )
    return [_value(row) for row in table(NAME).rows if row["material"] == material]


def material_value(
    material: str, property_name: str, condition: str | None = None
) -> MaterialValue | None:
    """Return one property of one material, or None when the table has no row for that state.

    Parameters
    ----------
    material : str, one of materials()
    property_name : str, such as "modulus" or "poisson"
    condition : str or None, the row's own words for the state; None takes the only row

    Returns
    -------
    MaterialValue [SI; temperatures in degC], or None: not known

    Raises
    ------
    NotFoundError
        When the table has no such material, or none with such a property.
    InputError
        When no condition is given and the table has more than one.

    Source: softmend-materials.
    Checked against: tests/tables/test_materials.py.

    Example
    -------
    >>> found = material_value("elephant ivory", "moisture_strain_radial")
    >>> found.typical, found.unit, found.kind
    (0.0003, '1/%RH', 'estimated')
    >>> material_value("elephant ivory", "modulus_along", "degraded, dry") is None
    True
    """
    rows = [one for one in material_values(material) if one.property == property_name]
    if not rows:
        _refuse_unknown_property(property_name)
    if condition is not None:
        return next((one for one in rows if one.condition == condition), None)
    if len(rows) > 1:
        raise InputError(
            f"There is more than one {property_name.replace('_', ' ')} of {material}",
            value="no condition",
            allowed=" | ".join(one.condition or "(none stated)" for one in rows),
            remedy="Say which state the object is in",
        )
    return rows[0] if rows else None


def _refuse_unknown_property(property_name: str) -> None:
    known = sorted({str(row["property"]) for row in table(NAME).rows})
    if property_name not in known:
        raise NotFoundError(
            "There is no property of that name", value=property_name, allowed=", ".join(known)
        )


def _value(row: Row) -> MaterialValue:
    words = {name: str(row[name]) for name in ("material", "property", "condition", "unit")}
    family = str(row["family"])
    numbers = {name: _number(row, column) for name, column in PARAMETERS[family].items()}
    state = f" ({words['condition']})" if words["condition"] else ""
    place = f"{NAME}/{words['material']}: {words['property'].replace('_', ' ')}{state}"
    return MaterialValue(
        **words,
        low=_number(row, "low"),
        typical=_number(row, "typical"),
        high=_number(row, "high"),
        distribution={"family": family, **numbers},
        kind=str(row["kind"]),
        source=str(row["source"]),
        where=str(row["where"]),
        note=str(row["note"]),
        origin=f"table:{place}@{table(NAME).version}",
    )


def _number(row: Row, column: str) -> float:
    found = row[column]
    if not isinstance(found, float):
        raise InputError(
            f"A row of the table of materials lacks its {column}",
            value=f"{row['material']}, {row['property']}",
            allowed="a number",
        )
    return found
