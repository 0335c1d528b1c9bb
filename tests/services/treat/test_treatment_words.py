"""The words of fragments, bags and masses in the treatment record, as the bench says them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import docx
import pytest

from softmend.records.fragment import Bag, Fragment, Stand
from softmend.records.unbroken import NO_BREAK
from softmend.services.house_forms import treatment_docx
from softmend.services.treat.fragments import number_fragment, open_bag
from softmend.services.treat.treatment_content import print_treatment, treatment_as_text
from softmend.services.treat.treatment_words import fragment_mass, fragments_named
from tests.report.reading import pages_of
from tests.rules.treating import step_on

if TYPE_CHECKING:
    from softmend.services.bench import Author, Bench


@pytest.mark.parametrize(
    ("numbers", "words"),
    [([], "nothing"), ([2], "fragment 2"), ([1, 3], "fragments 1, 3")],
)
def test_one_fragment_is_a_fragment_and_several_are_fragments(
    numbers: list[int], words: str
) -> None:
    assert fragments_named(numbers) == words


def test_a_mass_is_said_with_its_spread_or_about_or_not_weighed() -> None:
    said = [
        fragment_mass(Fragment(1, "tray", mass_g=0.12, mass_expanded_g=0.01)),
        fragment_mass(Fragment(1, "tray", mass_g=0.12)),
        fragment_mass(Fragment(1, "tray")),
    ]
    assert said == ["0.120 ± 0.010 g", "about 0.12 g", "not weighed"]


def test_a_bag_is_named_once_and_a_mass_never_breaks_over_lines(
    bench: Bench, author: Author, dossier_id: str
) -> None:
    bag = open_bag(
        bench, author, dossier_id, Bag(0, "with the object", "no seat found", "2026-03-02")
    )
    weighed = Fragment(0, "in the old fill", mass_g=0.12, mass_expanded_g=0.01)
    one = number_fragment(bench, author, dossier_id, weighed)
    one = step_on(bench, author, dossier_id, one, stand=Stand.UNPLACED)
    step_on(bench, author, dossier_id, one, stand=Stand.BAGGED, bag_id=bag.subject_id)
    told = treatment_as_text(bench, dossier_id)["treatment_fragments"]
    assert "Bag 1\n  Holds: fragment 1\n" in told
    assert "Bag Bag" not in told
    printed = " ".join(pages_of(print_treatment(bench, dossier_id)))
    assert "0.120 ± 0.010 g" in printed.replace(NO_BREAK, " ")
    written = docx.Document(io.BytesIO(treatment_docx(bench, dossier_id)))
    cells = [cell.text for table in written.tables for row in table.rows for cell in row.cells]
    assert any("0.120 ± 0.010 g".replace(" ", NO_BREAK) in text for text in cells)
