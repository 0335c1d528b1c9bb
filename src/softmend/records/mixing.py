"""What a preparation is made of: weighed parts, never a bare percentage (rule 9)."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import dataclass

from softmend.errors import RuleError
from softmend.records.dossier import NOT_KNOWN

BASES = ("w/w", "w/v of solution", "w/v of solvent", "v/v")

# Shares that are no concentration: humidity, and a share "of the" surface or the work.
_BARE = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:%|per\s?cent\b)"
    r"(?!\s*\(?(?:w/w|v/v|w/v\s+of\s+(?:the\s+)?sol(?:ution|vent)|RH\b|of\s+the\b))",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class MakeUp:
    """One preparation by mass, and the percentage with its basis that it was converted from.

    `written_percent` is None when the parts were weighed and no percentage was ever written.
    Masses are those of the batch that the instruction makes.
    """

    solute: str
    solvent: str
    solute_mass_g: float
    solvent_mass_g: float
    solvent_volume_ml: float | None = None
    basis: str = "w/w"
    written_percent: float | None = None
    solute_density_g_per_ml: float | None = None
    solvent_density_g_per_ml: float | None = None
    density_origin: str = NOT_KNOWN
    instruction: str = NOT_KNOWN


def bare_percentages(text: str) -> list[str]:
    """Return every percentage in a text that does not say of what."""
    return [found.group(0) for found in _BARE.finditer(text)]


def refuse_bare_percentage(*texts: str) -> None:
    """Refuse a percentage without its basis (rule 9): 20 % may mean 20.0, 20.3 or 23.6 g."""
    for text in texts:
        for bare in bare_percentages(text):
            raise RuleError(
                f"“{bare}” does not say of what",
                rule=9,
                remedy=f"Weigh the parts, or give the basis: {', '.join(BASES)}",
            )
