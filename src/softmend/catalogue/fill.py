"""How much fill each crack and void takes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from softmend.catalogue.computation import (
    Answer,
    Asked,
    Computation,
    Estimate,
    Model,
    Number,
    Sourced,
    WorkingValue,
    estimate,
    worked,
)
from softmend.errors import InputError
from softmend.science.fill import (
    Crack,
    Errors,
    Hollow,
    Measured,
    Section,
    Station,
    Void,
    fill_volumes,
)

M_PER_MM = 1e-3
M2_PER_MM2 = 1e-6
ML_PER_M3 = 1e6

Name: TypeAlias = Annotated[str, Field(min_length=1, max_length=200)]
Along: TypeAlias = Annotated[Number, Field(ge=0, le=100_000)]
SectionName: TypeAlias = Literal["rectangle", "V", "lens"]
ErrTogether: TypeAlias = Literal["together", "apart"]


class WidthAt(Model):
    """A width at a distance along a crack from its first end."""

    along_mm: Along
    width_mm: Sourced


class DepthAt(Model):
    """A depth at a distance along a crack from its first end, and how it is known."""

    along_mm: Along
    depth_mm: Sourced
    known_how: Literal["seen", "gauge", "X-ray", "not known"] = "not known"


class CrackToFill(Model):
    """A crack by its length and its widths and depths at stations.

    `widths_err` and `depths_err` say whether the readings of one kind err together, as one
    person's guess does, or apart, as single measurements do.
    """

    shape: Literal["crack"]
    name: Name
    length_mm: Sourced
    widths: Annotated[list[WidthAt], Field(max_length=1000, default_factory=list)]
    depths: Annotated[list[DepthAt], Field(max_length=1000, default_factory=list)]
    section: SectionName = "V"
    widths_err: ErrTogether = "apart"
    depths_err: ErrTogether = "together"


class VoidToFill(Model):
    """A void by the area of its mouth and its greatest depth."""

    shape: Literal["void"]
    name: Name
    area_mm2: Sourced
    depth_mm: Sourced | None = None
    known_how: Literal["seen", "gauge", "X-ray", "not known"] = "not known"
    section: SectionName = "lens"


class ScannedToFill(Model):
    """A void whose volume was measured on a scan (solid.void)."""

    shape: Literal["scanned"]
    name: Name
    volume_ml: Sourced


ToFill: TypeAlias = CrackToFill | VoidToFill | ScannedToFill


class FillInput(Model):
    """The cracks and voids that are to be filled."""

    parts: Annotated[
        list[Annotated[ToFill, Field(discriminator="shape")]],
        Field(max_length=500),
    ]


class PartVolume(Model):
    """How much one crack or void takes."""

    name: str
    volume_ml: Estimate


class FillAnswer(Answer):
    """How much each part takes, and all of them; parts that cannot be told are in `reasons`."""

    parts: tuple[PartVolume, ...] = ()
    total_ml: Estimate | None = None


def fill_volume(given: FillInput, asked: Asked) -> FillAnswer:
    """Return the volume of each crack and void; "cannot say" when none has width and depth."""
    _refuse_twice(given)
    lacking = {part.name: _lacks(part) for part in given.parts}
    known = {part.name: _hollow(part) for part in given.parts if not lacking[part.name]}
    reasons = tuple(f"{name}: {lack}" for name, lack in lacking.items() if lack)
    if not known:
        nothing = ("There is no crack or void to fill.",)
        return FillAnswer(answer="cannot say", reasons=reasons or nothing)
    each, total = fill_volumes(known, seed=asked.seed)
    return FillAnswer(
        reasons=reasons,
        warnings=_warnings(given, reasons),
        parts=tuple(
            PartVolume(name=name, volume_ml=estimate(found, ML_PER_M3, "mL"))
            for name, found in each.items()
        ),
        total_ml=estimate(total, ML_PER_M3, "mL"),
        working=tuple(line for part in given.parts for line in _working(part)),
    )


def _refuse_twice(given: FillInput) -> None:
    names = [part.name for part in given.parts]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise InputError(
            "Two parts to fill have one name", value=", ".join(twice), allowed="one name a part"
        )


def _lacks(part: ToFill) -> str:
    if isinstance(part, ScannedToFill):
        return ""
    if isinstance(part, VoidToFill):
        return "" if part.depth_mm is not None else "it has no depth; give one, however wide."
    missing = [
        word for word, found in (("width", part.widths), ("depth", part.depths)) if not found
    ]
    return f"it has no {' and no '.join(missing)}; give one, however wide." if missing else ""


def _hollow(part: ToFill) -> Hollow:
    if isinstance(part, ScannedToFill):
        return Measured(part.volume_ml.uncertain().scaled(1 / ML_PER_M3))
    section = Section(part.section)
    if isinstance(part, VoidToFill):
        depth = Sourced(value=0.0) if part.depth_mm is None else part.depth_mm
        area = part.area_mm2.uncertain().scaled(M2_PER_MM2)
        return Void(area, depth.uncertain().scaled(M_PER_MM), section)
    length = part.length_mm.uncertain()
    return Crack(
        length.scaled(M_PER_MM),
        [_station(part, one.along_mm, one.width_mm, length.typical) for one in part.widths],
        [_station(part, one.along_mm, one.depth_mm, length.typical) for one in part.depths],
        section,
        Errors(part.widths_err),
        Errors(part.depths_err),
    )


def _station(part: CrackToFill, along_mm: float, value: Sourced, length_mm: float) -> Station:
    # A station a little beyond the measured end is the end: both distances are uncertain.
    share = along_mm / length_mm if length_mm > 0 else 0.0
    if share > 1.1:
        raise InputError(
            f"A station of {part.name} lies beyond the end of the crack",
            value=f"{along_mm:g} mm",
            allowed=f"0 to {length_mm:g} mm",
            remedy="Check the length, or from which end the station was measured",
        )
    return Station(min(share, 1.0), value.uncertain().scaled(M_PER_MM))


def _warnings(given: FillInput, reasons: tuple[str, ...]) -> tuple[str, ...]:
    guessed = [part.name for part in given.parts if _depth_is_guessed(part)]
    warnings = ["Mix more than the volume: what stays in the pot and on the tool is not in it."]
    if guessed:
        warnings.append(f"The depth is not known, only bounded, of: {', '.join(guessed)}.")
    if reasons:
        warnings.append(f"The total is without {len(reasons)} of {len(given.parts)} parts.")
    return tuple(warnings)


def _depth_is_guessed(part: ToFill) -> bool:
    if isinstance(part, ScannedToFill):
        return False
    if isinstance(part, VoidToFill):
        return part.depth_mm is not None and part.known_how == "not known"
    return any(one.known_how == "not known" for one in part.depths)


def _working(part: ToFill) -> list[WorkingValue]:
    if isinstance(part, ScannedToFill):
        return [worked(f"{part.name}: volume", part.volume_ml, "mL")]
    section = WorkingValue(
        name=f"{part.name}: section", text=part.section, kind="estimated", origin="typed"
    )
    if isinstance(part, VoidToFill):
        area = worked(f"{part.name}: area", part.area_mm2, "mm²")
        depth = [part.depth_mm] if part.depth_mm is not None else []
        how = f"{part.name}: depth ({part.known_how})"
        return [area, *(worked(how, one, "mm") for one in depth), section]
    return [
        worked(f"{part.name}: length", part.length_mm, "mm"),
        *(
            worked(f"{part.name}: width at {one.along_mm:g} mm", one.width_mm, "mm")
            for one in part.widths
        ),
        *(
            worked(
                f"{part.name}: depth at {one.along_mm:g} mm ({one.known_how})", one.depth_mm, "mm"
            )
            for one in part.depths
        ),
        section,
    ]


COMPUTATIONS = {
    "fill.volume": Computation(
        name="fill.volume",
        title="Volume of fill",
        input_model=FillInput,
        output_model=FillAnswer,
        function=fill_volume,
        formula="cracks: section factor × length × mean of width × depth, both straight between "
        "stations (rectangle 1, V 1/2, lens 2/3); voids: factor × area × greatest depth "
        "(rectangle 1, V 1/3, lens 1/2); voids of scans: as measured; 2000 draws",
        sources=("jcgm101",),
        cautions=(
            "A volume is a guide to how much to mix, never a reason to fill.",
            "A depth that is not known stays a wide range: do not probe for it.",
        ),
        checked="tests/science/test_fill.py",
    ),
}
