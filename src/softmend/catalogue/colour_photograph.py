"""Colours of an object from a photograph that holds a colour chart, with the error it deserves."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field

from softmend import tables
from softmend.catalogue.colour import FileName
from softmend.catalogue.colour_reading import Lab, observer, power_of
from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Model,
    Point,
    WorkingValue,
)
from softmend.errors import InputError

if TYPE_CHECKING:
    from softmend.science.tint.chart import Patch
    from softmend.science.tint.photograph import Correction
    from softmend.science.uncertain import Array

GOOD_ENOUGH, NO_CHART = 3.0, 10.0
"""Mean error of patches left out, CIEDE2000: within the first it is of use, beyond the second there
is no such chart."""
LEAST_ERROR = 0.5
FEW_PIXELS = 1000
CAUTIONS = (
    "A photograph is enough to choose paints and to judge where texture is seen, not to certify a "
    "match of 1.",
    "Chart and object in one plane and one light: 5 % less light on the object is 1.2 CIEDE2000.",
    "Colours are for D50 and the 2° observer; other lamps need a curve, which is then estimated.",
    "Expect 1.5 to 3 CIEDE2000 with care and raw files, 3 to 6 from a telephone's pictures.",
)

Ring = Annotated[list[Point], Field(min_length=3, max_length=5000)]


class ChartInput(Model):
    """A colour chart: the four outer corners of its field of patches as it is printed.

    `corners_px` run from the top left patch's corner clockwise, as the chart is read when it stands
    upright (dark skin first on the common chart of 24), wherever that lies in the picture. `known`
    names its printed edition; for another chart give `patches_lab`, row by row, for D50 and 2°.
    """

    corners_px: Annotated[list[Point], Field(min_length=4, max_length=4)]
    rows: Annotated[int, Field(ge=1, le=40)] = 4
    columns: Annotated[int, Field(ge=1, le=40)] = 6
    known: Literal["after 2014", "before 2014"] = "after 2014"
    patches_lab: Annotated[list[Lab], Field(min_length=6, max_length=400)] | None = None


class NamedRegion(Model):
    """A place on the object: its name and the outline round it."""

    name: Annotated[str, Field(min_length=1, max_length=200)]
    outline_px: Ring


class PhotographInput(Model):
    """A photograph with a chart, and the places whose colour is wanted.

    `coding` says whether its numbers are an ordinary picture's (sRGB) or linear in light.
    `correction` “better” takes the one with the smaller error. `card_file` is a picture of an even
    grey card that fills the frame, in the same light: it takes uneven light away.
    """

    photograph_file: FileName
    chart: ChartInput
    regions: Annotated[list[NamedRegion], Field(max_length=100, default_factory=list)]
    card_file: FileName | None = None
    coding: Literal["srgb", "linear"] = "srgb"
    correction: Literal["linear", "root-polynomial", "better"] = "better"


class ReadPatch(Model):
    """One patch for the eye to confirm: where it was read, and how far it is off when left out."""

    row: int
    column: int
    name: str
    outline_px: tuple[tuple[float, float], ...]
    usable: bool
    known_lab: tuple[float, float, float]
    found_lab: tuple[float, float, float]
    difference: float | None


class RegionColour(Model):
    """The colour of one place, for D50 and 2°, its spread over the place, and its uncertainty.

    `uncertain_by` is the photograph's own error with that of uneven light, CIEDE2000: never show
    the colour as surer. A place whose colour the chart cannot correct has none.
    """

    name: str
    lab: tuple[float, float, float] | None
    lab_spread: tuple[float, float, float] | None
    pixels: int
    uncertain_by: float
    text: str


class PhotographAnswer(Answer):
    """How good the photograph is, and the colours of the places.

    `leave_one_out` is the mean difference of the chart's patches, each left out of the fit.
    `good_enough` says whether it is within 3 CIEDE2000; `why_not` what stands against it.
    """

    correction: str = ""
    leave_one_out: float | None = None
    leave_one_out_worst: float | None = None
    patches_used: int = 0
    uneven_percent: float | None = None
    good_enough: bool | None = None
    why_not: tuple[str, ...] = ()
    text: str = ""
    patches: tuple[ReadPatch, ...] = ()
    regions: tuple[RegionColour, ...] = ()


def colour_from_photograph(given: PhotographInput, asked: Asked) -> PhotographAnswer:
    """Return the colours of places on a photograph, corrected by its chart."""
    from softmend.science.tint.chart import glaring, patches
    from softmend.science.tint.curve import numbers
    from softmend.science.tint.photograph import unevenness

    picture = _linear_picture(given, asked)
    chart = given.chart
    read = patches(picture, chart.corners_px, chart.rows, chart.columns)
    labs, names = _known(chart)
    white = power_of("D50", asked) @ observer(2)
    white = 100 * white / white[1]
    camera = numbers([one.mean for one in read])
    glare = glaring(read)
    usable = (numbers([one.usable for one in read]) > 0) & ~glare
    xyz, best = _best(given, labs, white, camera, usable)
    uneven = unevenness(camera, usable, xyz, best, chart.rows, chart.columns)
    mean, worst = float(best.off.mean()), float(best.off.max())
    why = _why_not(read, usable, glare, best, uneven, given)
    good = mean <= GOOD_ENOUGH
    return PhotographAnswer(
        correction=best.method,
        leave_one_out=_short(mean),
        leave_one_out_worst=_short(worst),
        patches_used=int(usable.sum()),
        uneven_percent=_short(100 * uneven),
        good_enough=good,
        why_not=() if good else why,
        text=_text(mean, worst, uneven, best.method, good=good),
        patches=_patches(given, read, usable, names, labs, best),
        regions=tuple(_region(one, picture, best, uneven) for one in given.regions),
        warnings=why,
        working=_working(given, int(usable.sum())),
    )


def _linear_picture(given: PhotographInput, asked: Asked) -> Array:
    from softmend.science.tint.chart import even_light, linear_light
    from softmend.science.tint.curve import numbers

    def light(name: str) -> Array:
        if name not in asked.files:
            raise InputError("There is no photograph", allowed=f"a picture named in {name}")
        pixels: Any = asked.files[name]
        if pixels.ndim != 3:
            raise InputError("The photograph has no colours", value=f"{pixels.ndim} dimensions")
        largest = 255.0 if pixels.dtype.itemsize == 1 else 65535.0
        if given.coding == "linear":
            return numbers(pixels) / largest
        return linear_light(pixels, largest)

    picture = light("photograph_file")
    return even_light(picture, light("card_file")) if given.card_file is not None else picture


def _known(chart: ChartInput) -> tuple[Array, list[str]]:
    """Return the chart's colours and the names of its patches, row by row."""
    from softmend.science.tint.curve import numbers

    count = chart.rows * chart.columns
    if chart.patches_lab is not None:
        if len(chart.patches_lab) != count:
            raise InputError(
                "The chart's colours are not as many as its patches",
                value=len(chart.patches_lab),
                allowed=f"{count}: {chart.rows} rows of {chart.columns}",
            )
        return numbers(chart.patches_lab), [""] * count
    rows = [row for row in tables.table("colour_chart").rows if row["edition"] == chart.known]
    if len(rows) != count:
        raise InputError(
            "That chart is not the common one of 24 patches",
            value=f"{chart.rows} x {chart.columns}",
            allowed="4 rows of 6",
            remedy="Give its colours in patches_lab",
        )
    labs = numbers([[float(row[axis] or 0) for axis in ("L", "a", "b")] for row in rows])
    return labs, [str(row["patch"]) for row in rows]


