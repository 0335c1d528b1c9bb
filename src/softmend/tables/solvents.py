"""Solvents by name: what is known of each, value by value, with its kind; what is not is None."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from softmend.errors import InputError
from softmend.tables import Row, table

NAME = "solvents"
Position = tuple[float, float, float]
PARTS = ("dispersion_sqrt_mpa", "polar_sqrt_mpa", "hydrogen_sqrt_mpa")
NONE_BY_TEST = "none by test"


@dataclass(frozen=True, slots=True)
class Solvent:
    """One solvent of the table [SI; Hansen parameters in MPa^0.5, temperatures in degC].

    `kinds` names the kind of every property; `other_positions` are the sets of Hansen parameters
    that disagree with the chosen one; `teas` is on the published scale, in percent.
    """

    id: str
    name: str
    also_called: tuple[str, ...]
    cas: str
    group: str
    status: str
    hazards: tuple[str, ...]
    on_objects: str
    note: str
    position: Position
    other_positions: tuple[Position, ...]
    teas: Position | None
    molar_mass: float
    density: float
    molar_volume: float
    vapour_pressure: float
    evaporation_rate: float | None
    boiling: tuple[float, float] | None
    flash: float | None
    flash_known_as_none: bool
    flammable_limit: float | None
    kinds: Mapping[str, str]
    origin: str


def solvents() -> list[Solvent]:
    """Return every solvent of the table, in its order.

    Returns
    -------
    list of Solvent [SI; MPa^0.5; degC]

    Source: softmend-solvents.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> len(solvents())
    68
    """
    return list(_by_id().values())


def solvent(name: str) -> Solvent:
    """Return a solvent by its id, its name, another name, or its CAS number.

    Parameters
    ----------
    name : str, in any case

    Returns
    -------
    Solvent [SI; MPa^0.5; degC]

    Raises
    ------
    InputError
        When the table has no such solvent, or more than one goes by that name.

    Source: softmend-solvents.
    Checked against: tests/tables/test_solvents.py.

    Example
    -------
    >>> solvent("Isopropanol").id, solvent("67-64-1").id
    ('propan-2-ol', 'acetone')
    """
    wanted = _plain(name)
    found = _names().get(wanted, [])
    if len(found) == 1:
        return _by_id()[found[0]]
    if len(found) > 1:
        raise InputError(
            "More than one solvent goes by that name", value=name, allowed=", ".join(found)
        )
    near = {one for word in get_close_matches(wanted, _names(), 5, 0.55) for one in _names()[word]}
    holding = {one for word, ids in _names().items() if len(wanted) > 3 and wanted in word
               for one in ids}  # fmt: skip
    likely = sorted(near | holding)[:8]
    raise InputError(
        "The table has no solvent of that name",
        value=name,
        allowed=f"for instance {', '.join(likely)}" if likely else "a name or CAS number of one",
        remedy="Name one of the table, or type your own values for it",
    )


@lru_cache(maxsize=1)
def _by_id() -> dict[str, Solvent]:
    values: dict[str, dict[str, Row]] = {}
    for name in ("solvent_values", "solvent_vapour"):
        for row in table(name).rows:
            values.setdefault(str(row["solvent"]), {})[str(row["property"])] = row
    sets: dict[str, list[Row]] = {}
    for row in table("solvent_hansen").rows:
        sets.setdefault(str(row["solvent"]), []).append(row)
    teas = {str(row["solvent"]): row for row in table("solvent_teas").rows}
    return {
        str(row["id"]): _solvent(row, values[str(row["id"])], sets[str(row["id"])],
                                 teas.get(str(row["id"])))
        for row in table(NAME).rows
    }  # fmt: skip


def _solvent(row: Row, values: Mapping[str, Row], sets: list[Row], teas: Row | None) -> Solvent:
    boiling = values.get("boiling_point")
    ends = None if boiling is None else (_low(boiling), float(boiling["high"] or 0))
    flash = values.get("flash_point")
    kinds = {name: str(one["kind"]) for name, one in values.items()}
    kinds["position"] = next(str(one["kind"]) for one in sets if one["set"] == "chosen")
    if teas is not None:
        kinds["teas"] = str(teas["kind"])
    words = {name: str(row[name]) for name in ("id", "name", "cas", "group", "status", "note")}
    return Solvent(
        **words,
        also_called=_list(row["also_called"], ";"),
        hazards=tuple(str(row["hazard_statements"]).split()),
        on_objects=str(row["on_objects"]),
        position=next(_parts(one, PARTS) for one in sets if one["set"] == "chosen"),
        other_positions=tuple(_parts(one, PARTS) for one in sets if one["set"] == "other"),
        teas=None
        if teas is None
        else _parts(teas, ("dispersion_percent", "polar_percent", "hydrogen_percent")),
        molar_mass=_low(values["molar_mass"]),
        density=_low(values["density"]),
        molar_volume=_low(values["molar_volume"]),
        vapour_pressure=_low(values["vapour_pressure_20"]),
        evaporation_rate=_known(values.get("evaporation_rate")),
        boiling=ends,
        flash=_known(flash),
        flash_known_as_none=flash is not None and flash["note"] == NONE_BY_TEST,
        flammable_limit=_known(values.get("lower_flammable_limit")),
        kinds=kinds,
        origin=f"table:{NAME}/{row['id']}@{table(NAME).version}",
    )


def _parts(row: Row, names: tuple[str, str, str]) -> Position:
    one, two, three = (float(row[name] or 0.0) for name in names)
    return one, two, three


def _low(row: Row) -> float:
    found = row["low"]
    if not isinstance(found, float):
        raise InputError("A row of the table of solvents has no value", value=row["solvent"])
    return found


def _known(row: Row | None) -> float | None:
    return row["low"] if row is not None and isinstance(row["low"], float) else None


def _list(text: str | float | None, mark: str) -> tuple[str, ...]:
    return tuple(one.strip() for one in str(text or "").split(mark) if one.strip())


@lru_cache(maxsize=1)
def _names() -> dict[str, list[str]]:
    found: dict[str, set[str]] = {}
    for one in _by_id().values():
        words = {one.id, one.name.casefold(), one.cas.casefold(), *one.also_called}
        for word in words:
            found.setdefault(_plain(word), set()).add(one.id)
    return {word: sorted(ids) for word, ids in found.items()}


def _plain(name: str) -> str:
    """Return a name without case, hyphens and doubled spaces."""
    return " ".join(name.casefold().replace("-", " ").split())
