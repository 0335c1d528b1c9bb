"""A dossier made from a real photograph, printed: the same bytes each time, nothing left out."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from softmend.records.condition import Grade, GradeBasis
from softmend.records.dossier import ObjectHead
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import NotExamined
from softmend.records.zone import Body, BodyZone
from softmend.services.dossiers import describe_object
from softmend.services.examine.grades import answer_not_done, grade_place, record_not_examined
from softmend.services.examine.marks import record_mark
from softmend.services.examine.printing import print_crack_map, print_report, report_as_text
from softmend.services.examine.scales import set_scale
from softmend.services.examine.views import import_photograph
from softmend.services.examine.zones import record_body_zone

# Two photographs of one skull by alansartlog, CC BY 4.0; see the README beside them.
PHOTOGRAPHS = sorted((Path(__file__).parents[2] / "data" / "photographs").glob("*.jpg"))


@pytest.fixture
def worked(bench, author, dossier_id) -> str:
    """A dossier with a photograph, a scale, three cracks, two areas, a zone and a grade."""
    view_id = import_photograph(
        bench, author, dossier_id, PHOTOGRAPHS[0], "photograph.jpg"
    ).subject_id
    scale = {
        "method": "two_clicks",
        "end_a_px": [[300.0, 1200.0]],
        "end_b_px": [[1300.0, 1200.0]],
        "length_mm": {"value": {"value": 100.0, "expanded": 0.5}},
    }
    set_scale(bench, author, dossier_id, view_id, scale, based_on="")
    first = ""
    for index in range(3):
        line = ((500.0, 300.0 + 90 * index), (760.0, 360.0 + 90 * index))
        seen = Sighting(view_id, Geometry(Shape.LINE, (line,)))
        entry = record_mark(bench, author, dossier_id, Mark(0, "crack", (seen,)))
        first = first or entry.subject_id
    for index in range(2):
        ring = ((900.0, 300.0 + 200 * index), (1000.0, 320.0 + 200 * index), (950.0, 420.0))
        seen = Sighting(view_id, Geometry(Shape.AREA, (ring,)))
        record_mark(bench, author, dossier_id, Mark(0, "loss", (seen,)))
    rings = (((400.0, 200.0), (1200.0, 200.0), (1200.0, 900.0), (400.0, 900.0)),)
    record_body_zone(bench, author, dossier_id, BodyZone(0, view_id, Body.ORIGINAL, rings, 3.0))
    grade_place(
        bench, author, dossier_id, Grade("mark", first, 3, "lifts", GradeBasis.SEEN), based_on=""
    )
    record_not_examined(bench, author, dossier_id, NotExamined("underside", "cannot be turned"))
    answer_not_done(bench, author, dossier_id, "owner", "the loan paper is awaited", based_on="")
    head = ObjectHead(title="a cast", location="store 9", mass_g=1234.0)
    describe_object(bench, author, dossier_id, head, based_on="")
    return dossier_id


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_a_worked_dossier_prints_the_same_bytes_twice_and_says_everything(bench, worked) -> None:
    pdf = print_report(bench, worked)
    assert print_report(bench, worked) == pdf
    text = text_of(pdf)
    for words in ("crack", "loss", "underside", "the loan paper is awaited", "not tested", "mm²"):
        assert words in text
    assert "store 9" not in text
    assert "1234" not in text


def test_the_hash_that_is_printed_is_that_of_the_last_entry(bench, worked) -> None:
    with bench.store.reading() as reader:
        head = reader.head(worked)
    text = text_of(print_report(bench, worked)).replace("\r\n", "").replace("\n", "")
    assert head.hash[:16] in text


def test_a_new_entry_changes_the_print(bench, author, worked) -> None:
    before = print_report(bench, worked)
    record_not_examined(bench, author, worked, NotExamined("inside", "no X-ray at hand"))
    assert print_report(bench, worked) != before


def test_the_dossier_travels_inside_its_report(bench, worked) -> None:
    with pikepdf.open(io.BytesIO(print_report(bench, worked))) as pdf:
        attached = pdf.attachments["dossier.json"].get_file().read_bytes()
    assert b'"softmend_dossier"' in attached
    assert b"store 9" not in attached


def test_a_crack_map_is_one_page_with_the_marks_of_its_view(bench, worked) -> None:
    pdf = print_crack_map(bench, worked, 1)
    assert len(pypdfium2.PdfDocument(pdf)) == 1
    assert "crack" in text_of(pdf)


def test_every_section_can_be_copied_as_text(bench, worked) -> None:
    sections = report_as_text(bench, worked)
    assert next(iter(sections)) == "hazards"
    assert "crack" in sections["marks"]
    assert "mm" in sections["totals"]
