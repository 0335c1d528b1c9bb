"""The child process of an import: reads one foreign picture within limits, writes into one folder.

It is started by `softmend.intake.decode`, gets its order as one line of JSON on standard input and
answers in lines of JSON on standard output: the stages it reaches, then facts or a refusal.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import errno
import json
import math
import os
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

from softmend.errors import InputError, LimitError, NoSpaceError, SoftmendError
from softmend.intake.camera import NO_CAMERA
from softmend.intake.canonical import Pixels, write_canonical
from softmend.intake.child_said import refusal_said, say
from softmend.intake.facts import PictureFacts
from softmend.intake.header import Header, open_picture, read_header
from softmend.intake.layout import CANONICAL_NAME, TILE_FOLDER
from softmend.intake.limits import Limits
from softmend.intake.pixels import Decoded, decode
from softmend.intake.profile import NO_PROFILE, SRGB, profile_label
from softmend.intake.raw import is_raw_tiff
from softmend.intake.sniff import Kind, named_otherwise, refusal, sniff_file
from softmend.intake.tiles import write_first_levels
from softmend.intake.whole import check_strips, check_whole

Tell = Callable[[dict[str, Any]], None]

_TOO_MUCH_MEMORY = LimitError(
    "the picture needs more memory than an import may use",
    remedy="export a smaller copy, or bring it in as several parts",
)
_UNREADABLE = InputError(
    "the picture cannot be decoded: the file is damaged or of a rare kind",
    remedy="copy it again from the camera or card, or export it as JPEG, PNG or plain TIFF",
)
_DISK_FULL = NoSpaceError("the disk is full; nothing was saved", remedy="free some space and retry")


def main() -> None:
    """Carry out the order on standard input and answer with facts or a refusal."""
    order = json.loads(sys.stdin.readline())
    limits = Limits(**order["limits"])
    _bound(limits)
    say(outcome(Path(order["source"]), Path(order["folder"]), limits, say))


def outcome(source: Path, folder: Path, limits: Limits, tell: Tell) -> dict[str, Any]:
    """Return the last word on a picture: its facts, or a refusal in one sentence.

    The stages it reaches on the way are told. Nothing that a foreign file does is raised.
    """
    try:
        return {"facts": _import(source, folder, limits, tell).as_plain()}
    except SoftmendError as refused:
        return _refusal(refused, refused.__cause__)
    except MemoryError as error:
        return _refusal(_TOO_MUCH_MEMORY, error)
    except OSError as error:
        full = error.errno in {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
        return _refusal(_DISK_FULL if full else _UNREADABLE, error)
    # This is the wall between foreign bytes and the house: whatever a decoder stumbles over ends
    # as one sentence, and the whole story goes to standard error.
    except Exception as error:
        return _refusal(_UNREADABLE, error)


def _import(source: Path, folder: Path, limits: Limits, tell: Tell) -> PictureFacts:
    sniffed = sniff_file(source)
    if not sniffed.is_picture:
        raise refusal(source, sniffed)
    tell({"stage": "header", "share": 0.05})
    header = _header(source, sniffed.kind, limits)
    limits.check_memory(header.memory_bytes())
    pixels = header.width * header.height
    _allow_cpu(limits.cpu_seconds(pixels))
    tell({"stage": "pixels", "share": 0.1, "pixels": pixels})
    decoded = _decoded(source, header)
    facts = _facts(source, header, decoded)
    tell({"stage": "canonical copy", "share": 0.5})
    write_canonical(folder / CANONICAL_NAME, decoded.pixels, decoded.profile)
    tell({"stage": "first tiles", "share": 0.8})
    write_first_levels(decoded.pixels, decoded.profile, folder / TILE_FOLDER)
    return facts


def _header(source: Path, kind: Kind, limits: Limits) -> Header:
    if kind is Kind.HEIC:
        from softmend.intake.heic import heic_header

        return heic_header(source, limits)
    if kind is Kind.RAW or (kind is Kind.TIFF and is_raw_tiff(source)):
        from softmend.intake.raw import raw_header

        return raw_header(source, limits)
    check_whole(source, kind, limits)
    with open_picture(source, kind) as image:
        header = read_header(image, kind, limits)
        check_strips(image, source)
    return header


def _decoded(source: Path, header: Header) -> Decoded:
    if header.kind is Kind.HEIC:
        from softmend.intake.heic import decode_heic

        return decode_heic(source, header)
    if header.kind is Kind.RAW:
        from softmend.intake.raw import decode_raw

        return decode_raw(source)
    return decode(source, header)


def _facts(source: Path, header: Header, decoded: Decoded) -> PictureFacts:
    notes, camera = list(decoded.notes), decoded.camera
    profile_name = profile_label(decoded.profile) if decoded.profile else None
    if profile_name is None and camera.says_srgb:
        profile_name = SRGB
    if profile_name is None and decoded.pixels.ndim == 3 and not header.has_profile:
        notes.append(NO_PROFILE)
    if header.kind is Kind.JPEG and camera.maker is None and camera.model is None:
        notes.append(NO_CAMERA)
    if header.has_more_pages:
        notes.append("only the first of its pages was taken")
    if named_otherwise(source, header.kind):
        notes.append(f"named {source.suffix}, but the file is a {header.kind}")
    notes.extend(_depth_note(decoded.pixels))
    return PictureFacts(
        width=decoded.pixels.shape[1],
        height=decoded.pixels.shape[0],
        bits=decoded.pixels.dtype.itemsize * 8,
        channels=1 if decoded.pixels.ndim == 2 else 3,
        kind=str(header.kind),
        profile_name=profile_name,
        was_turned=decoded.was_turned,
        camera=camera,
        notes=tuple(notes),
    )


def _depth_note(pixels: Pixels) -> list[str]:
    """Return a warning where 16-bit numbers use so few steps that the picture looks black."""
    brightest = int(pixels.max())
    if pixels.dtype.itemsize == 1 or brightest >= 1 << 14:
        return []
    return [f"looks dark: its values reach only {brightest} of 65535"]


def _bound(limits: Limits) -> None:
    """Take away from this process what a picture never needs; Windows has no such limits."""
    if sys.platform == "win32":
        return
    import resource

    memory = limits.memory_bytes
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    most = math.ceil(limits.cpu_seconds(limits.pixels)) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(limits.cpu_s), most))


def _allow_cpu(seconds: float) -> None:
    """Raise the soft limit of processor time once the header has shown how large the work is."""
    if sys.platform == "win32":
        return
    import resource

    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (min(math.ceil(seconds), hard), hard))


def _refusal(refused: SoftmendError, cause: BaseException | None) -> dict[str, Any]:
    if cause is not None:
        traceback.print_exception(cause, file=sys.stderr)
    return refusal_said(refused)


if __name__ == "__main__":
    main()
    # Tearing down an interpreter that holds a gigabyte takes longer than leaving it to the system.
    os._exit(0)
