"""Readings read once from a kept file, beside it as plain arrays, made again when lost."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Arrays = dict[str, NDArray[np.float64]]


def keep_arrays(folder: Path, name: str, arrays: Arrays) -> None:
    """Keep arrays under a name; a half-written file is never seen."""
    path = folder / f"{name}.{os.getpid()}.npz"
    with path.open("wb") as stream:
        # The types of savez take every name for its one switch.
        save: Any = np.savez
        save(stream, **arrays)
    path.replace(folder / f"{name}.npz")


def kept_arrays(folder: Path, name: str) -> Arrays | None:
    """Return arrays that were kept, or None when they are not there or cannot be read."""
    try:
        with np.load(folder / f"{name}.npz", allow_pickle=False) as kept:
            return {key: kept[key] for key in kept.files}
    except (OSError, ValueError, EOFError):
        return None


def keep_answer(folder: Path, name: str, answer: Any) -> None:
    """Keep an answer as JSON under a name."""
    path = folder / f"{name}.{os.getpid()}.json"
    path.write_text(json.dumps(answer), "utf-8")
    path.replace(folder / f"{name}.json")


def kept_answer(folder: Path, name: str) -> Any:
    """Return an answer that was kept, or None."""
    try:
        return json.loads((folder / f"{name}.json").read_text("utf-8"))
    except (OSError, ValueError):
        return None


def has_answer(folder: Path, name: str) -> bool:
    """Say whether an answer is kept under a name."""
    return (folder / f"{name}.json").is_file()


def joined(parts: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    """Return arrays one after the other."""
    return np.concatenate(parts)


def numbers(*values: float) -> NDArray[np.float64]:
    """Return a few numbers as an array."""
    return np.array(values, dtype=np.float64)


def nothing_read(count: int) -> NDArray[np.float64]:
    """Return as many missing readings."""
    return np.full(count, np.nan)
