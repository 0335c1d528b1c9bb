"""The crack map: one page, with its legend, readable on a grey printer."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import page
import pytest

from softmend.errors import NotFoundError
from softmend.report import wording
from softmend.report.crack_map_pdf import crack_map_pdf
from tests.report.reading import failures, pages_of, text_of
from tests.report.sample import long_report, marks, short_report


@pytest.fixture(scope="module")
def crack_map(fonts: Path) -> bytes:
    report, pictures = short_report()
    return crack_map_pdf(report, 1, pictures, fonts)


@pytest.mark.parametrize(
    "profile", [page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1]
)
def test_the_crack_map_is_archival_and_accessible(
    crack_map: bytes, profile: page.ValidationProfile
) -> None:
    assert failures(crack_map, profile) == []


def test_the_crack_map_is_one_page_with_legend_hazards_and_numbers(crack_map: bytes) -> None:
    assert len(pages_of(crack_map)) == 1
    text = text_of(crack_map)
    assert text.index("Lifting surface at 5: present") < text.index("C crack")
    assert "OF old fill" in text
    assert "50 mm ± 0.5 mm" in text
    for row in marks():
        for quantity in row.quantities:
            assert quantity.value in text
    assert wording.MORE_ROWS not in text


def test_a_crack_map_with_too_many_marks_stays_one_page_and_says_so(fonts: Path) -> None:
    report, pictures = long_report(side_px=300)
    pdf = crack_map_pdf(report, 1, pictures, fonts)
    assert len(pages_of(pdf)) == 1
    text = text_of(pdf)
    left = int(text[: text.index(wording.MORE_ROWS)].split()[-1])
    seen = sum(1 in row.seen_on for row in report.marks)
    shown = sum(f" {row.mark.number} {row.code} " in text for row in report.marks)
    assert 0 < left < seen
    assert seen - left <= shown


def test_a_crack_map_is_the_same_twice(crack_map: bytes, fonts: Path) -> None:
    report, pictures = short_report()
    assert crack_map_pdf(report, 1, pictures, fonts) == crack_map


def test_a_view_that_is_not_there_is_named(fonts: Path) -> None:
    report, pictures = short_report()
    with pytest.raises(NotFoundError, match=r"no view of that number; got 9; allowed: 1, 2, 3\."):
        crack_map_pdf(report, 9, pictures, fonts)


def test_a_view_without_marks_has_a_map_too(fonts: Path) -> None:
    report, pictures = short_report()
    bare = replace(report, marks=())
    assert len(pages_of(crack_map_pdf(bare, 3, pictures, fonts))) == 1
