"""A dossier with 200 photographs packs with progress, in memory that its size does not set."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import subprocess
import sys

PHOTOGRAPHS = 200
PAPER_BYTES = 400_000_000

# A process of its own: the peak of one that ran other tests before says nothing.
PACK = f"""
import json, resource, sys
from pathlib import Path
from softmend.house import opened_house
from softmend.records.view import Paper
from softmend.services.deposit.archive import pack, unpack
from softmend.services.deposit.outward import Receiver
from softmend.services.examine.views import attach_paper
from tests.services.deposit_sample import author_at, opened_dossier, photograph

def peak_mb():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

folder, told = Path(sys.argv[1]), []
with opened_house(folder / "house") as house:
    author = author_at(house.bench)
    dossier_id = opened_dossier(house.bench, author)
    for number in range(1, {PHOTOGRAPHS} + 1):
        photograph(house.bench, author, dossier_id, number)
    with (folder / "large").open("wb") as large:
        large.truncate({PAPER_BYTES})
    attach_paper(house.bench, author, dossier_id, folder / "large", Paper(0, "large", "", 0, "x"))
    before = peak_mb()
    packed = pack(house.bench, dossier_id, folder / "package.zip",
                  lambda what, share: told.append(what), Receiver("an archive"))
    with opened_house(folder / "other") as other:
        unpacked = unpack(other.bench, packed.path)
print(json.dumps({{"grown_mb": peak_mb() - before, "told": told,
                  "bytes": packed.path.stat().st_size, "files": unpacked.file_count}}))
"""


def test_200_photographs_pack_and_unpack_with_progress_in_bounded_memory(tmp_path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", PACK, str(tmp_path)], capture_output=True, text=True, check=True
    )
    answer = json.loads(done.stdout)
    assert answer["bytes"] > PAPER_BYTES
    assert answer["files"] == 2 * PHOTOGRAPHS + 1
    # Beside the pictures of the report nothing grows: not the 400 MB of the attached file.
    assert answer["grown_mb"] < 300
    said = [what for what in answer["told"] if what.startswith("photograph")]
    assert said == [f"photograph {done} of {PHOTOGRAPHS}" for done in range(1, PHOTOGRAPHS + 1)]
