"""Merging, pieces and what is refused as no surface."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend.errors import InputError
from softmend.science.solid.mesh import joined, tidied
from tests.science.solid.bodies import sphere, together


def test_a_soup_of_triangles_becomes_one_surface() -> None:
    ball = sphere(0.05, 0.01)
    soup = ball.corners.reshape(-1, 3)
    found = tidied(soup, np.arange(len(soup)).reshape(-1, 3))
    assert len(found.mesh.points) == len(ball.points)
    assert len(found.mesh.faces) == len(ball.faces)
    assert len(found.mesh.rim) == 0


def test_repeated_faces_are_dropped_whichever_way_they_run() -> None:
    ball = sphere(0.05, 0.01)
    twice = together(ball, ball.turned_over(np.ones(len(ball.faces), dtype=bool)))
    found = tidied(twice.points, twice.faces)
    assert found.repeated_faces == len(ball.faces)


def test_groups_are_those_of_a_graph() -> None:
    assert joined(5, np.array([[0, 4]]), np.array([[1, 2]])).tolist() == [0, 1, 1, 2, 0]


@pytest.mark.parametrize(
    ("points", "faces", "words"),
    [
        ([[0, 0, np.nan]] * 4, [[0, 1, 2]], "Corners of the scan are not finite numbers"),
        ([[0, 0, 0]], [], "The scan has no faces"),
        (np.eye(3), [[0, 1, 3]], "names a corner that is not there"),
        (np.eye(3), [[0, 1, 2]], "too few faces"),
    ],
)
def test_what_is_no_surface_is_refused_in_words(points, faces, words) -> None:
    with pytest.raises(InputError, match=words):
        tidied(points, faces)
