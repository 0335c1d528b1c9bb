"""Reading a PDF back with tools that are not ours: its text, pages, pictures and verdicts."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import page
import pypdfium2
from PIL import Image


def pages_of(pdf: bytes) -> list[str]:
    """Return the text of every page, without the invisible places to break a long word."""
    document = pypdfium2.PdfDocument(pdf)
    texts = []
    for sheet in document:
        found = sheet.get_textpage()
        texts.append(found.get_text_bounded().replace("\u200b", "").replace("\r", ""))
        found.close()
        sheet.close()
    document.close()
    return texts


def text_of(pdf: bytes) -> str:
    """Return the whole text, line ends as spaces."""
    return " ".join(" ".join(pages_of(pdf)).split())


def picture_of(pdf: bytes, number: int = 0, scale: float = 1.5) -> Image.Image:
    """Return one page as a picture."""
    document = pypdfium2.PdfDocument(pdf)
    sheet = document[number]
    drawn = sheet.render(scale=scale)
    picture = drawn.to_pil().convert("RGB")
    drawn.close()
    sheet.close()
    document.close()
    return picture


def failures(pdf: bytes, profile: page.ValidationProfile) -> list[str]:
    """Return the rules of a PDF profile that the independent validator finds broken."""
    verdict = page.validate_pdf_bytes(pdf, profile=profile)
    return [f"{failure.rule_id}: {failure.message}" for failure in verdict.failures]
