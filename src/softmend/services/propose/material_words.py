"""Amounts of material in words: signed, with their uncertainty or the word that none is known."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.records.material import Direction, Fate, MaterialTotal, Moved, Stays, Sum

_SIGNS = {Direction.PUT_ON: "+", Direction.TAKEN_OFF: "−"}


def sum_text(found: Sum | None, unit: str) -> str:
    """Return a sum as it is printed: "4.2 ± 0.3 g", or "about 4.2 g" where ± is not known."""
    if found is None:
        return ""
    if not found.expanded:
        return f"about {found.value:.3g} {unit}"
    from softmend.science.digits import rounded

    return rounded(found.value, found.expanded).text(unit)


def amount_text(moved: Moved) -> str:
    """Return a signed amount: "+ 1.5 g", or that it was not measured."""
    for value, unit in ((moved.mass_g, "g"), (moved.volume_ml, "mL")):
        if value is not None:
            percent = moved.expanded_percent
            found = Sum(value, None if percent is None else value * percent / 100)
            return f"{_SIGNS[moved.direction]} {sum_text(found, unit).removeprefix('about ')}"
    return "amount not measured"


def moved_text(moved: Moved) -> str:
    """Return one movement of matter in a line, without where what was taken off lies."""
    parts = [f"{moved.direction.value} {moved.material}", amount_text(moved)]
    if moved.direction is Direction.PUT_ON and moved.stays is not Stays.NOT_KNOWN:
        parts.append(moved.stays.value)
    if moved.direction is Direction.TAKEN_OFF and moved.fate is not Fate.NOT_KNOWN:
        # Where it lies is for the registrar's page alone (cautions 12).
        parts.append(moved.fate.value)
    return ", ".join(parts)


def put_on_text(total: MaterialTotal) -> str:
    """Return what was put on of a material, and how often it was not measured."""
    said = [sum_text(total.put_on_g, "g"), sum_text(total.put_on_ml, "mL")]
    if total.unmeasured:
        said.append(
            "once not measured"
            if total.unmeasured == 1
            else f"{total.unmeasured} times not measured"
        )
    return "; ".join(part for part in said if part)


def taken_off_text(total: MaterialTotal) -> str:
    """Return what was taken off of a material."""
    said = (sum_text(total.taken_off_g, "g"), sum_text(total.taken_off_ml, "mL"))
    return "; ".join(part for part in said if part)
