"""A copy in somebody's hands: the whole package made for a custodian, and logged as given."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.handover import HandOver
from softmend.services.bench import Author, Bench
from softmend.services.days import bench_day
from softmend.services.deposit.archive import Packed, pack, record_hand_over
from softmend.services.deposit.outward import Receiver


def receiver_named(to_whom: str) -> Receiver:
    """Return who a whole package is made for; a copy without a receiver is refused."""
    custodian = " ".join(to_whom.split())
    if not custodian:
        raise InputError("A copy needs a receiver", remedy="Say who has it from now on")
    return Receiver(custodian, with_names=True)


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
    receiver = receiver_named(to_whom)
    packed = pack(bench, dossier_id, out, receiver=receiver)
    log_copy(bench, author, dossier_id, packed, receiver.custodian, carried_how)
    return packed


def log_copy(
    bench: Bench, author: Author, dossier_id: str, packed: Packed, to_whom: str, carried_how: str
) -> Entry:
    """Log that a custodian has a package from today on."""
    return record_hand_over(
        bench,
        author,
        dossier_id,
        HandOver(
            to_whom=to_whom,
            package_hash=packed.sha256,
            entry_count=packed.head.count,
            head_hash=packed.head.hash,
            handed_on=bench_day(bench),
            carried_how=carried_how,
        ),
    )
