"""The swing that an object feels where it stands, from what was kept of its place."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.services.places.keep import kept_place_run
from softmend.services.store import Reader

CLIMATE = "climate"


@dataclass(frozen=True)
class Felt:
    """The largest fall and rise of the object's mean from its middle, and the entry of both."""

    entry_id: str
    fall: Sourced
    rise: Sourced


def felt_in(reader: Reader, dossier_id: str) -> Felt | None:
    """Return the swing that was kept, or None while nothing is, or once it is stale."""
    kept = kept_place_run(reader, dossier_id, CLIMATE)
    if kept is None:
        return None
    entry, run, stale = kept
    told = run.outputs.get("felt", {})
    if stale or "fall_percent" not in told:
        return None
    fall, rise = (_sourced(told[name], entry.id) for name in ("fall_percent", "rise_percent"))
    return Felt(entry.id, fall, rise) if fall.uncertain().typical > 0 else None


def _sourced(told: dict[str, Any], entry_id: str) -> Sourced:
    return Sourced.model_validate({**told, "origin": f"entry:{entry_id}, {told['origin']}"[:500]})
