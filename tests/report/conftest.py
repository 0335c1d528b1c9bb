"""The print face, and the samples printed once for every test that reads them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import pytest

from softmend.report.pdf import condition_report_pdf
from tests.report.sample import note_report, short_report

FONTS = Path(__file__).parents[2] / "src" / "softmend" / "web" / "static" / "fonts"


@pytest.fixture(scope="session")
def fonts() -> Path:
    return FONTS


@pytest.fixture(scope="session")
def short_pdf(fonts: Path) -> bytes:
    report, pictures = short_report()
    return condition_report_pdf(report, pictures, fonts)


@pytest.fixture(scope="session")
def note_pdf(fonts: Path) -> bytes:
    report, pictures = note_report()
    return condition_report_pdf(report, pictures, fonts)
