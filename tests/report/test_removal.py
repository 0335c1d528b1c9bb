"""Taking old work off in print: failures kept, cautions in place, one chart in Workings."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from importlib.resources import as_file, files

from softmend.catalogue.solvency_agent import FOOTER
from softmend.report.content import Working
from softmend.report.removal_pdf import bench_card_pdf, record_of_tests_pdf
from softmend.report.removal_sections import (
    bench_card,
    record_of_tests_sections,
    removal_sections,
    removal_workings,
)
from softmend.report.removal_shown import (
    AgentRow,
    AirPrint,
    Chart,
    PatchPicture,
    RemovalPrint,
    RemovalShown,
    TriedRow,
    WayRow,
)
from softmend.report.text import section_text
from tests.report.sample import short_report

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 3"><path d="M0 0h1"/></svg>'
CHART = Chart(SVG, (4.0, 3.0), "Scale: calculated", "1 acetone: 47/32/21")
SHOWN = RemovalShown(
    tests=(
        TriedRow(1, "A1", "2026-03-02", "heptane", "a test", ("dwell 60 s",), "none", "none",
                 ("swab: clean",), is_stop=False),
        TriedRow(2, "A2", "2026-03-02", "ethanol", "a test", (), "softens", "blanch",
                 ("stopped because: it whitened",), is_stop=True),
    ),
    pictures=(PatchPicture("Grid A on view 1", "", "", SVG, 400, 300, "8 patches"),),
    decisions=(("After test 2: no further test", "P. Person: it whitened"),),
    locks=(("Lock “water” opened", "P. Person: 2 s, after mock-ups"),),
    behaves="Layer 1: behaves like wax (50 %).",
    next_swab="No further swab.",
    ways=(WayRow("Removal 1: varnish", "Leave it. Because it is stable (P. Person).", (), (), (),
                 ()),),
    off_text="First: heptane.",
    agents=(AgentRow("heptane", "40 %", "dissolves it: not likely", "none named", "0.3 m³", ""),),
    refused="turpentine + propylene glycol: they part.",
    strips=(CHART,),
    crack_words="Block the crack or stay 5 mm away.",
    ternary=CHART,
    air=AirPrint("8 h: 0.9 % of the limit.", "HIGHLY FLAMMABLE.", True,
                 (("acetone", "8 h", "10 mg/m³", "0.9 % of 1210 mg/m³, UK EH40"),),
                 (("Room", "50 m³"),), (("Which gloves?", "butyl"),), ("never says safe",),
                 ("control further",)),
    spot_marks="Marks: 7 recalled", off_marks="Marks: 9 recalled", air_marks="Marks: 3 recalled",
    footer=FOOTER,
    workings=(Working("solvency.spot", "spot tests", "formula", "source", (), ()),),
)  # fmt: skip


def told() -> RemovalPrint:
    return RemovalPrint(short_report()[0], SHOWN)


def test_every_section_names_its_marks_and_carries_the_footer() -> None:
    sections = {one.key: section_text(one) for one in removal_sections(SHOWN)}
    assert list(sections) == ["spot_tests", "removal_ways", "takes_it_off", "air"]
    for key, text in sections.items():
        assert FOOTER in text, key
    for key, count in (("spot_tests", 7), ("takes_it_off", 9), ("air", 3)):
        assert f"{count} recalled" in sections[key]
    assert removal_sections(None) == removal_sections(RemovalShown()) == ()


def test_failures_decisions_and_locks_are_kept_and_the_chart_stands_in_workings_only() -> None:
    sections = {one.key: section_text(one) for one in removal_sections(SHOWN)}
    for words in ("heptane", "coating: none", "object: blanch", "STOP", "no further test",
                  "Lock “water” opened", "No solvent here is proven harmless"):  # fmt: skip
        assert words in sections["spot_tests"], words
    assert "Leave it" in sections["removal_ways"]
    assert "Block the crack or stay 5 mm away" in sections["takes_it_off"]
    drawn = [one for one in removal_sections(replace(SHOWN, strips=()))]
    assert not any(block.type == "figure" for section in drawn for block in section.blocks)
    assert any(block.type == "figure" for block in removal_workings(SHOWN))


def test_the_record_and_the_card_are_set_with_hazards_first() -> None:
    assert record_of_tests_sections(told())[0].key == "hazards"
    assert bench_card(told()).sections[0].key == "hazards"
    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        record = record_of_tests_pdf(told(), {}, fonts)
        assert record == record_of_tests_pdf(told(), {}, fonts)
        card = bench_card_pdf(told(), fonts)
    assert record.startswith(b"%PDF")
    assert card.startswith(b"%PDF")
