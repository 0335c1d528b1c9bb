"""Exported copies: the canonical pixels with the object's and the dossier's number inside."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from xml.sax.saxutils import escape

import numpy as np
from PIL import ExifTags, Image

from softmend.errors import ConflictError, InputError
from softmend.intake.canonical import Pixels, canonical_profile, read_canonical
from softmend.intake.layout import PARTIAL_PREFIX

_JPEG_QUALITY = 92
_XMP_TAG = 700
_TIFF_BYTE = 1

# The inventory number of the object shown and the job it belongs to are fields of the IPTC
# standard; picture programmes show both, and dc:description everywhere.
_XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/"
 xmlns:Iptc4xmpExt="http://iptc.org/std/Iptc4xmpExt/2008-02-29/">
<dc:description><rdf:Alt>
<rdf:li xml:lang="x-default">{description}</rdf:li>
</rdf:Alt></dc:description>
<photoshop:TransmissionReference>{dossier}</photoshop:TransmissionReference>
<Iptc4xmpExt:ArtworkOrObject><rdf:Bag><rdf:li rdf:parseType="Resource">
<Iptc4xmpExt:AOSourceInvNo>{object}</Iptc4xmpExt:AOSourceInvNo>
</rdf:li></rdf:Bag></Iptc4xmpExt:ArtworkOrObject>{taken}
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>"""


def export_copy(
    canonical: Path,
    out: Path,
    *,
    object_number: str,
    dossier_number: str,
    taken_at: str | None = None,
) -> None:
    """Write a JPEG or TIFF copy that names object and dossier; no place, no camera, no person.

    The canonical copy holds no location, so none can be exported. TIFF keeps the bit depth; JPEG
    has 8 bits. Raises ConflictError when `out` exists, InputError for another ending or a number
    that is empty or holds control characters.
    """
    write = _WRITERS.get(out.suffix.lower())
    if write is None:
        raise InputError(
            "a copy cannot be exported in this format",
            value=out.suffix or out.name,
            allowed=", ".join(sorted(_WRITERS)),
            remedy="choose one of these endings",
        )
    if out.exists():
        raise ConflictError("a file of that name is there already", remedy="choose another name")
    for name, number in (("object", object_number), ("dossier", dossier_number)):
        _check_number(name, number)
    description = f"Object {object_number}, dossier {dossier_number}"
    xmp = _xmp(description, object_number, dossier_number, taken_at)
    pixels, profile = read_canonical(canonical), canonical_profile(canonical)
    with tempfile.TemporaryDirectory(prefix=PARTIAL_PREFIX, dir=out.parent) as scratch:
        partial = Path(scratch) / out.name
        write(partial, pixels, profile, description, xmp)
        partial.rename(out)


def _check_number(name: str, number: str) -> None:
    if not number.strip() or not number.isprintable() or len(number) > 200:
        raise InputError(
            f"the {name} number cannot be written into a picture",
            value=repr(number),
            allowed="1 to 200 printable characters",
            remedy="correct the number in the dossier's head",
        )


def _xmp(description: str, object_number: str, dossier_number: str, taken_at: str | None) -> bytes:
    taken = (
        ""
        if taken_at is None
        else f"\n<photoshop:DateCreated>{escape(taken_at)}</photoshop:DateCreated>"
    )
    return _XMP.format(
        description=escape(description),
        object=escape(object_number),
        dossier=escape(dossier_number),
        taken=taken,
    ).encode("utf-8")


def _ascii(text: str) -> str:
    """Return text as EXIF and TIFF allow it; the XMP beside it keeps every letter."""
    return text.encode("ascii", "replace").decode("ascii")


def _write_jpeg(
    out: Path, pixels: Pixels, profile: bytes | None, description: str, xmp: bytes
) -> None:
    shown = (pixels >> 8).astype(np.uint8) if pixels.dtype == np.uint16 else pixels
    exif = Image.Exif()
    exif[ExifTags.Base.ImageDescription] = _ascii(description)
    Image.fromarray(shown).save(
        out,
        format="JPEG",
        quality=_JPEG_QUALITY,
        subsampling=0,
        exif=exif,
        xmp=xmp,
        icc_profile=profile,
    )


def _write_tiff(
    out: Path, pixels: Pixels, profile: bytes | None, description: str, xmp: bytes
) -> None:
    import tifffile

    tifffile.imwrite(
        out,
        pixels,
        photometric="rgb" if pixels.ndim == 3 else "minisblack",
        compression="zlib",
        predictor=True,
        rowsperstrip=64,
        iccprofile=profile,
        description=_ascii(description),
        extratags=[(_XMP_TAG, _TIFF_BYTE, len(xmp), xmp, True)],
        metadata=None,
        software=False,
    )


_WRITERS: dict[str, Callable[[Path, Pixels, bytes | None, str, bytes], None]] = {
    ".jpg": _write_jpeg,
    ".jpeg": _write_jpeg,
    ".tif": _write_tiff,
    ".tiff": _write_tiff,
}
