"""A label of 90 by 50 mm: what it is, what is in it, who and when, and two numbers as a QR code."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from softmend.report.glyphs import character_name, printable
from softmend.report.pdf import Files, face_in, typeset


@dataclass(frozen=True)
class Label:
    """What a label says; `code` is the text of its QR code, empty for none.

    `printed_at` is written as in an entry.
    """

    title: str
    subtitle: str
    printed_at: str
    lines: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    warning: str = ""
    code: str = ""


def label_pdf(label: Label, fonts: Path) -> bytes:
    """Return a label as a PDF of its own size; the same label gives the same bytes."""
    face = face_in(fonts)
    lacking: set[str] = set()
    data: dict[str, Any] = {
        "document": f"Label: {label.title}",
        "author": "",
        "keywords": [],
        "title": label.title,
        "subtitle": label.subtitle,
        "warning": label.warning,
        "lines": list(label.lines),
        "facts": [{"name": name, "answer": answer} for name, answer in label.facts],
        "code": label.code,
    }
    data = printable(data, face.characters, lacking)
    if lacking:
        names = ", ".join(character_name(character) for character in sorted(lacking))
        data["facts"].append({"name": "not in this face", "answer": names})
    assets: Files = {"code.svg": qr_svg(label.code)} if label.code else {}
    return typeset("label.typ", data, assets, face, label.printed_at)


def qr_svg(text: str) -> bytes:
    """Return a QR code as SVG, black on white, with a quiet zone."""
    import segno

    drawn = io.BytesIO()
    segno.make_qr(text, error="m").save(drawn, kind="svg", border=4, xmldecl=False, light="#fff")
    return drawn.getvalue()
