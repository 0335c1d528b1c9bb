"""A photograph of the invented bone from its side, 5 px to the mm, and what is drawn on it."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

from PIL import Image

from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.scan_seen import LikePlace, ScanView
from softmend.records.zone import OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import import_photograph
from softmend.services.examine.zones import record_on_zone
from tests.services.scanned import on_bone

PX = 5.0
SCALE = {
    "method": "two_clicks",
    "end_a_px": [[100.0, 380.0]],
    "end_b_px": [[600.0, 380.0]],
    "length_mm": {"value": 100.0, "kind": "measured"},
}


def at_px(z_mm: float, x_mm: float) -> tuple[float, float]:
    """Return where a place of the bone lies on the photograph, which looks along its y axis."""
    return 100 + PX * z_mm, 200 + PX * x_mm


def photographed(bench: Bench, author: Author, dossier_id: str, folder: Path) -> str:
    """Bring the photograph in with its scale; return the view."""
    path = folder / "bone.png"
    Image.new("RGB", (1900, 400), (120, 110, 90)).save(path)
    view_id = import_photograph(bench, author, dossier_id, path, "bone.png").subject_id
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    return view_id


def crack_at(bench: Bench, author: Author, dossier_id: str, view_id: str, *z_mm: float) -> str:
    """Draw a crack along the bone between two heights; return the mark."""
    line = Geometry(Shape.LINE, (tuple(at_px(z, 6) for z in z_mm),))
    mark = Mark(0, "crack", (Sighting(view_id, line),))
    return record_mark(bench, author, dossier_id, mark).subject_id


def protected_at(bench: Bench, author: Author, dossier_id: str, view_id: str, z_mm: float) -> str:
    """Draw a zone of protected evidence, 10 mm along the bone; return the zone."""
    ring = (at_px(z_mm, 2), at_px(z_mm + 10, 2), at_px(z_mm + 10, 12), at_px(z_mm, 12))
    zone = OnZone(0, view_id, OnIt.PROTECTED_EVIDENCE, (ring,), 2.0)
    return record_on_zone(bench, author, dossier_id, zone).subject_id


def laid(scan_id: str, view_id: str, *z_mm: float) -> ScanView:
    """Return the photograph laid along the scan by places at these heights."""
    places = [on_bone(z) for z in z_mm]
    return ScanView(
        scan_id, view_id, tuple(LikePlace(at_px(z, x), (x, y, z)) for x, y, z in places)
    )
