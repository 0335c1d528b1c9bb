"""HEIC and camera raw come in through the same sniff, limits and child as every picture."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import tifffile
from PIL import Image

from softmend.errors import InputError, LimitError
from softmend.intake.canonical import read_canonical
from softmend.intake.decode import import_picture
from softmend.intake.layout import CANONICAL_NAME
from softmend.intake.limits import Limits
from softmend.intake.raw import DEVELOPED

if TYPE_CHECKING:
    from pathlib import Path

LIGHT = (0.05, 0.2, 0.6)


def patches() -> np.ndarray:
    """Return three upright bands of known linear light, the lowest the brightest."""
    return np.repeat(np.repeat(np.array(LIGHT), 80)[:, None], 320, axis=1)


def as_srgb(light: np.ndarray) -> np.ndarray:
    """Return sRGB code values, 0 to 1 (IEC 61966-2-1)."""
    return np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)


@pytest.fixture
def heic(tmp_path: Path) -> Path:
    """A HEIC as a phone would write it: with a profile-free sRGB picture and a camera's record."""
    import pillow_heif

    pillow_heif.register_heif_opener()
    coded = np.repeat((255 * as_srgb(patches()))[..., None], 3, axis=2).round().astype(np.uint8)
    path = tmp_path / "phone.heic"
    exif = Image.Exif()
    exif[0x010F] = "An Invented Phone"
    Image.fromarray(coded).save(path, "HEIF", quality=95, exif=exif)
    return path


@pytest.fixture
def linear_dng(tmp_path: Path) -> Path:
    """A linear DNG: 16-bit linear light in three channels, the matrix that of sRGB."""
    path = tmp_path / "camera.dng"
    light = np.repeat((65535 * patches())[..., None], 3, axis=2).round().astype(np.uint16)
    # XYZ to linear sRGB (IEC 61966-2-1), times 10 000, as DNG's ColorMatrix1 wants it.
    matrix = [32406, -15372, -4986, -9689, 18758, 415, 557, -2040, 10570]
    pairs = [number for value in matrix for number in (value, 10_000)]
    ones = [1, 1, 1, 1, 1, 1]
    tags = [
        (271, 2, 0, "An Invented Maker", True),
        (272, 2, 0, "Nine", True),
        (36867, 2, 0, "2031:10:14 09:12:33", True),
        (50706, 1, 4, (1, 4, 0, 0), True),
        (50708, 2, 0, "An Invented Camera", True),
        (50721, 10, 9, pairs, True),
        (50728, 5, 3, ones, True),
        (50778, 3, 1, 21, True),
        (50714, 3, 1, 0, True),
        (50717, 4, 3, (65535, 65535, 65535), True),
    ]
    tifffile.imwrite(path, light, photometric=34892, planarconfig="contig", extratags=tags)
    return path


def bands(pixels: np.ndarray) -> np.ndarray:
    return np.array([pixels[at : at + 40].mean() for at in (20, 100, 180)])


def test_a_heic_is_brought_in_upright_and_in_its_colours(heic: Path, tmp_path: Path) -> None:
    facts = import_picture(heic, tmp_path / "in")
    pixels = read_canonical(tmp_path / "in" / CANONICAL_NAME)
    assert (facts.kind, facts.width, facts.height, facts.bits) == ("HEIC", 320, 240, 8)
    assert facts.camera.maker == "An Invented Phone"
    assert bands(pixels) == pytest.approx(255 * as_srgb(np.array(LIGHT)), abs=2)


def test_a_raw_file_is_developed_in_proportion_to_the_light(
    linear_dng: Path, tmp_path: Path
) -> None:
    facts = import_picture(linear_dng, tmp_path / "in")
    pixels = read_canonical(tmp_path / "in" / CANONICAL_NAME)
    assert (facts.kind, facts.bits, pixels.dtype) == ("camera raw", 16, np.uint16)
    assert DEVELOPED in facts.notes
    assert (facts.camera.maker, facts.camera.model) == ("An Invented Maker", "Nine")
    assert facts.camera.taken_at == "2031-10-14T09:12:33"
    assert not facts.camera.has_location
    assert bands(pixels) / 65535 == pytest.approx(as_srgb(np.array(LIGHT)), abs=0.01)


@pytest.mark.parametrize("name", ["heic", "linear_dng"])
def test_the_limits_hold_for_them_too(name: str, request, tmp_path: Path) -> None:
    path = request.getfixturevalue(name)
    with pytest.raises(LimitError, match="larger than Softmend opens"):
        import_picture(path, tmp_path / "in", limits=Limits(pixels=1000))
    assert not (tmp_path / "in").exists()


@pytest.mark.parametrize(
    ("name", "said"), [("heic", "HEIC photograph cannot be read"), ("linear_dng", "damaged")]
)
def test_half_a_file_is_refused_in_a_sentence(
    name: str, said: str, request, tmp_path: Path
) -> None:
    path = request.getfixturevalue(name)
    half = tmp_path / f"half{path.suffix}"
    half.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    with pytest.raises(InputError, match=said):
        import_picture(half, tmp_path / "in")
