"""Named arrays that Softmend itself wrote: kept beside a file that they can be made from again."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray


def keep_arrays(path: Path, named: Mapping[str, NDArray[Any]]) -> None:
    """Write named arrays; where the file stands, it is whole."""
    unfinished = path.with_suffix(".part.npz")
    arrays: dict[str, Any] = dict(named)
    np.savez(unfinished, **arrays)
    unfinished.rename(path)


def kept_arrays(path: Path) -> dict[str, NDArray[Any]]:
    """Return the arrays of a file; nothing but numbers and texts is ever read from it."""
    with np.load(path, allow_pickle=False) as kept:
        return {name: kept[name] for name in kept.files}
