"""What will take it off: my shelf first, single solvents first, a blend only where it gains."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from softmend.pictures.red_strip import StripRow, strip_size, strip_svg, strip_words
from softmend.records.entry import Entry
from softmend.records.spot_test import Share
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.legal_flags import today_at
from softmend.services.propose.removing_gate import agent_payload, object_facts
from softmend.services.propose.spot_tests import spot_tests_in
from softmend.services.propose.spot_tests_answer import spot_answers, spot_payload
from softmend.services.propose.spot_tests_words import agent_said
from softmend.services.runs import record_run
from softmend.services.store import Reader
from softmend.tables import table
from softmend.tables.solvency import coatings

BLENDS, DRIFT, POSITION = "solvency.blends", "solvency.drift", "solvency.blend_position"
MOST_STRIPS, MOST_SHELF = 4, 30


@dataclass(frozen=True)
class Strip:
    """How near one agent stays to a coating as it dries: drawing, words, what remains."""

    agent: str
    svg: str
    size: tuple[float, float]
    words: str
    text: str
    ends_as: str


@dataclass(frozen=True)
class Off:
    """What will take it off as it is shown."""

    answer: Outcome
    against: str
    strips: tuple[Strip, ...]
    keep: tuple[str, ...]
    on_shelf: bool
    payload: dict[str, Any]


def keep_names() -> list[str]:
    """Return the layers that may have to stay, in the table's order."""
    return [str(row["layer"]) for row in table("keep_layers").rows]


def class_names() -> list[tuple[str, str]]:
    """Return each class of coating: its id and its name."""
    return [(str(row["id"]), str(row["name"])) for row in coatings() if row["id"] != "other"]


def off_payload(
    reader: Reader,
    dossier_id: str,
    today: date,
    keep: Sequence[str] = (),
    clearance_step: str = "",
) -> tuple[dict[str, Any], bool]:
    """Return what the dossier supplies to the search, and whether the house has a shelf."""
    spot, _, agents, has_shelf = spot_payload(reader, dossier_id, today)
    shelf = [{"solvent": one.solvent_id} for one in agents][:MOST_SHELF]
    known = keep_names()
    payload = {
        "tests": spot["tests"],
        "shelf": shelf,
        "keep": [{"layer": one} for one in keep if one in known],
        "clearance_step": clearance_step,
        "object": spot["object"],
    }
    return payload, has_shelf


def what_takes_it_off(
    reader: Reader,
    dossier_id: str,
    today: date,
    keep: Sequence[str] = (),
    clearance_step: str = "",
    against: str = "",
) -> Off:
    """Return single solvents, blends that gain, what was refused, and strips of the first few."""
    payload, has_shelf = off_payload(reader, dossier_id, today, keep, clearance_step)
    answer = outcome(BLENDS, payload)
    likeliest = spot_answers(reader, dossier_id, today).best_class
    chosen = against or first_of_class(likeliest)
    listed = [*answer["singles"][: MOST_STRIPS - 1], *answer["blends"][:2]]
    strips = tuple(strip_of(one["agent"], chosen, payload["object"]) for one in listed)
    names = dict(class_names())
    return Off(
        answer=answer,
        against=names.get(chosen, chosen),
        strips=strips,
        keep=tuple(one["layer"] for one in payload["keep"]),
        on_shelf=has_shelf,
        payload=payload,
    )


def first_of_class(behaves_like: str) -> str:
    """Return the id of the first coating of a class, or the acrylic that the table begins with."""
    for row in coatings():
        if row["class"] == behaves_like and row["id"] != "other":
            return str(row["id"])
    return str(coatings()[0]["id"])


def shares_in(agent: str) -> list[Share]:
    """Return the shares of an agent by the name that computations give it."""
    found = []
    for part in agent.split(" + "):
        if part.endswith(" %"):
            name, _, percent = part.removesuffix(" %").rpartition(" ")
            found.append(Share(name, float(percent)))
        else:
            found.append(Share(part))
    return found


def strip_of(agent: str, coating: str, facts: dict[str, Any]) -> Strip:
    """Return the strip of one agent at 0, 25, 50 and 90 % evaporated."""
    answer = drift_of(agent, coating, facts)
    rows = [_row(one) for one in answer["stages"]]
    return Strip(
        agent=agent,
        svg=strip_svg(rows),
        size=strip_size(rows),
        words=strip_words(agent_said(agent), dict(class_names()).get(coating, coating), rows),
        text=answer["text"],
        ends_as=agent_said(answer["ends_as"]),
    )


def drift_of(agent: str, coating: str, facts: dict[str, Any]) -> Outcome:
    """Return an agent as it dries, against one coating."""
    asked = agent_payload(shares_in(agent))
    return outcome(DRIFT, {**asked, "coating": {"name": coating}, "object": facts})


def tried_blend(
    reader: Reader, dossier_id: str, shares: Sequence[Share], coating: str
) -> tuple[Outcome, Strip]:
    """Return where a blend that a person tries out lies, whether it mixes, and how it dries."""
    facts = object_facts(reader, dossier_id)
    agent = agent_payload(shares)
    position = outcome(POSITION, {**agent, "coating": {"name": coating}, "object": facts})
    return position, strip_of(position["agent"], coating, facts)


def keep_off(
    bench: Bench,
    author: Author,
    dossier_id: str,
    keep: Sequence[str] = (),
    clearance_step: str = "",
) -> Entry:
    """Keep what will take it off as a run, for the proposal and its Workings."""
    with bench.store.reading() as reader:
        payload, _ = off_payload(reader, dossier_id, today_at(bench), keep, clearance_step)
        read = tuple(entry.id for entry, _ in spot_tests_in(reader, dossier_id))
    return record_run(
        bench, author, dossier_id, computation=BLENDS, inputs=payload,
        outputs=outcome(BLENDS, payload), read_entry_ids=read,
        tables=("coating_classes", "solvents", "solvent_hansen", "solvent_vapour", "keep_layers",
                "miscible_pairs", "exposure_limits", "substrate_harm"),
    )  # fmt: skip


def _row(stage: Outcome) -> StripRow:
    near = stage["relative_distance"]
    left = ", ".join(
        f"{agent_said(one['solvent'])} {one['volume_percent']:.0f} %"
        for one in stage["left"]
        if one["volume_percent"] >= 0.5
    )
    return StripRow(stage["gone_percent"], left, near["low"], near["typical"], near["high"])
