"""The treatment record and the labels: archival, whole, and silent about what must stay inside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

import cv2
import numpy as np
import page
import pikepdf
import pytest

from softmend.services.bench import Author, Bench
from softmend.services.dossiers import describe_object, opened
from softmend.services.examine.scales import set_scale
from softmend.services.fake_store import FakeStore
from softmend.services.people import come_to_the_bench
from softmend.services.treat.labels import bag_label, batch_label, solution_label
from softmend.services.treat.treatment_content import print_treatment, treatment_as_text
from tests.report.reading import failures, picture_of, text_of
from tests.report.treatment_sample import treated
from tests.services.examine.test_quantities import SCALE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.report.treatment_sample import Treated

PROFILES = [page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1]
SECRET_PLACE, SECRET_MASS = "Store 4, bay 12", 23_456.0


@pytest.fixture(scope="module")
def bench() -> Iterator[Bench]:
    store = FakeStore()
    yield Bench(store, zone="Europe/Oslo")
    store.close()


@pytest.fixture(scope="module")
def done(bench: Bench) -> Treated:
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "treatment")
    made = treated(bench, author)
    with bench.store.reading() as reader:
        head = opened(reader, made.dossier_id)
    told = replace(head.object_head, location=SECRET_PLACE, mass_g=SECRET_MASS)
    describe_object(bench, author, made.dossier_id, told, head.object_entry_id)
    return made


@pytest.fixture(scope="module")
def record(bench: Bench, done: Treated) -> bytes:
    return print_treatment(bench, done.dossier_id)


@pytest.fixture(scope="module")
def labels(bench: Bench, done: Treated) -> dict[str, bytes]:
    inputs = {
        "written_percent": 20.0,
        "basis": "w/v of solution",
        "solute": "resin",
        "solvent": "acetone",
        "solute_density_g_per_ml": 1.15,
        "solvent_density_g_per_ml": 0.785,
        "amount": {"solution_volume_ml": 100.0},
    }
    return {
        "batch": batch_label(bench, done.dossier_id, done.batch_id),
        "bag": bag_label(bench, done.dossier_id, done.bag_id),
        "solution": solution_label(bench, inputs, "Ida Invented"),
    }


@pytest.mark.parametrize("profile", PROFILES)
def test_the_record_is_archival_and_accessible(
    record: bytes, profile: page.ValidationProfile
) -> None:
    assert failures(record, profile) == []


@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("which", ["batch", "bag", "solution"])
def test_the_labels_are_archival_and_accessible(
    labels: dict[str, bytes], which: str, profile: page.ValidationProfile
) -> None:
    assert failures(labels[which], profile) == []


def test_the_record_is_the_same_twice(bench: Bench, done: Treated, record: bytes) -> None:
    assert print_treatment(bench, done.dossier_id) == record


@pytest.mark.parametrize(
    "words",
    [
        "written later, on",
        "not in plan: loose by itself; agreed with the curator",
        "old fill",
        "4.20 ± 0.13 g",
        "uptake 2.200 ± 0.028 g",
        "wet work before everything owed was answered",
        "join J1, dry fit seen by Bo Invented",
        "3 numbered = 1 bonded + 1 bagged + 0 sampled + 0 returned + 1 missing + 0 on the table",
        "bonded at J1 on evidence A",
        "fragment 3 is missing",
        "no time: loss",
        "1 entry is still to be sorted",
        "Ida Invented, Bo Invented. Taken from the log",
        "Invented: no object",
    ],
)
def test_the_record_says_what_was_logged(record: bytes, words: str) -> None:
    assert words in text_of(record)


def test_where_bags_and_removed_matter_lie_is_left_to_the_registrars_page(record: bytes) -> None:
    text = text_of(record)
    assert "kept" in text
    assert "bag of removed matter" not in text


def test_hazards_print_first(record: bytes) -> None:
    text = text_of(record)
    assert text.index("Hazards and handling") < text.index("Day log")


def test_the_hidden_face_is_printed_with_its_image(record: bytes) -> None:
    with pikepdf.open(BytesIO(record)) as document:
        images = [image for sheet in document.pages for image in sheet.get_images()]
    assert images


def test_no_report_shows_one_named_persons_speed(bench: Bench, done: Treated) -> None:
    sections = treatment_as_text(bench, done.dossier_id)
    time = sections["treatment_time"]
    assert "about 1.6 h" in time
    for key, text in sections.items():
        minutes = re.search(r"\d+(\.\d+)? (min|h)\b(?! ?;)", text) and "Invented" in text
        if key == "treatment_log":
            # A cure is hours too; the minutes at the bench are not beside the names.
            assert "95" not in text
            assert "about 1.6 h" not in text
        elif key not in ("print",):
            assert not minutes, key


def test_place_mass_and_value_of_the_object_stay_out(
    record: bytes, labels: dict[str, bytes]
) -> None:
    for pdf in (record, *labels.values()):
        text = text_of(pdf)
        assert SECRET_PLACE not in text
        assert "23456" not in text
        with pikepdf.open(BytesIO(pdf)) as document:
            for attached in document.attachments.values():
                assert SECRET_PLACE.encode() not in attached.get_file().read_bytes()


def read_code(pdf: bytes) -> str:
    """Return what an independent reader finds in a label's QR code."""
    shown = np.asarray(picture_of(pdf, scale=6.0).convert("L"))
    text, _corners, _straight = cv2.QRCodeDetector().detectAndDecode(shown)
    return text


def test_the_qr_code_carries_the_dossiers_and_the_batchs_number_and_nothing_else(
    labels: dict[str, bytes],
) -> None:
    assert read_code(labels["batch"]) == "EX 1907.12 / batch 1"
    assert read_code(labels["bag"]) == "EX 1907.12 / bag 1"
    assert read_code(labels["solution"]) == ""


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("batch", "Batch 1 · resin for joins"),
        ("batch", "20 g resin · L 7"),
        ("batch", "flammable"),
        ("batch", "acetone, tested on shed antler"),
        ("bag", "Bag 1 · 1 fragment"),
        ("bag", "no seat found at J1 or J2"),
        ("bag", "no place is proposed"),
        ("solution", "20 % w/v of solution"),
        ("solution", "20.0 g of resin"),
    ],
)
def test_a_label_says_what_is_in_it(labels: dict[str, bytes], which: str, words: str) -> None:
    assert words in text_of(labels[which])


def test_the_record_has_its_place_to_sign_with_the_names_of_the_log(record: bytes) -> None:
    text = " ".join(text_of(record).split())
    place = text.index("Who took part")
    assert text.index("Signed by Ida Invented", place) < text.index("Signature", place)


def test_the_scale_of_a_hidden_face_is_told_as_it_is_in_the_condition_report(
    bench: Bench, done: Treated
) -> None:
    assert "No scale was set" in treatment_as_text(bench, done.dossier_id)["treatment_hidden"]
    author = Author(come_to_the_bench(bench, "Ida Invented").id, "treatment")
    set_scale(bench, author, done.dossier_id, done.view_id, SCALE, based_on="")
    told = treatment_as_text(bench, done.dossier_id)["treatment_hidden"]
    assert "No scale was set" not in told
    assert "Scale by two clicks on a bar" in told
