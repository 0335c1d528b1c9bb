"""Pixels of a foreign picture: upright, 8 or 16 bit, grey or RGB; nothing is resampled.

Only the child process of an import calls this module.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import struct
import sys
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile

from softmend.errors import InputError
from softmend.intake.camera import DAMAGED_EXIF, camera_facts
from softmend.intake.canonical import Pixels
from softmend.intake.facts import CameraFacts
from softmend.intake.header import Header, open_picture, raw_mode, turn_of
from softmend.intake.profile import DAMAGED_PROFILE, profile_mode, rgb_from_cmyk, srgb_profile

Array = NDArray[Any]

_ROWS_AT_ONCE = 256
_WHITE_IS_ZERO = 0
_PHOTOMETRIC = 262
_OUT_OF_MEMORY = "out of memory"

ON_WHITE = "transparent parts are shown on white"
CMYK_BY_PROFILE = "CMYK for print, converted to RGB with its own profile"
CMYK_PLAIN = "CMYK for print without a profile, converted plainly: colours are approximate"
CMYK_CUT = "its 16 bits a channel became 8 in the conversion from CMYK"

_TURN: dict[int, Callable[[Array], Array]] = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.swapaxes(0, 1),
    6: lambda a: np.rot90(a, -1),
    7: lambda a: a[::-1, ::-1].swapaxes(0, 1),
    8: lambda a: np.rot90(a, 1),
}
_TURN_BACK = {6: 8, 8: 6}


@dataclass(frozen=True, slots=True)
class Decoded:
    """Upright pixels with the profile that fits them, and what was done in plain words."""

    pixels: Pixels
    profile: bytes | None
    notes: list[str] = field(default_factory=list)
    was_turned: bool = False
    camera: CameraFacts = field(default_factory=CameraFacts)


def decode(path: Path, header: Header) -> Decoded:
    """Return the pixels of a picture whose header was read and found within the limits."""
    with open_picture(path, header.kind) as image:
        if header.mode == "CMYK":
            decoded = _from_cmyk(image, header)
        elif header.bits > 8:
            decoded = _sixteen(path, image, header)
        else:
            decoded = _eight(image)
        return _with_camera(image, header, _with_profile(image, decoded))


def _eight(image: ImageFile.ImageFile) -> Decoded:
    _load(image)
    turn = turn_of(image)
    plain, notes = _plain(image)
    return Decoded(_copied(plain, turn), None, notes)


def _plain(image: Image.Image) -> tuple[Image.Image, list[str]]:
    """Return an 8-bit picture as L or RGB."""
    if image.mode in {"P", "PA"}:
        image = image.convert("RGBA" if _is_see_through(image) else "RGB")
    if image.mode in {"LA", "La", "RGBA", "RGBa"}:
        image = image.convert({"La": "LA", "RGBa": "RGBA"}.get(image.mode, image.mode))
        alpha = image.getchannel("A")
        solid = image.convert(image.mode[:-1])
        if alpha.getextrema()[0] == 255:
            return solid, []
        ground = Image.new(solid.mode, solid.size, "white")
        ground.paste(solid, mask=alpha)
        return ground, [ON_WHITE]
    if image.mode in {"RGB", "L"}:
        return image, []
    if image.mode in {"1", "RGBX", "YCbCr"}:
        return image.convert("L" if image.mode == "1" else "RGB"), []
    raise _odd_colours(image.mode)


def _is_see_through(image: Image.Image) -> bool:
    return image.mode == "PA" or "transparency" in image.info


def _from_cmyk(image: ImageFile.ImageFile, header: Header) -> Decoded:
    _load(image)
    turn, profile = turn_of(image), image.info.get("icc_profile")
    notes = [CMYK_CUT] if header.bits > 8 else []
    if profile and profile_mode(profile) == "CMYK":
        converted = rgb_from_cmyk(image, profile)
        notes.insert(0, CMYK_BY_PROFILE)
    else:
        converted = image.convert("RGB")
        notes.insert(0, CMYK_PLAIN)
    return Decoded(_copied(converted, turn), srgb_profile(), notes)


def _sixteen(path: Path, image: ImageFile.ImageFile, header: Header) -> Decoded:
    if header.bits > 16:
        raise _odd_colours(f"{header.bits} bits a channel")
    if header.is_planar and header.mode != "I;16":
        return Decoded(_planar(path, header), None)
    raw = {raw_mode(tile) for tile in image.tile}
    if image.mode.startswith("I;16"):
        return _sixteen_grey(image, header)
    if raw == {"LA;16B"}:
        return _sixteen_grey_alpha(image)
    if image.mode in {"RGB", "RGBA", "RGBX"} and all(";16" in mode for mode in raw):
        return _sixteen_colour(path, image, header)
    raise _odd_colours(image.mode)


def _sixteen_grey(image: ImageFile.ImageFile, header: Header) -> Decoded:
    _load(image)
    pixels = _copied(image, turn_of(image), np.uint16)
    tags = getattr(image, "tag_v2", {})
    if tags.get(_PHOTOMETRIC) == _WHITE_IS_ZERO:
        pixels = np.asarray((1 << header.bits) - 1, np.uint16) - pixels
    return Decoded(pixels, None)


def _sixteen_grey_alpha(image: ImageFile.ImageFile) -> Decoded:
    """Read the four bytes of grey and alpha as if they were four channels, and join them."""
    image.tile = [tile._replace(args="RGBA") for tile in image.tile]
    _load(image)
    four = _copied(image, turn_of(image)).astype(np.uint16)
    grey_alpha = four[..., 0::2] << 8 | four[..., 1::2]
    return _on_white(grey_alpha, is_premultiplied=False)


def _sixteen_colour(path: Path, image: ImageFile.ImageFile, header: Header) -> Decoded:
    """Read the picture twice: Pillow keeps one byte of two, so ask for the low, then the high.

    The byte Pillow keeps is the one its raw mode calls the high one; a raw mode of the other byte
    order therefore hands out the low ones, exactly.
    """
    pixels = _low_bytes(path, header)
    is_premultiplied = any(raw_mode(tile).startswith("RGBa") for tile in image.tile)
    image.tile = [_with_raw(tile, _straight(raw_mode(tile))) for tile in image.tile]
    _load(image)
    stored = _as_stored(pixels, turn_of(image))
    for top, band in _bands(image):
        stored[top : top + len(band)] |= band.astype(np.uint16) << 8
    if image.mode == "RGBA":
        return _on_white(pixels, is_premultiplied=is_premultiplied)
    return Decoded(np.ascontiguousarray(pixels[..., :3]), None)


def _low_bytes(path: Path, header: Header) -> Any:
    """Return the low byte of every sample, upright, as 16-bit numbers."""
    with open_picture(path, header.kind) as image:
        orders = [_other_order(_straight(raw_mode(tile))) for tile in image.tile]
        image.tile = [_with_raw(*pair) for pair in zip(image.tile, orders, strict=True)]
        _load(image)
        return _copied(image, turn_of(image), np.uint16)


def _straight(raw: str) -> str:
    """Return the raw mode that hands out premultiplied colours as they are stored."""
    return raw.replace("RGBa", "RGBA")


def _other_order(raw: str) -> str:
    """Return the raw mode that keeps the other byte of each sample.

    >>> _other_order("RGB;16B")
    'RGB;16L'
    """
    order = raw[-1]
    if order == "N":
        order = "L" if sys.byteorder == "little" else "B"
    return raw[:-1] + ("B" if order == "L" else "L")


def _with_raw(tile: ImageFile._Tile, raw: str) -> ImageFile._Tile:
    arguments = (raw, *tile.args[1:]) if isinstance(tile.args, tuple) else raw
    return tile._replace(args=arguments)


def _on_white(pixels: Array, *, is_premultiplied: bool) -> Decoded:
    """Return 16-bit colours laid on white by their last channel, the alpha."""
    colours = np.empty((*pixels.shape[:2], pixels.shape[2] - 1), np.uint16)
    for top in range(0, len(pixels), _ROWS_AT_ONCE):
        band = pixels[top : top + _ROWS_AT_ONCE]
        share = band[..., -1:].astype(np.float32) / 65535
        laid = band[..., :-1] * (1 if is_premultiplied else share) + 65535 * (1 - share)
        colours[top : top + _ROWS_AT_ONCE] = np.clip(np.rint(laid), 0, 65535)
    notes = [ON_WHITE] if int(pixels[..., -1].min()) < 65535 else []
    return Decoded(colours[..., 0] if colours.shape[2] == 1 else colours, None, notes)


def _planar(path: Path, header: Header) -> Pixels:
    """Return 16-bit pixels stored one colour after another, which Pillow does not read right."""
    import tifffile

    try:
        planes = np.asarray(tifffile.imread(path, key=0))
    except (ValueError, tifffile.TiffFileError, struct.error, zlib.error) as error:
        raise InputError(
            "the TIFF stores its colours one after another in a way that is not read here",
            remedy="save it anew as 16-bit TIFF with interleaved channels",
        ) from error
    if planes.ndim != 3 or planes.dtype != np.uint16:
        raise _odd_colours(str(planes.dtype))
    channels = np.moveaxis(planes[:3], 0, -1)
    return np.ascontiguousarray(_TURN[header.orientation](channels))


def _with_profile(image: ImageFile.ImageFile, decoded: Decoded) -> Decoded:
    """Return the pixels with the file's profile where it is sound and made for their colours."""
    profile = image.info.get("icc_profile")
    if decoded.profile is not None or not profile:
        return decoded
    mode = profile_mode(profile)
    if mode == ("RGB" if decoded.pixels.ndim == 3 else "L"):
        return replace(decoded, profile=profile)
    if mode is None:
        return replace(decoded, notes=[*decoded.notes, DAMAGED_PROFILE])
    unfit = "the colour profile is made for another kind of picture and was left out"
    return replace(decoded, notes=[*decoded.notes, unfit])


