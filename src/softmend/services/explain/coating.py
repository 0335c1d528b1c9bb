"""A coating that lifts: what the dossier supplies to film.explain, tried out, and kept.

A coated place is a marked area of lifting or an old coating, or a zone of coating. What was said
of it stands first, then the bench's own values, then the table's row of that coating.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.errors import InputError, MissingEvidenceError, NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.coating import OF_LAYER, CoatingModel, checked_coating
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.mark import Mark, Shape
from softmend.records.zone import OnIt, OnZone
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import (
    Outcome,
    mark_quantities,
    outcome,
    scales_in,
    zone_area,
)
from softmend.services.examine.vocabulary import term
from softmend.services.explain.bench_units import unit_named
from softmend.services.explain.binding import told_value
from softmend.services.explain.binding_matter import matter_values
from softmend.services.explain.bounded import bounded
from softmend.services.explain.own_values import own_rows
from softmend.services.explain.what_if import ORIGIN
from softmend.services.recording import current_records, record_one
from softmend.services.runs import kept_run_about, record_run
from softmend.services.store import Reader
from softmend.tables.materials import materials

EXPLAIN = "film.explain"
LIFTING_TERMS = ("lifting", "flaking", "old_coating", "craze", "old_tone", "delamination")
COATED = (OnIt.COATING, OnIt.OLD_TONE)
TRIED = ("coating_thickness_um", "coating_stress_mpa", "stretch_percent")
"""What the sliders of the page change."""

WHOLE, QUICK = 20_000, 4_000
"""Draws: to show and to keep, and to try out while a hand is on a slider."""

# Field of the computation -> property of the tables, its unit at the bench.
_OF_COATING = {
    "coating_modulus_gpa": ("modulus", "GPa"),
    "coating_poisson": ("poisson", ""),
    "coating_stress_mpa": ("internal_stress", "MPa"),
    "adhesion_j_per_m2": ("practical_adhesion_energy", "J/m²"),
}
_OF_BODY = {
    "body_modulus_gpa": "modulus_gpa",
    "body_poisson": "poisson",
    "body_toughness_j_per_m2": "toughness_j_per_m2",
}


@dataclass(frozen=True)
class CoatedPlace:
    """One coated place: its mark or zone, its name as people say it, and how large it is."""

    subject_id: str
    entry_id: str
    name: str
    what: str
    size: str
    part: str


@dataclass(frozen=True)
class BoundCoating:
    """A coated place with all that the dossier supplies; `missing` is empty when it can be asked.

    `payload` is what film.explain takes; `values` holds each value that was said or is the
    bench's own, by its field.
    """

    place: CoatedPlace
    model: CoatingModel
    model_entry_id: str
    payload: Mapping[str, Any] = field(default_factory=dict)
    values: Mapping[str, Sourced] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    read_entry_ids: tuple[str, ...] = ()


def coated_places(reader: Reader, dossier_id: str) -> list[CoatedPlace]:
    """Return the places whose coating can be asked about: marked areas, then zones."""
    scales = scales_in(reader, dossier_id)
    found = []
    for entry, mark in current_records(reader, dossier_id, "mark"):
        if _is_lifting(mark):
            said = term(mark.term_id).term
            size = mark_quantities(mark, scales)[0].text
            found.append(
                CoatedPlace(
                    entry.subject_id, entry.id, f"mark {mark.number}", said, size, mark.part
                )
            )
    for entry, zone in current_records(reader, dossier_id, "on_zone"):
        checked: OnZone = zone
        if checked.on_it in COATED:
            size = zone_area(checked, scales).text
            name = f"zone Z{checked.number}"
            found.append(
                CoatedPlace(
                    entry.subject_id, entry.id, name, checked.on_it.value, size, checked.part
                )
            )
    return found


def coated_place(reader: Reader, dossier_id: str, subject_id: str) -> CoatedPlace:
    """Return one coated place; NotFoundError when nothing coated is marked there."""
    for place in coated_places(reader, dossier_id):
        if place.subject_id == subject_id:
            return place
    raise NotFoundError(
        "No coating is marked there",
        remedy="Mark the area as lifting, flaking or old coating, or draw a zone of coating",
    )


def bound_coating(
    reader: Reader, dossier_id: str, place: CoatedPlace, tried: Mapping[str, float] | None = None
) -> BoundCoating:
    """Return what the dossier supplies of one coated place; `tried` moves the middle of a value."""
    model_entry_id, model = _model_of(reader, dossier_id, place.subject_id)
    values, read = _values(reader, model)
    for name, middle in (tried or {}).items():
        values[name] = _moved(values.get(name), middle)
    payload, body_read = _payload(reader, model, values)
    missing = _missing(model, payload)
    ids = (place.entry_id, model_entry_id, *read, *body_read)
    return BoundCoating(
        place=place,
        model=model,
        model_entry_id=model_entry_id,
        payload=payload,
        values=values,
        missing=missing,
        read_entry_ids=tuple(one for one in ids if one),
    )


def explained(bound: BoundCoating, draws: int = WHOLE) -> Outcome | None:
    """Return which layer lets go, or None while something is missing that nobody can fill in."""
    if bound.missing:
        return None
    return outcome(EXPLAIN, dict(bound.payload) | ({} if draws == WHOLE else {"draws": draws}))


def say_of_coating(
    bench: Bench,
    author: Author,
    dossier_id: str,
    subject_id: str,
    model: CoatingModel,
    based_on: str,
) -> Entry:
    """Record what is said of a coated place."""
    checked = checked_coating(model)
    with bench.store.reading() as reader:
        coated_place(reader, dossier_id, subject_id)
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(subject_id),
        record=checked,
        based_on=based_on,
    )


def keep_coating(bench: Bench, author: Author, dossier_id: str, subject_id: str) -> Entry:
    """Keep which layer lets go as a run, with all that it read."""
    with bench.store.reading() as reader:
        place = coated_place(reader, dossier_id, subject_id)
        bound = bound_coating(reader, dossier_id, place)
    answer = explained(bound)
    if answer is None or answer["answer"] == "cannot say":
        raise MissingEvidenceError(
            "Nothing can be kept of this coating yet",
            remedy=" ".join(bound.missing or (answer or {}).get("reasons", ())),
        )
    return record_run(
        bench,
        author,
        dossier_id,
        computation=EXPLAIN,
        inputs=dict(bound.payload),
        outputs=answer,
        read_entry_ids=bound.read_entry_ids,
        about=subject_id,
        tables=("materials",),
    )


def kept_coating(reader: Reader, dossier_id: str, subject_id: str) -> tuple[Entry, Run, str] | None:
    """Return the kept run of one coated place and why it is stale, or None."""
    return kept_run_about(reader, dossier_id, EXPLAIN, subject_id)


def middle_of(bound: BoundCoating, name: str) -> float | None:
    """Return the middle of a value that a slider changes, or None when it is not known."""
    value = bound.values.get(name)
    return None if value is None else value.uncertain().typical


def _is_lifting(mark: Mark) -> bool:
    return mark.term_id in LIFTING_TERMS and mark.sightings[0].geometry.shape is Shape.AREA


def _model_of(reader: Reader, dossier_id: str, subject_id: str) -> tuple[str, CoatingModel]:
    for entry, model in current_records(reader, dossier_id, "coating_model"):
        if entry.subject_id == _subject(subject_id):
            return entry.id, model
    return "", CoatingModel()


def _values(reader: Reader, model: CoatingModel) -> tuple[dict[str, Sourced], list[str]]:
    """Return each value that was said, else the bench's own, else the table's for a slider."""
    from softmend.catalogue.material import sourced
    from softmend.tables.materials import material_value

    values: dict[str, Sourced] = {}
    read: list[str] = []
    for name, (wanted, unit_text) in _OF_COATING.items():
        unit = unit_named(wanted, unit_text)
        own = own_rows(reader, model.coating, wanted) if model.coating != NOT_KNOWN else []
        if own:
            values[name] = bounded(name, own[0].sourced(unit))
            read.append(own[0].entry_id)
        elif model.coating in materials("coating"):
            row = material_value(model.coating, wanted)
            if row is not None:
                values[name] = sourced(row, 1 / unit.factor)
    for name in (*TRIED, *_OF_COATING, "coating_toughness_j_per_m2", "lasting_share"):
        told: Told | None = getattr(model, name)
        if told is not None:
            values[name] = bounded(name, told_value(told))
    return values, read


def _payload(
    reader: Reader, model: CoatingModel, values: Mapping[str, Sourced]
) -> tuple[dict[str, Any], tuple[str, ...]]:
    payload: dict[str, Any] = {name: _plain(value) for name, value in values.items()}
    if model.coating in materials("coating"):
        payload["coating"] = model.coating
    layer = _layer(model)
    payload["layers"] = [] if layer is None else [layer]
    payload["seen_under_flakes"] = model.seen_under_flakes.value
    body: dict[str, Any] = {}
    read: tuple[str, ...] = ()
    if NOT_KNOWN not in (model.body, model.preservation):
        found, read = matter_values(reader, model.body, model.preservation)
        for name in ("modulus_gpa", "poisson", "toughness_mpa_m05"):
            if name in found:
                body[name] = _plain(bounded(name, found[name]))
    for ours, name in _OF_BODY.items():
        told: Told | None = getattr(model, ours)
        if told is not None:
            body[name] = _plain(bounded(name, told_value(told)))
    payload["body"] = body
    return payload, read


def _layer(model: CoatingModel) -> dict[str, Any] | None:
    if model.layer == NOT_KNOWN:
        return None
    told = {name: getattr(model, name) for name in OF_LAYER}
    if any(value is None for value in told.values()):
        return None
    return {
        "name": model.layer,
        **{
            short: _plain(bounded(short, told_value(one)))
            for short, one in ((name.removeprefix("layer_"), one) for name, one in told.items())
        },
    }


def _missing(model: CoatingModel, payload: Mapping[str, Any]) -> tuple[str, ...]:
    found = []
    if model.coating == NOT_KNOWN:
        found.append("What the coating is made of is not said: a lamp test may tell its family.")
    if "coating_thickness_um" not in payload:
        found.append("Its thickness is not known: give a range, however wide.")
    if model.layer != NOT_KNOWN and not payload["layers"]:
        found.append(
            f"Of the {model.layer} its thickness, stiffness, Poisson's ratio and hold are all "
            "needed; give ranges."
        )
    if NOT_KNOWN in (model.body, model.preservation):
        found.append(
            "The body under it and its state of preservation are not said: fresh values do not "
            "hold for old matter."
        )
    body = payload["body"]
    lacks = [
        words
        for words, names in (
            ("stiffness", ("modulus_gpa",)),
            ("Poisson's ratio", ("poisson",)),
            ("toughness", ("toughness_mpa_m05", "toughness_j_per_m2")),
        )
        if not any(name in body for name in names)
    ]
    if lacks and not found:
        found.append(
            f"There is no {' and no '.join(lacks)} of {model.body} in the state "
            f"“{model.preservation}”; the nearest fresh value is not taken. Type your own."
        )
    return tuple(found)


def _moved(value: Sourced | None, middle: float) -> Sourced:
    """Return a value round another middle, its spread in proportion; exact where it had none."""
    scaled: Any = middle
    if value is not None:
        before = value.uncertain().typical
        if before > 0 and middle > 0:
            scaled = value.uncertain().scaled(middle / before).to_json()
    if not -1e6 < middle < 1e6:
        raise InputError("What is tried out is impossible", value=f"{middle:g}")
    return Sourced.model_validate({"value": scaled, "kind": "estimated", "origin": ORIGIN})


def _plain(value: Sourced) -> dict[str, Any]:
    return value.model_dump(mode="json")


def _subject(subject_id: str) -> str:
    return f"{subject_id}:coating"
