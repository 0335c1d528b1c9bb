"""The printed condition report, read back with tools that are not ours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import page
import pikepdf
import pytest
import typst

from softmend.errors import InputError, StorageError
from softmend.records.mark import Mark
from softmend.report import wording
from softmend.report.content import Audience, ConditionReport, MarkRow
from softmend.report.pdf import condition_report_pdf, printed_at
from softmend.report.text import as_text
from tests.report.reading import failures, pages_of, text_of
from tests.report.sample import long_report, marks, note_report, short_report

PROFILES = (page.ValidationProfile.PDF_A_3A, page.ValidationProfile.PDF_UA_1)


@pytest.fixture(scope="session")
def long_pdf(fonts: Path) -> bytes:
    report, pictures = long_report(side_px=900)
    return condition_report_pdf(report, pictures, fonts)


def with_note(report: ConditionReport, note: str) -> ConditionReport:
    """Return the report with a note on its first mark."""
    first = report.marks[0]
    row = replace(first, mark=replace(first.mark, note_observed=note))
    return replace(report, marks=(row, *report.marks[1:]))


# The validator is page-validation, written apart from Typst; it checks against the published rules.
@pytest.mark.parametrize("profile", PROFILES)
@pytest.mark.parametrize("name", ["short_pdf", "note_pdf", "long_pdf"])
def test_the_report_is_archival_and_accessible(
    name: str, profile: page.ValidationProfile, request: pytest.FixtureRequest
) -> None:
    assert failures(request.getfixturevalue(name), profile) == []


@pytest.mark.parametrize("profile", PROFILES)
def test_the_validator_can_fail(profile: page.ValidationProfile) -> None:
    plain = typst.compile(b'#text(font: "Libertinus Serif")[no standard]', format="pdf",
                          pdf_tags=False)  # fmt: skip
    assert failures(bytes(plain), profile)


def test_the_same_report_gives_the_same_bytes_in_another_process(short_pdf: bytes) -> None:
    code = (
        "import hashlib, sys; from pathlib import Path;"
        "from softmend.report.pdf import condition_report_pdf;"
        "from tests.report.sample import short_report; from tests.report.conftest import FONTS;"
        "report, pictures = short_report();"
        "sys.stdout.buffer.write(condition_report_pdf(report, pictures, FONTS))"
    )
    root = Path(__file__).parents[2]
    again = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, cwd=root,
        env={"PYTHONPATH": f"{root / 'src'}:{root}"},
    )  # fmt: skip
    assert again.stdout == short_pdf


def test_the_dossier_is_attached_as_it_was_handed(short_pdf: bytes) -> None:
    report, _ = short_report()
    with pikepdf.open(io.BytesIO(short_pdf)) as document:
        files = document.attachments
        assert list(files) == ["dossier.json"]
        attached = files["dossier.json"]
        assert attached.get_file().read_bytes() == report.dossier_json.encode("utf-8")
        assert attached.get_file().mime_type == "application/json"


def test_the_print_carries_the_time_of_the_newest_entry(short_pdf: bytes) -> None:
    with pikepdf.open(io.BytesIO(short_pdf)) as document:
        assert str(document.docinfo["/CreationDate"]).startswith("D:20260302091530")


def test_hazards_stand_before_everything(short_pdf: bytes) -> None:
    text = text_of(short_pdf)
    places = [text.index(title) for title in wording.SECTIONS.values() if title in text]
    assert len(places) == len(wording.SECTIONS)
    assert min(places) == text.index(wording.SECTIONS["hazards"])
    assert text.index("Lifting surface at 5") < text.index("Pesticides (arsenic")


def test_every_mark_stands_with_its_numbers(short_pdf: bytes) -> None:
    text = text_of(short_pdf)
    for row in marks():
        assert row.term in text
        for quantity in row.quantities:
            assert quantity.value in text
            assert quantity.plus_minus in text
    for number in ("410 ± 9 mm", "0.4 – 1.9 mm", "287 ± 6 mm", "980 ± 50 mm²", "3.1 ± 0.9 mL"):
        assert number in text


def test_the_legend_is_printed_with_what_is_drawn(short_pdf: bytes) -> None:
    text = text_of(short_pdf)
    legend = text[text.index(wording.LEGEND) :]
    for words in ("C crack", "L lifting", "OF old fill", "SA sample", "↔ grown"):
        assert words in legend


def test_the_three_kinds_of_words_stay_apart(short_pdf: bytes) -> None:
    text = text_of(short_pdf)
    assert "observed: Hard, glossy, brown. inferred: a polyester resin (possible)" in text
    assert "reported: A mount maker saw it in 2019." in text


def test_grades_are_printed_with_extent_and_definitions(short_pdf: bytes) -> None:
    text = text_of(short_pdf)
    assert "Overall 3, the worst of 3 graded places; 1 of them has it; 2 % of the surface" in text
    assert "Unstable. Something is moving, lifting or loose; loss is likely." in text


def test_head_hash_count_and_versions_are_printed(short_pdf: bytes) -> None:
    report, _ = short_report()
    text = text_of(short_pdf)
    assert report.provenance.head_hash in text
    assert "Entries in the dossier 57" in text
    assert "Softmend 0.1.0, Typst 0.15" in text


def test_a_stale_working_says_so(short_pdf: bytes) -> None:
    assert "Stale, because mark 4 changed on 2026-03-01" in text_of(short_pdf)


def test_invented_is_said_on_every_page(short_pdf: bytes) -> None:
    assert wording.INVENTED in text_of(short_pdf)
    assert all(wording.INVENTED_SHORT in sheet for sheet in pages_of(short_pdf))


def test_place_and_mass_are_only_in_the_registrars_copy(short_pdf: bytes, fonts: Path) -> None:
    report, pictures = short_report()
    registrar = replace(report, audience=Audience.REGISTRAR)
    text = text_of(condition_report_pdf(registrar, pictures, fonts))
    assert "studio shelf B4" in text
    assert "6150 ± 20 g" in text
    assert "studio shelf B4" not in text_of(short_pdf)
    assert "6150" not in text_of(short_pdf)


def test_the_condition_report_has_its_place_to_sign_before_the_appendices(short_pdf: bytes) -> None:
    text = " ".join(text_of(short_pdf).split())
    signed = text.index(f"{wording.SECTIONS['signed']} {wording.EXAMINATION_FIELDS['examined_by']}")
    assert signed > text.index(wording.SECTIONS["grades"])
    assert signed < text.index(wording.SECTIONS["images"])
    assert text.count(wording.SIGNATURE, signed) == 2
    assert wording.SEEN_BY in text[signed:]


def test_a_formula_is_told_once_and_pointed_to_where_it_is_used_again() -> None:
    report, _ = short_report()
    one = report.workings[0]
    again = replace(one, about="mark 99", cautions=(*one.cautions, "one more caution"))
    told = as_text(replace(report, workings=(one, again)))["workings"]
    assert told.count(one.formula) == told.count(one.cautions[0]) == 1
    assert f"Formula: as above under “{one.heading}”, with source" in told
    assert "Caution: one more caution" in told


def test_a_note_prints_on_two_pages(note_pdf: bytes) -> None:
    assert len(pages_of(note_pdf)) == 2
    assert "Not known" in text_of(note_pdf)


def test_forty_pages_and_thirty_photographs(long_pdf: bytes) -> None:
    pages = pages_of(long_pdf)
    assert 36 <= len(pages) <= 48
    assert f"page {len(pages)} of {len(pages)}" in " ".join(pages[-1].split())
    with pikepdf.open(io.BytesIO(long_pdf)) as document:
        photographs = [
            1 for thing in document.objects
            if isinstance(thing, pikepdf.Stream) and thing.get("/Filter") == "/DCTDecode"
        ]  # fmt: skip
    assert len(photographs) == 30


def test_a_table_over_several_pages_repeats_its_head(long_pdf: bytes) -> None:
    heads = [sheet for sheet in pages_of(long_pdf) if "What and where" in sheet]
    assert len(heads) >= 5


def test_no_heading_stands_last_on_a_page(long_pdf: bytes, short_pdf: bytes) -> None:
    for pdf in (long_pdf, short_pdf):
        for sheet in pages_of(pdf):
            body = [line for line in sheet.split("\n") if line.strip()][:-1]
            body = [line for line in body if "entries, head" not in line and line[:5] != "page "]
            assert body[-1].strip() not in wording.SECTIONS.values()


def test_markup_in_a_text_stays_text(fonts: Path) -> None:
    report, pictures = short_report()
    hostile = '#panic("no") *bold* _x_ $a$ `code` <label> @ref \\ // #read("/etc/passwd")'
    pdf = condition_report_pdf(with_note(report, hostile), pictures, fonts)
    assert hostile in text_of(pdf)
    assert failures(pdf, PROFILES[0]) == []


def test_a_character_the_face_lacks_is_shown_and_named(fonts: Path) -> None:
    report, pictures = short_report()
    pdf = condition_report_pdf(with_note(report, "中 and 🦌\ufe0f and \x07"), pictures, fonts)
    text = text_of(pdf)
    assert "observed: □ and □ and □" in text
    assert "U+0007, U+4E2D, U+1F98C" in text
    assert [failures(pdf, profile) for profile in PROFILES] == [[], []]


def test_a_print_with_every_glyph_gives_no_warning(short_pdf: bytes) -> None:
    assert wording.GLYPHS not in text_of(short_pdf)


def test_a_word_of_200_letters_and_long_texts_survive(fonts: Path) -> None:
    report, pictures = short_report()
    word, sentences = "antler" * 34, [f"s{number:04d}" for number in range(3000)]
    said = f"{word} {' '.join(sentences)}"
    hazard = replace(report.hazards[0], handling=said.replace("s", "h"))
    seen = replace(report.views[0].view, shows=said.replace("s", "v"))
    report = replace(
        with_note(report, said),
        hazards=(hazard,),
        views=(replace(report.views[0], view=seen),),
    )
    pdf = condition_report_pdf(report, pictures, fonts)
    text = text_of(pdf)
    assert word in text.replace(" ", "")
    for first in "shv":
        assert [word for word in sentences if word.replace("s", first) not in text] == []
    assert failures(pdf, PROFILES[1]) == []


def test_long_words_stay_inside_the_page(fonts: Path) -> None:
    import pypdfium2

    report, pictures = short_report()
    odd = MarkRow(Mark(9, "w" * 200, (), part="p" * 200), "C", "t" * 200, (1,))
    pdf = condition_report_pdf(replace(report, marks=(odd,)), pictures, fonts)
    document = pypdfium2.PdfDocument(pdf)
    for sheet in document:
        found = sheet.get_textpage()
        for index in range(found.count_chars()):
            assert found.get_charbox(index)[2] < 210 / 25.4 * 72 - 50
        found.close()
        sheet.close()
    document.close()


def test_a_picture_that_was_not_handed_leaves_its_marks(fonts: Path) -> None:
    report, pictures = note_report()
    pdf = condition_report_pdf(report, {}, fonts)
    assert wording.missing_picture(1) in text_of(pdf)
    assert failures(pdf, PROFILES[1]) == []
    assert len(pdf) < len(condition_report_pdf(report, pictures, fonts))


def test_a_picture_of_another_kind_is_refused(fonts: Path) -> None:
    report, _ = note_report()
    with pytest.raises(InputError, match="neither JPEG nor PNG; got one"):
        condition_report_pdf(report, {"one": b"GIF89a"}, fonts)


def test_a_broken_picture_is_a_sentence(fonts: Path) -> None:
    report, _ = note_report()
    with pytest.raises(StorageError, match="could not be set"):
        condition_report_pdf(report, {"one": b"\xff\xd8\xff\xe0 broken"}, fonts)


def test_a_folder_without_a_face_is_a_sentence(tmp_path: Path) -> None:
    report, pictures = note_report()
    with pytest.raises(StorageError, match="no print face"):
        condition_report_pdf(report, pictures, tmp_path)


def test_a_time_that_cannot_be_read_is_refused() -> None:
    with pytest.raises(InputError, match="newest entry cannot be read; got yesterday"):
        printed_at("yesterday")


def test_a_report_with_nothing_in_it_still_warns(fonts: Path) -> None:
    report, _ = note_report()
    bare = ConditionReport(report.dossier, report.provenance, "{}")
    text = text_of(condition_report_pdf(bare, {}, fonts))
    assert wording.NO_HAZARDS in text
    assert wording.NO_VIEWS in text
    assert wording.NO_MARKS in text