def _with_camera(image: ImageFile.ImageFile, header: Header, decoded: Decoded) -> Decoded:
    """Return the pixels with the camera's record, which some PNG carry behind the pixels."""
    was_turned = header.orientation != 1 or turn_of(image) != 1
    try:
        return replace(decoded, was_turned=was_turned, camera=camera_facts(image))
    except ValueError:
        return replace(decoded, was_turned=was_turned, notes=[*decoded.notes, DAMAGED_EXIF])


def _load(image: ImageFile.ImageFile) -> None:
    try:
        image.load()
    except (OSError, SyntaxError, ValueError, EOFError, TypeError, LookupError) as error:
        if _OUT_OF_MEMORY in str(error):
            raise MemoryError from error
        raise _damaged() from error
    except (struct.error, zlib.error) as error:
        raise _damaged() from error


def _copied(image: Image.Image, turn: int, dtype: type[np.generic] = np.uint8) -> Any:
    """Return the pixels upright, copied in bands so that no second whole copy is made."""
    width, height = image.size if turn < 5 else image.size[::-1]
    channels = () if len(image.getbands()) == 1 else (len(image.getbands()),)
    upright = np.empty((height, width, *channels), dtype)
    stored = _as_stored(upright, turn)
    for top, band in _bands(image):
        stored[top : top + len(band)] = band
    return upright


def _as_stored(upright: Array, turn: int) -> Array:
    """Return a view of upright pixels in the order in which the file stores them."""
    return _TURN[_TURN_BACK.get(turn, turn)](upright)


def _bands(image: Image.Image) -> Iterator[tuple[int, Array]]:
    width, height = image.size
    for top in range(0, height, _ROWS_AT_ONCE):
        yield top, np.asarray(image.crop((0, top, width, min(top + _ROWS_AT_ONCE, height))))


def _odd_colours(mode: str) -> InputError:
    return InputError(
        "the picture's colours are stored in a way that is not read here",
        value=mode,
        allowed="grey, RGB or CMYK with 8 or 16 bits a channel",
        remedy="export it as 16-bit RGB TIFF or as JPEG",
    )


def _damaged() -> InputError:
    return InputError(
        "the picture cannot be read to its end: the file is cut off or damaged",
        remedy="copy it again from the camera, card or sender",
    )
