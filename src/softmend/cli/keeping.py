"""The commands that keep things safe: verify, backup, restore."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

if TYPE_CHECKING:
    from collections.abc import Iterable

    from softmend.records.entry import Finding
    from softmend.services.keeping import Verification

SOUND, DAMAGED = 0, 1


def verify(
    place: str | None = None, *, head: Annotated[tuple[str, ...], Parameter(negative=())] = ()
) -> int:
    """Check every entry, projection and file of a folder or database.

    Parameters
    ----------
    place
        A folder, sqlite:///FILE or postgresql://...; the usual folder when none is named.
    head
        NUMBER:HASH as a report prints it; may be given several times.
    """
    from softmend.house import existing_house
    from softmend.services.keeping import printed_head
    from softmend.services.keeping import verify as verified

    heads = [printed_head(each) for each in head]
    with existing_house(place) as house:
        return _told(verified(house.store, heads))


def backup(folder: Path, *, place: str | None = None) -> int:
    """Copy everything recorded to a new folder; a backup that was cut off goes on.

    Parameters
    ----------
    folder
        The folder to make.
    place
        A folder, sqlite:///FILE or postgresql://...; the usual folder when none is named.
    """
    from softmend.house import existing_house
    from softmend.services.backup import back_up

    with existing_house(place) as house:
        made = back_up(house.bench, folder.absolute())
    _tell(made.findings)
    _say(f"{_count(made.dossier_count, 'dossier')} and {_count(made.file_count, 'file')} are in")
    _say(f"{made.folder}")
    _say(f"The manifest's SHA-256 is {made.manifest_sha256}; note it down.")
    return DAMAGED if any(finding.is_damage for finding in made.findings) else SOUND


def restore(folder: Path, into: str) -> int:
    """Bring a backup back into an empty folder or database; verified before and afterwards.

    Parameters
    ----------
    folder
        The backup.
    into
        An empty or new folder, sqlite:///FILE or postgresql://...
    """
    from softmend.house import opened_house
    from softmend.services.backup import restore as restored

    with opened_house(into) as house:
        return _told(restored(house.store, folder))


def _told(verified: Verification) -> int:
    _tell(verified.findings)
    looked_at = (
        f"{_count(verified.dossier_count, 'dossier')}, "
        f"{_count(verified.entry_count, 'entry', 'entries')}, "
        f"{_count(verified.file_count, 'file')}"
    )
    _say(f"{looked_at}: {'sound' if verified.is_sound else 'DAMAGED'}.")
    return SOUND if verified.is_sound else DAMAGED


def _tell(findings: Iterable[Finding]) -> None:
    for finding in findings:
        mark = "DAMAGE" if finding.is_damage else "note  "
        _say(f"{mark}  {finding.where}: {finding.what}")


def _count(number: int, one: str, several: str = "") -> str:
    return f"{number} {one if number == 1 else several or one + 's'}"


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
