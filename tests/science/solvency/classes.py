"""The classes of the table as science takes them, and a shelf to test with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.science.solvency.coating import Behaviour, CoatingClass, Liquid
from softmend.tables.solvency import coatings
from softmend.tables.solvents import solvent, solvents

PARTS = ("dispersion_sqrt_mpa", "polar_sqrt_mpa", "hydrogen_sqrt_mpa")


def classes() -> list[CoatingClass]:
    """Return every class of the table."""
    return [
        CoatingClass(
            str(row["id"]),
            str(row["class"]),
            Behaviour(str(row["behaviour"])),
            (float(row[PARTS[0]]), float(row[PARTS[1]]), float(row[PARTS[2]])),
            *(float(row[name]) for name in
              ("radius_sqrt_mpa", "spread_factor", "weight", "crosslinked_share")),
        )
        for row in coatings()
    ]  # fmt: skip


def liquid(name: str) -> Liquid:
    """Return a solvent of the table as a coating meets it."""
    one = solvent(name)
    return Liquid(one.position, one.molar_volume, 1.0 if one.id == "water" else 0.0)


def shelf() -> list[str]:
    """Return the solvents that the shelf calls ok."""
    return [one.id for one in solvents() if one.status == "ok"]
