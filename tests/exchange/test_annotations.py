"""Web Annotations in: what we wrote comes back, and from foreign ones only numbers are taken."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from softmend.errors import InputError, LimitError
from softmend.exchange.annotations import read_annotation, read_annotations
from softmend.exchange.svg_shapes import LARGEST_SVG, geometry_in_svg
from softmend.exchange.web_annotation import NamedMark, annotation_page
from softmend.records.entry import Entry
from softmend.records.mark import Geometry, Mark, Shape, Sighting, State
from tests.report.sample import DRAWN, view

ENTRY = Entry(
    id="e1", dossier_id="d1", number=3, kind="mark", subject_id="m1", payload="{}",
    payload_version=1, payload_hash="0", corrects=None, author_id="a1", purpose="to test",
    at="2026-03-02T09:15:30.250Z[Europe/Oslo]", previous_hash="0",
)  # fmt: skip


def annotation(selector: Any, **more: Any) -> dict[str, Any]:
    """Return a foreign annotation with a selector."""
    target = {"source": "urn:picture", "selector": selector}
    return {"type": "Annotation", "target": target, **more}


def svg_annotation(svg: str) -> dict[str, Any]:
    """Return a foreign annotation with an SVG selector."""
    return annotation({"type": "SvgSelector", "value": svg})


def page_of(geometry: Geometry, state: State) -> dict[str, Any]:
    """Return our own page of annotations for one mark, through JSON and back."""
    mark = Mark(7, "crack", (Sighting("v1", geometry),), state, note_observed="<b>dirt</b>")
    page = annotation_page("v1", view(1, "front"), [NamedMark(ENTRY, mark, "crack", "C")])
    read: dict[str, Any] = json.loads(json.dumps(page))
    return read


@pytest.mark.parametrize("drawing", DRAWN, ids=lambda drawing: drawing.label)
def test_what_we_wrote_comes_back(drawing: Any) -> None:
    (read,) = read_annotations(page_of(drawing.geometry, drawing.state))
    assert read.geometry.shape is drawing.geometry.shape
    for ours, theirs in zip(drawing.geometry.parts, read.geometry.parts, strict=True):
        for (x, y), (u, v) in zip(ours, theirs, strict=True):
            assert u == pytest.approx(x, abs=0.0051)
            assert v == pytest.approx(y, abs=0.0051)
    assert (read.number, read.term, read.code) == ("7", "crack", "C")
    assert read.state is drawing.state
    assert read.note == "<b>dirt</b>"
    assert read.digest_sha256 == view(1, "front").canonical_sha256


coordinate = st.integers(0, 999_999).map(lambda hundredths: hundredths / 100)
position = st.tuples(coordinate, coordinate)


@given(st.lists(position, min_size=2, max_size=30))
def test_any_line_comes_back_exactly(points: list[tuple[float, float]]) -> None:
    line = Geometry(Shape.LINE, (tuple(points),))
    (read,) = read_annotations(page_of(line, State.NOT_KNOWN))
    assert read.geometry == line


# The example of a polygon selector, written by us in the four ways that SVG allows.
@pytest.mark.parametrize(
    "svg",
    [
        '<svg xmlns="http://www.w3.org/2000/svg"><polygon points="1,2 5,2 5,8"/></svg>',
        '<svg><path d="M1 2L5 2L5 8Z"/></svg>',
        '<svg><path d="m 1,2 h4 v6 z"/></svg>',
        '<svg><path d="M1 2 5 2 5 8 1 2Z"/></svg>',
        "<SVG:svg><g><path d='M1,2L5,2,5,8z' onclick='alert(1)'/></g></SVG:svg>",
    ],
)
def test_every_way_to_write_a_straight_area_is_read(svg: str) -> None:
    read = read_annotation(svg_annotation(svg))
    assert read.geometry == Geometry(Shape.AREA, (((1, 2), (5, 2), (5, 8)),))


def test_a_relative_path_goes_on_from_where_the_last_ring_closed() -> None:
    shape = geometry_in_svg('<svg><path d="m0 0h9v9h-9zm3 3h2v2z"/></svg>')
    assert shape.parts[1] == ((3, 3), (5, 3), (5, 5))


@pytest.mark.parametrize(
    ("svg", "shape"),
    [
        ('<svg><line x1="1" y1="2" x2="3" y2="4"/></svg>', Shape.LINE),
        ('<svg><polyline points="1 2 3 4"/></svg>', Shape.LINE),
        ('<svg><rect x="1" y="2" width="3" height="4"/></svg>', Shape.AREA),
        ('<svg><circle cx="10" cy="10" r="1"/></svg>', Shape.POINT),
        ('<svg><circle cx="10" cy="10" r="9"/></svg>', Shape.AREA),
    ],
)
def test_other_shapes_are_read(svg: str, shape: Shape) -> None:
    assert geometry_in_svg(svg).shape is shape


def test_a_fragment_is_a_rectangle_or_a_point() -> None:
    area = read_annotation(annotation({"type": "FragmentSelector", "value": "xywh=pixel:1,2,3,4"}))
    assert area.geometry.parts == (((1, 2), (4, 2), (4, 6), (1, 6)),)
    point = read_annotation(annotation({"type": "FragmentSelector", "value": "xywh=7,8,0,0"}))
    assert point.geometry == Geometry(Shape.POINT, (((7, 8),),))


@pytest.mark.parametrize(
    ("svg", "sentence"),
    [
        ("", "exactly one shape; got 0"),
        ('<svg><path d="M0 0C1 1 2 2 3 3"/></svg>', "cannot be read; got C"),
        ('<svg><path d="M0 0L1"/></svg>', "odd count"),
        ('<svg><path d="L1 1Z"/></svg>', "too few positions"),
        ('<svg><path d="Z"/></svg>', "Z before M"),
        ('<svg><path d="M0 0L1 1;alert(1)"/></svg>', "cannot be read"),
        ('<svg><path d="M0 0L1e9 1L2 2Z"/></svg>', "not on any picture"),
        ('<svg><path d="M0 0L1 1L2 2ZM5 5L6 6"/></svg>', "one open line, or closed rings"),
        ('<svg><polygon points="1,2 NaN,4 5,6"/></svg>', "cannot be read"),
        ('<svg><polygon points="1,2 3,4"/></svg>', "too few positions; got 2"),
        ('<svg transform="scale(2)"><polygon points="1,2 3,4 5,6"/></svg>', "transform"),
        ('<svg><line x1="1"/><line x1="2"/></svg>', "exactly one shape; got 2"),
        ('<svg><rect x="1 2" width="3" height="4"/></svg>', "cannot be read"),
    ],
)
def test_what_cannot_be_read_is_a_sentence(svg: str, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        geometry_in_svg(svg)


def test_a_bomb_of_entities_is_not_expanded() -> None:
    bomb = (
        '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]>'
        '<svg><path d="M0 0L&b; 1"/></svg>'
    )
    with pytest.raises(InputError):
        geometry_in_svg(bomb)


def test_too_much_is_refused() -> None:
    with pytest.raises(LimitError, match="too long"):
        geometry_in_svg("x" * (LARGEST_SVG + 1))
    with pytest.raises(LimitError, match="too many positions"):
        geometry_in_svg(f'<svg><polyline points="{"1 1 " * 20_001}"/></svg>')


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    for svg in (text, f'<svg><path d="{text}"/></svg>', f'<svg><polygon points="{text}"/></svg>'):
        try:
            shape = geometry_in_svg(svg)
        except InputError:
            continue
        assert all(isinstance(value, float) for part in shape.parts for at in part for value in at)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({}, "not a Web Annotation"),
        ([], "not a Web Annotation"),
        ({"type": "Annotation"}, "one target"),
        ({"type": "AnnotationPage"}, "list of items"),
        (annotation(None), "needs a selector"),
        (annotation({"type": "XPathSelector", "value": "/a"}), "kind of selector cannot be read"),
        (annotation({"type": "SvgSelector", "value": 3}), "value of a selector is text; got int"),
        (annotation({"type": "FragmentSelector", "value": "t=3"}), "rectangle in pixels"),
        (annotation({"type": "FragmentSelector", "value": "xywh=percent:1,2,3,4"}), "rectangle"),
        (annotation({"type": "FragmentSelector", "value": "xywh=nan,2,3,4"}), "rectangle"),
        (
            annotation(
                {"type": "FragmentSelector", "value": "xywh=1,2,3,4"},
                body={"type": "TextualBody", "value": "x" * 5000},
            ),
            "too long; got 5000 characters",
        ),
    ],
)
def test_foreign_data_that_is_no_annotation_is_a_sentence(data: Any, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        read_annotations(data)


def test_a_foreign_tag_never_becomes_a_state() -> None:
    foreign = annotation(
        {"type": "FragmentSelector", "value": "xywh=1,2,3,4"},
        body=[{"type": "TextualBody", "purpose": "assessing", "value": "certainly growing"}],
    )
    assert read_annotation(foreign).state is State.NOT_KNOWN
