"""Who is at the bench: a list of people, asked once per start, without passwords."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from softmend.errors import InputError, NotFoundError
from softmend.records.dossier import NOT_KNOWN
from softmend.services.bench import Bench
from softmend.services.store import Person, Reader

NAME_ERASED = "name erased"
NOT_NAMED = "a person not named in the package"


class Names(dict[str, str]):
    """People's names by their ids; who came with a package that names nobody is said to be so."""

    def __missing__(self, person_id: str) -> str:
        """Return what stands for somebody who is not on the list of people."""
        return NOT_NAMED if person_id else NOT_KNOWN


def names_in(reader: Reader) -> Names:
    """Return the names of everybody who wrote or is named in a dossier here."""
    return Names({person.id: person.name or NAME_ERASED for person in reader.people()})


def people_at_the_bench(bench: Bench) -> list[Person]:
    """Return the people whose names have not been erased, by name."""
    with bench.store.reading() as reader:
        named = [person for person in reader.people() if person.name]
    return sorted(named, key=lambda person: (person.name or "").casefold())


def name_of(bench: Bench, person_id: str) -> str:
    """Return a person's name, that it was erased, or that the package did not name them."""
    with bench.store.reading() as reader:
        return names_in(reader)[person_id]


def name_at_the_bench(bench: Bench, person_id: str) -> str:
    """Return the name of somebody on the list of people; NotFoundError when nobody is."""
    with bench.store.reading() as reader:
        names = names_in(reader)
    if person_id not in names:
        raise NotFoundError("There is no such person at this bench")
    return names[person_id]


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
    name_at_the_bench(bench, person_id)
    with bench.store.writing() as writer:
        writer.erase_name(person_id)
        writer.commit()