def _best(
    given: PhotographInput, labs: Array, white: Array, camera: Array, usable: Any
) -> tuple[Array, Correction]:
    from softmend.science.tint.colorimetry import xyz_of_lab
    from softmend.science.tint.photograph import FEWEST_PATCHES, correction

    xyz = xyz_of_lab(labs, white)
    wanted = [given.correction] if given.correction != "better" else [
        one for one, least in FEWEST_PATCHES.items() if usable.sum() >= least or one == "linear"
    ]  # fmt: skip
    fits = [correction(camera[usable], xyz[usable], white, one) for one in wanted]
    return xyz, min(fits, key=lambda one: float(one.off.mean()))


def _why_not(
    read: list[Patch],
    usable: Any,
    glare: Any,
    best: Correction,
    uneven: float,
    given: PhotographInput,
) -> tuple[str, ...]:
    from softmend.science.tint.photograph import UNEVEN

    why = []
    if best.off.mean() > NO_CHART:
        why.append(
            "Between the four corners there is no chart of this kind, or they were clicked in "
            "another order: look at the patches, and click the corners again."
        )
    few = sum(one.pixels < FEW_PIXELS for one in read)
    if few:
        why.append(f"Fewer than {FEW_PIXELS} pixels: {few} of the patches. Come nearer.")
    lost = sum(not one.usable for one in read)
    if lost:
        why.append(f"Too bright or too dark for the camera: {lost} of the patches. Expose again.")
    if glare.any():
        at = [divmod(place, given.chart.columns) for place, one in enumerate(glare) if one]
        named = ", ".join(f"row {row + 1}, place {column + 1}" for row, column in at[:4])
        more = "" if len(at) <= 4 else f" and {len(at) - 4} more"
        why.append(
            f"Left out, since it varies in itself (a lamp mirrored in it, or dirt): {named}{more}."
        )
    if uneven > UNEVEN:
        why.append(
            f"The light changes by {100 * uneven:.0f} % over the chart, and so may be off on the "
            "object: move the lamps, or photograph an even grey card in the same light and say so."
        )
    if given.coding == "srgb":
        why.append("An ordinary picture, not a raw file: the camera has shaped its colours.")
    if GOOD_ENOUGH < best.off.mean() <= NO_CHART:
        why.append("The chart's colours as known may not be those of this chart, or the corners "
                   "were clicked in another order: look at the patches.")  # fmt: skip
    return tuple(why)


