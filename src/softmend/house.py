"""The house: one address becomes a store, and nothing else joins storage to the services."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from softmend.errors import NotFoundError
from softmend.records.house_forms import FILE_NAME, HouseForms
from softmend.services.bench import Bench
from softmend.services.store import Store

DATABASE_NAME = "softmend.sqlite"


@dataclass(frozen=True)
class House:
    """An open place of dossiers: where it is, its store, and a bench to work at."""

    place: str
    store: Store
    bench: Bench

    def close(self) -> None:
        """Let go of the store."""
        self.store.close()


def default_folder() -> Path:
    """Return the folder that dossiers are kept in when none is named."""
    import platformdirs

    return platformdirs.user_data_path("softmend", appauthor=False)


def open_house(place: str | Path | None = None, files_folder: Path | None = None) -> House:
    """Open a folder, sqlite:///FILE or postgresql://... and its files; made when it is new.

    Files lie beside a SQLite database; for PostgreSQL, in `files_folder` or the default folder.
    """
    from softmend.storage.store import open_store

    url, beside = address(default_folder() if place is None else place)
    store = open_store(url, files_folder or beside)
    return House(str(place or beside), store, Bench(store, forms=_forms(beside)))


def _forms(folder: Path) -> HouseForms:
    """Return the house's own headings, from the table that lies beside its database."""
    from softmend.services.house_forms import read_house_forms

    table = folder / FILE_NAME
    return read_house_forms(table.read_text(encoding="utf-8")) if table.is_file() else HouseForms()


def address(place: str | Path) -> tuple[str, Path]:
    """Return the database's URL for a folder or a URL, and the folder for its files."""
    scheme, found, rest = str(place).partition("://")
    if not found:
        folder = Path(place).expanduser().absolute()
        return f"sqlite:///{(folder / DATABASE_NAME).as_posix()}", folder
    if scheme.startswith("sqlite"):
        return str(place), Path(rest.removeprefix("/")).absolute().parent
    name = rest.partition("?")[0].rpartition("/")[2] or "postgresql"
    return str(place), default_folder() / name


@contextmanager
def opened_house(
    place: str | Path | None = None, files_folder: Path | None = None
) -> Iterator[House]:
    """Open a house, made when it is new, and close it afterwards."""
    house = open_house(place, files_folder)
    try:
        yield house
    finally:
        house.close()


@contextmanager
def existing_house(place: str | Path | None = None) -> Iterator[House]:
    """Open a house that is there already and close it afterwards; NotFoundError otherwise."""
    url, _ = address(default_folder() if place is None else place)
    scheme, _, rest = url.partition("://")
    if scheme.startswith("sqlite") and not Path(rest.removeprefix("/")).is_file():
        raise NotFoundError("There are no dossiers here", value=place or default_folder())
    with opened_house(place) as house:
        yield house
