"""A section through a scan while its plane is moved; nothing is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from softmend import catalogue
from softmend.services.bench import Bench
from softmend.services.solid.inputs import length_inputs
from softmend.services.solid.measuring_mesh import MEASURING, checked_scan_in, scan_folder
from softmend.services.solid.scans import OnScan

if TYPE_CHECKING:
    from softmend.catalogue.solid_scan import CheckedScan

SECTION = "solid.section"


def section_now(
    bench: Bench, on: OnScan, across: str, plane_percent: float | None, plane_mm: float | None
) -> dict[str, Any]:
    """Return what a plane cuts from the measuring mesh of a scan."""
    folder = scan_folder(bench, on.scan.original_sha256)
    path = folder / MEASURING
    changed = path.stat().st_mtime_ns if path.is_file() else 0
    inputs: dict[str, Any] = {"scan_file": on.scan.original_sha256, "across": across}
    if on.length is not None:
        entry, length = on.length
        inputs["length"] = length_inputs(length, f"entry:{entry.id}")
    if plane_mm is not None:
        inputs["plane_mm"] = plane_mm
    elif plane_percent is not None:
        inputs["plane_percent"] = plane_percent
    return catalogue.run(SECTION, inputs, files={"scan_file": _checked(str(folder), changed)})


@lru_cache(maxsize=1)
def _checked(folder: str, _changed_ns: int) -> CheckedScan:
    """Return the checked scan; planes on one scan come in a rush."""
    return checked_scan_in(Path(folder))
