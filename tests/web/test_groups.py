"""The parts of a large stage stand in groups, and each says how it stands."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from softmend.records.dossier import Dossier, Size
from softmend.services.dossiers import open_dossier
from softmend.services.propose.consents import points_hash
from softmend.web.groups import EXAMINE
from softmend.web.pages.hand_over import frame as hand_over
from softmend.web.pages.propose import frame as propose
from tests.web.test_propose import ANSWER, STEP, at, newest

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

STAGES = {"examine": EXAMINE, "propose": propose.GROUPS, "return": hand_over.GROUPS}
_LINK = re.compile(
    r'<a href="/dossiers/[^/]+/([^"]+)"([^>]*)>([^<]+)(?:<span[^>]*>([^<]+)</span>)?'
)


def bars(text: str) -> list[list[tuple[str, str, str, str]]]:
    """Return the links of the groups and of the group that is open: page, current, name, state."""
    found = re.findall(r'<nav class="(?:groups|tabs within)".*?</nav>', text, re.DOTALL)
    return [_LINK.findall(nav) for nav in found]


def state_of(client: TestClient, dossier_id: str, page: str) -> str:
    """Return what the tab of a page says beside its name, as the page itself shows it."""
    _groups, within = bars(client.get(f"/dossiers/{dossier_id}/{page}").text)
    return next(state for there, _current, _name, state in within if there == page)


@pytest.mark.parametrize("stage", STAGES)
def test_every_part_is_in_one_group_and_its_page_opens_that_group_alone(
    stage: str, client: TestClient, dossier_id: str
) -> None:
    pages = [page for _name, parts in STAGES[stage] for page, _part in parts]
    assert len(set(pages)) == len(pages) > 8
    for group, parts in STAGES[stage]:
        for page, name in parts:
            groups, *within = bars(client.get(f"/dossiers/{dossier_id}/{page}").text)
            assert len(groups) == len(STAGES[stage]) <= 6
            here = [(one[2], one[1]) for one in groups if "aria-current" in one[1]]
            current = ' aria-current="page"'
            if len(parts) == 1:
                assert (here, within) == ([(group, current)], []), page
                continue
            assert here == [(group, ' aria-current="true"')], page
            assert [one[0] for one in within[0]] == [one for one, _name in parts], page
            assert [one[2] for one in within[0] if one[1] == current] == [name], page


def test_a_note_has_no_parts_that_it_does_not_ask_for(
    client: TestClient, bench: Bench, author: Author
) -> None:
    note = Dossier("a shell", "N 1", "an invented museum", "asked about", Size.NOTE)
    text = client.get(f"/dossiers/{open_dossier(bench, author, note)}/words").text
    (groups,) = bars(text)
    assert [name for _page, _current, name, _state in groups] == [
        *("Views", "Object", "Words", "Record"),
    ]


def test_a_part_is_owed_until_it_is_answered(client: TestClient, dossier_id: str) -> None:
    assert state_of(client, dossier_id, "propose/surface") == "to answer"
    assert state_of(client, dossier_id, "propose/removals") == "nothing yet"
    answer = {"answer": "no coating", "reasons": ["it would trap dust"]}
    client.post(at(dossier_id, "surface"), data=answer)
    assert state_of(client, dossier_id, "propose/surface") == "answered"
    groups = bars(client.get(at(dossier_id, "surface")).text)[0]
    assert [one[3] for one in groups if one[2] == "What and why"] == ["2 to answer"]


def test_a_consent_that_a_changed_point_voided_is_to_be_answered_again(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    assert state_of(client, dossier_id, "propose/consent") == "nothing yet"
    client.post(at(dossier_id, "steps"), data=STEP)
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    client.post(at(dossier_id, "consent"), data={**ANSWER, "seen_hash": seen})
    assert state_of(client, dossier_id, "propose/consent") == "answered"
    subject_id, entry_id = newest(bench, dossier_id, "plan_step")
    changed = {**STEP, "stop_rule": "never", "subject_id": subject_id, "based_on": entry_id}
    client.post(at(dossier_id, "steps"), data=changed)
    assert state_of(client, dossier_id, "propose/consent") == "to answer"
