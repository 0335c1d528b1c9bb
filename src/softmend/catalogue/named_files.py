"""The files that the inputs of a computation name, wherever they stand."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


def files_named(payload: Any) -> dict[str, str]:
    """Return every field of plain data whose name ends in `_file`, and the file that it names."""
    found: dict[str, str] = {}
    if isinstance(payload, Mapping):
        for name, value in payload.items():
            if name.endswith("_file") and isinstance(value, str):
                found[name] = value
            else:
                found |= files_named(value)
    elif isinstance(payload, list):
        for value in payload:
            found |= files_named(value)
    return found
