"""An exported copy names its object and dossier, keeps its colours, and says nothing else."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import tifffile
from PIL import Image

from softmend.errors import ConflictError, InputError
from softmend.intake.canonical import write_canonical
from softmend.intake.decode import import_picture
from softmend.intake.metadata import export_copy
from softmend.intake.profile import srgb_profile
from tests.intake.odd_files import picture

NUMBERS = {"object_number": "M 12 <b> & Söhne", "dossier_number": "2026/7"}
INVENTORY = "{http://iptc.org/std/Iptc4xmpExt/2008-02-29/}AOSourceInvNo"
JOB = "{http://ns.adobe.com/photoshop/1.0/}TransmissionReference"


@pytest.fixture
def canonical(tmp_path: Path) -> Path:
    """Give a canonical copy of 16-bit colour with a profile."""
    write_canonical(tmp_path / "canonical.tif", picture(16), srgb_profile())
    return tmp_path / "canonical.tif"


def xmp_of(path: Path) -> ElementTree.Element:
    with Image.open(path) as image:
        data = image.info["xmp"]
    text = data.decode() if isinstance(data, bytes) else data
    return ElementTree.fromstring(text.split("?>", 1)[1].rsplit("<?xpacket", 1)[0])


@pytest.mark.parametrize("ending", [".jpg", ".jpeg", ".tif", ".tiff"])
def test_a_copy_names_object_and_dossier_to_the_letter(canonical: Path, ending: str) -> None:
    out = canonical.with_name(f"copy{ending}")
    export_copy(canonical, out, **NUMBERS)
    tree = xmp_of(out)
    assert [node.text for node in tree.iter(INVENTORY)] == ["M 12 <b> & Söhne"]
    assert [node.text for node in tree.iter(JOB)] == ["2026/7"]
    with Image.open(out) as image:
        described = image.getexif()[0x010E]
        assert image.info["icc_profile"] == srgb_profile()
    assert described == "Object M 12 <b> & S?hne, dossier 2026/7"


def test_a_tiff_copy_keeps_16_bits_and_a_jpeg_has_8(canonical: Path) -> None:
    export_copy(canonical, canonical.with_name("a.tif"), **NUMBERS)
    assert np.array_equal(tifffile.imread(canonical.with_name("a.tif")), picture(16))
    export_copy(canonical, canonical.with_name("a.jpg"), **NUMBERS)
    with Image.open(canonical.with_name("a.jpg")) as image:
        difference = np.asarray(image).astype(int) - (picture(16) >> 8)
    assert np.abs(difference).max() <= 4


@pytest.mark.parametrize("ending", [".jpg", ".tif"])
def test_no_location_and_no_camera_leave_with_a_copy(tmp_path: Path, ending: str) -> None:
    record = Image.Exif()
    record[0x010F] = "Invented Cameras"
    record.get_ifd(0x8825).update({1: "N", 2: (12.0, 34.0, 56.0)})
    Image.fromarray(picture()).save(tmp_path / "a.jpg", exif=record)
    assert import_picture(tmp_path / "a.jpg", tmp_path / "a").camera.has_location
    out = tmp_path / f"copy{ending}"
    export_copy(tmp_path / "a" / "canonical.tif", out, taken_at="2026-03-04", **NUMBERS)
    assert b"Invented" not in out.read_bytes()
    assert b"<photoshop:DateCreated>2026-03-04<" in out.read_bytes()
    with Image.open(out) as image:
        assert 0x8825 not in image.getexif()


def test_a_copy_is_the_same_every_time_and_never_writes_over_another(canonical: Path) -> None:
    first, second = canonical.with_name("a.tif"), canonical.with_name("b.tif")
    before = canonical.read_bytes()
    export_copy(canonical, first, **NUMBERS)
    export_copy(canonical, second, **NUMBERS)
    assert first.read_bytes() == second.read_bytes()
    assert canonical.read_bytes() == before
    with pytest.raises(ConflictError, match="a file of that name is there already"):
        export_copy(canonical, first, **NUMBERS)


def test_other_endings_and_bad_numbers_are_refused_in_a_sentence(canonical: Path) -> None:
    with pytest.raises(InputError, match=r"in this format; got \.webp; allowed: \.jpeg, \.jpg"):
        export_copy(canonical, canonical.with_name("a.webp"), **NUMBERS)
    for number in ("", "  ", "a\nb", "x" * 201):
        with pytest.raises(InputError, match="the object number cannot be written into a pic"):
            export_copy(
                canonical,
                canonical.with_name("a.jpg"),
                object_number=number,
                dossier_number="1",
            )
