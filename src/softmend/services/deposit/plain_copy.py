"""A dossier as plain JSON: what stands now, and the journal's own line of hashes."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import Any

from softmend.records.canonical import canonical_json
from softmend.records.kinds import record_in
from softmend.records.payload import as_plain
from softmend.report.content import Audience, ConditionReport
from softmend.services.store import Reader

# Where an object is and what it weighs help a thief: they leave only in the registrar's copy.
WITHHELD = ("location", "mass_g", "mass_expanded_g")
WEIGHED = ("weighed_g", "weighed_expanded_g")
RUNS_OF_THE_MASS = ("solid.mass", "solid.supports", "solid.bending")
WITHHELD_KINDS = ("custody", "loan", "location")
_KEPT_WHERE = "kept_where"


def dossier_json(reader: Reader, dossier_id: str, *, for_registrar: bool = False) -> str:
    """Return the dossier as canonical JSON text; only the registrar's copy tells place and mass."""
    head = reader.head(dossier_id)
    records: dict[str, list[dict[str, Any]]] = {}
    for entry in reader.current(dossier_id):
        if entry.payload is None:
            plain: Any = "withdrawn"
        elif entry.kind in WITHHELD_KINDS and not for_registrar:
            plain = "withheld"
        else:
            plain = as_plain(record_in(entry))
            if not for_registrar:
                plain = _without_places(_without_mass(entry.kind, plain))
        records.setdefault(entry.kind, []).append(
            {"subject_id": entry.subject_id, "entry_number": entry.number, "record": plain}
        )
    return canonical_json(
        {
            "softmend_dossier": dossier_id,
            "head": {"entry_count": head.count, "hash": head.hash},
            "withheld": [] if for_registrar else _withheld(),
            "records": records,
            "journal": [
                {
                    "number": entry.number,
                    "kind": entry.kind,
                    "subject_id": entry.subject_id,
                    "at": entry.at,
                    "author_id": entry.author_id,
                    "purpose": entry.purpose,
                    "corrects": entry.corrects,
                    "payload_hash": entry.payload_hash,
                    "previous_hash": entry.previous_hash,
                    "hash": entry.hash,
                }
                for entry in reader.entries(dossier_id)
            ],
        }
    )


def carrying_copy(reader: Reader, dossier_id: str, report: ConditionReport) -> ConditionReport:
    """Return a report with the dossier's JSON, which every archival print of it carries."""
    for_registrar = report.audience is Audience.REGISTRAR
    return replace(
        report, dossier_json=dossier_json(reader, dossier_id, for_registrar=for_registrar)
    )


def _without_mass(kind: str, plain: dict[str, Any]) -> Any:
    """Return a record without what tells the object's place or its mass."""
    if kind == "run" and plain["computation"] in RUNS_OF_THE_MASS:
        return "withheld"
    lacking = {"object_head": WITHHELD, "scan_matter": WEIGHED}.get(kind, ())
    return {name: value for name, value in plain.items() if name not in lacking}


def _withheld() -> list[str]:
    return [
        *(f"object_head.{name}" for name in WITHHELD),
        *(f"scan_matter.{name}" for name in WEIGHED),
        *(f"run of {name}" for name in RUNS_OF_THE_MASS),
        *WITHHELD_KINDS,
        f"*.{_KEPT_WHERE}",
    ]


def _without_places(plain: Any) -> Any:
    """Return plain data without where bags, samples and removed matter lie."""
    if isinstance(plain, list):
        return [_without_places(item) for item in plain]
    if not isinstance(plain, dict):
        return plain
    return {name: _without_places(value) for name, value in plain.items() if name != _KEPT_WHERE}
