"""The bench sheet there and back: printed, drawn on, photographed, squared up, traced."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import cv2
import numpy as np
import page
import pytest
from PIL import Image

from softmend.errors import InputError, NotFoundError
from softmend.records.bench_sheet import (
    marker_corners_mm,
    marker_numbers,
    view_box_mm,
)
from softmend.records.kinds import record_in
from softmend.science.photo.marker import detect_markers
from softmend.services.examine.views import import_photograph
from softmend.services.recording import current_records
from softmend.services.treat.bench_sheet import (
    file_sheet,
    make_sheet,
    print_sheet,
    sheets_in,
    squared_up_path,
    underlay_path,
    underlays_on,
)
from tests.report.reading import failures, pages_of
from tests.services.hand_over_sample import work
from tests.services.photographed import camera, drawn_sheet, jpeg, photograph, seen, write_on

if TYPE_CHECKING:
    from pathlib import Path

    from softmend.services.bench import Author, Bench

WIDTH, HEIGHT = 1700, 1100
DOTS = ((150.0, 120.0), (1520.0, 180.0), (860.0, 560.0), (240.0, 980.0), (1490.0, 930.0))


@pytest.fixture
def seen_view_id(bench: Bench, author: Author, dossier_id: str, tmp_path: Path) -> str:
    """Bring in a photograph with five dark dots at known places."""
    picture = np.full((HEIGHT, WIDTH), 225, dtype=np.uint8)
    for x, y in DOTS:
        # cv2 counts from the middle of a pixel: the dot's centre is at the whole number.
        cv2.circle(picture, (round(16 * (x - 0.5)), round(16 * (y - 0.5))), 16 * 12, 0, -1,
                   cv2.LINE_AA, shift=4)  # fmt: skip
    source = tmp_path / "dots.png"
    Image.fromarray(picture).convert("RGB").save(source)
    return import_photograph(bench, author, dossier_id, source, "dots.png").subject_id


@pytest.fixture
def sheet_id(bench: Bench, author: Author, dossier_id: str, seen_view_id: str) -> str:
    return make_sheet(bench, author, dossier_id, seen_view_id).subject_id


def on_sheet(x_px: float, y_px: float) -> tuple[float, float]:
    """Return where a place of the view stands on the sheet [mm], by the sheet's own layout."""
    left, top, right, bottom = view_box_mm(WIDTH, HEIGHT)
    return left + x_px * (right - left) / WIDTH, top + y_px * (bottom - top) / HEIGHT


def centroid(weight: np.ndarray) -> tuple[float, float]:
    rows, columns = np.mgrid[0 : weight.shape[0], 0 : weight.shape[1]] + 0.5
    total = weight.sum()
    return float((weight * columns).sum() / total), float((weight * rows).sum() / total)


@pytest.mark.parametrize("profile", [page.ValidationProfile.PDF_A_3A,
                                     page.ValidationProfile.PDF_UA_1])  # fmt: skip
def test_the_sheet_is_one_archival_accessible_page(
    bench: Bench, dossier_id: str, sheet_id: str, profile: page.ValidationProfile
) -> None:
    pdf = print_sheet(bench, dossier_id, sheet_id)
    assert failures(pdf, profile) == []
    assert len(pages_of(pdf)) == 1


def test_the_same_sheet_gives_the_same_bytes_whatever_was_recorded_since(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str
) -> None:
    first = print_sheet(bench, dossier_id, sheet_id)
    make_sheet(bench, author, dossier_id)
    assert print_sheet(bench, dossier_id, sheet_id) == first


def test_the_qr_sign_holds_the_number_of_the_dossier_and_nothing_else(
    bench: Bench, dossier_id: str, sheet_id: str
) -> None:
    picture = np.asarray(drawn_sheet(print_sheet(bench, dossier_id, sheet_id)))
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(picture[:400, 1600:2300])
    assert read == "INV 12"


