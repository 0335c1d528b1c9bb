"""Numbers that people type: plain decimals in one stated unit, nothing cleverer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re

from softmend.errors import InputError

_DECIMAL = re.compile(r"[+-]?\d{1,12}([.,]\d{1,9})?")


def typed_number(text: str, what: str, unit: str, lowest: float, highest: float) -> float:
    """Return a typed number between two limits; a decimal comma is read as a point."""
    wanted = text.strip().replace("\u2212", "-")
    allowed = f"{lowest:g} to {highest:g} {unit}".strip()
    if not _DECIMAL.fullmatch(wanted):
        raise InputError(
            f"{what} is not a number",
            value=text.strip() or "nothing",
            allowed=allowed,
            remedy="Type digits with a decimal point, without the unit",
        )
    value = float(wanted.replace(",", "."))
    if not lowest <= value <= highest:
        raise InputError(
            f"{what} is outside what is possible",
            value=f"{value:g} {unit}".strip(),
            allowed=allowed,
            remedy="Correct the number",
        )
    return value


def maybe_number(text: str, what: str, unit: str, lowest: float, highest: float) -> float | None:
    """Return a typed number, or None for an empty field: not known."""
    return typed_number(text, what, unit, lowest, highest) if text.strip() else None


def known(text: str) -> str:
    """Return what was typed, or "not known": blank is not an answer (rule 14)."""
    return text.strip() or "not known"
