"""The package as an RO-Crate: one JSON-LD file that says what every part is.

Source: ro-crate, Root Data Entity (and the appendix on BagIt, by which the payload folder of the
bag is the root of the crate).
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from softmend.exchange.package import CRATE
from softmend.records.rows import Person

CONTEXT = "https://w3id.org/ro/crate/1.2/context"
PROFILE = "https://w3id.org/ro/crate/1.2"
_FORMATS = {
    "pdf": "application/pdf",
    "jpg": "image/jpeg",
    "csv": "text/csv",
    "json": "application/json",
    "jsonl": "application/x-ndjson",
    "txt": "text/plain",
}


@dataclass(frozen=True)
class CratePart:
    """One file of the crate: its path, what it is in words, and its length."""

    path: str
    what: str
    size_bytes: int
    sha256: str


@dataclass(frozen=True)
class Crate:
    """What the crate says of itself."""

    dossier_id: str
    title: str
    description: str
    dated_on: str
    software_version: str
    people: Sequence[Person]
    parts: Sequence[CratePart]


def ro_crate_metadata(crate: Crate) -> dict[str, Any]:
    """Return the RO-Crate metadata document."""
    authors = [f"urn:uuid:{person.id}" for person in crate.people]
    root = {
        "@id": "./",
        "@type": "Dataset",
        "identifier": f"urn:uuid:{crate.dossier_id}",
        "name": crate.title,
        "description": crate.description,
        "datePublished": crate.dated_on,
        "license": {"@id": "#rights"},
        "author": [{"@id": author} for author in authors],
        "hasPart": [{"@id": part.path} for part in crate.parts],
        "mentions": [{"@id": "#packing"}],
    }
    return {
        "@context": CONTEXT,
        "@graph": [
            {
                "@id": CRATE,
                "@type": "CreativeWork",
                "conformsTo": {"@id": PROFILE},
                "about": {"@id": "./"},
            },
            root,
            *(_file(part) for part in crate.parts),
            *(_person(person) for person in crate.people),
            *_said_of_all(crate),
        ],
    }


def _file(part: CratePart) -> dict[str, Any]:
    said = {
        "@id": part.path,
        "@type": "File",
        "name": part.what,
        "contentSize": str(part.size_bytes),
        "sha256": part.sha256,
    }
    known = _FORMATS.get(part.path.rpartition(".")[2])
    return {**said, "encodingFormat": known} if known else said


def _person(person: Person) -> dict[str, Any]:
    return {
        "@id": f"urn:uuid:{person.id}",
        "@type": "Person",
        "name": person.name or "name erased",
    }


def _said_of_all(crate: Crate) -> list[dict[str, Any]]:
    return [
        {
            "@id": "#rights",
            "@type": "CreativeWork",
            "name": "Rights are not stated",
            "description": "The dossier says nothing of rights: ask its owner before any use.",
        },
        {
            "@id": "#softmend",
            "@type": "SoftwareApplication",
            "name": "Softmend",
            "version": crate.software_version,
        },
        {
            "@id": "#packing",
            "@type": "CreateAction",
            "name": "Packing of the dossier",
            "instrument": {"@id": "#softmend"},
            "result": {"@id": "./"},
        },
    ]
