"""What a file is, told from its first bytes and never from its name."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import enum
import re
from dataclasses import dataclass
from pathlib import Path

from softmend.errors import InputError

HEAD_BYTES = 1024


class Kind(enum.StrEnum):
    """What Softmend makes of a file: six kinds of picture, and everything else."""

    JPEG = "JPEG"
    PNG = "PNG"
    TIFF = "TIFF"
    WEBP = "WebP"
    HEIC = "HEIC"
    RAW = "camera raw"
    ATTACHMENT = "attachment"


PICTURE_KINDS = (Kind.JPEG, Kind.PNG, Kind.TIFF, Kind.WEBP, Kind.HEIC, Kind.RAW)

_ENDINGS = {
    Kind.JPEG: (".jpg", ".jpeg", ".jpe", ".jfif"),
    Kind.PNG: (".png",),
    Kind.TIFF: (".tif", ".tiff"),
    Kind.WEBP: (".webp",),
    Kind.HEIC: (".heic", ".heif", ".hif"),
}

_PICTURES = (
    (re.compile(rb"\xff\xd8\xff"), Kind.JPEG),
    (re.compile(rb"\x89PNG\r\n\x1a\n"), Kind.PNG),
    # The three letters after the first IFD offset mark a camera's raw file that only borrows TIFF.
    (re.compile(rb"(?:II[\x2a\x2b]\x00|MM\x00[\x2a\x2b])(?!....CR)", re.DOTALL), Kind.TIFF),
    (re.compile(rb"RIFF....WEBP", re.DOTALL), Kind.WEBP),
    (re.compile(rb"....ftyp(?:hei|hev|mif1|msf1)", re.DOTALL), Kind.HEIC),
    (re.compile(rb"....ftypcrx ", re.DOTALL), Kind.RAW),
    (re.compile(rb"II\x2a\x00....CR|IIR[OS]|IIU\x00|FUJIFILM", re.DOTALL), Kind.RAW),
)

_OTHERS = (
    (re.compile(rb"....ftypavi[fs]", re.DOTALL), "an AVIF picture"),
    (re.compile(rb"....ftyp", re.DOTALL), "a film or sound file"),
    (re.compile(rb"GIF8[79]a"), "a GIF picture"),
    (re.compile(rb"BM....\x00\x00\x00\x00", re.DOTALL), "a BMP picture"),
    (re.compile(rb"8BPS"), "a Photoshop file"),
    (re.compile(rb"\x00\x00\x00\x0cjP  |\xff\x4f\xff\x51"), "a JPEG 2000 picture"),
    (re.compile(rb"\xff\x0a|\x00\x00\x00\x0cJXL "), "a JPEG XL picture"),
    (re.compile(rb"%!PS"), "a PostScript file"),
    (re.compile(rb"[\x00-\xff]{0,1000}%PDF-"), "a PDF"),
    (re.compile(rb"PK[\x03\x05]"), "a ZIP archive or an office document"),
    (re.compile(rb"\x1f\x8b|7z\xbc\xaf|Rar!|BZh|\xfd7zXZ"), "a compressed archive"),
    (re.compile(rb"MZ|\x7fELF"), "a programme"),
    (re.compile(rb"RIFF|ID3|OggS|fLaC"), "a film or sound file"),
    (re.compile(rb"(?s)[^\x00]{0,900}<svg[\s>]", re.IGNORECASE), "an SVG drawing"),
    (
        re.compile(rb"(?s)\W*<(?:!doctype\s+html|html|head|body|script)", re.IGNORECASE),
        "a web page",
    ),
    (re.compile(rb"(?:\xef\xbb\xbf)?\s*<\?xml"), "an XML text"),
)

_REMEDY = "export the picture as JPEG, PNG or TIFF, or attach the file as a paper"


@dataclass(frozen=True, slots=True)
class Sniffed:
    """A file's kind and, for people, what it seems to be (`a PDF`, `a text`)."""

    kind: Kind
    told: str

    @property
    def is_picture(self) -> bool:
        """Whether Softmend opens the file; everything else is only attached."""
        return self.kind is not Kind.ATTACHMENT

    def note(self) -> str:
        """Return the plain words that stand beside an attachment, or nothing for a picture."""
        return "" if self.is_picture else f"{self.told}; never opened by Softmend"


def sniff(head: bytes) -> Sniffed:
    """Return what the first bytes of a file (1024 are enough) say it is."""
    if not head:
        return Sniffed(Kind.ATTACHMENT, "an empty file")
    for pattern, kind in _PICTURES:
        if pattern.match(head):
            return Sniffed(kind, f"a {kind} picture")
    for pattern, told in _OTHERS:
        if pattern.match(head):
            return Sniffed(Kind.ATTACHMENT, told)
    return Sniffed(Kind.ATTACHMENT, "a text" if _is_text(head) else "of a kind not known here")


def sniff_file(path: Path) -> Sniffed:
    """Return what a file on disk is; only its first bytes are read."""
    with path.open("rb") as file:
        return sniff(file.read(HEAD_BYTES))


def named_otherwise(path: Path, kind: Kind) -> bool:
    """Return whether the name's ending promises another kind than the bytes hold."""
    ending = path.suffix.lower()
    promised = [known for known, endings in _ENDINGS.items() if ending in endings]
    return bool(promised) and kind not in promised


def refusal(path: Path, sniffed: Sniffed) -> InputError:
    """Return the one sentence for a file that was offered as a picture and is none."""
    disguise = f", although its name ends in {path.suffix}" if _looks_named(path) else ""
    if sniffed.told == "an empty file":
        return InputError(
            "the file is empty", remedy="copy it again from the camera, card or sender"
        )
    return InputError(
        f"the file is {sniffed.told}{disguise}",
        allowed="JPEG, PNG, TIFF, WebP, HEIC or camera raw pictures",
        remedy=_REMEDY,
    )


def _looks_named(path: Path) -> bool:
    return any(path.suffix.lower() in endings for endings in _ENDINGS.values())


def _is_text(head: bytes) -> bool:
    text = head.decode("utf-8", errors="ignore")
    # The last character may be cut in the middle: at most three of its bytes are then left out.
    kept = len(text.encode("utf-8")) >= len(head) - 3
    return kept and not any(ord(sign) < 32 and sign not in "\t\r\n\f" for sign in text)
