"""Quantities in running words, held together: a number never parts from its ± and its unit."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

NO_BREAK = "\u00a0"

_UNITS = (
    *("mm²", "mm³", "cm²", "cm³", "m²", "m³", "µm", "mm", "cm", "m", "px", "dpi"),
    *("mL", "µL", "L", "mg", "kg", "g", "h", "min", "s"),
    *("GPa", "MPa", "kPa", "Pa", "kN", "N", "lx", "°C", "K", "%", "‰"),
)
_NUMBER = r"\d[\d.,\u202f]*(?<![.,])"
_UNIT = "|".join(re.escape(unit) for unit in _UNITS)
_QUANTITY = re.compile(
    rf"(?:(?<!\S)[+−±] )?(?<![\w.,-]){_NUMBER}(?: – {_NUMBER})?(?: ± {_NUMBER})?"
    rf"(?: (?:{_UNIT})(?!\w))?"
)


def unbroken(text: str) -> str:
    """Return a text in which the spaces inside every quantity are spaces that no line ends at."""
    return _QUANTITY.sub(lambda found: found[0].replace(" ", NO_BREAK), text)
