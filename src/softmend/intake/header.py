"""What a picture says of itself in its header, checked against the limits before any decoding.

Only the child process of an import calls this module: it opens foreign bytes with Pillow.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PIL import ExifTags, Image, ImageFile, TiffImagePlugin, UnidentifiedImageError

from softmend.errors import InputError
from softmend.intake.limits import Limits
from softmend.intake.sniff import Kind

_BITS_PER_SAMPLE = 258
_SAMPLE_FORMAT = 339
_NEW_SUBFILE_TYPE = 254
_PLANAR_CONFIGURATION = 284
_DNG_VERSION = 50706
_FLOAT_SAMPLES = 3
_BASE_BYTES = 300_000_000
_MOST_BYTES_PER_PIXEL = 20
_BYTES_PER_PIXEL = {"1": 3, "L": 2, "P": 13, "RGB": 7, "CMYK": 11, "YCbCr": 11}
_DEEP_BYTES_PER_PIXEL = {"I;16": 6, "I;16B": 6, "RGB": 10}
_TURNS = range(1, 9)


@dataclass(frozen=True, slots=True)
class Header:
    """Size of the upright picture, depth, colour mode, and whether a profile and pages follow."""

    kind: Kind
    width: int
    height: int
    bits: int
    mode: str
    orientation: int
    has_profile: bool
    has_more_pages: bool
    is_planar: bool

    def memory_bytes(self) -> int:
        """Return about how much memory decoding takes: Pillow's copy, ours, and what lies between.

        Measured on pictures of 24 and 250 megapixels, rounded up.
        """
        table = _DEEP_BYTES_PER_PIXEL if self.bits > 8 else _BYTES_PER_PIXEL
        per_pixel = 13 if self.is_planar else table.get(self.mode, _MOST_BYTES_PER_PIXEL)
        return _BASE_BYTES + per_pixel * self.width * self.height


def open_picture(path: Path, kind: Kind) -> ImageFile.ImageFile:
    """Return the picture opened lazily by the one Pillow reader for its kind."""
    # Pillow's own limit only warns between one and two times its value; ours is exact and is
    # checked by `read_header` before anything is decoded.
    Image.MAX_IMAGE_PIXELS = None
    try:
        opened = Image.open(path, formats=[kind.value.upper()])
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, TypeError) as error:
        raise (_why_not_tiff(path) if kind is Kind.TIFF else _unreadable()) from error
    if not isinstance(opened, ImageFile.ImageFile):
        raise _unreadable()
    return opened


def _why_not_tiff(path: Path) -> InputError:
    """Return the reason why Pillow does not open a TIFF, where another reader knows it."""
    import tifffile

    try:
        with tifffile.TiffFile(path) as file:
            page = file.pages[0].aspage()
            if page.sampleformat == _FLOAT_SAMPLES:
                return _floating()
            kept = f"{page.bitspersample} bits, {page.photometric}, {page.compression}"
    except Exception as error:  # whatever a broken header does to that reader, it is broken
        unreadable = _unreadable()
        unreadable.add_note(str(error))
        return unreadable
    return InputError(
        "the TIFF stores its picture in a way that is not read here",
        value=kept,
        allowed="grey, RGB or CMYK with 8 or 16 bits a channel",
        remedy="export it as 16-bit RGB TIFF or as JPEG",
    )


def read_header(image: ImageFile.ImageFile, kind: Kind, limits: Limits) -> Header:
    """Return the header of an opened picture; refuse what is too large or not a photograph."""
    limits.check_size(*image.size)
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        _check_tiff(image)
    orientation = _orientation(image)
    width, height = image.size
    if orientation >= 5 and kind is not Kind.TIFF:  # Pillow gives a TIFF's size upright already
        width, height = height, width
    return Header(
        kind=kind,
        width=width,
        height=height,
        bits=bits_per_sample(image),
        mode=image.mode,
        orientation=orientation,
        has_profile=bool(image.info.get("icc_profile")),
        has_more_pages=_has_more_pages(image),
        is_planar=_tag(image, _PLANAR_CONFIGURATION) == 2,
    )


def bits_per_sample(image: ImageFile.ImageFile) -> int:
    """Return the bits of one sample in the file, also where Pillow would cut them to eight."""
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        bits = image.tag_v2.get(_BITS_PER_SAMPLE, (1,))
        return int(max(bits) if isinstance(bits, tuple) else bits)
    return 16 if any(";16" in raw_mode(tile) for tile in image.tile) else 8


def raw_mode(tile: ImageFile._Tile) -> str:
    """Return how the samples of one tile lie in the file, in Pillow's words (`RGB;16B`)."""
    arguments = tile.args[0] if isinstance(tile.args, tuple) else tile.args
    return str(arguments)


def _check_tiff(image: TiffImagePlugin.TiffImageFile) -> None:
    reduced = int(_tag(image, _NEW_SUBFILE_TYPE) or 0) & 1
    if reduced or _tag(image, _DNG_VERSION) is not None:
        raise InputError(
            "the file is a camera's raw file, of which only a small preview could be read",
            remedy="export it as 16-bit TIFF or as JPEG and bring that in, and attach the raw file",
        )
    formats = image.tag_v2.get(_SAMPLE_FORMAT, (1,))
    if _FLOAT_SAMPLES in (formats if isinstance(formats, tuple) else (formats,)):
        raise _floating()


def _tag(image: ImageFile.ImageFile, number: int) -> int | None:
    if not isinstance(image, TiffImagePlugin.TiffImageFile):
        return None
    value = image.tag_v2.get(number)
    if isinstance(value, tuple | bytes):
        value = value[0] if value else None
    return value if isinstance(value, int) else None


def _orientation(image: ImageFile.ImageFile) -> int:
    known = {"exif", "Raw profile type exif", "xmp", "XML:com.adobe.xmp"} & image.info.keys()
    # A PNG may carry its EXIF behind the pixels; asking for it here would decode them.
    if not known and not isinstance(image, TiffImagePlugin.TiffImageFile):
        return 1
    return turn_of(image)


def turn_of(image: Image.Image) -> int:
    """Return the EXIF orientation that is still to be applied, 1 where it makes no sense."""
    if (
        "exif" not in image.info
        and isinstance(image, ImageFile.ImageFile)
        and image.format == "PNG"
    ):
        image.load()
    try:
        turn = image.getexif().get(ExifTags.Base.Orientation, 1)
    except (ValueError, TypeError, SyntaxError, KeyError, IndexError, OSError):
        return 1
    return turn if turn in _TURNS else 1


def _has_more_pages(image: ImageFile.ImageFile) -> bool:
    if isinstance(image, TiffImagePlugin.TiffImageFile):
        return bool(getattr(image.tag_v2, "next", 0))
    return image.format in {"PNG", "WEBP"} and getattr(image, "n_frames", 1) > 1


def _unreadable() -> InputError:
    return InputError(
        "the picture's header makes no sense: the file is damaged or of a rare kind",
        remedy="copy it again from the camera or card, or export it as JPEG, PNG or plain TIFF",
    )


def _floating() -> InputError:
    return InputError(
        "the picture holds floating-point numbers, not brightness in whole steps",
        allowed="8 or 16 bits a channel",
        remedy="export it as 16-bit TIFF",
    )
