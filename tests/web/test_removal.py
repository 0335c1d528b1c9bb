"""Taking old work off as a person meets it: asked first, stopped at once, locked until opened."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from softmend.catalogue.solvency_agent import FOOTER
from softmend.records.dossier import Certainty, Hazard, Material, ObjectHead
from softmend.records.mark import Geometry, Mark, Shape, Sighting
from softmend.records.proposal import PlanRemoval
from softmend.records.view import View
from softmend.services.dossiers import describe_object, record_hazard
from softmend.services.examine.marks import record_mark
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import Urgency
from softmend.services.propose.proposals import record_removal
from softmend.services.propose.propose_steps import propose_steps
from softmend.services.propose.removing_gate import overrides_in
from softmend.services.propose.removing_ways import way_of
from softmend.services.propose.solvent_shelf import offered_solvents
from softmend.services.propose.spot_tests import grids_in, spot_tests_in
from softmend.services.propose.spot_tests_words import agent_said, sentence_said
from softmend.services.recording import record_one

if TYPE_CHECKING:
    from fastapi.testclient import TestClient

    from softmend.services.bench import Author, Bench

AIR = {
    "solvent": ["acetone"], "used_ml_per_h": "5", "work_minutes": "60", "room_volume_m3": "50",
    "air_changes_per_h": "3", "head_distance_mm": "300", "gloves": "butyl",
    "ignition": "none within 3 m", "waste": "closed metal bin",
}  # fmt: skip
SWAB = {
    "grid_number": "1", "patch": "1", "role": "a test", "solvent": ["heptane"], "dwell_s": "60",
    "coating": "none", "on_object": "none", "stop_because": "60 s", "wet_because": "agreed",
}  # fmt: skip
PAGES = ("spots", "off", "solvents", "air", "removing/1")


@pytest.fixture
def antler(bench: Bench, author: Author, dossier_id: str) -> str:
    """Give a dossier of antler with a view, a crack, a removal, and residues asked about."""
    made = Material("beam", "antler", "seen", Certainty.CERTAIN)
    with bench.store.reading() as reader:
        standing = reader.latest("object_head", dossier_id)
    head = ObjectHead("beam", materials=(made,))
    based_on = standing.id if standing else ""
    describe_object(bench, author, dossier_id, head, based_on=based_on)
    record_hazard(bench, author, dossier_id, Hazard("pesticide residues"))
    view = View(1, "front.jpg", "0" * 64, 10, "0" * 64, 400, 300, 8, "sRGB")
    view_id = bench.fresh_id()
    record_one(bench, author, dossier_id=dossier_id, subject_id=view_id, record=view, based_on="")
    line = Geometry(Shape.LINE, (((10.0, 10.0), (200.0, 40.0)),))
    record_mark(bench, author, dossier_id, Mark(0, "crack", (Sighting(view_id, line),)))
    removal = PlanRemoval(0, "old varnish", "it lifts", carries="nothing", kept_where="not kept")
    record_removal(bench, author, dossier_id, removal)
    return dossier_id


def at(dossier_id: str, page: str) -> str:
    return f"/dossiers/{dossier_id}/propose/{page}"


def view_of(bench: Bench, dossier_id: str) -> str:
    with bench.store.reading() as reader:
        return reader.current(dossier_id, "view")[0].subject_id


def lay_grid(client: TestClient, bench: Bench, dossier_id: str) -> None:
    grid = {"view_id": view_of(bench, dossier_id), "left_px": "20", "top_px": "20",
            "patch_px": "20", "columns": "4", "rows": "3"}  # fmt: skip
    assert client.post(at(dossier_id, "spots/grid"), data=grid).status_code == 303
    with bench.store.reading() as reader:
        assert grids_in(reader, dossier_id)[0].grid.count == 12


def test_every_page_opens_empty_and_whole_and_carries_the_fixed_footer(
    client: TestClient, bench: Bench, antler: str
) -> None:
    for page in PAGES:
        shown = client.get(at(antler, page))
        assert shown.status_code == 200, page
        assert FOOTER in shown.text, page
    assert "Lay a grid of patches" in client.get(at(antler, "spots")).text
    for part in ("spots/answer", "off/answer"):
        told = client.get(at(antler, part)).text
        assert "Marks of the numbers used:" in told, part
        assert "recalled" in told, part
        assert FOOTER in told, part


def test_nothing_is_swabbed_before_gloves_fire_waste_and_residues_were_asked_about(
    client: TestClient, bench: Bench, antler: str
) -> None:
    lay_grid(client, bench, antler)
    assert "Asked before the first swab" in client.get(at(antler, "spots")).text
    refused = client.post(at(antler, "spots"), data=SWAB)
    assert refused.status_code == 409
    assert "Which gloves" in refused.text
    client.post(at(antler, "air"), data=AIR)
    half = {name: value for name, value in SWAB.items() if name != "on_object"}
    assert "What it did is not said" in client.post(at(antler, "spots"), data=half).text
    assert client.post(at(antler, "spots"), data=SWAB).status_code == 303
    with bench.store.reading() as reader:
        assert [one.agent for _, one in spot_tests_in(reader, antler)] == ["heptane"]


def test_an_effect_on_the_object_stops_until_a_named_person_decides(
    client: TestClient, bench: Bench, antler: str
) -> None:
    lay_grid(client, bench, antler)
    client.post(at(antler, "air"), data=AIR)
    touched = SWAB | {"on_object": "blanch", "stop_because": "it whitened at once"}
    assert client.post(at(antler, "spots"), data=touched).status_code == 303
    assert "Stop: test 1 showed blanch" in client.get(at(antler, "spots")).text
    with bench.store.reading() as reader:
        steps = propose_steps(reader, antler, today_at(bench))
    # People come first; the stop comes before everything that only records.
    before = [one.urgency for one in steps if not one.sentence.startswith("Stop: spot test 1")]
    place = next(n for n, one in enumerate(steps) if one.sentence.startswith("Stop: spot test 1"))
    assert all(one <= Urgency.ACTIVE_LOSS for one in before[:place])
    assert all(one >= Urgency.ACTIVE_LOSS for one in before[place:])
    assert "No next swab" in client.get(at(antler, "spots/answer")).text
    again = SWAB | {"patch": "2"}
    refused = client.post(at(antler, "spots"), data=again)
    assert refused.status_code == 409
    assert "Stop: test 1" in refused.text
    decision = {"test_number": "1", "decision": "go on, on other patches"}
    nobody = client.post(at(antler, "spots/decide"), data=decision)
    assert nobody.status_code == 422
    named = decision | {"decided_by": "P. Person", "because": "an old stain, seen before"}
    client.post(at(antler, "spots/decide"), data=named)
    assert client.post(at(antler, "spots"), data=again).status_code == 303
    assert "Next:" in client.get(at(antler, "spots/answer")).text


def test_water_waits_for_its_lock_and_a_gel_for_its_clearance(
    client: TestClient, bench: Bench, antler: str
) -> None:
    lay_grid(client, bench, antler)
    client.post(at(antler, "air"), data=AIR)
    wet = SWAB | {"solvent": ["water"]}
    refused = client.post(at(antler, "spots"), data=wet)
    assert refused.status_code == 409
    assert "locked on antler" in refused.text
    gel = SWAB | {"carrier": "gel", "carried": "heptane"}
    uncleared = client.post(at(antler, "spots"), data=gel)
    assert uncleared.status_code == 422
    assert "cleared as a step of its own" in uncleared.text
    lock = {"rule": "water", "decided_by": "P. Person", "because": "2 s, after mock-ups"}
    client.post(at(antler, "solvents/lock"), data=lock)
    with bench.store.reading() as reader:
        assert [one.rule for _, one in overrides_in(reader, antler)] == ["water"]
    assert client.post(at(antler, "spots"), data=wet).status_code == 303
    assert "Opened by P. Person" in client.get(at(antler, "solvents")).text


def test_the_air_is_a_band_against_a_named_limit_and_never_says_safe(
    client: TestClient, bench: Bench, antler: str
) -> None:
    assert "nobody said" in client.get(at(antler, "air")).text
    client.post(at(antler, "air"), data=AIR)
    page = client.get(at(antler, "air")).text
    for words in ("HIGHLY FLAMMABLE", "mg/m³, UK EH40", "United Kingdom; date 2020",
                  "1 of 1 components have a limit", "Control further even under 100 %",
                  "Pesticide residues: not tested"):  # fmt: skip
        assert words in page, words
    both = AIR | {"air_flow_m3_per_h": "100"}
    assert client.post(at(antler, "air"), data=both).status_code == 422


def test_the_shelf_comes_first_and_every_wet_advice_names_the_open_crack(
    client: TestClient, bench: Bench, antler: str
) -> None:
    for name in ("acetone", "water"):
        client.post(at(antler, "solvents"), data={"solvent": name})
    with bench.store.reading() as reader:
        assert offered_solvents(reader, today_at(bench)) == ["acetone", "water"]
    shown = client.get(at(antler, "off/answer")).text
    assert "Of my shelf" in shown
    assert "1 may not touch this object" in shown
    assert "stay away by a distance the house has to set" in shown
    assert "solvents#cracks" in shown
    away = {"stays_away_mm": "6", "because": "swabs on a cracked offcut"}
    assert client.post(at(antler, "solvents/distance"), data=away).status_code == 303
    page = client.get(at(antler, "solvents")).text
    assert "This house keeps liquids 6 mm from an open crack" in page
    for part in ("off/answer", "spots/answer", "off"):
        page = client.get(at(antler, part)).text
        assert "stay 6 mm away (estimated; this house" in page, part
    assert "No blend gains" in shown
    tried = {"solvent": ["acetone", "ws-low"], "percent": ["30", "70"]}
    blend = client.get(at(antler, "off/try"), params=tried).text
    assert "dries to a non-solvent" in blend
    assert "mix 1 mL and look" in blend
    assert "fraction" not in client.get(at(antler, "off")).text


def test_a_removal_is_looked_behind_held_and_checked_stretch_by_stretch(
    client: TestClient, bench: Bench, antler: str
) -> None:
    page = client.get(at(antler, "removing/1")).text
    assert "leaving it is an option" in page
    way = {
        "leaving": "take it off", "leaving_by": "P. Person", "leaving_because": "it pulls",
        "behind": "nothing", "behind_known_how": "X-ray", "held": ["yes"] * 3,
        "held_how": ["cradle", "tissue", "tape"], "is_confined": "true", "means": "a liquid",
        "solvent": ["acetone"], "does": "only swells it", "stays_away_mm": "5",
    }  # fmt: skip
    assert client.post(at(antler, "removing/1"), data=way).status_code == 303
    page = client.get(at(antler, "removing/1")).text
    assert "wedges the crack" in page
    assert "Block the crack or stay 5 mm away (estimated)" in page
    view_id = view_of(bench, antler)
    for start in ("10", "60"):
        with bench.store.reading() as reader:
            based_on = way_of(reader, antler, 1).way_entry_id
        drawn = {"based_on": based_on, "view_id": view_id, "from_x_px": start, "from_y_px": "20",
                 "to_x_px": "90", "to_y_px": "20", "what": "a stretch"}  # fmt: skip
        assert client.post(at(antler, "removing/1/stretch"), data=drawn).status_code == 303
    with bench.store.reading() as reader:
        based_on = way_of(reader, antler, 1).way_entry_id
    done = {"place": "2", "based_on": based_on, "view_id": view_id}
    early = client.post(at(antler, "removing/1/checked"), data=done)
    assert early.status_code == 409
    assert "Stretch 1 has no photograph after it" in early.text
    first = client.post(at(antler, "removing/1/checked"), data=done | {"place": "1"})
    assert first.status_code == 303


def test_what_was_kept_is_printed_with_its_failures_and_the_chart_in_workings_only(
    client: TestClient, bench: Bench, antler: str
) -> None:
    from softmend.services.propose.proposal_content import proposal_as_text

    lay_grid(client, bench, antler)
    client.post(at(antler, "air"), data=AIR)
    client.post(at(antler, "spots"), data=SWAB)
    off = {"grid_number": "1", "patch": "2", "solvent": ["acetone"], "coating": "dissolves",
        "on_object": "none",
           "dwell_s": "30", "wet_because": "agreed"}  # fmt: skip
    client.post(at(antler, "spots"), data=off)
    client.post(at(antler, "spots/keep"))
    client.post(at(antler, "off/keep"))
    told = proposal_as_text(bench, antler)
    tests = told["spot_tests"]
    for words in ("n-heptane", "coating: none", "acetone", "coating: dissolves", FOOTER,
                  "Marks of the numbers used"):  # fmt: skip
        assert words in tests, words
    assert "acetone" in told["takes_it_off"]
    assert "Block the crack" in told["takes_it_off"]
    assert "Scale" not in told["takes_it_off"]
    assert "fractions" in told["workings"].casefold()
    assert "UK EH40" in told["air"]
    late = SWAB | {"patch": "3"}
    client.post(at(antler, "spots"), data=late)
    assert (
        "stale, because test 3 was recorded after it"
        in proposal_as_text(bench, antler)["spot_tests"]
    )


def test_agents_are_said_by_the_names_of_their_liquids() -> None:
    assert agent_said("pm") == "1-methoxy-2-propanol"
    assert agent_said("heptane") == "n-heptane"
    assert agent_said("nmp").startswith("N-methyl")
    assert (
        agent_said("acetone 30 % + ws-low 70 %") == "acetone 30 % + white spirit, low aromatic 70 %"
    )
    assert agent_said("something of one's own") == "something of one's own"
    assert (
        sentence_said("First: ws-low; not methyl-ethyl-acetate.")
        == "First: white spirit, low aromatic; not methyl-ethyl-acetate."
    )
