"""The lamps of bench and gallery, under which a tint is judged and matched."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from softmend.errors import InputError
from softmend.records.dossier import NOT_KNOWN


class LampPlace(Enum):
    """Where a lamp hangs."""

    BENCH = "bench"
    GALLERY = "gallery"
    BOTH = "bench and gallery"
    DAYLIGHT = "daylight"


@dataclass(frozen=True)
class Lamp:
    """One lamp of the house: of the CIE by its name, or read from a file of the house's own.

    `standard` names the lamp of the CIE's set, "" for one of the house's own; then the spectrum
    stands in `file_sha256` under `sample`.
    """

    name: str
    place: LampPlace
    standard: str = ""
    sample: str = ""
    file_name: str = NOT_KNOWN
    file_sha256: str = ""
    note: str = NOT_KNOWN

    @property
    def asked_as(self) -> str:
        """Return the name that a computation knows it by."""
        return self.standard or self.sample


def checked_lamp(lamp: Lamp) -> Lamp:
    """Return a lamp if it has a name and exactly one place where its light is told."""
    if not lamp.name.strip():
        raise InputError("A lamp needs a name", remedy="For example: gallery 2, warm LED")
    if bool(lamp.standard) == bool(lamp.file_sha256 and lamp.sample):
        raise InputError(
            f"The light of “{lamp.name}” is not told, or told twice",
            allowed="a lamp of the CIE's set, or a file of your own with wavelengths and power",
        )
    return lamp
