"""Pixels come out upright, once, at their own depth and by their own colours."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import tifffile
from PIL import Image

from softmend.errors import InputError
from softmend.intake.header import Header, open_picture, read_header
from softmend.intake.limits import STANDARD
from softmend.intake.pixels import CMYK_BY_PROFILE, CMYK_PLAIN, ON_WHITE, Decoded, decode
from softmend.intake.profile import DAMAGED_PROFILE, srgb_profile
from softmend.intake.sniff import sniff_file
from tests.intake.odd_files import (
    SEEN_AT,
    green_cyan_profile,
    picture,
    stored,
    with_png_exif,
    write_turned,
)


def header_of(path: Path) -> Header:
    kind = sniff_file(path).kind
    with open_picture(path, kind) as image:
        return read_header(image, kind, STANDARD)


def decoded(path: Path) -> Decoded:
    return decode(path, header_of(path))


@pytest.mark.parametrize("orientation", SEEN_AT)
@pytest.mark.parametrize(
    ("name", "bits", "tolerance"),
    [
        ("a.jpg", 8, 6),
        ("a.png", 8, 0),
        ("a.webp", 8, 0),
        ("a.tif", 8, 0),
        ("deep.tif", 16, 0),
        ("deep.png", 16, 0),
    ],
)
def test_a_turned_picture_is_put_upright_exactly_once(
    tmp_path: Path, name: str, bits: int, tolerance: int, orientation: int
) -> None:
    upright = picture(bits)
    write_turned(tmp_path / name, upright, orientation)
    result = decoded(tmp_path / name)
    assert result.pixels.dtype == upright.dtype
    assert result.pixels.shape == upright.shape
    assert np.abs(result.pixels.astype(int) - upright.astype(int)).max() <= tolerance
    assert result.was_turned == (orientation != 1)


@pytest.mark.parametrize("orientation", SEEN_AT)
def test_turning_agrees_with_opencv_which_turns_jpeg_by_itself(
    tmp_path: Path, orientation: int
) -> None:
    path = tmp_path / "a.jpg"
    write_turned(path, picture(), orientation)
    theirs = cv2.imread(str(path), cv2.IMREAD_COLOR)[..., ::-1]
    assert np.abs(decoded(path).pixels.astype(int) - theirs).max() <= 3


@pytest.mark.parametrize("orientation", [6, 8])
def test_the_header_tells_the_upright_size(tmp_path: Path, orientation: int) -> None:
    for name in ("a.jpg", "a.png", "a.tif"):
        write_turned(tmp_path / name, picture(), orientation)
        header = header_of(tmp_path / name)
        assert (header.width, header.height, header.bits) == (90, 60, 8)
        assert header.orientation == orientation


@pytest.mark.parametrize(
    "options",
    [
        {},
        {"byteorder": ">"},
        {"compression": "zlib"},
        {"compression": "zlib", "predictor": True, "byteorder": ">"},
        {"tile": (16, 16), "compression": "zlib"},
        {"rowsperstrip": 7, "compression": "zlib"},
        {"bigtiff": True},
    ],
    ids=str,
)
def test_a_16_bit_tiff_keeps_every_bit(tmp_path: Path, options: dict[str, object]) -> None:
    upright = np.random.default_rng(3).integers(0, 65536, (60, 90, 3), dtype=np.uint16)
    tifffile.imwrite(tmp_path / "a.tif", upright, photometric="rgb", **options)
    assert np.array_equal(decoded(tmp_path / "a.tif").pixels, upright)


@pytest.mark.parametrize("compression", [1, 5, 8], ids=["none", "LZW", "deflate"])
def test_a_16_bit_tiff_of_opencv_keeps_every_bit(tmp_path: Path, compression: int) -> None:
    upright = np.random.default_rng(4).integers(0, 65536, (60, 90, 3), dtype=np.uint16)
    options = [cv2.IMWRITE_TIFF_COMPRESSION, compression]
    cv2.imwrite(str(tmp_path / "a.tif"), upright[..., ::-1], options)
    assert np.array_equal(decoded(tmp_path / "a.tif").pixels, upright)


@pytest.mark.parametrize("options", [{}, {"compression": "zlib"}], ids=str)
@pytest.mark.parametrize("orientation", [1, 6])
def test_a_16_bit_tiff_of_separate_planes_keeps_every_bit(
    tmp_path: Path, options: dict[str, object], orientation: int
) -> None:
    upright = np.random.default_rng(5).integers(0, 65536, (60, 90, 3), dtype=np.uint16)
    planes = np.moveaxis(stored(upright, orientation), -1, 0)
    tag = (0x0112, 3, 1, orientation, True)
    tifffile.imwrite(
        tmp_path / "a.tif",
        planes,
        photometric="rgb",
        planarconfig="separate",
        extratags=[tag],
        **options,
    )
    assert np.array_equal(decoded(tmp_path / "a.tif").pixels, upright)


def test_a_16_bit_png_keeps_every_bit(tmp_path: Path) -> None:
    upright = np.random.default_rng(6).integers(0, 65536, (60, 90, 3), dtype=np.uint16)
    cv2.imwrite(str(tmp_path / "a.png"), upright[..., ::-1])
    assert np.array_equal(decoded(tmp_path / "a.png").pixels, upright)


def test_16_bit_grey_keeps_every_bit_in_png_and_tiff(tmp_path: Path) -> None:
    upright = np.random.default_rng(7).integers(0, 65536, (60, 90), dtype=np.uint16)
    cv2.imwrite(str(tmp_path / "a.png"), upright)
    tifffile.imwrite(tmp_path / "a.tif", upright)
    tifffile.imwrite(tmp_path / "b.tif", upright, byteorder=">")
    for name in ("a.png", "a.tif", "b.tif"):
        pixels = decoded(tmp_path / name).pixels
        assert pixels.dtype == np.uint16
        assert np.array_equal(pixels, upright)


@pytest.mark.parametrize("bits", [8, 16])
def test_a_picture_stored_as_a_negative_is_turned_positive(tmp_path: Path, bits: int) -> None:
    upright = picture(bits, channels=1)
    negative = (2**bits - 1 - upright).astype(upright.dtype)
    tifffile.imwrite(tmp_path / "a.tif", negative, photometric="miniswhite")
    assert np.array_equal(decoded(tmp_path / "a.tif").pixels, upright)


@pytest.mark.parametrize("bits", [8, 16])
def test_what_is_transparent_is_shown_on_white_and_said(tmp_path: Path, bits: int) -> None:
    top = 2**bits - 1
    upright = picture(bits)
    alpha = np.full(upright.shape[:2], top, upright.dtype)
    alpha[:20] = 0
    four = np.dstack([upright[..., ::-1], alpha])
    cv2.imwrite(str(tmp_path / "a.png"), four)
    result = decoded(tmp_path / "a.png")
    assert ON_WHITE in result.notes
    assert (result.pixels[:20] == top).all()
    assert np.array_equal(result.pixels[20:], upright[20:])


def test_16_bit_grey_with_alpha_is_read_whole(tmp_path: Path) -> None:
    import zlib

    from tests.hostile.files import png

    grey = np.random.default_rng(8).integers(0, 65536, (6, 9), dtype=np.uint16)
    pairs = np.dstack([grey, np.full_like(grey, 65535)]).astype(">u2")
    rows = b"".join(b"\x00" + row.tobytes() for row in pairs)
    (tmp_path / "a.png").write_bytes(png(9, 6, 16, 4, zlib.compress(rows)))
    assert np.array_equal(decoded(tmp_path / "a.png").pixels, grey)


def test_cmyk_is_converted_by_its_own_profile_and_said(tmp_path: Path) -> None:
    cyan = Image.new("CMYK", (32, 32), (255, 0, 0, 0))
    cyan.save(tmp_path / "a.jpg", icc_profile=green_cyan_profile(), quality=98)
    result = decoded(tmp_path / "a.jpg")
    red, green, _ = result.pixels[16, 16]
    assert CMYK_BY_PROFILE in result.notes
    assert green > 180  # the invented ink is green; a plain conversion gives cyan, blue 255
    assert red < 100
    assert result.pixels[16, 16, 2] < 100


def test_cmyk_without_a_profile_is_converted_plainly_and_said(tmp_path: Path) -> None:
    Image.new("CMYK", (32, 32), (255, 0, 0, 0)).save(tmp_path / "a.jpg")
    result = decoded(tmp_path / "a.jpg")
    assert CMYK_PLAIN in result.notes
    assert np.abs(result.pixels[16, 16].astype(int) - (0, 255, 255)).max() <= 3


def test_a_sound_profile_is_kept_byte_for_byte(tmp_path: Path) -> None:
    profile = srgb_profile()
    Image.fromarray(picture()).save(tmp_path / "a.jpg", icc_profile=profile)
    assert decoded(tmp_path / "a.jpg").profile == profile


@pytest.mark.parametrize("kept", [20, 127, 200, 400])
def test_a_truncated_profile_is_left_out_and_said(tmp_path: Path, kept: int) -> None:
    Image.fromarray(picture()).save(tmp_path / "a.jpg", icc_profile=srgb_profile()[:kept])
    result = decoded(tmp_path / "a.jpg")
    assert result.profile is None
    assert DAMAGED_PROFILE in result.notes


def test_a_profile_for_other_colours_is_left_out_and_said(tmp_path: Path) -> None:
    Image.fromarray(picture()).save(tmp_path / "a.jpg", icc_profile=green_cyan_profile())
    result = decoded(tmp_path / "a.jpg")
    assert result.profile is None
    assert any("another kind of picture" in note for note in result.notes)


@pytest.mark.parametrize("mode", ["1", "L", "P", "LA"])
def test_small_colour_modes_become_grey_or_rgb(tmp_path: Path, mode: str) -> None:
    Image.fromarray(picture()).convert(mode).save(tmp_path / "a.png")
    pixels = decoded(tmp_path / "a.png").pixels
    assert pixels.shape == ((60, 90, 3) if mode == "P" else (60, 90))


def test_lab_is_refused_with_its_name(tmp_path: Path) -> None:
    lab = Image.fromarray(picture()).convert("L")
    Image.merge("LAB", (lab, lab, lab)).save(tmp_path / "a.tif")
    with pytest.raises(InputError, match="got LAB; allowed: grey, RGB or CMYK"):
        decoded(tmp_path / "a.tif")


@pytest.mark.parametrize("value", [0, 9, 700])
def test_an_absurd_orientation_turns_nothing(tmp_path: Path, value: int) -> None:
    record = Image.Exif()
    record[0x0112] = value
    Image.fromarray(picture()).save(tmp_path / "a.png", exif=record)
    result = decoded(tmp_path / "a.png")
    assert not result.was_turned
    assert np.array_equal(result.pixels, picture())


def test_a_png_with_its_exif_behind_the_pixels_is_turned(tmp_path: Path) -> None:
    from tests.intake.odd_files import exif

    _, data = cv2.imencode(".png", stored(picture(), 6)[..., ::-1])
    (tmp_path / "a.png").write_bytes(with_png_exif(data.tobytes(), exif(6)))
    result = decoded(tmp_path / "a.png")
    assert result.was_turned
    assert np.array_equal(result.pixels, picture())
