"""A BagIt bag written straight into a ZIP file: streamed, and the same bytes every time.

Source: rfc8493, sections 2.1 (bagit.txt, payload manifests) and 2.2 (bag-info, tag manifests).
The way back is `bag_reading`.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable
from typing import BinaryIO
from zipfile import ZIP_STORED, ZipFile, ZipInfo

from softmend.errors import StorageError

ALGORITHMS = ("sha256", "sha512")
DECLARATION = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
PAYLOAD = "data/"
_BLOCK = 1 << 20
_PLAIN_FILE = 0o100644 << 16
_UNIX = 3
_EARLIEST_YEAR, _LATEST_YEAR = 1980, 2107


class BagWriter:
    """Writes one bag below one folder of a ZIP file; every part is hashed as it goes by.

    Nothing is compressed: pictures and PDF are so already, and a stored byte is the same byte
    under every version of a compressor.
    """

    def __init__(self, target: BinaryIO, name: str, at: str) -> None:
        """Begin a bag of that name; `at` (an entry's time) dates every part of the ZIP file."""
        self._zip = ZipFile(target, "w", ZIP_STORED, allowZip64=True)
        self._name = name
        self._date = zip_date(at)
        self._on = at[:10]
        self._payload: dict[str, dict[str, str]] = {}
        self._tags: dict[str, dict[str, str]] = {}
        self._bytes = 0

    def __enter__(self) -> BagWriter:
        return self

    def __exit__(self, *_failed: object) -> None:
        self._zip.close()

    def add(self, path: str, data: bytes) -> str:
        """Add one part of the payload; return its SHA-256."""
        return self.add_stream(path, io.BytesIO(data), len(data))

    def add_stream(self, path: str, stream: BinaryIO, size: int) -> str:
        """Add one part of the payload block by block; return its SHA-256."""
        sums = self._write(f"{PAYLOAD}{path}", stream, size)
        self._payload[f"{PAYLOAD}{path}"] = sums
        self._bytes += size
        return sums["sha256"]

    def finish(self, info: Iterable[tuple[str, str]]) -> None:
        """Write the tag files, with what `info` says about the bag."""
        self._tag("bagit.txt", DECLARATION)
        counted = (
            ("Bagging-Date", self._on),
            ("Payload-Oxum", f"{self._bytes}.{len(self._payload)}"),
        )
        lines = [f"{name}: {one_line(value)}\n" for name, value in (*info, *counted)]
        self._tag("bag-info.txt", "".join(lines))
        for algorithm in ALGORITHMS:
            self._tag(f"manifest-{algorithm}.txt", _manifest(self._payload, algorithm))
        listed = dict(self._tags)
        for algorithm in ALGORITHMS:
            self._tag(f"tagmanifest-{algorithm}.txt", _manifest(listed, algorithm))

    def _tag(self, path: str, text: str) -> None:
        data = text.encode()
        self._tags[path] = self._write(path, io.BytesIO(data), len(data))

    def _write(self, path: str, stream: BinaryIO, size: int) -> dict[str, str]:
        part = ZipInfo(f"{self._name}/{path}", self._date)
        part.create_system, part.external_attr, part.file_size = _UNIX, _PLAIN_FILE, size
        digests = {algorithm: hashlib.new(algorithm) for algorithm in ALGORITHMS}
        written = 0
        with self._zip.open(part, "w") as target:
            while block := stream.read(_BLOCK):
                for digest in digests.values():
                    digest.update(block)
                written += target.write(block)
        if written != size:
            raise StorageError("A file changed while it was packed", value=path)
        return {algorithm: digest.hexdigest() for algorithm, digest in digests.items()}


def zip_date(at: str) -> tuple[int, int, int, int, int, int]:
    """Return an entry's time as a ZIP file keeps it: UTC, between 1980 and 2107."""
    year, month, day = (int(part) for part in at[:10].split("-"))
    hour, minute, second = (int(part) for part in at[11:19].split(":"))
    return min(max(year, _EARLIEST_YEAR), _LATEST_YEAR), month, day, hour, minute, second


def one_line(value: str) -> str:
    """Return a text as one line of bag-info."""
    return " ".join(value.split())


def _manifest(sums: dict[str, dict[str, str]], algorithm: str) -> str:
    return "".join(f"{sums[path][algorithm]}  {path}\n" for path in sorted(sums))
