"""How well a paint is known, or why not; and what colour a lamp's light has."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from softmend import catalogue
from softmend.errors import InputError
from softmend.records.paint import PaintRole
from softmend.report.content import Working
from softmend.services.bench import Bench
from softmend.services.computing import kept_files
from softmend.services.examine.quantities import outcome
from softmend.services.paints import KeptPaint, drawdowns_of
from softmend.services.workings import working


@dataclass(frozen=True)
class KnownPaint:
    """What the readings of a paint give: a sentence, warnings, and the working."""

    text: str
    warnings: tuple[str, ...] = ()
    work: Working | None = None


def known_of_paint(kept: KeptPaint) -> KnownPaint:
    """Return how well K and S of a paint are known from its readings."""
    if kept.paint.role is PaintRole.PULP:
        if kept.lacks:
            return KnownPaint(f"Needs {kept.lacks}.")
        return KnownPaint("Read with its skin: a recipe can be searched over it.")
    if kept.lacks:
        return KnownPaint(f"Needs {kept.lacks}.")
    excluded = any(one.specular == "excluded" for one in kept.paint.readings)
    asked = {
        "name": kept.paint.name,
        "drawdowns": drawdowns_of(kept),
        "surface": {"specular": "excluded" if excluded else "included"},
    }
    try:
        found = outcome("tint.characterise", asked)
    except InputError as refused:
        return KnownPaint(refused.sentence())
    if found["answer"] == "cannot say":
        return KnownPaint("The readings do not give K and S.", tuple(found["reasons"]))
    usable = sum(found["usable"])
    spread = ""
    if found["k_spread_percent"] is not None:
        spread = (
            f"; read again, K would move by about {found['k_spread_percent']:g} % and S by "
            f"{found['s_spread_percent']:g} %"
        )
    return KnownPaint(
        f"K and S are known at {usable} of {len(found['usable'])} wavelengths, from "
        f"{found['method']}{spread}.",
        tuple(found["warnings"]),
        working("tint.characterise", kept.paint.name, found),
    )


def lamp_colours(bench: Bench, names: Sequence[str], file_sha256: str = "") -> list[str]:
    """Return colour temperature and Ra of lamps, as they read; or why a file does not give them.

    The lamps are of the CIE's set, or of one kept file.
    """
    white = {"name": "white", "start_nm": 380, "step_nm": 50, "reflectance": [1.0] * 9}
    asked: dict[str, Any] = {"readings": [white]}
    files = {}
    if file_sha256:
        asked["lamp_file"] = file_sha256
        files = kept_files(bench, {"lamp_file": file_sha256})
    told = []
    for name in names:
        try:
            found = catalogue.run("colour.lab", {**asked, "lamps": [name]}, files=files)
        except InputError as refused:
            told.append(refused.sentence())
        else:
            lamp = found["lamps"][0]
            told.append(f"{lamp['colour_temperature_text']}, {lamp['colour_rendering_text']}")
    return told


def standard_lamps() -> tuple[str, ...]:
    """Return the names of the CIE's lamps that ship with the program."""
    from softmend.catalogue.colour_reading import lamp_names

    return lamp_names()
