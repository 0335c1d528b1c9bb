"""Computations on plain files, for the command line: what a `_file` field names is decoded."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any


def decoded_pictures(named: Mapping[str, str], folder: Path) -> dict[str, Any]:
    """Return the pixels of each named picture; the paths are relative to the folder."""
    from softmend.intake.decode import read_picture

    return {field: read_picture(folder / name) for field, name in named.items()}
