"""Labels of batches, solutions and bags; the QR code carries two numbers and nothing else."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.resources import as_file, files
from typing import Any

from softmend.errors import InputError
from softmend.records.batch import Batch, Ingredient
from softmend.records.dossier import NOT_KNOWN, Hazard, HazardStatus
from softmend.records.fragment import place_words
from softmend.report.label import Label
from softmend.report.wording import NO_HAZARDS
from softmend.science.digits import few_digits
from softmend.services.bench import Bench
from softmend.services.days import bench_day
from softmend.services.dossiers import opened
from softmend.services.people import names_in
from softmend.services.recording import current_record
from softmend.services.treat.batches import solution
from softmend.services.treat.fragments import ledger_of


def batch_label(bench: Bench, dossier_id: str, batch_id: str) -> bytes:
    """Return the label of a batch as a small PDF."""
    with bench.store.reading() as reader:
        entry, batch = current_record(reader, dossier_id, "batch", batch_id)
        first = reader.history("batch", batch_id)[0]
        number = opened(reader, dossier_id).dossier.number
        names = names_in(reader)
    facts = [("made", f"{batch.made_on}, {names[first.author_id]}")]
    facts += _said(("use until", batch.use_until))
    # What nobody said of a jar is said to be unknown: its hazard, and how it comes off.
    facts.append(("comes off with", batch.removal_route))
    if batch.hazard == NOT_KNOWN:
        facts.append(("hazard", NOT_KNOWN))
    return _printed(
        Label(
            title=f"Batch {batch.number} · {batch.name}",
            subtitle=f"{number} · {batch.kind.value}",
            warning="" if batch.hazard == NOT_KNOWN else batch.hazard,
            lines=tuple(made_of(batch)),
            facts=tuple(facts),
            code=f"{number} / batch {batch.number}",
            printed_at=entry.at,
        )
    )


def solution_label(bench: Bench, inputs: Mapping[str, Any], made_by: str) -> bytes:
    """Return the label of a solution that belongs to no dossier, as a small PDF."""
    made = solution(inputs)["batch"]
    if made is None:
        raise InputError("A label needs what was weighed", remedy="Give the amount that is wanted")
    percent, basis = inputs["written_percent"], inputs["basis"]
    return _printed(
        Label(
            title=f"{inputs['solute']} in {inputs['solvent']}",
            subtitle=f"{percent:g} % {basis}",
            lines=(made["instruction"],),
            facts=(("made", f"{bench_day(bench)}, {made_by}"), ("dossier", "none")),
            printed_at=bench.at(),
        )
    )


def bag_label(bench: Bench, dossier_id: str, bag_id: str) -> bytes:
    """Return the label of a bag of fragments as a small PDF."""
    with bench.store.reading() as reader:
        entry, bag = current_record(reader, dossier_id, "bag", bag_id)
        inside = ledger_of(reader, dossier_id).in_bag(bag_id)
        dossier = opened(reader, dossier_id)
        number = dossier.dossier.number
        hazards = _hazards([hazard for _, _, hazard in dossier.hazards])
    weighed = [one.mass_g for one in inside if one.mass_g is not None]
    mass = "not known"
    if weighed and len(weighed) == len(inside):
        mass = f"about {few_digits(sum(weighed), 3)} g"
    found = dict.fromkeys(f"{one.found_where}, {one.found_on}" for one in inside)
    return _printed(
        Label(
            title=f"Bag {bag.number} · {_counted(len(inside))}",
            subtitle=number,
            warning=hazards,
            lines=tuple(f"Fragment {one.number}: {place_words(one)}" for one in inside),
            facts=(
                ("mass", mass),
                ("found", "; ".join(found) or NOT_KNOWN),
                ("not placed because", bag.not_placed_because),
                ("packed", bag.packed_on),
                ("belongs in", bag.kept_where),
            ),
            code=f"{number} / bag {bag.number}",
            printed_at=entry.at,
        )
    )


def made_of(batch: Batch) -> Iterator[str]:
    """Yield what a batch was made of: as written, then each ingredient by mass."""
    if batch.written != NOT_KNOWN:
        yield batch.written
    for one in batch.ingredients:
        yield " · ".join((_weighed(one), *(text for _, text in _said(("", one.lot)))))


def _hazards(hazards: list[Hazard]) -> str:
    """Return what is present and what nobody tested, for the few lines of a label."""
    said = []
    for status in (HazardStatus.PRESENT, HazardStatus.NOT_TESTED):
        names = [one.hazard for one in hazards if one.status is status]
        if names:
            said.append(f"{status.value}: {', '.join(names)}")
    return "; ".join(said) or ("" if hazards else NO_HAZARDS)


def _counted(count: int) -> str:
    return "1 fragment" if count == 1 else f"{count} fragments"


def _weighed(one: Ingredient) -> str:
    return f"{one.name}, not weighed" if one.mass_g is None else f"{one.mass_g:.4g} g {one.name}"


def _said(*answers: tuple[str, str]) -> list[tuple[str, str]]:
    return [(name, answer) for name, answer in answers if answer != NOT_KNOWN]


def _printed(label: Label) -> bytes:
    from softmend.report.label import label_pdf

    with as_file(files("softmend.web") / "static" / "fonts") as fonts:
        return label_pdf(label, fonts)
