"""Kill many times, by hand: python -m tests.kills.long_run 1000 [first seed]."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.kills.killing import ORDER, kill_and_check, place, prepare

FRESH_AFTER = 40


def main(kills: int, first_seed: int) -> None:
    """Take turns between the kinds of work; a fresh folder now and then keeps checks quick."""
    root = Path(tempfile.mkdtemp(prefix="softmend-kills-"))
    promised: Counter[str] = Counter()
    start = time.monotonic()
    for number in range(kills):
        what = ORDER[number % len(ORDER)]
        folder = root / f"{what}-{number // FRESH_AFTER // len(ORDER)}" / "house"
        if not folder.exists():
            folder.mkdir(parents=True)
            prepare(what, folder, place(folder))
        promised[what] += kill_and_check(what, folder, place(folder), first_seed + number)
        if number % 50 == 49:
            print(f"{number + 1} kills, {time.monotonic() - start:.0f} s", flush=True)
    shutil.rmtree(root)
    print(f"{kills} kills from seed {first_seed}: nothing lost, verify clean; promised {promised}")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 0)
