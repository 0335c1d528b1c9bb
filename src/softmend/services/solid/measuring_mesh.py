"""The measuring mesh of a scan and its copy for the eye: made from the original, kept beside it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend import __version__
from softmend.errors import NotFoundError
from softmend.records.canonical import canonical_json
from softmend.services.bench import Bench

if TYPE_CHECKING:
    from softmend.catalogue.solid_scan import CheckedScan
    from softmend.science.solid.mesh import Mesh
    from softmend.science.solid.snap import Snapping
    from softmend.services.jobs import Report

MEASURING, DISPLAY, STILLS, FOUND = "measuring.npz", "display.glb", "stills.npz", "found.json"
DISPLAY_FACES, STILL_FACES = 250_000, 120_000
_FOLDER = "scan-1"


@dataclass(frozen=True)
class Found:
    """What reading a scan found; `greatest_length` is in the file's own unit."""

    form: str
    faces: int
    points: int
    greatest_length: float
    states: tuple[str, ...]
    notes: tuple[str, ...]


def scan_folder(bench: Bench, original_sha256: str) -> Path:
    """Return where what was made of a scan lies, or will."""
    return bench.store.files.derived_folder(original_sha256, _FOLDER)


def asked_folder(bench: Bench, original_sha256: str, what: str, asked: Any) -> Path:
    """Return where the answer of a job lies, or will: as it is asked, by this software alone."""
    told = {"inputs": asked, "software": __version__}
    key = hashlib.sha256(canonical_json(told).encode()).hexdigest()
    return scan_folder(bench, original_sha256) / f"{what}-{key[:32]}"


def found_in(folder: Path) -> Found | None:
    """Return what reading a scan found, or None while it was not read here."""
    path = folder / FOUND
    if not path.is_file():
        return None
    told = json.loads(path.read_text("utf-8"))
    return Found(**{**told, "states": tuple(told["states"]), "notes": tuple(told["notes"])})


def read_scan_file(_: Path, report: Report, original: str, folder: str) -> str:
    """Read a scan in a process of its own: check it, keep the measuring mesh and two copies."""
    from dataclasses import asdict

    from softmend.intake.arrays_kept import keep_arrays
    from softmend.intake.scan import read_scan
    from softmend.pictures.display_glb import display_glb
    from softmend.science.solid.check import checked_shape
    from softmend.science.solid.display import display_copy
    from softmend.science.solid.kept import shape_as_arrays

    into = Path(folder)
    report(0, 4, "reading the scan within its limits")
    scan = read_scan(Path(original))
    report(1, 4, f"checking {len(scan.faces)} faces: open rims, loose shells, reversed faces")
    shape = checked_shape(scan.points, scan.faces)
    report(2, 4, "making the copy for the eye; nothing is measured on it")
    copy = display_copy(shape.mesh, DISPLAY_FACES)
    lighter = display_copy(copy, STILL_FACES)
    report(3, 4, "keeping the measuring mesh")
    keep_arrays(into / MEASURING, shape_as_arrays(shape))
    lighter_arrays = {"points": lighter.points, "faces": lighter.faces}
    copy_arrays = {"copy_points": copy.points, "copy_faces": copy.faces}
    keep_arrays(into / STILLS, {**lighter_arrays, **copy_arrays})
    (into / DISPLAY).write_bytes(display_glb(copy.points, copy.faces))
    found = Found(
        scan.kind, len(scan.faces), len(scan.points), float(f"{shape.greatest_length:.6g}"),
        tuple(str(state) for state in shape.states), scan.notes,
    )  # fmt: skip
    # What was found comes last: where it stands, the copies stand too.
    unfinished = into / f"{FOUND}.part"
    unfinished.write_text(json.dumps(asdict(found)), "utf-8")
    unfinished.rename(into / FOUND)
    return "read"


def checked_scan_in(folder: Path) -> CheckedScan:
    """Return the checked scan that lies in a folder, ready for the catalogue."""
    from softmend.catalogue.solid_scan import CheckedScan
    from softmend.intake.arrays_kept import kept_arrays
    from softmend.science.solid.kept import shape_from_arrays

    _must_be_read(folder)
    found = found_in(folder)
    return CheckedScan(
        shape_from_arrays(kept_arrays(folder / MEASURING)), found.notes if found else ()
    )


def still_mesh(folder: Path) -> Mesh:
    """Return the light copy that stills are drawn from."""
    from softmend.intake.arrays_kept import kept_arrays
    from softmend.science.solid.mesh import Mesh

    _must_be_read(folder)
    kept = kept_arrays(folder / STILLS)
    return Mesh(kept["points"], kept["faces"])


def display_mesh(folder: Path) -> Mesh:
    """Return the copy for the eye, its corners in the order of the GLB."""
    from softmend.intake.arrays_kept import kept_arrays
    from softmend.science.solid.mesh import Mesh

    _must_be_read(folder)
    kept = kept_arrays(folder / STILLS)
    return Mesh(kept["copy_points"], kept["copy_faces"])


def snapped(folder: Path, places: list[list[float]]) -> list[list[float]]:
    """Return picks on the measuring mesh, to a millionth of its size."""
    _must_be_read(folder)
    snapping = _snapping(str(folder), (folder / MEASURING).stat().st_mtime_ns)
    found: list[list[float]] = [
        [float(f"{x:.9g}") for x in place] for place in snapping.snapped(places).tolist()
    ]
    return found


@lru_cache(maxsize=2)
def _snapping(folder: str, _changed_ns: int) -> Snapping:
    """Return the tree over a measuring mesh; picks on one scan come in a rush."""
    from softmend.intake.arrays_kept import kept_arrays
    from softmend.science.solid.mesh import Mesh
    from softmend.science.solid.snap import Snapping

    kept: dict[str, Any] = kept_arrays(Path(folder) / MEASURING)
    return Snapping(Mesh(kept["points"], kept["faces"].astype("int64")))


def _must_be_read(folder: Path) -> None:
    if not (folder / FOUND).is_file():
        raise NotFoundError(
            "This scan was not read on this machine yet", remedy="Read its original again"
        )
