"""The commands that give a dossier away and take it back: pack, unpack."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter


def pack(
    dossier: str,
    *,
    out: Path,
    custodian: Annotated[str, Parameter(name="--for")] = "",
    names: Annotated[bool, Parameter(negative=())] = False,
    place: str | None = None,
) -> None:
    """Pack DOSSIER (its number): for everybody, or whole for a custodian who is named.

    Parameters
    ----------
    dossier
        The dossier's number, as it was typed when it was opened.
    out
        The ZIP file to make.
    custodian
        Who the whole package is for; without it place, mass and dates of movement are withheld.
    names
        Name the people who recorded, and the owner.
    place
        A folder, sqlite:///FILE or postgresql://...; the usual folder when none is named.
    """
    from softmend.cli.printing import dossier_of
    from softmend.house import existing_house
    from softmend.services.deposit.archive import pack as packed
    from softmend.services.deposit.outward import Receiver

    receiver = Receiver(" ".join(custodian.split()), with_names=names)
    with existing_house(place) as house:
        made = packed(house.bench, dossier_of(house.bench, dossier), out, _tell, receiver)
    _say(f"{made.part_count} parts are in {made.path}")
    _say(f"Its SHA-256 is {made.sha256}")
    _say(f"Its journal ends with {made.head.count}:{made.head.hash}")
    if made.withheld_count:
        _say(f"{made.withheld_count} entries are withheld. Read the report before you share it.")


def unpack(
    package: Path,
    *,
    place: str | None = None,
    only_check: Annotated[bool, Parameter(negative=())] = False,
) -> None:
    """Bring PACKAGE into a folder of dossiers, or only check it.

    Parameters
    ----------
    package
        The ZIP file that softmend packed.
    place
        A folder, sqlite:///FILE or postgresql://...; the usual folder when none is named.
    only_check
        Look at every name, sum and entry, and bring nothing in.
    """
    from softmend.services.deposit.archive import bring_in, look_into, whole_package

    if only_check:
        looked = look_into(package)
        for finding in looked.findings:
            _say(f"note    {finding.where}: {finding.what}")
        _say(f"{looked.head.count} entries and {len(looked.files)} files: sound.")
        return
    from softmend.house import opened_house

    # A folder is made only once the package is known to be sound.
    with whole_package(package, _tell) as (bag, sound), opened_house(place) as house:
        done = bring_in(house.bench, bag, sound, _tell)
    if done.was_here:
        _say("This dossier is here already, entry for entry. Nothing was done.")
    else:
        _say(f"{done.head.count} entries and {done.file_count} files are here.")


def _tell(what: str, share: float) -> None:
    # One line that is written over, so that 200 photographs do not scroll everything away.
    sys.stderr.write(f"\r{share:4.0%}  {what:<60.60}" + ("\n" if share >= 1 else ""))


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
