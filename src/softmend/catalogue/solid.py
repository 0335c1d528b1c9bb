"""The state of a scan and its volume, by the names that page and command line use."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from pydantic import Field

from softmend.catalogue.computation import Asked, Computation, Estimate, Model
from softmend.catalogue.solid_scan import (
    MM_PER_M,
    At,
    ScanAnswer,
    ScanInput,
    Scanned,
    checked_scan,
    in_file,
    in_metres,
    length_working,
    no_unit,
    ranged,
    scanned,
    told_mm,
    unit_of,
)

if TYPE_CHECKING:
    from softmend.science.solid.check import Shape

MM2_PER_M2, ML_PER_M3 = 1e6, 1e6
MOST_RIMS = 40
NOT_FILLED = (
    "What the scanner did not see is not made up: a missing end or side cannot be had back by any "
    "method."
)


class RimFound(Model):
    """An open rim: what it bounds, where its middle lies in the file's coordinates, how long."""

    bounds: str
    at: At
    edges: int
    share_percent: float
    rim_length_mm: float | None = None


class ShellFound(Model):
    """A connected shell: what it is to the object, where, and its share of all the surface."""

    role: str
    at: At
    faces: int
    share_percent: float


class CheckAnswer(ScanAnswer):
    """The state of a scan: what is open, reversed, doubled or loose, and its size."""

    faces: int = 0
    points: int = 0
    is_closed: bool = False
    reversed_faces: int = 0
    repeated_faces: int = 0
    branched_edges: int = 0
    rims: tuple[RimFound, ...] = ()
    shells: tuple[ShellFound, ...] = ()
    greatest_length: float = 0.0
    greatest_length_mm: float | None = None
    lengths_by_unit: dict[str, str] = Field(default={})
    area_mm2: float | None = None
    mean_edge_mm: float | None = None


class VolumeAnswer(ScanAnswer):
    """The volume and how it was agreed; where it is not, why, and where the scan is open.

    `volume_ml` is the likeliest with its range; `centre` lies in the file's coordinates.
    """

    verdict: str = ""
    volume_ml: Estimate | None = None
    apart_percent: float | None = None
    centre: At | None = None
    centre_spread_mm: float | None = None
    area_mm2: float | None = None
    smoothed_area_mm2: float | None = None
    mean_edge_mm: float | None = None
    rims: tuple[RimFound, ...] = ()


def solid_check(given: ScanInput, asked: Asked) -> CheckAnswer:
    """Return the state of a scan."""
    from softmend.catalogue.solid_scan import UNITS

    raw, notes = checked_scan(asked)
    factor = unit_of(raw, given.length).factor if given.length else None
    shape = in_metres(raw, factor) if factor else raw
    longest = raw.greatest_length
    warnings = [*notes, *_warnings(shape)]
    if factor is None:
        warnings.append(no_unit(raw)[0])
    return CheckAnswer(
        states=tuple(str(state) for state in raw.states),
        faces=len(raw.mesh.faces),
        points=len(raw.mesh.points),
        is_closed=raw.is_closed,
        reversed_faces=raw.reversed_faces,
        repeated_faces=raw.tidied.repeated_faces,
        branched_edges=raw.branched_edges,
        rims=rims_of(shape, factor),
        shells=_shells(shape, factor),
        greatest_length=float(f"{longest:.6g}"),
        greatest_length_mm=round(MM_PER_M * longest * factor, 2) if factor else None,
        lengths_by_unit={n: told_mm(longest * u) for n, u in UNITS.items()},
        area_mm2=round(MM2_PER_M2 * shape.mesh.area, 1) if factor else None,
        mean_edge_mm=round(MM_PER_M * shape.mesh.mean_edge, 4) if factor else None,
        warnings=tuple(warnings),
    )


def rims_of(shape: Shape, factor: float | None) -> tuple[RimFound, ...]:
    """Return the longest open rims, places in the file's coordinates."""
    return tuple(
        RimFound(
            bounds=str(rim.kind),
            at=in_file(rim.centre, factor or 1.0),
            edges=rim.edges,
            share_percent=float(f"{100 * rim.cap_area / shape.mesh.area:.3g}"),
            rim_length_mm=round(MM_PER_M * rim.length, 1) if factor else None,
        )
        for rim in shape.rims[:MOST_RIMS]
    )


def _shells(shape: Shape, factor: float | None) -> tuple[ShellFound, ...]:
    total = sum(shell.area for shell in shape.shells)
    return tuple(
        ShellFound(
            role=str(shell.role),
            at=in_file(shell.centre, factor or 1.0),
            faces=shell.faces,
            share_percent=float(f"{100 * shell.area / total:.3g}"),
        )
        for shell in shape.shells[:MOST_RIMS]
    )


