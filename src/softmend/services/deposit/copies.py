"""A copy in somebody's hands: the whole package made for a custodian, and logged as given."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.handover import HandOver
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.deposit.archive import Packed, pack, record_hand_over
from softmend.services.deposit.outward import Receiver


def give_copy(
    bench: Bench,
    author: Author,
    dossier_id: str,
    out: Path,
    to_whom: str,
    carried_how: str = NOT_KNOWN,
) -> Packed:
    """Pack a dossier whole for a named custodian, and log that the custodian has it.

    Nothing is logged when the package could not be made.
    """
    custodian = " ".join(to_whom.split())
    if not custodian:
        raise InputError("A copy needs a receiver", remedy="Say who has it from now on")
    packed = pack(bench, dossier_id, out, receiver=Receiver(custodian, with_names=True))
    record_hand_over(
        bench,
        author,
        dossier_id,
        HandOver(
            to_whom=custodian,
            package_hash=packed.sha256,
            entry_count=packed.head.count,
            head_hash=packed.head.hash,
            handed_on=bench_day(bench),
            carried_how=carried_how,
        ),
    )
    return packed
