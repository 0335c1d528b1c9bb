"""An import keeps all of a picture or nothing, tells what it did, and can be stopped."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import io
import threading
import time
import zipfile
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from softmend.errors import Cancelled, ConflictError, InputError, LimitError, NotFoundError
from softmend.intake import child
from softmend.intake.camera import NO_CAMERA
from softmend.intake.canonical import canonical_profile, read_canonical
from softmend.intake.decode import import_picture, read_picture
from softmend.intake.limits import STANDARD
from softmend.intake.profile import NO_PROFILE, srgb_profile
from tests.hostile.files import grey_tiff, png, scan_bomb
from tests.intake.odd_files import jpeg_bytes, picture, write_turned

PHOTOGRAPHS = Path(__file__).parents[1] / "data" / "photographs"


def test_a_real_photograph_becomes_one_canonical_copy_and_two_levels(tmp_path: Path) -> None:
    stages: list[str] = []
    facts = import_picture(
        PHOTOGRAPHS / "10.jpg",
        tmp_path / "picture",
        progress=lambda stage, share: stages.append(f"{share:.2f} {stage}"),
    )
    assert (facts.width, facts.height, facts.bits, facts.channels) == (1600, 1067, 8, 3)
    assert facts.profile_name == "sRGB"
    assert not facts.was_turned
    assert facts.camera.taken_at == "2018-05-26T23:34:32"
    assert not facts.camera.has_location
    assert facts.notes == ()
    found = {path.relative_to(tmp_path / "picture") for path in tmp_path.rglob("*.*")}
    assert {str(path) for path in found} == {
        "canonical.tif",
        "tiles/9/0_0.jpg",
        "tiles/10/0_0.jpg",
        "tiles/10/0_1.jpg",
        "tiles/10/1_0.jpg",
        "tiles/10/1_1.jpg",
    }
    assert stages == sorted(stages)
    assert len(stages) == 4


def test_the_canonical_copy_is_deflated_with_predictor_and_holds_the_decoder_s_pixels(
    tmp_path: Path,
) -> None:
    import_picture(PHOTOGRAPHS / "11.jpg", tmp_path / "picture")
    canonical = tmp_path / "picture" / "canonical.tif"
    with tifffile.TiffFile(canonical) as file:
        page = file.pages[0].aspage()
        assert page.compression == tifffile.COMPRESSION.ADOBE_DEFLATE
        assert page.predictor == tifffile.PREDICTOR.HORIZONTAL
        told = {tag.name for tag in page.tags}
    assert not told & {"ExifTag", "GPSTag", "XMP", "Make", "Model", "DateTime", "Software"}
    with Image.open(PHOTOGRAPHS / "11.jpg") as plain, Image.open(canonical) as ours:
        assert np.array_equal(np.asarray(plain), np.asarray(ours))


def test_location_profile_and_the_lack_of_them_are_told(tmp_path: Path) -> None:
    record = Image.Exif()
    record[0x010F], record[0x0110] = "Invented Cameras", "Box 1"
    record.get_ifd(0x8825)[1] = "N"
    plain = Image.fromarray(picture())
    plain.save(tmp_path / "a.jpg", exif=record, icc_profile=srgb_profile())
    facts = import_picture(tmp_path / "a.jpg", tmp_path / "a")
    assert facts.camera.has_location
    assert (facts.camera.maker, facts.camera.model) == ("Invented Cameras", "Box 1")
    assert facts.profile_name is not None
    assert canonical_profile(tmp_path / "a" / "canonical.tif") == srgb_profile()
    assert b"Invented" not in (tmp_path / "a" / "canonical.tif").read_bytes()
    plain.save(tmp_path / "b.jpg")
    facts = import_picture(tmp_path / "b.jpg", tmp_path / "b")
    assert facts.profile_name is None
    assert facts.notes == (NO_PROFILE, NO_CAMERA)


def test_read_picture_gives_upright_pixels_at_their_depth(tmp_path: Path) -> None:
    write_turned(tmp_path / "a.tif", picture(16), 6)
    pixels = read_picture(tmp_path / "a.tif")
    assert pixels.dtype == np.uint16
    assert np.array_equal(pixels, picture(16))


def test_a_page_list_in_a_circle_gives_the_first_page_and_says_so(tmp_path: Path) -> None:
    (tmp_path / "a.tif").write_bytes(
        grey_tiff(64, 64, 122, 4096, after=bytes(range(256)) * 16, next_ifd=8)
    )
    facts = import_picture(tmp_path / "a.tif", tmp_path / "a")
    assert "only the first of its pages was taken" in facts.notes
    assert read_canonical(tmp_path / "a" / "canonical.tif")[0, 5] == 5


def test_a_polyglot_leaves_its_second_self_behind(tmp_path: Path) -> None:
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("evil.html", "<script>alert(1)</script>")
    comment = b"<html><script>alert(2)</script>"
    data = jpeg_bytes(Image.fromarray(picture()), comment=comment) + archive.getvalue()
    (tmp_path / "a.jpg").write_bytes(data)
    assert zipfile.is_zipfile(tmp_path / "a.jpg")
    import_picture(tmp_path / "a.jpg", tmp_path / "a")
    for path in (tmp_path / "a").rglob("*.*"):
        assert b"script" not in path.read_bytes()
        assert not zipfile.is_zipfile(path)


def test_an_absurd_camera_record_does_not_hide_the_picture(tmp_path: Path) -> None:
    # One entry of type LONG that claims four thousand million values far beyond its end.
    entry = b"II*\x00\x08\x00\x00\x00\x01\x00" + b"\x69\x87\x04\x00\xff\xff\xff\xff" + b"\xf0" * 4
    data = jpeg_bytes(Image.fromarray(picture()), exif=b"Exif\x00\x00" + entry)
    (tmp_path / "a.jpg").write_bytes(data)
    facts = import_picture(tmp_path / "a.jpg", tmp_path / "a")
    assert (facts.width, facts.height, facts.was_turned) == (90, 60, False)
    assert facts.camera.maker is None


def test_a_wrong_ending_is_told(tmp_path: Path) -> None:
    Image.fromarray(picture()).save(tmp_path / "a.png", format="JPEG")
    facts = import_picture(tmp_path / "a.png", tmp_path / "a")
    assert "named .png, but the file is a JPEG" in facts.notes


def test_a_dark_16_bit_picture_is_told(tmp_path: Path) -> None:
    tifffile.imwrite(tmp_path / "a.tif", picture(16, channels=1) // 16)
    facts = import_picture(tmp_path / "a.tif", tmp_path / "a")
    assert any("looks dark: its values reach only" in note for note in facts.notes)


def test_a_file_that_hangs_the_decoder_is_stopped_by_the_clock(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(scan_bomb(scans=3000, side=2000))
    patient = replace(STANDARD, jpeg_scans=10**6, cpu_s=1.0, cpu_s_per_megapixel=0.0)
    started = time.monotonic()
    with pytest.raises(LimitError, match="took too long to read and was stopped; open it in a"):
        import_picture(tmp_path / "a.jpg", tmp_path / "a", limits=patient)
    assert time.monotonic() - started < 5 + 4
    assert [path.name for path in tmp_path.iterdir()] == ["a.jpg"]


def test_a_picture_that_needs_too_much_memory_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    import zlib

    wide = 12_000
    packer = zlib.compressobj(1)
    rows = b"".join(packer.compress(bytes(wide * 3 + 1)) for _ in range(wide)) + packer.flush()
    (tmp_path / "a.png").write_bytes(png(wide, wide, 8, 2, rows))
    poor = replace(STANDARD, memory_bytes=600_000_000)
    with pytest.raises(
        LimitError,
        match=r"more memory than an import may use; got about 1.3 GB; allowed: up to 0.6",
    ):
        import_picture(tmp_path / "a.png", tmp_path / "a", limits=poor)
    assert [path.name for path in tmp_path.iterdir()] == ["a.png"]


def test_a_decoder_that_dies_is_one_sentence_too(tmp_path: Path) -> None:
    starved = replace(STANDARD, memory_bytes=30_000_000)
    with pytest.raises((InputError, LimitError)) as refused:
        import_picture(PHOTOGRAPHS / "10.jpg", tmp_path / "a", limits=starved)
    assert str(refused.value).endswith(".")
    assert list(tmp_path.iterdir()) == []


def test_a_stopped_import_leaves_nothing(tmp_path: Path) -> None:
    stop = threading.Event()
    with pytest.raises(Cancelled, match="the import was stopped; nothing was kept"):
        import_picture(
            PHOTOGRAPHS / "10.jpg",
            tmp_path / "a",
            progress=lambda stage, share: stop.set(),
            cancel=stop,
        )
    assert list(tmp_path.iterdir()) == []


def test_an_import_never_writes_over_another_and_never_touches_its_source(tmp_path: Path) -> None:
    source = tmp_path / "a.jpg"
    source.write_bytes((PHOTOGRAPHS / "10.jpg").read_bytes())
    before = (source.read_bytes(), source.stat().st_mtime_ns)
    import_picture(source, tmp_path / "a")
    assert (source.read_bytes(), source.stat().st_mtime_ns) == before
    with pytest.raises(ConflictError, match="a picture stands there already"):
        import_picture(source, tmp_path / "a")


def test_a_full_disk_is_told_as_what_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(child, "write_canonical", full)
    told = child.outcome(PHOTOGRAPHS / "10.jpg", tmp_path, STANDARD, lambda stage: None)
    assert told["refused"] == "NoSpaceError"
    assert told["parts"]["problem"] == "the disk is full; nothing was saved"


def test_what_is_no_file_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotFoundError, match=r"no such file; got a\.jpg; choose it again"):
        import_picture(tmp_path / "a.jpg", tmp_path / "a")
    with pytest.raises(InputError, match=r"not a file; got .*; choose a picture file"):
        import_picture(tmp_path, tmp_path / "a")


def test_a_file_over_the_byte_limit_is_refused_before_it_is_opened(tmp_path: Path) -> None:
    small = replace(STANDARD, file_bytes=1000)
    with pytest.raises(LimitError, match="larger than Softmend reads; got 0 MB; allowed"):
        import_picture(PHOTOGRAPHS / "10.jpg", tmp_path / "a", limits=small)
