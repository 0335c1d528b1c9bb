"""A BagIt bag in a ZIP file, read with distrust: every name, size and sum is checked first.

Source: rfc8493, section 3 (a bag is valid when it is complete and every checksum is right).
The way out is `bagit`.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import re
import stat
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, cast
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from softmend.errors import InputError, LimitError
from softmend.exchange.bagit import ALGORITHMS, DECLARATION, PAYLOAD

Progress = Callable[[str, float], None]

_BLOCK = 1 << 20
_ENCRYPTED = 0x1
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*(/[A-Za-z0-9][A-Za-z0-9._-]*)+")
_SUM_LINE = re.compile(r"([0-9a-f]+) [ *](\S.*)")
_TAGS = ("bagit.txt", "bag-info.txt", *(f"manifest-{each}.txt" for each in ALGORITHMS))
_TAG_MANIFESTS = tuple(f"tagmanifest-{each}.txt" for each in ALGORITHMS)


@dataclass(frozen=True)
class BagLimits:
    """How much a bag may hold; a house may tighten it, tests do."""

    parts: int = 100_000
    total_bytes: int = 1 << 38
    text_bytes: int = 1 << 29
    ratio: int = 100
    ratio_from_bytes: int = 1 << 20


STANDARD = BagLimits()


class Bag:
    """One bag whose parts have sound names and sizes; `verify` must pass before it is believed."""

    def __init__(self, archive: ZipFile, archive_bytes: int, limits: BagLimits) -> None:
        """Look at every name and size in the archive, and read what the bag says of itself."""
        self._archive, self._limits = archive, limits
        listed = _checked_parts(archive.infolist(), limits)
        _refuse_bomb(archive.filename or "", archive_bytes, _total_bytes(listed), limits)
        self.name = next(iter(listed)).partition("/")[0]
        if any(path.partition("/")[0] != self.name for path in listed):
            raise InputError("A package holds one folder; this one holds several")
        self._parts = {path.removeprefix(f"{self.name}/"): part for path, part in listed.items()}
        for tag in (*_TAGS, *_TAG_MANIFESTS):
            if tag not in self._parts:
                raise InputError("This is not a whole package", value=f"no {tag}")
        if self._tag("bagit.txt") != DECLARATION:
            raise InputError("This bag is not of version 1.0 in UTF-8", allowed="RFC 8493")
        self.info = _read_info(self._tag("bag-info.txt"))

    @property
    def payload(self) -> list[str]:
        """Return the paths of the payload, without the folder `data`."""
        return sorted(
            path.removeprefix(PAYLOAD) for path in self._parts if path.startswith(PAYLOAD)
        )

    def size(self, path: str) -> int:
        """Return how many bytes a part of the payload says it has."""
        return self._part(path).file_size

    @contextmanager
    def stream(self, path: str) -> Iterator[BinaryIO]:
        """Open a part of the payload."""
        with self._opened(self._part(path)) as stream:
            yield stream

    @contextmanager
    def lines(self, path: str) -> Iterator[Iterable[bytes]]:
        """Open a part of the payload that is a text, line by line."""
        self._refuse_long(self._part(path))
        with self.stream(path) as stream:
            yield stream

    def verify(self, progress: Progress | None = None) -> dict[str, str]:
        """Read everything once; return each payload part's SHA-256, or say what is wrong."""
        sums = {tag: self._sums(tag) for tag in _tag_names()}
        self._refuse_unlisted(sums)
        found: dict[str, str] = {}
        total, done = sum(part.file_size for part in self._parts.values()) or 1, 0
        for path, part in self._parts.items():
            if path in _TAG_MANIFESTS:
                continue
            if progress:
                progress(path, done / total)
            family = "manifest" if path.startswith(PAYLOAD) else "tagmanifest"
            digests = self._digests(path, part)
            for algorithm, digest in digests.items():
                if sums[f"{family}-{algorithm}.txt"][path] != digest:
                    raise InputError(
                        "A part of the package is not what its manifest says",
                        value=path,
                        remedy="Fetch the package again; it was damaged or changed",
                    )
            if path.startswith(PAYLOAD):
                found[path.removeprefix(PAYLOAD)] = digests["sha256"]
            done += part.file_size
        self._refuse_wrong_count(found)
        return found

    def _refuse_unlisted(self, sums: dict[str, dict[str, str]]) -> None:
        payload = {path for path in self._parts if path.startswith(PAYLOAD)}
        tags = set(self._parts) - payload - set(_TAG_MANIFESTS)
        for tag, listed in sums.items():
            wanted = payload if tag.startswith("manifest") else tags
            for path in sorted(listed.keys() ^ wanted):
                where = "is missing" if path in listed else f"is not in {tag}"
                raise InputError(f"A part of the package {where}", value=path)

    def _refuse_wrong_count(self, found: dict[str, str]) -> None:
        counted = f"{sum(self.size(path) for path in found)}.{len(found)}"
        said = self.info.get("Payload-Oxum", counted)
        if said != counted:
            raise InputError(
                "The package does not hold as much as it says", value=counted, allowed=said
            )

    def _digests(self, path: str, part: ZipInfo) -> dict[str, str]:
        digests = {algorithm: hashlib.new(algorithm) for algorithm in ALGORITHMS}
        count = 0
        with self._opened(part) as stream:
            while block := stream.read(_BLOCK):
                count += len(block)
                for digest in digests.values():
                    digest.update(block)
        if count != part.file_size:
            raise _lying(path)
        return {algorithm: digest.hexdigest() for algorithm, digest in digests.items()}

    def _sums(self, tag: str) -> dict[str, str]:
        sums: dict[str, str] = {}
        for line in self._tag(tag).splitlines():
            parts = _SUM_LINE.fullmatch(line)
            if parts is None or parts[2] in sums:
                raise InputError("A line of a manifest cannot be read", value=f"{tag}: {line}")
            sums[parts[2]] = parts[1]
        return sums

    def _tag(self, path: str) -> str:
        part = self._parts[path]
        self._refuse_long(part)
        with self._opened(part) as stream:
            data = stream.read(part.file_size + 1)
        try:
            return data.decode()
        except UnicodeDecodeError as unread:
            raise InputError("A part of the package is not UTF-8", value=path) from unread

    def _part(self, path: str) -> ZipInfo:
        if f"{PAYLOAD}{path}" not in self._parts:
            raise InputError("A part of the package is missing", value=path)
        return self._parts[f"{PAYLOAD}{path}"]

    def _refuse_long(self, part: ZipInfo) -> None:
        if part.file_size > self._limits.text_bytes:
            raise LimitError(
                "A text in the package is too long",
                value=f"{part.filename}: {part.file_size} bytes",
                allowed=f"{self._limits.text_bytes} bytes",
            )

    @contextmanager
    def _opened(self, part: ZipInfo) -> Iterator[BinaryIO]:
        try:
            with self._archive.open(part) as stream:
                yield cast("BinaryIO", stream)
        except (
            BadZipFile,
            EOFError,
            NotImplementedError,
            OSError,
            RuntimeError,
            zlib.error,
        ) as bad:
            raise _lying(part.filename) from bad