def test_the_sheet_names_day_number_and_the_batches_of_that_day(
    bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    work(bench, author, dossier_id, view_id)
    sheet = make_sheet(bench, author, dossier_id)
    (text,) = pages_of(print_sheet(bench, dossier_id, sheet.subject_id))
    assert "Bench sheet 1, 2026-03-02" in text
    assert "1 fish glue" in text
    assert "Amount" in text
    assert record_in(sheet).batch_numbers == (1,)


def test_corner_marks_and_view_stand_where_the_records_say(
    bench: Bench, dossier_id: str, sheet_id: str
) -> None:
    """The print itself, drawn by another program, is measured: 12 px a millimetre."""
    picture = np.asarray(drawn_sheet(print_sheet(bench, dossier_id, sheet_id)))
    found = {one.number: one.corners_px / 12.0 for one in detect_markers(picture)}
    for number, corners in zip(marker_numbers(1), marker_corners_mm(), strict=True):
        assert np.abs(found[number] - np.array(corners)).max() < 0.1
    for x, y in DOTS:
        left, top = on_sheet(x, y)
        cut = picture[round((top - 2) * 12) : round((top + 2) * 12),
                      round((left - 2) * 12) : round((left + 2) * 12), 0]  # fmt: skip
        across, down = centroid(np.clip(205.0 - cut, 0, None))
        off = np.array([across, down]) / 12 + [
            round((left - 2) * 12) / 12 - left, round((top - 2) * 12) / 12 - top,
        ]  # fmt: skip
        assert np.abs(off).max() < 0.08


def filed(bench: Bench, author: Author, dossier_id: str, sheet_id: str, folder: Path) -> str:
    """Draw five red crosses at the dots, photograph the sheet at a slant and file it."""
    sheet = drawn_sheet(print_sheet(bench, dossier_id, sheet_id))
    for x, y in DOTS:
        mm = on_sheet(x, y)
        for dx, dy in ((4.0, 0.0), (0.0, 4.0)):
            write_on(sheet, [(mm[0] - dx, mm[1] - dy), (mm[0] + dx, mm[1] + dy)], width_mm=0.7)
    source = folder / "sheet.jpg"
    source.write_bytes(jpeg(photograph(sheet, camera())))
    return file_sheet(bench, author, dossier_id, sheet_id, source, "sheet.jpg").subject_id


def test_pen_marks_on_the_sheet_lie_on_the_view_within_2_px(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str, tmp_path: Path
) -> None:
    back_id = filed(bench, author, dossier_id, sheet_id, tmp_path)
    with Image.open(underlay_path(bench, dossier_id, back_id)) as picture:
        assert picture.size == (WIDTH, HEIGHT)
        pen = np.asarray(picture)[..., 3].astype(float)
    for x, y in DOTS:
        top, left = round(y) - 50, round(x) - 50
        across, down = centroid(pen[top : top + 100, left : left + 100])
        assert np.hypot(across + left - x, down + top - y) < 2.0


def test_the_corners_kept_with_a_sheet_are_those_of_the_camera_within_2_px(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str, tmp_path: Path
) -> None:
    filed(bench, author, dossier_id, sheet_id, tmp_path)
    with bench.store.reading() as reader:
        (back,) = [one for _, one in current_records(reader, dossier_id, "sheet_back")]
        (paper,) = [one for _, one in current_records(reader, dossier_id, "paper")]
    true = seen(camera(), marker_corners_mm())
    assert np.abs(np.array(back.corners_px).reshape(-1, 2) - true).max() < 2.0
    assert back.said == "reported, handwritten"
    assert paper.what == "bench sheet 1, reported, handwritten"


def test_the_squared_up_sheet_is_a4_and_its_original_is_kept_as_it_came(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str, seen_view_id: str, tmp_path: Path
) -> None:
    back_id = filed(bench, author, dossier_id, sheet_id, tmp_path)
    with Image.open(squared_up_path(bench, dossier_id, back_id)) as picture:
        assert picture.size == (2100, 2970)
    with bench.store.reading() as reader:
        (paper,) = [one for _, one in current_records(reader, dossier_id, "paper")]
        assert underlays_on(reader, dossier_id, seen_view_id) == [
            (back_id, "bench sheet 1, 2026-03-02")
        ]
        (line,) = sheets_in(reader, dossier_id)
    assert (
        bench.store.files.path(paper.original_sha256).read_bytes()
        == (tmp_path / "sheet.jpg").read_bytes()
    )
    assert len(line.backs) == 1


def test_another_sheet_is_refused_and_nothing_is_kept(
    bench: Bench, author: Author, dossier_id: str, sheet_id: str, tmp_path: Path
) -> None:
    other = make_sheet(bench, author, dossier_id).subject_id
    source = tmp_path / "sheet.jpg"
    source.write_bytes(jpeg(photograph(drawn_sheet(print_sheet(bench, dossier_id, sheet_id)),
                                       camera())))  # fmt: skip
    with pytest.raises(InputError, match="4 of the 4 corner marks of this sheet were not found"):
        file_sheet(bench, author, dossier_id, other, source, "sheet.jpg")
    with bench.store.reading() as reader:
        assert current_records(reader, dossier_id, "paper") == []


def test_a_sheet_without_a_view_has_no_underlay(
    bench: Bench, author: Author, dossier_id: str, tmp_path: Path
) -> None:
    sheet_id = make_sheet(bench, author, dossier_id).subject_id
    source = tmp_path / "sheet.jpg"
    source.write_bytes(jpeg(photograph(drawn_sheet(print_sheet(bench, dossier_id, sheet_id)),
                                       camera())))  # fmt: skip
    back_id = file_sheet(bench, author, dossier_id, sheet_id, source, "sheet.jpg").subject_id
    with pytest.raises(NotFoundError, match="no view on this sheet"):
        underlay_path(bench, dossier_id, back_id)


@pytest.mark.parametrize("number", [1, 2, 61, 62, 63, 125])
def test_neighbouring_sheets_never_share_a_corner_mark(number: int) -> None:
    marks = marker_numbers(number)
    assert max(marks) < 250
    assert not set(marks) & set(marker_numbers(number + 1))
