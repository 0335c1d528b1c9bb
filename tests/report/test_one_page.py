"""The one-page outputs and the receipts, read back with tools that are not ours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import page as validator
import pytest

from softmend.records.closing import CareSheet
from softmend.records.custody import Receipt, Way
from softmend.records.location import Location
from softmend.report.one_page import HandedOver, Page, UndoRow
from softmend.report.one_page_pdf import one_page_pdf, one_page_text
from softmend.report.one_page_sections import one_page, receipt_page
from tests.report.reading import failures, pages_of, text_of
from tests.report.sample import short_report

PROFILES = (validator.ValidationProfile.PDF_A_3A, validator.ValidationProfile.PDF_UA_1)
RECEIPT = Receipt(
    3, Way.OUT, "the antler beam", "a house", "A. Conservator", "R. Registrar", "going back",
    "2026-03-02", "stays with the owner", "joined; one fill at mark 4",
)  # fmt: skip
ROW = UndoRow("fish glue", "batch 1", "mark 1", "0.42 g", "remains on the object", "warm water")


def told(rows: int = 1) -> HandedOver:
    report, _ = short_report()
    return HandedOver(
        report=report,
        care=CareSheet("2027-03-02", lift_points="by the burr", light="50 lx"),
        receipts=(RECEIPT,),
        places=(Location("object", "Store nine", "2026-03-02"),),
        materials=tuple(replace(ROW, material=f"material {number}") for number in range(rows)),
    )


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("page", list(Page))
def test_each_page_is_one_archival_accessible_page(
    fonts: Path, page: Page, profile: validator.ValidationProfile
) -> None:
    pdf = one_page_pdf(one_page(page, told()), fonts)
    assert failures(pdf, profile) == []
    assert len(pages_of(pdf)) == 1


@pytest.mark.parametrize("profile", PROFILES)
def test_a_receipt_has_a_line_for_each_party_to_sign_on(
    fonts: Path, profile: validator.ValidationProfile
) -> None:
    pdf = one_page_pdf(receipt_page(RECEIPT, told()), fonts)
    assert failures(pdf, profile) == []
    (text,) = pages_of(pdf)
    assert text.count("Signature") == 2
    for words in ("Receipt of custody 3: handed out", "stays with the owner", "one fill at mark 4"):
        assert words in text


@pytest.mark.parametrize(("rows", "pages"), [(1, 1), (10, 1), (90, None)])
def test_type_grows_smaller_and_nothing_is_left_out(
    fonts: Path, rows: int, pages: int | None
) -> None:
    pdf = one_page_pdf(one_page(Page.NEXT_CONSERVATOR, told(rows)), fonts)
    said = text_of(pdf)
    assert all(f"material {number}" in said for number in range(rows))
    assert pages is None or len(pages_of(pdf)) == pages


def test_the_same_page_gives_the_same_bytes_and_the_same_words_as_its_text(fonts: Path) -> None:
    made = one_page(Page.CARE, told())
    assert one_page_pdf(made, fonts) == one_page_pdf(made, fonts)
    text = one_page_text(made)
    assert text.startswith("Care sheet\n")
    for words in ("by the burr", "50 lx", "2027-03-02"):
        assert words in text
        assert words in text_of(one_page_pdf(made, fonts))


def test_without_a_care_sheet_the_page_says_leave_it_alone() -> None:
    said = one_page_text(one_page(Page.CARE, replace(told(), care=None)))
    assert "Until there is one: do not lift, move or clean it." in said


def test_a_supports_page_says_that_it_is_no_lifting_calculation() -> None:
    said = one_page_text(one_page(Page.MOUNT_MAKER, told()))
    assert "This is not a lifting calculation: weigh it; a competent person signs." in said
