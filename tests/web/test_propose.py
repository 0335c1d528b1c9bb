"""The pages of Propose as a person meets them: one question a page, refused in words."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from softmend.records.dossier import Certainty, Material, ObjectHead
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.view import View
from softmend.services.dossiers import describe_object
from softmend.services.examine.marks import record_mark
from softmend.services.propose.consents import points_hash, standings_in
from softmend.services.propose.proposals import options_in, plan_in
from softmend.services.recording import current_records, record_one
from softmend.web.pages.propose.frame import GROUPS

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

HTMX = {"hx-request": "true"}
STEP = {
    "action_id": "softening",
    "what": "soften the old fill",
    "stop_rule": "stop at the first colour",
    "place": "1",
}
ANSWER = {
    "decision": "yes",
    "given_by": "O. Owner",
    "role": "owner",
    "decided_on": "2026-03-03",
    "no_paper_because": "said at the bench",
}


@pytest.fixture
def view_id(bench: Bench, author: Author, dossier_id: str) -> str:
    view = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    subject_id = bench.fresh_id()
    record_one(
        bench, author, dossier_id=dossier_id, subject_id=subject_id, record=view, based_on=""
    )
    return subject_id


@pytest.fixture
def mark(bench: Bench, author: Author, dossier_id: str, view_id: str) -> None:
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))


def at(dossier_id: str, page: str) -> str:
    return f"/dossiers/{dossier_id}/propose/{page}"


def newest(bench: Bench, dossier_id: str, kind: str) -> tuple[str, str]:
    """Return the subject and the entry of the newest record of a kind."""
    with bench.store.reading() as reader:
        entry, _ = current_records(reader, dossier_id, kind)[-1]
    return entry.subject_id, entry.id


def test_every_page_of_propose_opens_on_an_empty_dossier_and_says_it_is_invented(
    client: TestClient, dossier_id: str
) -> None:
    pages = [page for _name, parts in GROUPS for page, _part in parts]
    for page in (*pages, "law", "since"):
        shown = client.get(f"/dossiers/{dossier_id}/{page}")
        assert shown.status_code == 200, page
        assert "invented</strong>" in shown.text, page
        assert "Next:" in shown.text, page


def test_the_rail_leads_to_propose_and_says_where_one_is(
    client: TestClient, dossier_id: str
) -> None:
    shown = client.get(f"/dossiers/{dossier_id}/examine").text
    assert f'href="/dossiers/{dossier_id}/propose">Propose' in shown
    inside = client.get(at(dossier_id, "why")).text
    assert '/propose" aria-current="true">Propose' in inside


def test_nothing_and_less_stand_in_the_table_and_cannot_be_taken_out(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    form = {"place": "0", "name": "x", "result": "it stays", "risk": "it opens further"}
    assert client.post(at(dossier_id, "options"), data=form).status_code == 303
    with bench.store.reading() as reader:
        entry_id, options = options_in(reader, dossier_id)
    assert [row.name for row in options.rows] == ["do nothing", "do less"]
    assert options.nothing.result == "it stays"
    refused = client.post(
        at(dossier_id, "options/drop"), data={"place": "1", "based_on": entry_id}, headers=HTMX
    )
    assert refused.status_code == 422


def test_a_fuller_option_is_added_chosen_renamed_and_taken_out(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    def now() -> tuple[str, list[str], str]:
        with bench.store.reading() as reader:
            entry_id, options = options_in(reader, dossier_id)
        return entry_id, [row.name for row in options.rows], options.chosen

    new = {"place": "new", "name": "fill", "low_h": "2", "likely_h": "3,5", "high_h": "9"}
    client.post(at(dossier_id, "options"), data=new)
    chosen = {"chosen": "fill", "because": "to be shown", "based_on": now()[0]}
    assert client.post(at(dossier_id, "options/choose"), data=chosen).status_code == 303
    renamed = {"place": "2", "name": "fill low", "based_on": now()[0]}
    client.post(at(dossier_id, "options"), data=renamed)
    assert now()[1:] == (["do nothing", "do less", "fill low"], "fill low")
    gone = {"place": "2", "based_on": now()[0]}
    client.post(at(dossier_id, "options/drop"), data=gone)
    assert now()[1:] == (["do nothing", "do less"], "not known")


def test_a_step_without_a_stop_rule_is_refused_and_one_with_it_is_numbered(
    client: TestClient, bench: Bench, dossier_id: str, mark: None
) -> None:
    refused = client.post(at(dossier_id, "steps"), data={**STEP, "stop_rule": ""}, headers=HTMX)
    assert refused.status_code == 422
    assert "A step needs its stop rule" in refused.text
    made = client.post(at(dossier_id, "steps"), data={**STEP, "mark_numbers": ["1"]})
    assert made.status_code == 303
    client.post(at(dossier_id, "steps"), data={**STEP, "what": "lift it", "place": "2"})
    client.post(at(dossier_id, "steps/order"), data={"number": "2", "way": "earlier"})
    with bench.store.reading() as reader:
        steps = plan_in(reader, dossier_id).steps
    assert [(step.number, step.mark_numbers) for step in steps] == [(2, ()), (1, (1,))]
    subject_id, entry_id = newest(bench, dossier_id, "plan_step")
    gone = {"kind": "plan_step", "subject_id": subject_id, "based_on": entry_id, "because": "no"}
    assert client.post(at(dossier_id, "strike"), data=gone).status_code == 303
    assert "lift it" not in client.get(at(dossier_id, "steps")).text


def test_only_what_is_planned_can_be_struck_here(
    client: TestClient, bench: Bench, dossier_id: str, mark: None
) -> None:
    subject_id, entry_id = newest(bench, dossier_id, "mark")
    gone = {"kind": "mark", "subject_id": subject_id, "based_on": entry_id, "because": "no"}
    assert client.post(at(dossier_id, "strike"), data=gone, headers=HTMX).status_code == 422


def test_a_bare_percentage_is_refused_and_one_with_its_basis_becomes_masses(
    client: TestClient, dossier_id: str
) -> None:
    material = {
        "generic_name": "acrylic resin",
        "made": "by percentage",
        "solute": "resin",
        "solvent": "acetone",
        "written_percent": "20",
        "solute_density": "1.15",
        "solvent_density": "0.785",
    }
    refused = client.post(at(dossier_id, "materials"), data=material, headers=HTMX)
    assert refused.status_code == 409
    assert "A percentage without its basis is refused" in refused.text
    typed = {"generic_name": "resin, 20 % in acetone"}
    bare = client.post(at(dossier_id, "materials"), data=typed, headers=HTMX)
    assert "does not say of what" in bare.text
    full = {**material, "basis": "w/v of solution"}
    assert client.post(at(dossier_id, "materials"), data=full).status_code == 303
    shown = client.get(at(dossier_id, "materials")).text
    # 23.6 g in 100 g: practice.md 2.5, recomputed there.
    masses = re.search(r"([\d.]+) g resin with ([\d.]+) g acetone", shown)
    assert masses is not None
    assert [round(float(mass), 1) for mass in masses.groups()] == [23.6, 76.4]
    assert "removable in principle, not tested" in shown


def test_a_fill_without_warrant_is_refused_until_a_named_person_passes_it(
    client: TestClient, dossier_id: str, mark: None
) -> None:
    refused = client.post(at(dossier_id, "fills"), data={"mark_numbers": ["1"]}, headers=HTMX)
    assert refused.status_code == 409
    assert "without one, no fill" in refused.text
    passed = {"mark_numbers": ["1"], "passed_because": "trial", "passed_by": "C. Curator"}
    assert client.post(at(dossier_id, "fills"), data=passed).status_code == 303
    text = client.get(at(dossier_id, "print")).text
    assert "Rules passed by a named person" in text
    assert "C. Curator" in text


def test_no_coating_is_a_decision_with_reasons(client: TestClient, dossier_id: str) -> None:
    bare = client.post(at(dossier_id, "surface"), data={"answer": "no coating"}, headers=HTMX)
    assert bare.status_code == 409
    assert "is a decision and needs its reasons" in bare.text
    answer = {"answer": "no coating", "reasons": ["it would trap dust"]}
    assert client.post(at(dossier_id, "surface"), data=answer).status_code == 303
    assert "no coating" in client.get(f"/dossiers/{dossier_id}/propose").text


def test_a_consent_stands_until_a_point_changes_and_the_page_says_which(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    client.post(at(dossier_id, "steps"), data=STEP)
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    wrong = client.post(
        at(dossier_id, "consent"), data={**ANSWER, "seen_hash": "f" * 64}, headers=HTMX
    )
    assert wrong.status_code == 409
    assert "given to other points" in wrong.text
    given = client.post(at(dossier_id, "consent"), data={**ANSWER, "seen_hash": seen})
    assert given.status_code == 303
    assert "It stands for the points as they are" in client.get(at(dossier_id, "consent")).text
    subject_id, entry_id = newest(bench, dossier_id, "plan_step")
    changed = {**STEP, "stop_rule": "go on", "subject_id": subject_id, "based_on": entry_id}
    client.post(at(dossier_id, "steps"), data=changed)
    shown = client.get(at(dossier_id, "consent")).text
    assert "is void: a listed point changed" in shown
    assert "Step 1, stop rule was “stop at the first colour”, now “go on”" in shown


def test_changed_wording_is_shown_and_noted(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    client.post(at(dossier_id, "steps"), data=STEP)
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    client.post(at(dossier_id, "consent"), data={**ANSWER, "seen_hash": seen})
    client.post(at(dossier_id, "why"), data={"why_act": "it moves"})
    shown = client.get(at(dossier_id, "consent")).text
    assert "Wording changed since; the consent stands" in shown
    told = {"told_to": "O. Owner", "told_on": "2026-03-04", "note": "by letter"}
    assert client.post(at(dossier_id, "consent/wording"), data=told).status_code == 303
    assert "Wording changed since" not in client.get(at(dossier_id, "consent")).text


def test_a_no_is_a_respectable_end(client: TestClient, bench: Bench, dossier_id: str) -> None:
    client.post(at(dossier_id, "steps"), data=STEP)
    with bench.store.reading() as reader:
        seen = points_hash(reader, dossier_id)
    client.post(at(dossier_id, "consent"), data={**ANSWER, "decision": "no", "seen_hash": seen})
    assert "a respectable end" in client.get(f"/dossiers/{dossier_id}/propose").text
    with bench.store.reading() as reader:
        assert not standings_in(reader, dossier_id)[0].allows_work


def test_the_owner_is_told_of_what_was_secured(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    secured = {
        "means": "support",
        "where": "under the arm",
        "because": "it sags",
        "undone_how": "lift it out",
        "owner_told_by_on": "2026-03-05",
        "no_image_because": "camera away",
    }
    assert client.post(at(dossier_id, "secure"), data=secured).status_code == 303
    assert (
        "Tell the owner by 2026-03-05: support, under the arm."
        in client.get(f"/dossiers/{dossier_id}").text
    )
    subject_id, entry_id = newest(bench, dossier_id, "securing")
    told = {"subject_id": subject_id, "based_on": entry_id, "told_on": "2026-03-04"}
    assert client.post(at(dossier_id, "secure/told"), data=told).status_code == 303
    assert "Tell the owner" not in client.get(f"/dossiers/{dossier_id}").text


def test_wet_work_is_locked_until_a_person_opens_it_and_open_is_not_safe(
    client: TestClient, bench: Bench, author: Author, dossier_id: str
) -> None:
    wood = (Material("arm", "limewood", "seen", Certainty.CERTAIN),)
    describe_object(bench, author, dossier_id, ObjectHead("arm", materials=wood), "")
    shown = client.get(at(dossier_id, "wet")).text
    assert "Wet work is locked: limewood" in shown
    for page in ("wet", "solvents"):
        told = client.get(at(dossier_id, page)).text
        assert "gouache and watercolour are laid with water" in told, page
    answers = {
        "sampling_first": "no",
        "sampling_asked_of": "C. Curator",
        "type_figured_or_dated": "no",
        "no_reserve_because": "all of it was consolidated long ago",
        "way": "a barrier",
        "way_because": "cellulose film",
        "way_by": "A. Conservator",
    }
    assert client.post(at(dossier_id, "wet"), data=answers).status_code == 303
    shown = client.get(at(dossier_id, "wet")).text
    assert "Everything is answered." in shown
    assert "no solvent here is proven harmless" in shown


def test_a_flag_is_dated_signed_and_never_a_verdict(
    client: TestClient, bench: Bench, dossier_id: str
) -> None:
    page = f"/dossiers/{dossier_id}/law"
    flag = {"topic": "species", "rule": "appendices looked up", "checked_by": "R."}
    undated = client.post(page, data=flag, headers=HTMX)
    assert undated.status_code == 409
    assert "dated to the day" in undated.text
    assert client.post(page, data={**flag, "checked_on": "2024-01-01"}).status_code == 303
    shown = client.get(page).text
    assert "not legal advice" in shown
    assert "more than 12 months ago" in shown
    assert "Check again: species" in client.get(f"/dossiers/{dossier_id}").text
    subject_id, entry_id = newest(bench, dossier_id, "legal_flag")
    again = {**flag, "subject_id": subject_id, "based_on": entry_id}
    client.post(page, data={**again, "checked_on": bench.clock().date().isoformat()})
    assert "Check again" not in client.get(f"/dossiers/{dossier_id}").text
    client.post(f"{page}/loan", data={"to_whom": "an invented house"})
    assert "Check again: species" in client.get(f"/dossiers/{dossier_id}").text


def test_possibly_human_shows_no_small_pictures(
    client: TestClient, bench: Bench, author: Author, dossier_id: str, view_id: str
) -> None:
    bone = (Material("shaft", "bone", "seen", Certainty.CERTAIN),)
    describe_object(bench, author, dossier_id, ObjectHead("shaft", materials=bone), "")
    shown = client.get(f"/dossiers/{dossier_id}/examine").text
    assert "small.jpg" not in shown
    assert "treated as possibly human" in shown
    refused = client.get(f"/dossiers/{dossier_id}/views/{view_id}/small.jpg")
    assert refused.status_code == 403
    flag = {
        "topic": "human remains",
        "rule": "identified",
        "taxon": "horse",
        "ground": "joint surface",
        "human": "identified as not human",
        "checked_on": "2026-03-01",
        "checked_by": "R.",
    }
    assert client.post(f"/dossiers/{dossier_id}/law", data=flag).status_code == 303
    assert "small.jpg" in client.get(f"/dossiers/{dossier_id}/examine").text


def test_the_proposal_prints_as_pdf_and_as_text(client: TestClient, dossier_id: str) -> None:
    client.post(at(dossier_id, "steps"), data=STEP)
    printed = client.get(f"/dossiers/{dossier_id}/treatment-proposal.pdf")
    assert printed.content.startswith(b"%PDF-")
    assert 'filename="T-1.2-treatment-proposal.pdf"' in printed.headers["content-disposition"]
    assert "Stop rule: stop at the first colour" in client.get(at(dossier_id, "print")).text
