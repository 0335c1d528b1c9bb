"""Computations on pictures: what a `_file` field names, a path or a kept file, is decoded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from softmend.services.bench import Bench


def decoded_pictures(named: Mapping[str, str], folder: Path) -> dict[str, Any]:
    """Return the pixels of each named picture; the paths are relative to the folder."""
    from softmend.intake.decode import read_picture

    return {field: read_picture(folder / name) for field, name in named.items()}


def kept_pictures(bench: Bench, named: Mapping[str, str]) -> dict[str, Any]:
    """Return the pixels of each named picture; the names are the SHA-256 of kept files."""
    from softmend.intake.decode import read_picture

    return {field: read_picture(bench.store.files.path(sha256)) for field, sha256 in named.items()}
