"""One crack and its fills: where each value is from, what is missing, what is kept."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from softmend import catalogue
from softmend.catalogue.computation import Sourced
from softmend.errors import InputError, MissingEvidenceError, NotFoundError
from softmend.pictures.section import section_words
from softmend.records.action import Action
from softmend.records.crack_model import BodyAround, CrackModel, Told
from softmend.records.opening import MeasuredOpening, OpeningWay, WidthReading
from softmend.records.proposal import PlanFill, PlanMaterial, Warrant
from softmend.records.shelf import OwnSystem, OwnValue, SaidOfSystem, ShelfItem
from softmend.services.examine.printing import report_as_text
from softmend.services.explain.binding import bound_crack, told_value
from softmend.services.explain.binding_fill import fill_system, system_names
from softmend.services.explain.binding_matter import LEACHED, SOUND, matter_values
from softmend.services.explain.bounded import LIMITS
from softmend.services.explain.contradiction import contradicting_sources
from softmend.services.explain.crack import (
    COMPARING,
    GIVING,
    SHARING,
    Role,
    crack_numbered,
    cracks_in,
    fill_named,
    fills_on,
)
from softmend.services.explain.crack_drawing import section_drawing
from softmend.services.explain.crack_keep import keep_crack, kept_of, say_of_crack
from softmend.services.explain.crack_words import MODEL, reached_words, said_of
from softmend.services.explain.explain_steps import crack_lines, explain_steps, front_steps
from softmend.services.explain.fill_choice import choice_on
from softmend.services.explain.measured_opening import record_opening
from softmend.services.explain.own_values import record_own_system, record_own_value
from softmend.services.explain.shelf import put_on_shelf
from softmend.services.explain.what_if import ORIGIN, Tried
from softmend.services.legal_flags import today_at
from softmend.services.next_steps import next_steps
from softmend.services.propose.proposal_content import proposal_as_text
from softmend.services.propose.proposals import record_fill, record_material
from softmend.services.recording import record_one
from softmend.services.treat.treatment_content import treatment_as_text
from tests.services.explain.conftest import PULP, RESIN, SAID

if TYPE_CHECKING:
    from softmend.records.entry import Entry
    from softmend.services.bench import Author, Bench
    from softmend.services.explain.binding import Bound
    from softmend.services.explain.crack import FillOn

SECTION = {"width_mm": {"value": 0.9}, "depth_mm": {"value": 8.1}, "section": "V"}


def bound_of(bench: Bench, dossier_id: str) -> Bound:
    with bench.store.reading() as reader:
        return crack_numbered(reader, dossier_id, 1)


def answers(bench: Bench, dossier_id: str, tried: Tried | None = None) -> list[FillOn]:
    with bench.store.reading() as reader:
        return fills_on(reader, dossier_id, crack_numbered(reader, dossier_id, 1), tried)


def test_width_and_depth_are_the_marks_and_the_rest_is_asked_for(
    bench: Bench, dossier_id: str, mark: Entry
) -> None:
    bound = bound_of(bench, dossier_id)
    width = bound.payload["crack"]["width_mm"]
    assert width["kind"] == "measured"
    assert width["origin"] == "the mark: feeler gauge"
    assert width["value"]["low"] < 0.6 < width["value"]["typical"] == 0.9 < 1.0
    assert bound.payload["crack"]["depth_mm"]["value"] == {
        "low": 5.4, "typical": 8.1, "high": 11.7,
    }  # fmt: skip
    assert [one.field for one in bound.missing] == [
        "body", "material", "preservation", "mismatch_percent", "fall_percent",
    ]  # fmt: skip


def test_every_value_that_goes_in_has_its_kind_and_origin(
    bench: Bench, dossier_id: str, said: Entry
) -> None:
    (old, new) = answers(bench, dossier_id)
    for one in (old, new):
        assert one.giving is not None
        for line in one.giving["working"]:
            assert line["kind"], line
            assert line["origin"], line
    kinds = {line["name"]: line["kind"] for line in (old.giving or {})["working"]}
    assert kinds["toughness of the object"] == "estimated"
    assert kinds["width at the mouth"] == "measured"
    assert kinds[f"{RESIN}: strength"] == "quoted"


def test_a_state_without_rows_has_no_answer_until_somebody_gives_one(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    bare = replace(SAID, material="antler (compact)", preservation=LEACHED, modulus_gpa=None,
                   poisson=None, toughness_mpa_m05=None)  # fmt: skip
    say_of_crack(bench, author, dossier_id, mark.subject_id, bare, "")
    bound = bound_of(bench, dossier_id)
    assert [one.field for one in bound.missing] == ["modulus_gpa", "poisson", "toughness_mpa_m05"]
    assert "the nearest fresh value is not taken" in bound.missing[0].sentence
    (old, _new) = answers(bench, dossier_id)
    assert old.giving is None
    assert old.reasons
    with pytest.raises(MissingEvidenceError, match="Mark 1 cannot be computed yet"):
        keep_crack(bench, author, dossier_id, 1)


def test_sound_matter_comes_from_the_table_with_its_rows_named(bench: Bench) -> None:
    with bench.store.reading() as reader:
        ivory, read = matter_values(reader, "elephant ivory", SOUND)
        oak, _ = matter_values(reader, "oak", SOUND)
    assert read == ()
    assert ivory["modulus_gpa"].uncertain().typical == pytest.approx(7.5)
    assert "table:materials/elephant ivory: modulus across" in ivory["modulus_gpa"].origin
    # Its sign is not known and is drawn, as often one way as the other.
    drawn = ivory["mismatch_percent"].uncertain()
    assert drawn.band.low < 0 < drawn.band.high
    assert drawn.typical == pytest.approx(0, abs=1e-6)
    # Oak: 0.049 less 0.028 % for each %RH.
    assert oak["mismatch_percent"].uncertain().mean == pytest.approx(0.021, abs=0.001)
    assert oak["mismatch_percent"].kind == "derived"


def test_every_fill_of_the_table_is_bound_with_its_marks(bench: Bench) -> None:
    with bench.store.reading() as reader:
        systems = [fill_system(reader, name) for name in system_names(reader)]
    assert len(systems) == 13
    for one in systems:
        assert one is not None
        assert one.payload["modulus_gpa"]["origin"].startswith("table:materials/")
        assert one.payload["reversible"]
    by_name = {one.name: one.payload for one in systems if one is not None}
    # A bound that only held at least so much on stone is our estimate, and says so.
    assert by_name[RESIN]["bond_strength_mpa"]["kind"] == "estimated"
    assert "held at least" in by_name[RESIN]["bond_strength_mpa"]["origin"]
    assert by_name[PULP]["liquid"] == "water"
    assert by_name["glass-microballoon acrylic copolymer"]["liquid"] == "solvent"
    assert "bond_strength_mpa" not in by_name["gypsum plaster"]


def test_the_resin_loads_the_object_and_a_pulp_lets_go_before_it(
    bench: Bench, dossier_id: str, said: Entry
) -> None:
    old, new = answers(bench, dossier_id)
    assert (old.role, old.name, new.role, new.name) == (Role.OLD, RESIN, Role.NEW, PULP)
    assert old.giving is not None
    assert new.giving is not None
    assert old.giving["parts"][2]["demand"]["typical"] > 1
    assert old.giving["object_first_mean_percent"] > 30
    assert new.giving["object_first_mean_percent"] < 1
    words = said_of(bound_of(bench, dossier_id), [old, new])
    assert words.lead.startswith(
        "With the fill that is in, if anything gives: very likely the object"
    )
    assert "loaded beyond what it stands in the middle of the band" in words.rest[0]
    assert "No fill takes the place of steady humidity." in words.rest[1]
    assert "below 1 % over the whole band" in words.rest[1]
    assert words.cannot_know[0] == MODEL
    assert "Left open" in words.rest[-1]


def test_what_reaches_the_walls_is_told_first_and_differs_where_the_pull_if_it_held_does_not(
    bench: Bench, dossier_id: str, said: Entry
) -> None:
    old, new = answers(bench, dossier_id)
    resin, pulp = old.giving or {}, new.giving or {}
    # If both held they would pull much alike; the pulp lets go long before.
    assert resin["traction_mpa"]["typical"] < 2 * pulp["traction_mpa"]["typical"]
    assert resin["reached_mpa"]["typical"] > 4 * pulp["reached_mpa"]["typical"]
    assert pulp["reached_mpa"]["high"] < pulp["traction_mpa"]["high"]
    assert pulp["lets_go_percent"] > 90
    told = reached_words(pulp)
    assert told.startswith(f"Before the fill or its bond lets go, {pulp['reached_mpa']['text']}")
    assert told.endswith(f"if it held, it would be {pulp['traction_mpa']['text']}.")
    words = said_of(bound_of(bench, dossier_id), [old, new]).rest[1]
    assert words.index(pulp["reached_mpa"]["text"]) < words.index(pulp["traction_mpa"]["text"])
    assert "If it held: the object at the walls of the crack" in words
    drawn = section_words(section_drawing(SECTION, PULP, new.sharing, pulp))
    assert f"pull that reaches the walls {pulp['reached_mpa']['text']}" in drawn
    assert "once it has let go, as in the open crack" in drawn
    whole = section_words(section_drawing(SECTION, RESIN, old.sharing, resin))
    assert "shielded while the fill holds" in whole
    before = {name: value for name, value in pulp.items() if name != "reached_mpa"}
    kept_before = section_words(section_drawing(SECTION, PULP, new.sharing, before))
    assert "pull on the walls, if it held" in kept_before
    assert reached_words(before).startswith("If it holds, its pull on the walls is ")
    assert "nearly all" in reached_words(pulp | {"lets_go_percent": 0.5})


def test_no_draw_of_a_ratio_told_wide_passes_what_it_can_be(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    wide = Told(0.2, 0.4, 0.49)
    say_of_crack(bench, author, dossier_id, mark.subject_id, replace(SAID, poisson=wide), "")
    bound = bound_of(bench, dossier_id)
    assert told_value(wide).uncertain().quantile(0.9999) > 0.5
    asked = Sourced.model_validate(bound.payload["matter"]["poisson"])
    assert asked.uncertain().quantile(0.9999) <= LIMITS["poisson"][1]
    assert (asked.kind, asked.origin) == ("estimated", told_value(wide).origin)
    record_own_value(bench, author, OwnValue(PULP, "poisson", "", 0.2, 0.4, 0.49, "", "estimated",
                                             "by eye"))  # fmt: skip
    with bench.store.reading() as reader:
        system = fill_system(reader, PULP)
    assert system is not None
    of_fill = Sourced.model_validate(system.payload["poisson"])
    assert of_fill.uncertain().quantile(0.9999) <= LIMITS["poisson"][1]


def test_measured_beats_modelled_and_narrows_the_answer(
    bench: Bench, author: Author, dossier_id: str, mark: Entry, said: Entry
) -> None:
    before = answers(bench, dossier_id)[0].giving or {}
    assert bound_of(bench, dossier_id).used == "modelled"
    read = (
        WidthReading("2026-01-10", 0.96, 0.005, 38.0, 1.0),
        WidthReading("2026-07-10", 0.90, 0.005, 56.0, 1.0),
    )
    opening = MeasuredOpening(OpeningWay.TWO_READINGS, read, measured_with="feeler gauge")
    entry = record_opening(bench, author, dossier_id, mark.subject_id, opening)
    bound = bound_of(bench, dossier_id)
    assert bound.used == "measured"
    assert entry.id in bound.read_entry_ids
    after = answers(bench, dossier_id)[0].giving or {}
    assert after["used"] == "measured"

    def spread(giving: dict) -> float:
        band = giving["traction_mpa"]
        return float(band["high"] / band["low"])

    assert spread(after) < spread(before)
    words = said_of(bound, answers(bench, dossier_id))
    assert any("The movement was measured on the object" in line for line in words.cannot_know)


def test_what_is_tried_out_keeps_its_spread_and_says_so(
    bench: Bench, dossier_id: str, said: Entry
) -> None:
    still, shaken = (
        answers(bench, dossier_id, Tried(fall_percent=fall))[0].giving or {} for fall in (5, 30)
    )
    assert still["anything_mean_percent"] < shaken["anything_mean_percent"]
    origins = {line["name"]: line["origin"] for line in shaken["working"]}
    assert origins["fall in a usual year"] == ORIGIN
    with_record = answers(bench, dossier_id, Tried(fall_percent=20.0))[0].giving
    assert with_record == answers(bench, dossier_id)[0].giving


def test_a_run_is_kept_with_all_it_read_and_goes_stale_but_is_not_replaced(
    bench: Bench, author: Author, dossier_id: str, mark: Entry, said: Entry
) -> None:
    kept = keep_crack(bench, author, dossier_id, 1)
    assert len(kept) == 5
    with bench.store.reading() as reader:
        found = kept_of(reader, dossier_id, mark.subject_id)
        assert set(found) == {
            (GIVING, "old"), (GIVING, "new"), (SHARING, "old"), (SHARING, "new"), (COMPARING, ""),
        }  # fmt: skip
        run = found[GIVING, "old"].run
        assert {mark.id, said.id} <= set(run.read_entry_ids)
        assert run.inputs["draws_log2"] == 17
        assert all(one.stale_because == "" for one in found.values())
    drier = replace(SAID, fall_percent=Told(20, 30, 40))
    say_of_crack(bench, author, dossier_id, mark.subject_id, drier, said.id)
    with bench.store.reading() as reader:
        after = kept_of(reader, dossier_id, mark.subject_id)
        assert after[GIVING, "old"].run == run
        assert after[GIVING, "old"].stale_because.startswith(
            "stale, because what is said of the crack changed on "
        )
        steps = explain_steps(
            reader, dossier_id, today_at(bench), crack_lines(reader, dossier_id, 1)
        )
    assert steps[-1].sentence == "Compute mark 1 again."
    keep_crack(bench, author, dossier_id, 1)
    with bench.store.reading() as reader:
        again = kept_of(reader, dossier_id, mark.subject_id)
    assert all(one.stale_because == "" for one in again.values())


def test_the_dossiers_front_page_names_explain_after_what_is_owed_to_the_record(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    with bench.store.reading() as reader:
        steps = front_steps(reader, dossier_id, today_at(bench))
        owed = next_steps(reader, dossier_id, today_at(bench))
    assert steps[:-1] == owed
    assert steps[-1].sentence == "Explain: say more of mark 1."
    assert steps[-1].page.startswith("explain/cracks/1")
    say_of_crack(bench, author, dossier_id, mark.subject_id, SAID, "")
    with bench.store.reading() as reader:
        told = front_steps(reader, dossier_id, today_at(bench))[-1]
    assert told.sentence == "Explain: look at mark 1, and keep what it says."


def test_the_list_says_unknown_where_nobody_knows(
    bench: Bench, dossier_id: str, mark: Entry
) -> None:
    with bench.store.reading() as reader:
        (line,) = crack_lines(reader, dossier_id)
        steps = explain_steps(reader, dossier_id, today_at(bench), [line])
    assert (line.old_first, line.new_first, line.old_fill) == ("", "", "not known")
    assert steps[-1].sentence == "Say more of mark 1."


def test_the_plans_own_fill_is_taken_when_it_is_one_that_is_known(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    say_of_crack(bench, author, dossier_id, mark.subject_id,
                 replace(SAID, new_fill="not known"), "")  # fmt: skip
    material = PlanMaterial(0, PULP.upper())
    record_material(bench, author, dossier_id, material)
    fill = PlanFill(0, (1,), Warrant.STRUCTURE, "the edges stand", detected_by="ultraviolet",
                    material_numbers=(1,))  # fmt: skip
    record_fill(bench, author, dossier_id, fill)
    with bench.store.reading() as reader:
        named = fill_named(reader, dossier_id, crack_numbered(reader, dossier_id, 1), Role.NEW)
    assert named is not None
    assert named.name == PULP
    assert named.origin == "the plan, fill 1"
    assert len(named.read_entry_ids) == 2


def test_the_shelf_is_compared_first_and_the_rest_on_request(
    bench: Bench, author: Author, dossier_id: str, said: Entry
) -> None:
    put_on_shelf(bench, author, ShelfItem("starch-ether pulp"))
    with bench.store.reading() as reader:
        few = choice_on(reader, dossier_id, 1, today_at(bench), with_all=False)
        every = choice_on(reader, dossier_id, 1, today_at(bench), with_all=True)
    assert [line.row["name"] for line in few.lines] == ["starch-ether pulp", RESIN, PULP]
    assert [line.is_offered for line in few.lines] == [True, False, False]
    assert few.others == 10
    assert len(every.lines) == 11
    assert len(every.left_out) == 2
    assert "bond has no strength and no energy" in every.left_out[0]
    for line in every.lines:
        assert line.row["lips_demand"]["text"]
        assert line.row["tip_demand"]["text"]


def test_without_a_value_nothing_is_compared_and_it_says_why(
    bench: Bench, dossier_id: str, mark: Entry
) -> None:
    with bench.store.reading() as reader:
        choice = choice_on(reader, dossier_id, 1, today_at(bench), with_all=True)
    assert choice.lines == ()
    assert len(choice.left_out) == 5


def test_the_two_sources_on_ivory_stand_side_by_side() -> None:
    first, second = contradicting_sources("elephant ivory")
    assert {first.source, second.source} == {"rivers2003", "ivory-manual2017"}
    assert {first.so, second.so} == {
        "dried, a radial crack would close and the rings part",
        "dried, a radial crack would open",
    }
    assert contradicting_sources("oak") == ()


def test_a_sign_that_is_not_known_is_said(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    ivory = CrackModel(body=BodyAround.CYLINDER, radius_mm=Told(28, 33, 38),
                       material="elephant ivory", preservation=SOUND,
                       fall_percent=Told(15, 20, 28), old_fill=RESIN)  # fmt: skip
    say_of_crack(bench, author, dossier_id, mark.subject_id, ivory, "")
    words = said_of(bound_of(bench, dossier_id), answers(bench, dossier_id))
    assert any("Whether drying opens or closes this crack is not known" in line
               for line in words.cannot_know)  # fmt: skip


def test_only_what_is_drawn_as_a_line_and_a_known_fill_is_taken(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    with bench.store.reading() as reader, pytest.raises(NotFoundError, match="no crack or gap"):
        crack_numbered(reader, dossier_id, 7)
    with pytest.raises(InputError, match="There is no fill system of that name; got putty"):
        say_of_crack(bench, author, dossier_id, mark.subject_id, CrackModel(old_fill="putty"), "")
    with bench.store.reading() as reader:
        ((entry, drawn),) = cracks_in(reader, dossier_id)
        assert bound_crack(reader, dossier_id, entry, drawn).mark_id == mark.subject_id


def test_a_kept_run_is_printed_under_its_mark_and_fill_and_stale_is_said_once(
    bench: Bench, author: Author, dossier_id: str, mark: Entry, said: Entry
) -> None:
    keep_crack(bench, author, dossier_id, 1)
    say_of_crack(bench, author, dossier_id, mark.subject_id,
                 replace(SAID, fall_percent=Told(20, 30, 40)), said.id)  # fmt: skip
    condition = report_as_text(bench, dossier_id)
    assert catalogue.entry(GIVING).title not in condition.get("workings", "")
    told = " ".join(condition["explained"].split())
    # One sentence for the crack, about the fill that is in it, and where the rest is told.
    assert f"Mark 1, {RESIN}, the fill that is in" in told
    assert told.count("If anything gives:") == 1
    assert "stale, because what is said of the crack changed on 2026-03-02" in told
    assert "The treatment proposal has the bands" in told
    assert PULP not in told
    proposal = proposal_as_text(bench, dossier_id)
    assert "3 layers of at most 3 mm" in proposal["fill_designs"]
    assert f"Mark 1, {RESIN} · {catalogue.entry(GIVING).title}" in proposal["workings"]
    assert f"Mark 1, {RESIN} · {catalogue.entry(SHARING).title}" in proposal["workings"]
    side_by_side = f"Mark 1, fills side by side · {catalogue.entry(COMPARING).title}"
    assert side_by_side in proposal["workings"]
    assert "stiffness ratio: " in proposal["workings"]
    beside = proposal["workings"].partition(side_by_side)[2]
    assert f"Fill: {PULP}\n  Walls, of what they stand: " in beside
    assert "Stale, because what is said of the crack changed on" in proposal["workings"]
    assert "because stale, because" not in proposal["workings"]
    # Whoever prints has the run as it was kept: nothing is computed anew for it.
    assert "20.0 (15.0 to 28.0) %RH" in proposal["workings"]


def test_the_working_of_a_fill_that_was_laid_is_in_the_treatment_record(
    bench: Bench, author: Author, dossier_id: str, mark: Entry, said: Entry
) -> None:
    keep_crack(bench, author, dossier_id, 1)
    assert "treatment_workings" not in treatment_as_text(bench, dossier_id)
    done = Action(1, "filling", "2026-03-02", mark_ids=(mark.subject_id,))
    record_one(bench, author, dossier_id=dossier_id, subject_id="a1", record=done, based_on="")
    printed = treatment_as_text(bench, dossier_id)["treatment_workings"]
    assert f"{PULP}, the fill thought of · {catalogue.entry(GIVING).title}" in printed
    assert RESIN not in printed


@pytest.mark.parametrize(
    ("body", "changed"),
    [
        (BodyAround.HOLLOW, {"inner_radius_mm": Told(12, 15, 18)}),
        (BodyAround.PLANE, {"radius_mm": None}),
    ],
)
def test_a_hollow_shaft_and_a_flat_side_are_answered_too(
    bench: Bench, author: Author, dossier_id: str, mark: Entry, body: BodyAround, changed: dict
) -> None:
    said_so = replace(SAID, body=body, **changed)
    say_of_crack(bench, author, dossier_id, mark.subject_id, said_so, "")
    old, new = answers(bench, dossier_id)
    assert old.giving is not None
    assert new.giving is not None
    assert old.giving["object_first_mean_percent"] > new.giving["object_first_mean_percent"]


def test_of_a_flat_side_no_table_says_how_much_is_held_back(
    bench: Bench, author: Author, dossier_id: str, mark: Entry
) -> None:
    flat = CrackModel(body=BodyAround.PLANE, material="oak", preservation=SOUND,
                      fall_percent=Told(15, 20, 28))  # fmt: skip
    say_of_crack(bench, author, dossier_id, mark.subject_id, flat, "")
    assert [one.field for one in bound_of(bench, dossier_id).missing] == ["mismatch_percent"]


HARD_AND_HEAVY = (
    ("modulus", 2000.0, 2500.0, 3000.0, "MPa"),
    ("poisson", 0.33, 0.36, 0.4, ""),
    ("tensile_strength", 60.0, 80.0, 100.0, "MPa"),
    ("bond_strength", 8.0, 10.0, 12.0, "MPa"),
    ("volumetric_shrinkage", 9.0, 12.0, 15.0, "%"),
    ("density", 2.4, 2.5, 2.6, "g/mL"),
    ("solids", 40.0, 50.0, 60.0, "%"),
)


def test_a_fill_of_the_benchs_own_is_compared_under_its_own_values(
    bench: Bench, author: Author, dossier_id: str, said: Entry
) -> None:
    name = "pulp, our recipe of 2026"
    record_own_system(bench, author, OwnSystem(name))
    worse = "hard fill of our own"
    laid = {"reversible": "not in practice", "layer_mm": 4.0, "layer_drying_days": 3.0}
    said_of_it = (SaidOfSystem("carries water", "yes", "measured", "our bars"),
                  SaidOfSystem("hazard", "dust; heat", "measured", "its sheet"))  # fmt: skip
    record_own_system(bench, author, OwnSystem(worse, said_of_it, **laid))
    for property_name, low, typical, high, unit in HARD_AND_HEAVY:
        record_own_value(bench, author, OwnValue(worse, property_name, "", low, typical, high, unit,
                                                 "measured", "our own bars"))  # fmt: skip
    values = (
        ("modulus", 20.0, 60.0, 150.0, "MPa"),
        ("poisson", 0.1, 0.2, 0.3, ""),
        ("tensile_strength", 0.3, 1.0, 3.0, "MPa"),
        ("bond_strength", 0.1, 0.3, 0.6, "MPa"),
    )
    for property_name, low, typical, high, unit in values:
        record_own_value(bench, author, OwnValue(name, property_name, "", low, typical, high, unit,
                                                 "measured", "our own bars"))  # fmt: skip
    with bench.store.reading() as reader:
        own = fill_system(reader, name)
        choice = choice_on(reader, dossier_id, 1, today_at(bench), with_all=True)
    assert own is not None
    assert own.is_own
    assert own.payload["modulus_gpa"]["value"]["typical"] == pytest.approx(0.06)
    assert own.payload["modulus_gpa"]["kind"] == "measured"
    assert len(own.read_entry_ids) == 5
    row = next(line.row for line in choice.lines if line.row["name"] == name)
    rows = {line.row["name"]: line.row for line in choice.lines}
    # 11.5 mm of crack in layers of 4 mm, three days each.
    assert (rows[worse]["reversible"], rows[worse]["layers"]) == ("not in practice", 3)
    assert rows[worse]["drying_days"] == pytest.approx(9.0)
    assert rows[worse]["worse_than"]
    assert name not in rows[worse]["worse_than"]
    # What is not known of it is told as not known, and makes no other worse.
    assert (row["reversible"], row["liquid"], row["dry_g"]) == ("not known", "not known", None)
