"""The condition report and the crack map as archival, accessible PDF."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from softmend.errors import InputError, StorageError
from softmend.records.payload import as_plain
from softmend.report import wording
from softmend.report.blocks import Alert
from softmend.report.content import ConditionReport
from softmend.report.glyphs import character_name, font_characters, printable, shown
from softmend.report.sections import report_sections
from softmend.report.stream_ends import with_clear_ends

_MAGIC = {b"\xff\xd8\xff": "jpg", b"\x89PNG": "png"}
Files = dict[str, bytes]


@dataclass(frozen=True)
class Face:
    """The print face: the folder it lies in, and every character that it has."""

    folder: Path
    characters: frozenset[int]


def condition_report_pdf(
    report: ConditionReport, pictures: Mapping[str, bytes], fonts: Path
) -> bytes:
    """Return the report as PDF/A-3a and PDF/UA-1; the same report gives the same bytes.

    `pictures` holds JPEG or PNG bytes by the names that the views use; `fonts` is the folder of
    the house's face. A picture that was not handed is drawn as an empty mat with its marks.
    """
    lacking: set[str] = set()
    face = face_in(fonts)
    assets: Files = {"dossier.json": report.attached_json}
    sections = as_plain(report_sections(report))
    _lay_out(sections, pictures, assets, face, lacking)
    data = printable(head_data(report, wording.TITLE), face.characters, lacking)
    data["sections"] = printable(sections, face.characters, lacking)
    if lacking:
        data["sections"][-1]["blocks"].insert(0, warning(lacking))
    return typeset("report.typ", data, assets, face, report.provenance.newest_at)


def typeset(
    template: str, data: dict[str, Any], assets: Files, face: Face, newest_at: str
) -> bytes:
    """Return the PDF that a template makes of plain data; nothing is read but what is handed."""
    import typst

    faces = typst.Fonts(False, False, [str(face.folder)])
    project: Files = {
        "main.typ": _template(template),
        "tokens.typ": _template("tokens.typ"),
        "data.json": json.dumps(data, ensure_ascii=False, sort_keys=True).encode("utf-8"),
        **assets,
    }
    # Typst reads below its root and nowhere else; the root holds only what this call wrote.
    with TemporaryDirectory(prefix="softmend-print-") as root:
        for name, content in project.items():
            Path(root, name).write_bytes(content)
        try:
            made = typst.compile(
                str(Path(root, "main.typ")),
                root=root,
                format="pdf",
                font_paths=faces,
                pdf_standards=["a-3a", "ua-1"],
                timestamp=printed_at(newest_at),
            )
        except typst.TypstError as refused:
            raise StorageError(f"The print could not be set: {refused.message}") from refused
    return with_clear_ends(bytes(made))


def printed_at(newest_at: str) -> datetime:
    """Return the time a print carries: that of the newest entry it shows, never the clock's."""
    try:
        instant = datetime.fromisoformat(newest_at.partition("[")[0].replace("Z", "+00:00"))
    except ValueError as unread:
        raise InputError(
            "The time of the newest entry cannot be read",
            value=newest_at,
            allowed="2026-03-02T09:15:30.250Z[Europe/Oslo]",
        ) from unread
    return instant.astimezone(UTC).replace(microsecond=0)


def _template(name: str) -> bytes:
    return files("softmend.report").joinpath("templates", name).read_bytes()


def face_in(folder: Path) -> Face:
    """Return the print face that lies in a folder; a character counts if every cut has it."""
    fonts = sorted(folder.glob("*.ttf"))
    if not fonts:
        raise StorageError("There is no print face in the folder of fonts", value=folder.name)
    return Face(folder, frozenset.intersection(*(font_characters(font) for font in fonts)))


def head_data(report: ConditionReport, kind: str) -> dict[str, Any]:
    """Return what every print carries: its title, the running words and the document's own data."""
    dossier, made = report.dossier, report.provenance
    title = report.object_head.title if report.object_head else dossier.what
    invented = wording.INVENTED if dossier.is_invented else ""
    foot = [wording.INVENTED_SHORT] if dossier.is_invented else []
    foot.append(f"{made.entry_count} entries, {wording.HEAD} {made.head_hash[:16]}")
    return {
        "document": f"{kind}: {title}, {dossier.number}",
        "author": report.examined_by,
        "keywords": [dossier.number, *([wording.INVENTED_SHORT] if dossier.is_invented else [])],
        "title": title,
        "number": dossier.number,
        "subtitle": f"{dossier.number} · {dossier.number_issued_by}",
        "kind": f"{kind}, {wording.VERSION} {report.version}",
        "invented": invented,
        "foot": " · ".join(foot),
        "words": {
            "page": wording.PAGE,
            "of": wording.OF,
            "attachment": wording.ATTACHMENT_DESCRIPTION,
        },
    }


def _lay_out(
    sections: Sequence[dict[str, Any]],
    pictures: Mapping[str, bytes],
    assets: Files,
    face: Face,
    lacking: set[str],
) -> None:
    """Move every picture and drawing out of the data into a file of its own, named by us."""
    for section in sections:
        for block in section["blocks"]:
            lay_out_block(block, pictures, assets, face, lacking)


def lay_out_block(
    block: dict[str, Any],
    pictures: Mapping[str, bytes],
    assets: Files,
    face: Face,
    lacking: set[str],
) -> None:
    """Replace the pictures and drawings inside one block by names of files in `assets`."""
    for item in block.get("items", ()):
        item["swatch"] = _keep_svg(item["swatch"], assets, face, lacking)
    if "overlay" in block:
        block["overlay"] = _keep_svg(block["overlay"], assets, face, lacking)
        if block["picture"] not in ("", *pictures):
            block["small"] = f"{block['missing']} {block['small']}"
        block["picture"] = _keep_picture(block["picture"], pictures, assets)


def _keep_svg(svg: str, assets: Files, face: Face, lacking: set[str]) -> str:
    name = f"drawing-{len(assets)}.svg"
    assets[name] = shown(svg, face.characters, lacking).encode("utf-8")
    return name


def _keep_picture(name: str, pictures: Mapping[str, bytes], assets: Files) -> str:
    if name not in pictures:
        return ""
    content = pictures[name]
    kinds = [kind for magic, kind in _MAGIC.items() if content.startswith(magic)]
    if not kinds:
        raise InputError("A picture for print is neither JPEG nor PNG", value=name)
    file = f"picture-{len(assets)}.{kinds[0]}"
    assets[file] = content
    return file


def warning(lacking: set[str]) -> dict[str, Any]:
    """Return the alert that names every character the face lacks."""
    names = ", ".join(character_name(character) for character in sorted(lacking))
    plain: dict[str, Any] = as_plain(Alert(f"{wording.GLYPHS} ({names})"))
    return plain