def _warnings(shape: Shape) -> list[str]:
    from softmend.science.solid.check import Role, State

    found = []
    if shape.is_inside_out:
        found.append("The scan was inside out; it is taken the other way round.")
    elif shape.reversed_faces:
        found.append(f"{shape.reversed_faces} faces ran the wrong way and were turned round.")
    left = [shell for shell in shape.shells if shell.role in {Role.DOUBLED, Role.FLOATING}]
    if left:
        share = 100 * sum(one.area for one in left) / sum(one.area for one in shape.shells)
        found.append(
            f"{len(left)} shells ({share:.1f} % of the surface) are doubles or float beside the "
            "object and were left out."
        )
    if State.END_MISSING in shape.states or State.SIDE_MISSING in shape.states:
        found.append(NOT_FILLED + " Volume and mass are those of the scanned part: at least.")
    if shape.tidied.flat_faces or shape.tidied.repeated_faces:
        found.append(
            f"{shape.tidied.flat_faces} faces without area and {shape.tidied.repeated_faces} "
            "repeated faces were dropped."
        )
    if len(shape.rims) > MOST_RIMS:
        found.append(f"{len(shape.rims)} open rims; the {MOST_RIMS} longest are listed.")
    return found


def solid_volume_answer(given: ScanInput, asked: Asked) -> VolumeAnswer:
    """Return the volume of a scan, or why there is none."""
    from softmend.science.solid.volume import Verdict, solid_volume, surface_area

    found = scanned(given, asked)
    if isinstance(found, tuple):
        shape = checked_scan(asked)[0]
        return VolumeAnswer(
            answer="cannot say",
            reasons=found,
            states=tuple(str(state) for state in shape.states),
            rims=rims_of(shape, None),
        )
    volume = solid_volume(found.shape)
    surface = surface_area(found.mesh)
    is_told = volume.verdict is not Verdict.NONE
    return VolumeAnswer(
        answer="answer" if is_told else "cannot say",
        reasons=volume.reasons,
        states=tuple(str(state) for state in found.shape.states),
        verdict=str(volume.verdict),
        volume_ml=_volume_ml(volume, found) if is_told else None,
        apart_percent=float(f"{100 * volume.difference:.2g}"),
        centre=found.at(volume.centre) if is_told else None,
        centre_spread_mm=float(f"{MM_PER_M * volume.centre_spread:.2g}") if is_told else None,
        area_mm2=float(f"{MM2_PER_M2 * surface.area:.4g}"),
        smoothed_area_mm2=float(f"{MM2_PER_M2 * surface.smoothed:.4g}"),
        mean_edge_mm=float(f"{MM_PER_M * surface.mean_edge:.3g}"),
        rims=rims_of(found.shape, found.unit.factor),
        warnings=(*found.notes, *_warnings(found.shape), *_area_warning(surface)),
        working=length_working(given, found),
    )


def _area_warning(surface: Any) -> tuple[str, ...]:
    return (
        f"The area holds for this scan's edge of {MM_PER_M * surface.mean_edge:.2g} mm: a finer "
        f"scan sees more of every wrinkle. Smoothed at {MM_PER_M * surface.smoothing_length:g} mm "
        "it is told beside.",
    )


def _volume_ml(volume: Any, found: Scanned) -> Estimate:
    """Return the volume with the disagreement of the methods and the error of the length."""
    from softmend.science.solid.mass import with_length_error
    from softmend.science.uncertain import Band

    agreed = Band(volume.low, volume.typical, volume.high)
    band = with_length_error(agreed, found.unit.sd_share)
    return ranged(band.low, band.typical, band.high, ML_PER_M3, "mL")


COMPUTATIONS: dict[str, Computation] = {
    "solid.check": Computation(
        name="solid.check",
        title="State of a scan",
        input_model=ScanInput,
        output_model=CheckAnswer,
        function=solid_check,
        formula="corners merged at 1e-6 of the size; faces made to run one way; shells "
        "told apart by winding number and distance; open rims named by place, run and area",
        sources=("softmend-solids", "barill2018"),
        cautions=(NOT_FILLED,),
        checked="tests/science/solid/test_check.py",
    ),
    "solid.volume": Computation(
        name="solid.volume",
        title="Volume and area of a scan",
        input_model=ScanInput,
        output_model=VolumeAnswer,
        function=solid_volume_answer,
        formula="V1 = sum of signed tetrahedra, rims closed by flat fans; V2 = grid points of "
        "winding number above 0.5; within 1 % V1, within 5 % a range, else no volume",
        sources=("softmend-solids", "barill2018"),
        cautions=(NOT_FILLED,),
        checked="tests/science/solid/test_volume.py",
    ),
}
