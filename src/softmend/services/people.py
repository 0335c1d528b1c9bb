"""Who is at the bench: a list of people, asked once per start, without passwords."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError, NotFoundError
from softmend.services.bench import Bench
from softmend.services.store import Person


def people_at_the_bench(bench: Bench) -> list[Person]:
    """Return the people whose names have not been erased, by name."""
    with bench.store.reading() as reader:
        named = [person for person in reader.people() if person.name]
    return sorted(named, key=lambda person: (person.name or "").casefold())


def name_of(bench: Bench, person_id: str) -> str:
    """Return a person's name, or "name erased"."""
    with bench.store.reading() as reader:
        names = {person.id: person.name for person in reader.people()}
    if person_id not in names:
        raise NotFoundError("There is no such person at this bench")
    return names[person_id] or "name erased"


def come_to_the_bench(bench: Bench, name: str) -> Person:
    """Return the person of that name, added to the list when new."""
    wanted = " ".join(name.split())
    if not wanted or len(wanted) > 100:
        raise InputError(
            "A name is needed", value=name, allowed="1 to 100 characters", remedy="Type your name"
        )
    for person in people_at_the_bench(bench):
        if person.name and person.name.casefold() == wanted.casefold():
            return person
    person = Person(id=bench.fresh_id(), name=wanted)
    with bench.store.writing() as writer:
        writer.add_person(person)
        writer.commit()
    return person


def erase_name(bench: Bench, person_id: str) -> None:
    """Erase a person's name for good; what they recorded stays under their id."""
    name_of(bench, person_id)
    with bench.store.writing() as writer:
        writer.erase_name(person_id)
        writer.commit()
