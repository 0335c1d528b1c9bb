"""Stills of a scan: drawn from a light copy, kept as pictures, shown with what stands on it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from softmend.errors import InputError
from softmend.pictures.scan_still import DrawnLine, DrawnPoint, grey_png, still_svg
from softmend.records.entry import Entry
from softmend.records.scan import Place3, ScanStill, ScanUnitName
from softmend.report.scan_shown import StillShown
from softmend.services.bench import Author, Bench
from softmend.services.numbered import record_numbered
from softmend.services.solid.asking import answered
from softmend.services.solid.inputs import LENGTH, MASS, SUPPORTS, VOID
from softmend.services.solid.measuring_mesh import scan_folder, still_mesh
from softmend.services.solid.scans import OnScan, on_scan
from softmend.services.store import Files, Reader

if TYPE_CHECKING:
    from softmend.science.solid.mesh import Mesh
    from softmend.science.uncertain import Array

SIZE_PX = (1200, 800)
ROOM = 1.12
LOOKS: dict[str, tuple[Place3, Place3]] = {
    "along +x": ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "along −x": ((-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)),
    "along +y": ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)),
    "along −y": ((0.0, -1.0, 0.0), (0.0, 0.0, 1.0)),
    "along +z": ((0.0, 0.0, 1.0), (0.0, 1.0, 0.0)),
    "along −z": ((0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
}
"""Looks that need no picture on the screen, in the file's own axes."""


_MM_OF_A = {
    ScanUnitName.MM: 1.0,
    ScanUnitName.CM: 10.0,
    ScanUnitName.M: 1000.0,
    ScanUnitName.INCH: 25.4,
}


@dataclass(frozen=True)
class Look:
    """How a still is taken: direction, what is up; the middle and width of the picture, or all."""

    toward: Place3
    up: Place3
    middle: Place3 | None = None
    span: float | None = None


def take_still(
    bench: Bench,
    author: Author,
    dossier_id: str,
    scan_id: str,
    shows: str,
    look: Look,
    *,
    for_mount_maker: bool = True,
) -> Entry:
    """Draw a still of a scan from one side, keep the picture and record it."""
    from softmend.science.solid.display import frame_of_look, look_at

    if not shows.strip():
        raise InputError("A still needs words", remedy="For example: from the left, on its pads")
    with bench.store.reading() as reader:
        on = on_scan(reader, dossier_id, scan_id)
    mesh = still_mesh(scan_folder(bench, on.scan.original_sha256))
    frame = frame_of_look(look.toward, look.up)
    look = framed(mesh, frame, look)
    middle, span = look.middle or (0.0, 0.0, 0.0), look.span or 1.0
    width, height = SIZE_PX
    png = grey_png(look_at(mesh, frame, middle, span, SIZE_PX))
    still = ScanStill(
        number=0,
        scan_id=scan_id,
        shows=shows.strip(),
        picture_sha256=bench.store.files.put(io.BytesIO(png)),
        width_px=width,
        height_px=height,
        toward=look.toward,
        up=look.up,
        middle=middle,
        span=span,
        for_mount_maker=for_mount_maker,
    )
    return record_numbered(bench, author, dossier_id, still)


def framed(mesh: Mesh, frame: Array, look: Look, foot_px: int = 0) -> Look:
    """Return a look with its middle and width: as given, or so that all of a scan is seen.

    The lowest `foot_px` pixels of the picture stay clear.
    """
    if look.middle is not None and look.span is not None:
        return look
    width, height = SIZE_PX
    seen = mesh.points @ frame.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    room = width / (height - foot_px)
    span = ROOM * max(float(high[0] - low[0]), float(high[1] - low[1]) * room)
    centre = (low + high) / 2
    centre[1] -= foot_px / 2 * span / width
    x, y, z = (float(one) for one in centre @ frame)
    return Look(look.toward, look.up, (x, y, z), span)


def stills_shown(
    reader: Reader, dossier_id: str, on: OnScan, files: Files | None = None
) -> tuple[StillShown, ...]:
    """Return what stands on the stills of a scan; with files, the pictures lie under it.

    Those that show what changed stand with the pair that they compare.
    """
    drawn = _Drawn.of(reader, dossier_id, on)
    return tuple(
        _shown(on, still, drawn, _png(files, still.picture_sha256))
        for _entry, still in on.stills
        if not still.later_scan_id
    )


def still_picture(files: Files, sha256: str) -> bytes:
    """Return a still's picture, or nothing where it was withdrawn."""
    return files.path(sha256).read_bytes() if files.has(sha256) else b""


