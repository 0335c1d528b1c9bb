# SPDX-License-Identifier: Apache-2.0

from softmend import catalogue
from softmend.services.workings import origin_words, sources_named, working


def test_every_source_of_a_working_is_told_by_its_title_and_never_by_its_key() -> None:
    for name in catalogue.names():
        for key in catalogue.entry(name).sources:
            assert sources_named([key]) != key, f"{name}: {key}"


def test_a_value_of_a_table_names_the_table_and_its_row_in_words() -> None:
    assert origin_words("table:task_hours/clear_cracks@915de9106904") == (
        "our table of task hours: clear cracks"
    )
    assert origin_words("table:materials/oak: modulus across@e4676115f108", "stiffness") == (
        "our table of materials: oak: modulus across"
    )
    assert origin_words("table:materials/oak: modulus across@e4676115f108", "oak: stiffness") == (
        "our table of materials: modulus across"
    )
    assert origin_words("our spread, table:materials/oak: density@e46", "oak: density") == (
        "our spread, our table of materials: density"
    )
    assert origin_words(
        "table:materials/oak: swelling tangential@e46 less table:materials/oak: x"
    ) == ("our table of materials: oak: swelling tangential less our table of materials: oak: x")
    assert origin_words("table:lamps") == "our table of lamps"
    assert origin_words("typed: own judgement") == "typed: own judgement"


def test_a_working_names_its_tables_once_with_their_versions() -> None:
    went_in = ("table:materials/oak: density@e46", "table:materials/oak: cv@e46", "typed",
               "table:lamps", "table:task_hours/filling@915")  # fmt: skip
    answer = {
        "working": [
            {"name": "x", "text": "1", "kind": "recalled", "origin": origin} for origin in went_in
        ],
        "warnings": [],
    }
    assert working("joint.first_to_give", "Mark 1", answer).tables == (
        "materials, version e46; task hours, version 915"
    )


def test_a_share_of_what_a_part_stands_says_of_what_it_is_a_share() -> None:
    answer = {
        "working": [],
        "warnings": [],
        "tip_demand": {"text": "0.014 (0.002 to 0.092)"},
        "open_tip_demand": {"text": "0.7 (0.1 to 3.2)"},
        "traction_mpa": {"text": "1.3 ± 0.4 MPa"},
    }
    found = {one.name: one.text for one in working("joint.first_to_give", "Mark 1", answer).results}
    assert found == {
        "tip of the crack, of what it stands": "0.014 (0.002 to 0.092)",
        "tip of the crack left open, of what it stands": "0.7 (0.1 to 3.2)",
        "pull on the walls if all holds": "1.3 ± 0.4 MPa",
    }
    assert working("joint.first_to_give", "Mark 1", answer).heading == (
        "Mark 1 · Which part gives first"
    )


def test_a_comparison_says_of_each_crack_whether_it_moved_and_how_many_are_new() -> None:
    moved = {
        "number": 1, "state": "breathes with RH", "text": "opened by up to 0.12 ± 0.04 mm",
        "reason": "", "stretches": [{}], "per_percent_mm": {"text": "-0.001 ± 0.004 mm/%RH"},
    }  # fmt: skip
    unseen = {"number": 2, "state": "not known", "text": "", "reason": "Narrower than it shows.",
              "stretches": [], "per_percent_mm": None}  # fmt: skip
    answer = {"working": [], "warnings": [], "cracks": [moved, unseen], "new_cracks": [{}]}
    assert [(one.name, one.text) for one in working("photo.change", "", answer).results] == [
        ("mark 1", "opened by up to 0.12 ± 0.04 mm"),
        ("mark 1, for each %RH of drying", "−0.001 ± 0.004 mm/%RH"),
        ("mark 2", "Narrower than it shows."),
        ("new cracks suggested", "1"),
    ]
