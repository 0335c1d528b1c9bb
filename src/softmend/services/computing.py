"""Computations on files: what a `_file` field names, a path or a kept file, is decoded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from softmend.services.bench import Bench

Decoder = Callable[[Path], Any]


def decoded_files(named: Mapping[str, str], folder: Path) -> dict[str, Any]:
    """Return what each named file holds; the paths are relative to the folder."""
    return {field: _decoder(field)(folder / name) for field, name in named.items()}


def kept_files(bench: Bench, named: Mapping[str, str]) -> dict[str, Any]:
    """Return what each named file holds; the names are the SHA-256 of kept files."""
    return {
        field: _decoder(field)(bench.store.files.path(sha256)) for field, sha256 in named.items()
    }


def _picture(path: Path) -> Any:
    from softmend.intake.decode import read_picture

    return read_picture(path)


def _logger(path: Path) -> Any:
    from softmend.intake.logger import open_logger

    return open_logger(path)


def _colours(path: Path) -> Any:
    from softmend.intake.colour_file import read_colour_file

    return read_colour_file(path)


def _scan(path: Path) -> Any:
    from softmend.intake.scan import read_scan

    return read_scan(path)


# The name of a field says what its file holds; every other `_file` is a picture.
DECODERS: Mapping[str, Decoder] = {
    "logger_file": _logger,
    "readings_file": _colours,
    "lamp_file": _colours,
    "scan_file": _scan,
    "earlier_scan_file": _scan,
    "later_scan_file": _scan,
}


def _decoder(field: str) -> Decoder:
    return DECODERS.get(field, _picture)