def _png(files: Files | None, sha256: str) -> bytes:
    return b"" if files is None else still_picture(files, sha256)


@dataclass(frozen=True)
class _Drawn:
    """What stands on a scan, as places of the file: lines, rims, pads, the centre of gravity."""

    lines: tuple[tuple[str, list[Any], bool, bool], ...]
    points: tuple[tuple[str, list[float], bool], ...]
    mm_per_unit: float | None

    @classmethod
    def of(cls, reader: Reader, dossier_id: str, on: OnScan) -> _Drawn:
        """Gather it from the kept answers."""
        lines = []
        for entry, line in on.lines:
            found = answered(reader, dossier_id, LENGTH, entry.subject_id)
            path = found.outputs["path"] if found and found.outputs["path"] else line.picks
            lines.append((f"{line.number}", list(path), True, False))
        for entry, void in on.voids:
            found = answered(reader, dossier_id, VOID, entry.subject_id)
            rim = found.outputs["rim_found"] if found and found.outputs["rim_found"] else void.rim
            lines.append((f"V{void.number}", list(rim), False, True))
        return cls(
            tuple(lines),
            tuple(_points(reader, dossier_id, on)),
            mm_per_unit(on),
        )


def _points(reader: Reader, dossier_id: str, on: OnScan) -> Iterator[tuple[str, list[float], bool]]:
    held = answered(reader, dossier_id, SUPPORTS, on.scan_id)
    mass = answered(reader, dossier_id, MASS, on.scan_id)
    centre = (held and held.outputs["centre"]) or (mass and mass.outputs["centre"])
    if centre:
        yield "G", centre, False
    for k, pad in enumerate(held.outputs["pads"] if held else ()):
        # Where it touches; an answer of an earlier version knows only the place along the axis.
        yield f"P{k + 1}", pad.get("under") or pad["at"], True


def mm_per_unit(on: OnScan) -> float | None:
    """Return how many millimetres one unit of a scan's file is, or None before its length."""
    if on.length is None:
        return None
    said = on.length[1]
    if said.unit in _MM_OF_A:
        return _MM_OF_A[said.unit]
    span = math.dist(*said.between) if said.between else on.scan.greatest_length
    return said.length_mm / span if span > 0 else None


def _shown(on: OnScan, still: ScanStill, drawn: _Drawn, png: bytes) -> StillShown:
    place = Onto(still)
    lines = [
        DrawnLine(name, tuple(place(one) for one in points), is_forbidden, is_closed)
        for name, points, is_forbidden, is_closed in drawn.lines
    ]
    points = [DrawnPoint(name, place(at), is_pad) for name, at, is_pad in drawn.points]
    size = (still.width_px, still.height_px)
    names = ", ".join([*(one.name for one in lines), *(one.name for one in points)])
    words = f"{still.shows}: still {still.number} of scan {on.scan.number}"
    return StillShown(
        number=still.number,
        svg=still_svg(size, lines, points, scale_bar(still, drawn.mm_per_unit), png),
        width_px=still.width_px,
        height_px=still.height_px,
        caption=f"Still {still.number} · {still.shows}",
        alternative=f"{words}; drawn on it: {names or 'nothing'}",
        sha256=still.picture_sha256,
        for_mount_maker=still.for_mount_maker,
    )


class Onto:
    """Places of the file as pixels of a still."""

    def __init__(self, still: ScanStill) -> None:
        from softmend.science.solid.display import frame_of_look

        self._frame = frame_of_look(still.toward, still.up)
        self._still = still

    def __call__(self, place: Any) -> tuple[float, float]:
        """Return where a place stands on the still [px]."""
        still = self._still
        off = [float(a) - b for a, b in zip(place, still.middle, strict=True)]
        x, y, _ = (float(one) for one in self._frame @ off)
        per_px = still.width_px / still.span
        return still.width_px / 2 + x * per_px, still.height_px / 2 - y * per_px


def scale_bar(still: ScanStill, mm_per_unit: float | None) -> tuple[float, str] | None:
    """Return a scale bar of about a quarter of the picture, a round length; none without unit."""
    if mm_per_unit is None:
        return None
    wanted = still.span * mm_per_unit / 4
    round_mm = max(one for one in _ROUND_MM if one <= max(wanted, _ROUND_MM[0]))
    length = round_mm / mm_per_unit * still.width_px / still.span
    words = f"{round_mm:g} mm" if round_mm < 1000 else f"{round_mm / 1000:g} m"
    return length, words


_ROUND_MM = tuple(base * 10.0**k for k in range(-1, 5) for base in (1, 2, 5))