@contextmanager
def opened_bag(path: Path, limits: BagLimits = STANDARD) -> Iterator[Bag]:
    """Open a package; nothing is unpacked, and what is not sound is refused whole."""
    try:
        archive = ZipFile(path)
    except (BadZipFile, NotImplementedError, OSError, ValueError) as unread:
        raise InputError(
            "This is not a package", value=path.name, allowed="a ZIP file that softmend packed"
        ) from unread
    with archive:
        yield Bag(archive, path.stat().st_size, limits)


def _tag_names() -> list[str]:
    return [*(f"manifest-{each}.txt" for each in ALGORITHMS), *_TAG_MANIFESTS]


def _checked_parts(parts: list[ZipInfo], limits: BagLimits) -> dict[str, ZipInfo]:
    if len(parts) > limits.parts:
        raise LimitError(
            "The package has too many parts", value=len(parts), allowed=f"{limits.parts}"
        )
    sound: dict[str, ZipInfo] = {}
    met: set[str] = set()
    for part in parts:
        _refuse_name(part)
        _refuse_link(part)
        if part.is_dir():
            continue
        # Two names that differ by case are one file on some disks.
        if part.filename.casefold() in met:
            raise InputError("The package holds one name twice", value=part.filename)
        met.add(part.filename.casefold())
        _refuse_bomb(part.filename, part.compress_size, part.file_size, limits)
        sound[part.filename] = part
    if not sound:
        raise InputError("The package is empty")
    total = _total_bytes(sound)
    if total > limits.total_bytes:
        raise LimitError(
            "The package is too large",
            value=f"{total} bytes",
            allowed=f"{limits.total_bytes} bytes",
        )
    return sound


def _total_bytes(parts: dict[str, ZipInfo]) -> int:
    return sum(part.file_size for part in parts.values())


def _refuse_name(part: ZipInfo) -> None:
    name = part.orig_filename
    steps = name.replace("\\", "/").split("/")
    if ".." in steps or name.startswith(("/", "\\")) or ":" in steps[0]:
        raise InputError("A path in the package leads out of it", value=name)
    # A folder may be listed for itself: then its name ends with a stroke.
    if not _NAME.fullmatch(f"{name}x" if name.endswith("/") else name):
        raise InputError(
            "A name in the package cannot be used",
            value=name,
            allowed="letters, digits, dot, hyphen and underscore, below one folder",
        )


def _refuse_link(part: ZipInfo) -> None:
    kind = stat.S_IFMT(part.external_attr >> 16)
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
        raise InputError("The package holds a link or a device", value=part.filename)
    if part.flag_bits & _ENCRYPTED:
        raise InputError("A part of the package is locked with a password", value=part.filename)
    if part.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
        raise InputError(
            "A part of the package is compressed in a way that is not read here",
            value=part.filename,
            allowed="stored or deflated",
        )


def _refuse_bomb(name: str, packed_bytes: int, bytes_said: int, limits: BagLimits) -> None:
    # Parts may share their packed bytes, so the whole is held against the ratio as well.
    if bytes_said > max(limits.ratio * packed_bytes, limits.ratio_from_bytes):
        raise LimitError(
            "The package grows too much when it is unpacked",
            value=f"{name}: {packed_bytes} to {bytes_said} bytes",
            allowed=f"{limits.ratio} times",
        )


def _lying(path: str) -> InputError:
    return InputError(
        "A part of the package cannot be read or is not as long as it says",
        value=path,
        remedy="Fetch the package again; it was damaged or changed",
    )


def _read_info(text: str) -> dict[str, str]:
    info: dict[str, str] = {}
    for line in text.splitlines():
        name, found, value = line.partition(": ")
        if not found or name in info:
            raise InputError("A line of bag-info.txt cannot be read", value=line)
        info[name] = value
    return info
