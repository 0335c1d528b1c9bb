"""Print a dossier from the command line."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from softmend.errors import NotFoundError

if TYPE_CHECKING:
    from softmend.services.bench import Bench


def print_report(
    dossier: str,
    *,
    out: Path | None = None,
    place: str | None = None,
    crack_map: int | None = None,
    registrar: bool = False,
) -> None:
    """Print DOSSIER (its number) as an archival PDF.

    Parameters
    ----------
    dossier
        The dossier's number, as it was typed when it was opened.
    out
        The file to write; beside you, under the dossier's number, when not named.
    place
        A folder, sqlite:///FILE or postgresql://...; the usual folder when none is named.
    crack_map
        Print the one-page crack map of this view instead.
    registrar
        Print the registrar's copy, which alone tells the place and the mass.
    """
    from softmend.house import existing_house
    from softmend.services.examine import printing

    with existing_house(place) as opened:
        dossier_id = dossier_of(opened.bench, dossier)
        if crack_map is not None:
            made = printing.print_crack_map(opened.bench, dossier_id, crack_map)
        elif registrar:
            made = printing.print_registrars_report(opened.bench, dossier_id)
        else:
            made = printing.print_report(opened.bench, dossier_id)
    kept = out or Path(f"{_file_name(dossier)}.pdf")
    kept.write_bytes(made)
    print(f"Printed to {kept}")  # noqa: T201


def dossier_of(bench: Bench, number: str) -> str:
    """Return the id of the one dossier that bears a number."""
    from softmend.services.dossiers import dossier_list

    rows, _ = dossier_list(bench, number, limit=500)
    matching = [row for row in rows if number in (row.number, row.dossier_id)]
    if len(matching) == 1:
        return matching[0].dossier_id
    if matching:
        issuers = ", ".join(row.number_issued_by for row in matching)
        raise NotFoundError(
            f"Several dossiers have this number, issued by {issuers}",
            value=number,
            remedy="Use its page in the app",
        )
    raise NotFoundError(
        "There is no dossier of that number", value=number, remedy="Look at the list in the app"
    )


def _file_name(number: str) -> str:
    kept = "".join(letter if letter.isalnum() else "-" for letter in number).strip("-")
    return kept or "dossier"
