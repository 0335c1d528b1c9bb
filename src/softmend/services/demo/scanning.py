"""The demo's scans of the antler before and after the winter: taken in and said, to be computed."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import as_file, files
from typing import Any

from softmend.records.crack_model import Told
from softmend.records.scan import (
    ChangedPatch,
    Place3,
    ScanComparison,
    ScanHolding,
    ScanLength,
    ScanLine,
    ScanMatter,
    ScanUnitName,
    ScanVoid,
    VoidMouth,
)
from softmend.services.bench import Author, Bench
from softmend.services.demo.seeing import lay_front_along
from softmend.services.examine.marks import marks_in
from softmend.services.solid.attaching import AboutScan, begin_reading, take_in
from softmend.services.solid.comparing import record_scan_comparison
from softmend.services.solid.scans import (
    confirm_length,
    record_line,
    record_void,
    say_holding,
    say_matter,
)
from softmend.services.solid.stills import LOOKS, Look, take_still

EARLIER, LATER = "antler-scan.glb", "antler-scan-after.glb"
LENGTH_OFF_MM = 0.6
DRAWN = ("crack 1", "crack 2")
EVERY_PICK = 2
CRACK_DEPTH_MM = 4.0
FILL = "tissue or pulp + PVAc dispersion"


def lay_out_scans(
    bench: Bench, author: Author, dossier_id: str, told_marks: list[Mapping[str, Any]]
) -> None:
    """Attach both scans with what is said on them; computing them is left to whoever asks."""
    truth = json.loads((files("softmend") / "demo" / "scan-truth.json").read_text("utf-8"))
    about = AboutScan("the whole beam, before the winter", made_how="structured light")
    scan_id = _attach(bench, author, dossier_id, EARLIER, about)
    about = AboutScan("the whole beam, after the winter", made_how="structured light")
    later_id = _attach(bench, author, dossier_id, LATER, about)
    measured = truth["measured"]
    length = ScanLength(
        measured["length_mm"],
        LENGTH_OFF_MM,
        ScanUnitName.M,
        _places(measured["between_mm"]),
        "vernier calliper, tip to tip of crack 1",
    )
    confirm_length(bench, author, dossier_id, scan_id, length, "")
    # Both files are of one scanner; the later one is confirmed by its greatest length.
    own = ScanLength(600.0, 2.0, ScanUnitName.M, measured_with="tape along the beam")
    confirm_length(bench, author, dossier_id, later_id, own, "")
    say_matter(bench, author, dossier_id, scan_id, ScanMatter("antler (compact)"), "")
    _draw(bench, author, dossier_id, scan_id, truth, told_marks)
    say_holding(bench, author, dossier_id, scan_id, ScanHolding(), "")
    lay_front_along(bench, author, dossier_id, scan_id, truth)
    look = Look(*LOOKS["along +y"])
    take_still(bench, author, dossier_id, scan_id, "from the side, as it lies", look)
    chip = truth["after"]["chip"]
    patch = ChangedPatch(_place(chip["middle_mm"]), round(1.5 * chip["radius_of_the_ball_mm"], 1))
    record_scan_comparison(
        bench, author, dossier_id, ScanComparison(scan_id, later_id, changed=(patch,))
    )


def _attach(bench: Bench, author: Author, dossier_id: str, name: str, about: AboutScan) -> str:
    with as_file(files("softmend") / "demo" / name) as source:
        begun = begin_reading(bench, None, dossier_id, source, name)
    return take_in(bench, author, dossier_id, begun.original_sha256, name, about).subject_id


def _draw(
    bench: Bench,
    author: Author,
    dossier_id: str,
    scan_id: str,
    truth: Mapping[str, Any],
    told_marks: list[Mapping[str, Any]],
) -> None:
    """Draw two cracks, linked with their marks, and the loss with the fill that stabilises it."""
    numbers = {mark["feature"]: k + 1 for k, mark in enumerate(told_marks)}
    with bench.store.reading() as reader:
        ids = {mark.number: entry.subject_id for entry, mark in marks_in(reader, dossier_id)}
    for crack in truth["cracks"]:
        if crack["name"] not in DRAWN:
            continue
        line = ScanLine(
            0,
            scan_id,
            crack["name"],
            _places(crack["places_mm"][::EVERY_PICK]),
            ids.get(numbers.get(crack["name"], 0), ""),
            CRACK_DEPTH_MM,
        )
        record_line(bench, author, dossier_id, line)
    void = truth["void"]
    record_void(
        bench,
        author,
        dossier_id,
        ScanVoid(
            0,
            scan_id,
            void["name"],
            _places(void["rim_mm"]),
            _place(void["inside_mm"]),
            VoidMouth.HOLE,
            mark_id=ids.get(numbers.get(void["name"], 0), ""),
            material=FILL,
            layer_mm=1.5,
            hours_a_layer=Told(0.2, 0.4, 0.8),
        ),
    )


def _places(many: list[list[float]]) -> tuple[Place3, ...]:
    return tuple(_place(one) for one in many)


def _place(at: list[float]) -> Place3:
    """Return a place of the truth [mm] in the file's own unit, which is the metre."""
    x, y, z = (round(each / 1000, 8) for each in at)
    return x, y, z
