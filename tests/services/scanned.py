"""A dossier with an invented scan, read and taken in; what the tests of scans begin with."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import numpy as np

from softmend.records.dossier import Dossier, Size
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import open_dossier
from softmend.services.solid.attaching import AboutScan, begin_reading, take_in
from tests.intake.scan_files import ply_of
from tests.science.solid.bodies import bone

BONE = bone(60, 32)
BONE_MM = 1e3 * BONE.points


def write_bone(folder: Path) -> Path:
    """Write the invented bone as a binary PLY in millimetres."""
    path = folder / "bone.ply"
    path.write_bytes(ply_of(BONE_MM, BONE.faces))
    return path


def with_scan(bench: Bench, author: Author, folder: Path) -> tuple[str, str]:
    """Open a dossier, bring the bone in, and return the dossier and the scan."""
    facts = Dossier("long bone", "EX 9", "an invented house", "to be held", Size.FULL, True)
    dossier_id = open_dossier(bench, author, facts)
    begun = begin_reading(bench, None, dossier_id, write_bone(folder), "bone.ply")
    about = AboutScan("the whole bone", made_how="structured light")
    entry = take_in(bench, author, dossier_id, begun.original_sha256, "bone.ply", about)
    return dossier_id, entry.subject_id


def on_bone(z_mm: float, way: tuple[float, float] = (0.0, -1.0)) -> tuple[float, float, float]:
    """Return the corner of the bone that lies furthest one way near a height."""
    near = BONE_MM[np.abs(BONE_MM[:, 2] - z_mm) < 4]
    x, y, z = near[(near[:, :2] @ way).argmax()].tolist()
    return x, y, z
