"""Rows of the report: a width keeps the digits of its gauge, the worst grade tells its extent."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace

from softmend.records.condition import Grade, GradeBasis
from softmend.records.mark import WidthStation
from softmend.services.bench import Author
from softmend.services.examine.grades import grade_place
from softmend.services.examine.marks import marks_in, record_mark
from softmend.services.examine.printing import report_of
from softmend.services.examine.scales import set_scale
from softmend.services.hand_over.custody import write_receipt
from softmend.services.people import come_to_the_bench
from tests.services.conftest import crack
from tests.services.examine.test_quantities import SCALE
from tests.services.hand_over_sample import RECEIPT


def widths(*found: float) -> tuple[WidthStation, ...]:
    return tuple(
        WidthStation(10.0 * place, one, 0.1, "feeler gauge") for place, one in enumerate(found)
    )


def test_widths_end_at_the_place_of_their_uncertainty(bench, author, dossier_id, view_id) -> None:
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    mark = replace(crack(view_id, (100.0, 100.0), (500.0, 400.0)), widths=widths(0.2, 0.5, 0.35))
    record_mark(bench, author, dossier_id, mark)
    (row,) = report_of(bench, dossier_id).marks
    (width,) = [one for one in row.quantities if one.name == "width"]
    assert width.text == "0.20 – 0.50 ± 0.10 mm"


def test_the_worst_grade_of_a_mark_is_printed_with_what_it_measures(
    bench, author, dossier_id, view_id
) -> None:
    set_scale(bench, author, dossier_id, view_id, SCALE, based_on="")
    record_mark(bench, author, dossier_id, crack(view_id, (100.0, 100.0), (500.0, 400.0)))
    with bench.store.reading() as reader:
        ((entry, _mark),) = marks_in(reader, dossier_id)
    grade = Grade("mark", entry.subject_id, 3, "it moves", GradeBasis.SEEN)
    grade_place(bench, author, dossier_id, grade, "")
    report = report_of(bench, dossier_id)
    (row,) = report.marks
    assert report.overall_extent == f"mark 1, crack: {row.quantities[0].text}"
    assert "mm" in report.overall_extent


def test_only_who_looked_is_named_as_examiner(bench, author, dossier_id, view_id) -> None:
    before = report_of(bench, dossier_id).examined_by
    registrar = Author(come_to_the_bench(bench, "R. Registrar").id, "custody")
    write_receipt(bench, registrar, dossier_id, RECEIPT)
    assert report_of(bench, dossier_id).examined_by == before
    assert "R. Registrar" not in before
