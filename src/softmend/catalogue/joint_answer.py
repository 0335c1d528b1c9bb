"""What the answers about filled cracks share: points, loads in the hand, warnings, working."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.catalogue.computation import Model, WorkingValue
from softmend.catalogue.joint_values import (
    M_PER_MM,
    CrackMovement,
    CrackToHold,
    FillSystem,
    ObjectMatter,
    YearOfClimate,
    working_of,
    working_of_fill,
)
from softmend.science.digits import band_text, rounded
from softmend.science.joint.giving import Borne, Giving
from softmend.science.joint.sharing import pull_in_the_hand
from softmend.science.joint.words import MODEL
from softmend.science.uncertain import Band

MM_PER_M, PERCENT, G_PER_KG = 1e3, 100.0, 1e3
MOST_DEMAND = 100.0
"""Above this a part has given long before the swing is whole, or already on drying."""
LEAST_TOLD = 0.01
"""A share of the draws too small to trouble the reader with."""
CAUTIONS = (
    MODEL,
    "A stiff fill shields the tip of the crack and loads its walls, a soft one the other way "
    "round: both are shown, and neither replaces steady humidity.",
    "An open crack is not safer for being unfilled: it may snag, take dirt, lose its edges and "
    "the support of its sides.",
    "Tractions are means over the depth; at the mouth they are higher.",
    "No bond strength on ivory is published: test the bond on a lawful surrogate.",
)


class Points(Model):
    """The 5, 50 and 95 % points of a quantity, and how it is printed."""

    low: float
    typical: float
    high: float
    text: str


def points(band: Band, factor: float, unit: str = "") -> Points:
    """Return a band in a bench unit."""
    shown = band.scaled(factor)
    return Points(
        low=shown.low,
        typical=shown.typical,
        high=shown.high,
        text=banded(shown, unit),
    )


def chances(band: Band) -> Points:
    """Return a band of chances in percent; none is printed nearer to never or always than 1 %."""
    shown = band.scaled(PERCENT)
    low, typical, high = (_whole(value) for value in (shown.low, shown.typical, shown.high))
    alike = low == typical == high
    text = f"{typical} %" if alike else f"{typical} ({low} to {high}) %"
    return Points(low=shown.low, typical=shown.typical, high=shown.high, text=text)


def demands(band: Band) -> Points:
    """Return a band of shares of what a part stands; beyond a hundredfold is only told as that."""
    plain = points(band, 1.0)
    if band.high <= MOST_DEMAND:
        return plain
    low, typical, high = (
        f"above {MOST_DEMAND:.0f}" if value > MOST_DEMAND else str(rounded(value, value / 4).value)
        for value in (band.low, band.typical, band.high)
    )
    text = typical if low == typical == high else f"{typical} ({low} to {high})"
    return plain.model_copy(update={"text": text})


def _whole(percent: float) -> str:
    if percent < 1:
        return "below 1"
    return "above 99" if percent > 99 else f"{percent:.0f}"


def hand_text(traction: Band, crack: CrackToHold) -> str:
    """Return the pull as a mass in the hand, with its band."""
    depth = crack.depth_mm.uncertain().typical * M_PER_MM
    low, typical, high = (
        max(0.0, pull_in_the_hand(pull, depth))
        for pull in (traction.low, traction.typical, traction.high)
    )
    return f"like {banded(Band(low, typical, high), 'kg')} pulling on each 10 cm of crack"


def banded(band: Band, unit: str) -> str:
    """Return a band as it is printed; without a spread it is a model's number of three digits."""
    if band.high - band.low > 1e-9 * abs(band.typical):
        return band_text(band.low, band.typical, band.high, unit)
    return f"{rounded(band.typical, None).value} {unit}".rstrip()


def used(movement: CrackMovement) -> str:
    """Return which way of knowing the movement was used: measured beats modelled."""
    return "measured" if movement.measured_mm is not None else "modelled"


def warnings_of(
    crack: CrackToHold,
    found: Giving | Borne,
    fills: tuple[FillSystem, ...],
    movement: CrackMovement,
) -> tuple[str, ...]:
    """Return what must be said beside the numbers."""
    warnings = []
    if movement.measured_mm is None:
        warnings.append("The movement is modelled; a crack width at two humidities would replace "
                        "it.")  # fmt: skip
    elif movement.mismatch_percent is not None:
        warnings.append("The measured opening was used, not the free strains given beside it.")
    if 0 < found.opens < 1:
        warnings.append(
            f"Whether the crack opens is not known: it does in {found.opens:.0%} of what is "
            "possible."
        )
    if crack.known_how == "not known":
        warnings.append("The depth is not known, only bounded: do not probe for it.")
    if found.too_deep >= LEAST_TOLD:
        warnings.append(f"In {found.too_deep:.0%} of the draws the crack is deeper than can be "
                        "computed; it was taken at the deepest.")  # fmt: skip
    bare = [fill.name for fill in fills if fill.shrinkage_percent is None]
    if bare:
        warnings.append(f"Shrinkage is not counted of: {', '.join(bare)}.")
    return tuple(warnings)


def working_of_all(
    crack: CrackToHold,
    matter: ObjectMatter,
    fills: tuple[FillSystem, ...],
    movement: CrackMovement,
    climate: YearOfClimate,
) -> tuple[WorkingValue, ...]:
    """Return every value that went in."""
    return (
        *working_of(crack, matter, movement, climate),
        *(line for fill in fills for line in working_of_fill(fill)),
    )
