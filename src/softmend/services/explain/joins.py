"""Joins: whether each holds its piece for years, and gives before the object does.

The order of assembly names the joins; the log says which are made and of which fragments. What was
said of a join stands first, then what was weighed, then the bench's own values, then the table's.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from softmend.catalogue.computation import Sourced
from softmend.errors import MissingEvidenceError, NotFoundError
from softmend.records.bookkeeping import Run
from softmend.records.crack_model import Told
from softmend.records.dossier import NOT_KNOWN
from softmend.records.entry import Entry
from softmend.records.fragment import Fragment
from softmend.records.holding import LIMITS, JoinModel, Softens, checked_join
from softmend.records.join import JoinMade
from softmend.services.bench import Author, Bench
from softmend.services.examine.quantities import Outcome, outcome
from softmend.services.explain.bench_units import unit_named
from softmend.services.explain.binding import told_value
from softmend.services.explain.binding_matter import matter_values
from softmend.services.explain.bounded import bounded
from softmend.services.explain.own_values import own_rows
from softmend.services.recording import current_records, record_one
from softmend.services.runs import kept_run_about, record_run
from softmend.services.store import Reader
from softmend.services.treat.day_log import assembly_of
from softmend.tables.materials import material_values, materials

HOLDS = "join.holds"
NEEDED = ("breadth_mm", "height_mm", "mass_g", "arm_mm", "hang_degrees", "warmest_degc")
LEAST_OFF = 0.01
"""A mass whose balance is not stated is taken to one in a hundred."""

_STRENGTHS = ("bond_strength", "bond_strength_lower_bound")
_SOFTENINGS = ("glass_transition", "softening_point", "melting_point")


@dataclass(frozen=True)
class JoinPlace:
    """One join: its name, what meets there, whether it is made, and the weighed fragments."""

    name: str
    pieces: tuple[str, ...]
    is_made: bool
    fragments: tuple[tuple[Entry, Fragment], ...] = ()
    read_entry_ids: tuple[str, ...] = ()


@dataclass(frozen=True)
class BoundJoin:
    """A join with all that the dossier supplies; `missing` is empty when it can be asked."""

    place: JoinPlace
    model: JoinModel
    model_entry_id: str
    payload: Mapping[str, Any] = field(default_factory=dict)
    values: Mapping[str, Sourced] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    read_entry_ids: tuple[str, ...] = ()


def joins_in(reader: Reader, dossier_id: str) -> list[JoinPlace]:
    """Return the joins of the plan, those of the log, and those that were only spoken of."""
    assembly_id, assembly = assembly_of(reader, dossier_id)
    made = _made(reader, dossier_id)
    said = [model.name for _, model in current_records(reader, dossier_id, "join_model")]
    planned = {join.name: join.pieces for join in assembly.joins}
    fragments = current_records(reader, dossier_id, "fragment")
    found = []
    for name in dict.fromkeys((*planned, *made, *said)):
        entry_id, join = made.get(name, ("", None))
        named = _named(fragments, planned.get(name, ()), join)
        ids = (assembly_id if name in planned else "", entry_id, *(entry.id for entry, _ in named))
        found.append(
            JoinPlace(
                name=name,
                pieces=planned.get(name, ()),
                is_made=join is not None,
                fragments=tuple(named),
                read_entry_ids=tuple(one for one in ids if one),
            )
        )
    return found


def join_named(reader: Reader, dossier_id: str, name: str) -> JoinPlace:
    """Return one join by its name."""
    for place in joins_in(reader, dossier_id):
        if place.name == name:
            return place
    raise NotFoundError(
        "There is no join of that name",
        value=name,
        remedy="The order of assembly names the joins; an old one can be named here",
    )


def bound_join(reader: Reader, dossier_id: str, place: JoinPlace) -> BoundJoin:
    """Return what the dossier supplies of one join."""
    model_entry_id, model = _model_of(reader, dossier_id, place.name)
    values, read = _values(reader, model, place)
    payload: dict[str, Any] = {name: _plain(value) for name, value in values.items()}
    payload["section"] = model.outline.value
    payload["softens"] = model.softens is Softens.YES
    if "bond_strength_mpa" not in payload and model.adhesive in materials():
        payload["adhesive"] = model.adhesive
    if "bond_strength_mpa" in payload and _is_lower_bound(reader, model):
        payload["bond_strength_at_least"] = True
    ids = (model_entry_id, *place.read_entry_ids, *read)
    return BoundJoin(
        place=place,
        model=model,
        model_entry_id=model_entry_id,
        payload=payload,
        values=values,
        missing=_missing(model, values),
        read_entry_ids=tuple(one for one in ids if one),
    )


def held(bound: BoundJoin) -> Outcome | None:
    """Return whether a join holds, or None while something is missing that nobody can fill in."""
    return None if bound.missing else outcome(HOLDS, dict(bound.payload))


def say_of_join(
    bench: Bench, author: Author, dossier_id: str, model: JoinModel, based_on: str
) -> Entry:
    """Record what is said of a join; an old join that no plan names gets its name here."""
    return record_one(
        bench,
        author,
        dossier_id=dossier_id,
        subject_id=_subject(dossier_id, model.name),
        record=checked_join(model),
        based_on=based_on,
    )


def keep_join(bench: Bench, author: Author, dossier_id: str, name: str) -> Entry:
    """Keep whether a join holds as a run, with all that it read."""
    with bench.store.reading() as reader:
        bound = bound_join(reader, dossier_id, join_named(reader, dossier_id, name))
    answer = held(bound)
    if answer is None or answer["answer"] == "cannot say":
        raise MissingEvidenceError(
            "Nothing can be kept of this join yet",
            remedy=" ".join(bound.missing or (answer or {}).get("reasons", ())),
        )
    return record_run(
        bench,
        author,
        dossier_id,
        computation=HOLDS,
        inputs=dict(bound.payload),
        outputs=answer,
        read_entry_ids=bound.read_entry_ids,
        about=name,
        tables=("materials",),
    )


def kept_join(reader: Reader, dossier_id: str, name: str) -> tuple[Entry, Run, str] | None:
    """Return the kept run of one join and why it is stale, or None."""
    return kept_run_about(reader, dossier_id, HOLDS, name)


def _made(reader: Reader, dossier_id: str) -> dict[str, tuple[str, JoinMade]]:
    return {
        action.join.name: (entry.id, action.join)
        for entry, action in current_records(reader, dossier_id, "action")
        if action.join is not None
    }


def _named(
    fragments: list[tuple[Entry, Fragment]], pieces: tuple[str, ...], join: JoinMade | None
) -> list[tuple[Entry, Fragment]]:
    made_of = join.fragment_ids if join is not None else ()
    return [
        (entry, fragment)
        for entry, fragment in fragments
        if entry.subject_id in made_of or f"fragment {fragment.number}" in pieces
    ]


def _model_of(reader: Reader, dossier_id: str, name: str) -> tuple[str, JoinModel]:
    for entry, model in current_records(reader, dossier_id, "join_model"):
        if model.name == name:
            return entry.id, model
    return "", JoinModel(name)


def _values(
    reader: Reader, model: JoinModel, place: JoinPlace
) -> tuple[dict[str, Sourced], list[str]]:
    values: dict[str, Sourced] = {}
    read: list[str] = []
    weighed = _weighed(place)
    if weighed is not None:
        values["mass_g"] = weighed
    for name, wanted, unit in (
        ("bond_strength_mpa", _STRENGTHS, "MPa"),
        ("glass_transition_degc", _SOFTENINGS, "°C"),
    ):
        own = _of_adhesive(reader, model.adhesive, wanted, unit)
        if own is not None:
            values[name] = own[0]
            read += [own[1]] if own[1] else []
    if NOT_KNOWN not in (model.material, model.preservation):
        matter, ids = matter_values(reader, model.material, model.preservation)
        read += ids
        if "strength_mpa" in matter:
            values["object_strength_mpa"] = matter["strength_mpa"]
        toughness = _toughness(matter)
        if toughness is not None:
            values["object_toughness_j_per_m2"] = toughness
    for name in LIMITS:
        told: Told | None = getattr(model, name)
        if told is not None:
            values[name] = bounded(name, told_value(told))
    if model.softens is Softens.NO:
        values.pop("glass_transition_degc", None)
    return values, read


def _weighed(place: JoinPlace) -> Sourced | None:
    """Return the mass of the piece from its weighed fragments, when every one was weighed."""
    masses = [(one.mass_g, one.mass_expanded_g) for _, one in place.fragments]
    if not masses or any(mass is None for mass, _ in masses):
        return None
    total = sum(mass or 0.0 for mass, _ in masses)
    # Weighed on one balance, they are wrong together: ± adds straight.
    off = sum(off if off is not None else LEAST_OFF * (mass or 0.0) for mass, off in masses)
    numbers = ", ".join(str(one.number) for _, one in place.fragments)
    return Sourced.model_validate(
        {
            "value": {"value": total, "expanded": max(off, 1e-6)},
            "kind": "measured",
            "origin": f"weighed: fragment {numbers}",
        }
    )


def _of_adhesive(
    reader: Reader, adhesive: str, names: tuple[str, ...], unit_text: str
) -> tuple[Sourced, str] | None:
    from softmend.catalogue.material import sourced

    if adhesive == NOT_KNOWN:
        return None
    for name in names:
        own = own_rows(reader, adhesive, name)
        if own:
            return own[0].sourced(unit_named(name, unit_text)), own[0].entry_id
    in_table = material_values(adhesive) if adhesive in materials() else []
    for name in names:
        rows = [one for one in in_table if one.property == name]
        if rows:
            return sourced(rows[0], 1 / unit_named(name, unit_text).factor), ""
    return None


def _is_lower_bound(reader: Reader, model: JoinModel) -> bool:
    """Say whether the strength that is taken is only known to be at least so much."""
    if model.bond_strength_mpa is not None or model.adhesive == NOT_KNOWN:
        return False
    if own_rows(reader, model.adhesive, "bond_strength"):
        return False
    if own_rows(reader, model.adhesive, "bond_strength_lower_bound"):
        return True
    in_table = material_values(model.adhesive) if model.adhesive in materials() else []
    return not any(one.property == "bond_strength" for one in in_table)


def _toughness(matter: Mapping[str, Sourced]) -> Sourced | None:
    """Return the energy of a crack from the object's critical intensity and its stiffness."""
    from softmend.science.toughness import fracture_energy

    needed = ("toughness_mpa_m05", "modulus_gpa", "poisson")
    if any(name not in matter for name in needed):
        return None
    intensity, modulus, poisson = (bounded(name, matter[name]).uncertain() for name in needed)
    band = fracture_energy(intensity.scaled(1e6), modulus.scaled(1e9), poisson).band
    points = {"low": band.low, "typical": band.typical, "high": band.high}
    origin = "K² (1 − ν²) / E of the material in this state"
    return Sourced.model_validate({"value": points, "kind": "derived", "origin": origin})


def _missing(model: JoinModel, values: Mapping[str, Sourced]) -> tuple[str, ...]:
    found = [
        f"{LIMITS[name][0]} is not known: give a range, however wide."
        for name in NEEDED
        if name not in values
    ]
    if "bond_strength_mpa" not in values:
        found.append(
            "The strength of the bond is not known: name the adhesive, or measure a pull-off."
        )
    if model.softens is Softens.YES and "glass_transition_degc" not in values:
        found.append(
            "The glass transition of the adhesive is not known: give it, or say that it does not "
            "soften."
        )
    return tuple(found)


def _plain(value: Sourced) -> dict[str, Any]:
    return value.model_dump(mode="json")


def _subject(dossier_id: str, name: str) -> str:
    return f"{dossier_id}:join:{name}"