def _patches(
    given: PhotographInput,
    read: list[Patch],
    usable: Any,
    names: list[str],
    labs: Array,
    best: Correction,
) -> tuple[ReadPatch, ...]:
    rows, left = [], iter(best.off)
    for place, (one, known) in enumerate(zip(read, labs, strict=True)):
        row, column = divmod(place, given.chart.columns)
        found = best.lab(one.mean)
        rows.append(
            ReadPatch(
                row=row + 1, column=column + 1, name=names[place], usable=bool(usable[place]),
                outline_px=tuple((round(float(x), 2), round(float(y), 2)) for x, y in one.outline),
                known_lab=_lab(known), found_lab=_lab(found),
                difference=_short(float(next(left))) if usable[place] else None,
            )
        )  # fmt: skip
    return tuple(rows)


def _region(given: NamedRegion, picture: Array, best: Correction, uneven: float) -> RegionColour:
    from softmend.science.digits import rounded
    from softmend.science.tint.chart import region
    from softmend.science.tint.photograph import UNEVEN

    mean, spread, pixels = region(picture, given.outline_px)
    lab = best.lab(mean)
    error = max(math.hypot(float(best.off.mean()), _of_light(best, mean, uneven)), LEAST_ERROR)
    if best.off.mean() > NO_CHART:
        return RegionColour(
            name=given.name, lab=None, lab_spread=None, pixels=pixels, uncertain_by=_short(error),
            text="not known: there is no chart to correct it by",
        )  # fmt: skip
    if not (0 <= lab[0] <= 105 and max(abs(float(v)) for v in lab[1:]) <= 128):
        return RegionColour(
            name=given.name, lab=None, lab_spread=None, pixels=pixels, uncertain_by=_short(error),
            text="not known: this place is outside what the chart can correct",
        )  # fmt: skip
    around = best.lab_spread(mean, spread)
    parts = [
        f"{axis} {rounded(float(value), 2 * error).value}"
        for axis, value in zip(("L*", "a*", "b*"), lab, strict=True)
    ]
    more = ", and more the further from the chart: its light is uneven" if uneven > UNEVEN else ""
    return RegionColour(
        name=given.name,
        lab=_lab(lab),
        lab_spread=_lab(around),
        pixels=pixels,
        uncertain_by=_short(error),
        text=f"{', '.join(parts)} for D50, uncertain by about {error:.1f} CIEDE2000{more}",
    )


def _of_light(best: Correction, mean: Array, uneven: float) -> float:
    """Return what half the change of light over the chart does to a colour, CIEDE2000."""
    from softmend.science.tint.difference import colour_difference_ciede2000

    less = best.lab(mean * (1 - min(uneven, 1.0) / 2))
    return float(colour_difference_ciede2000(less, best.lab(mean)))


def _text(mean: float, worst: float, uneven: float, method: str, *, good: bool) -> str:
    words = (
        f"Patches left out of the fit come out {mean:.1f} CIEDE2000 off on average, {worst:.1f} at "
        f"worst ({method} correction); the light changes by {100 * uneven:.0f} % over the chart."
    )
    return words if good else f"{words} That is more than {GOOD_ENOUGH:g}: see why."


def _lab(values: Array) -> tuple[float, float, float]:
    return (round(float(values[0]), 2), round(float(values[1]), 2), round(float(values[2]), 2))


def _short(value: float) -> float:
    return float(f"{value:.3g}")


def _working(given: PhotographInput, used: int) -> tuple[WorkingValue, ...]:
    known = "typed" if given.chart.patches_lab is not None else "table:colour_chart"
    rows = [
        ("chart", f"{used} patches used", "library", known),
        ("coding of the picture", given.coding, "measured", "typed"),
        ("uneven light taken away", "yes" if given.card_file else "no", "measured", "card_file"),
    ]
    return tuple(WorkingValue(name=a, text=b, kind=c, origin=d) for a, b, c, d in rows)


COMPUTATIONS = {
    "colour.from_photograph": Computation(
        name="colour.from_photograph",
        title="Colours from a photograph with a colour chart",
        input_model=PhotographInput,
        output_model=PhotographAnswer,
        function=colour_from_photograph,
        formula="X, Y, Z = matrix × (R, G, B[, √RG, √GB, √RB]) in linear light, least squares on "
        "the patches' middle 60 %; error: each patch left out in turn",
        sources=("finlayson2015", "iec61966", "cie-15"),
        cautions=CAUTIONS,
        checked="tests/catalogue/test_colour_photograph.py",
    ),
}
