"""A dossier with something of everything, on any bench, for tests of deposits."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING

from PIL import Image

from softmend.records.action import Action
from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import Dossier, Identifier, Material, Measure, ObjectHead, Size
from softmend.records.examination import Examination
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.material import Direction, Moved
from softmend.records.view import Paper, View
from softmend.records.zone import Body, BodyZone
from softmend.services.bench import Author, Bench
from softmend.services.dossiers import describe_object, open_dossier
from softmend.services.examine.grades import answer_not_done, grade_place, write_examination
from softmend.services.examine.marks import record_mark
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import attach_paper
from softmend.services.examine.zones import record_body_zone
from softmend.services.keeping import withdraw_entry, withdraw_file
from softmend.services.people import come_to_the_bench
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from pathlib import Path

# What must not be found in any byte of a public package.
SECRETS = ("store nine", "4321.5", "Konservator", "shelf-9.jpg", "insured for", "2027-04-01")
SCALE = {
    "method": "two_clicks",
    "end_a_px": [[10.0, 40.0]],
    "end_b_px": [[110.0, 40.0]],
    "length_mm": {"value": {"value": 50.0, "expanded": 0.5}},
}


def author_at(bench: Bench) -> Author:
    """Return somebody with a name that must be asked for."""
    return Author(come_to_the_bench(bench, "Ö. Konservator (invented)").id, "condition check")


def opened_dossier(bench: Bench, author: Author) -> str:
    """Open a dossier of an invented object."""
    opening = Dossier(
        "antler beam", "INV 12/α", "an invented house", "wanted on 2027-04-01", Size.FULL, True
    )
    return open_dossier(bench, author, opening)


def photograph(bench: Bench, author: Author, dossier_id: str, number: int) -> str:
    """Keep a small photograph as intake would; return the view's id."""
    width, height = 160, 120
    picture = Image.new("RGB", (width, height), (number % 256, 90, 120))
    picture.putpixel((number % width, number // width), (255, 255, 255))
    original, canonical = io.BytesIO(), io.BytesIO()
    picture.save(original, "JPEG")
    original.write(b"GPS: store nine")
    picture.save(canonical, "TIFF", compression="tiff_deflate")
    original.seek(0), canonical.seek(0)
    size = len(original.getvalue())
    files = bench.store.files
    view = View(
        number, "shelf-9.jpg", files.put(original), size, files.put(canonical), width, height, 8,
        "sRGB", shows="front", taken_on="2026-03-01", carries_location=True,
    )  # fmt: skip
    subject_id = bench.fresh_id()
    record_one(
        bench, author, dossier_id=dossier_id, subject_id=subject_id, record=view, based_on=""
    )
    return subject_id


def worked_dossier(bench: Bench, author: Author, paper: Path) -> str:
    """Return a dossier with views, scale, marks, zone, grades, a paper, and two withdrawals."""
    dossier_id = opened_dossier(bench, author)
    view_id, other = (photograph(bench, author, dossier_id, number) for number in (1, 2))
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    line = Geometry(Shape.LINE, (((20.0, 20.0), (90.0, 60.0)),))
    sightings = (Sighting(view_id, line),)
    note = "=2+3 is no formula\nand “quotes”, commas"
    crack = record_mark(bench, author, dossier_id, Mark(0, "crack", sightings, note_observed=note))
    ring = ((30.0, 70.0), (80.0, 70.0), (60.0, 100.0))
    lost = Sighting(other, Geometry(Shape.AREA, (ring,)))
    record_mark(bench, author, dossier_id, Mark(0, "loss", (lost,)))
    rings = (((5.0, 5.0), (150.0, 5.0), (150.0, 110.0), (5.0, 110.0)),)
    record_body_zone(bench, author, dossier_id, BodyZone(0, view_id, Body.ORIGINAL, rings, 3.0))
    grade = Grade("mark", crack.subject_id, 3, "lifts", GradeBasis.SEEN)
    grade_place(bench, author, dossier_id, grade, based_on="")
    answer_not_done(bench, author, dossier_id, "owner", "awaited", based_on="")
    head = ObjectHead(
        "Beam of a deer", "Konservator family", (Identifier("OLD-77", "a former house"),),
        (Material("beam", "antler"),), (Measure("length", 812.0, 2.0),), 4321.5, 1.0,
        "store nine", "2027-04-01", "show",
    )  # fmt: skip
    describe_object(bench, author, dossier_id, head, based_on="")
    words = Examination("loan", "Konservator", "2026-03-01", "store nine", summary_observed="dry")
    write_examination(bench, author, dossier_id, words, based_on="")
    paper.write_bytes(b"insured for a fortune")
    kept = Paper(0, "shelf-9.jpg", "", 0, "letter", "Konservator", quoted_reported="insured for 9")
    attach_paper(bench, author, dossier_id, paper, kept)
    moved = (Moved("a cellulose ether"), Moved("wax", Direction.TAKEN_OFF))
    done = Action(1, "consolidate", "2026-03-02", moved=moved, result_observed="no sheen",
                  also_by_ids=(come_to_the_bench(bench, "H. Konservator").id,))  # fmt: skip
    record_one(bench, author, dossier_id=dossier_id, subject_id=bench.fresh_id(), record=done,
               based_on="")  # fmt: skip
    _withdraw(bench, author, dossier_id)
    return dossier_id


def _withdraw(bench: Bench, author: Author, dossier_id: str) -> None:
    third = photograph(bench, author, dossier_id, 3)
    with bench.store.reading() as reader:
        entry = reader.latest("view", third)
        not_done = reader.current(dossier_id, "not_done")[0]
    canonical = json.loads(entry.payload)["canonical_sha256"]
    by = {"decided_by": "Konservator", "because": "shows a person"}
    withdraw_file(bench, author, sha256=canonical, **by)
    withdraw_entry(bench, author, dossier_id=dossier_id, entry_id=not_done.id, **by)
