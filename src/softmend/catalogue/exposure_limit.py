"""The limit that a liquid is held against: typed, or of a named list; not known is never zero."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from softmend.catalogue.computation import WorkingValue
from softmend.tables.exposure_limits import (
    DEFAULT_LIST,
    ExposureLimit,
    exposure_limits,
    is_taken_up_through_skin,
)

if TYPE_CHECKING:
    from softmend.catalogue.solvency_agent import Known

STAND_IN_PPM = 20.0
"""A careful figure for a solvent without a limit; our estimate."""
USUAL_MOLAR_MASS = 0.1
"""In kg/mol, for the careful figure of a liquid whose molar mass nobody gave."""
MG_PER_KG = 1e6
TYPED = "as typed"
Period: TypeAlias = Literal["8 h", "15 min"]
# EU CLP statements that no number in the air outweighs.
GRAVE = ("H340", "H350", "H341", "H351", "H360", "H361")


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit of one liquid for one period: its mass in a cubic metre [kg/m3], or None."""

    name: str
    period: Period
    mass: float | None
    stand_in: float
    named: str
    kind: str
    origin: str
    date: str

    def air(self, one: Known) -> float:
        """Return the clean air in which 1 mL comes down to the limit, or to the careful figure."""
        density = one.density or 1000.0
        return density * 1e-6 / (self.stand_in if self.mass is None else self.mass)

    def working(self) -> WorkingValue:
        """Return the limit as a line of the working."""
        text = "not known" if self.mass is None else f"{self.mass * MG_PER_KG:g} mg/m³"
        return WorkingValue(
            name=f"{self.name}: limit for {self.period} ({self.named})",
            text=text,
            kind=self.kind,
            origin=self.origin,
        )


def limit_of(one: Known, period: Period = "8 h", of_list: str = DEFAULT_LIST) -> Limit:
    """Return the limit of a liquid: its own, else the list's, else not known."""
    stand_in = _mass(STAND_IN_PPM, one.molar_mass or USUAL_MOLAR_MASS, of_list)
    if one.own is not None:
        typed = one.own.limit_8h_mg_per_m3 if period == "8 h" else one.own.limit_15min_mg_per_m3
        mass = None if typed is None else typed / MG_PER_KG
        return Limit(one.name, period, mass, stand_in, one.own.limit_named, one.own.kind,
                     one.own.origin, TYPED)  # fmt: skip
    found = exposure_limits(one.id, of_list)
    row = found.get(period) or (found.get("ceiling") if period == "15 min" else None)
    if row is None:
        none = found.get("none set")
        named = f"{of_list}: none is set" if none else f"{of_list}: none in the table"
        kind = none.kind if none else "not known"
        return Limit(one.name, period, None, stand_in, named, kind, one.origin, "")
    return Limit(one.name, period, _row_mass(row, one, of_list), stand_in, row.named, row.kind,
                 row.origin, row.date)  # fmt: skip


def age_words(limits: Iterable[Limit]) -> list[str]:
    """Return how old the limits are that were used; one without a date counts as stale."""
    dates = sorted({one.date for one in limits if one.date})
    known = [one for one in dates if one not in (TYPED, "not known")]
    found = []
    if known:
        found.append(
            f"The limits are those of {', '.join(known)}: a limit over two years old is stale; "
            "look up today's."
        )
    if "not known" in dates:
        found.append("Some limits carry no date: take them for stale; look up today's.")
    if TYPED in dates:
        found.append("A limit was typed: over two years old it is stale; say of when it is.")
    return found


def hazards_of(one: Known) -> list[str]:
    """Return what outweighs any number in the air: cancer, harm to the unborn, uptake by skin."""
    found = []
    grave = [code for code in one.hazards if code.strip("()")[:4] in GRAVE]
    if grave:
        found.append(
            f"{one.name}: {', '.join(grave)} (as remembered; see the SDS) outweighs any figure: "
            "use something else."
        )
    if one.id and is_taken_up_through_skin(one.id):
        found.append(f"{one.name} is taken up through the skin; the figure is inhaled vapour only.")
    return found


def _row_mass(row: ExposureLimit, one: Known, of_list: str) -> float | None:
    if row.mg_per_m3 is not None:
        return row.mg_per_m3 / MG_PER_KG
    if row.ppm is None or one.molar_mass is None:
        return None
    return _mass(row.ppm, one.molar_mass, of_list)


def _mass(ppm: float, molar_mass: float, of_list: str) -> float:
    from softmend.science.solvency.mixed_air import (
        MOLAR_VOLUME_UK,
        MOLAR_VOLUME_US,
        mass_concentration,
    )

    volume = MOLAR_VOLUME_US if of_list.startswith("US") else MOLAR_VOLUME_UK
    return mass_concentration(ppm, molar_mass, volume)
