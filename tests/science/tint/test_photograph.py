"""Colour from a photograph: patches by four clicks, corrections, their error, uneven light."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import numpy as np
import pytest

from softmend import tables
from softmend.errors import InputError
from softmend.science.tint.chart import even_light, linear_light, patches, place_on_picture, region
from softmend.science.tint.colorimetry import xyz_of_lab
from softmend.science.tint.photograph import correction, terms, unevenness
from tests.science.tint import invented
from tests.science.tint.library import colour

WHITE = invented.lamp("D50").white
LAB = np.array([
    [row["L"], row["a"], row["b"]]
    for row in tables.table("colour_chart").rows
    if row["edition"] == "after 2014"
])  # fmt: skip
XYZ = xyz_of_lab(LAB, WHITE)
TO_CAMERA = np.array([[75, 30, 3], [10, 85, 5], [4, 12, 88]]) / 1e4


def photographed(light: np.ndarray | float = 1.0, noise: float = 0.0) -> np.ndarray:
    """Return the linear picture of a 4 x 6 chart of 40 px patches seen by a plain camera."""
    rng = np.random.default_rng(6)
    camera = np.clip(XYZ @ TO_CAMERA.T, 0, None).reshape(4, 6, 3)
    picture = np.repeat(np.repeat(camera, 40, axis=0), 40, axis=1) * 0.8 * light
    return np.clip(picture + noise * rng.standard_normal(picture.shape), 0, 1)


def fitted(picture: np.ndarray, method: str = "linear"):
    read = patches(picture, [[0, 0], [240, 0], [240, 160], [0, 160]], 4, 6)
    camera = np.array([one.mean for one in read])
    usable = np.array([one.usable for one in read])
    return correction(camera[usable], XYZ[usable], WHITE, method), camera, usable


def test_the_chart_of_the_tables_is_that_of_the_library() -> None:
    theirs = colour.CCS_COLOURCHECKERS["ColorChecker24 - After November 2014"]
    xyz = np.array([colour.xyY_to_XYZ(one) for one in theirs.data.values()])
    assert pytest.approx(colour.XYZ_to_Lab(xyz, theirs.illuminant), abs=1e-4) == LAB
    assert {row["edition"] for row in tables.table("colour_chart").rows} == {
        "after 2014", "before 2014",
    }  # fmt: skip


def test_a_plain_camera_is_put_right_and_noise_is_told() -> None:
    found, _, usable = fitted(photographed())
    assert usable.sum() >= 20
    assert found.off.max() < 0.2
    noisy, _, _ = fitted(photographed(noise=0.02))
    assert found.off.mean() < noisy.off.mean() < 3


@pytest.mark.parametrize("method", ["linear", "root-polynomial"])
def test_twice_the_light_gives_twice_the_colour(method: str) -> None:
    found, camera, _ = fitted(photographed(), method)
    assert found.xyz(2 * camera) == pytest.approx(2 * found.xyz(camera), rel=1e-12)
    theirs = colour.characterisation.polynomial_expansion_Finlayson2015(camera[3], 2, True)
    assert sorted(terms(camera[3], "root-polynomial")) == pytest.approx(sorted(theirs))


def test_a_left_out_patch_is_worse_than_one_in_the_fit() -> None:
    found, camera, usable = fitted(photographed(noise=0.03), "root-polynomial")
    inside = np.linalg.norm(found.lab(camera[usable]) - LAB[usable], axis=1)
    assert found.off.mean() > 0.3 * inside.mean()


def test_uneven_light_is_found_and_a_grey_card_takes_it_away() -> None:
    shade = np.linspace(1.0, 0.8, 240)[None, :, None] * np.ones((160, 1, 3))
    even, camera, usable = fitted(photographed())
    assert unevenness(camera, usable, XYZ, even, 4, 6) < 0.02
    shaded, camera, usable = fitted(photographed(shade))
    worse = unevenness(camera, usable, XYZ, shaded, 4, 6)
    assert worse > 0.08
    again, camera, usable = fitted(even_light(photographed(shade), 0.5 * shade))
    assert unevenness(camera, usable, XYZ, again, 4, 6) < 0.02
    assert again.off.mean() < shaded.off.mean()


def test_a_chart_seen_aslant_is_read_in_the_middle_of_its_patches() -> None:
    corners = [[30, 20], [210, 40], [190, 150], [15, 120]]
    h = place_on_picture(corners)
    y, x = np.mgrid[0:170, 0:230] + 0.5
    back = np.linalg.inv(h) @ np.stack([x.ravel(), y.ravel(), np.ones(x.size)])
    u, v = (back[:2] / back[2]).reshape(2, 170, 230)
    inside = (u >= 0) & (u < 1) & (v >= 0) & (v < 1)
    number = np.where(inside, np.floor(v * 4) * 6 + np.floor(u * 6), 24).astype(int)
    level = np.append(np.linspace(0.05, 0.9, 24), 0.0)
    picture = level[number][..., None] * np.ones(3)
    found = patches(picture, corners, 4, 6)
    assert [one.mean[0] for one in found] == pytest.approx(list(level[:24]))
    assert max(one.spread[0] for one in found) == pytest.approx(0)


def test_patches_out_of_the_camera_s_range_are_not_used() -> None:
    picture = photographed()
    picture[:40, :40] = 1.0
    picture[:40, 40:80] = 0.001
    read = patches(picture, [[0, 0], [240, 0], [240, 160], [0, 160]], 4, 6)
    assert not read[0].usable
    assert not read[1].usable


def test_srgb_is_undone() -> None:
    assert float(linear_light(128, 255)) == pytest.approx(colour.cctf_decoding(128 / 255), abs=1e-9)


def test_bad_clicks_and_pictures_are_refused_in_words() -> None:
    picture = photographed()
    with pytest.raises(InputError, match="do not go round the chart"):
        patches(picture, [[0, 0], [240, 160], [240, 0], [0, 160]], 4, 6)
    with pytest.raises(InputError, match="outside the picture"):
        patches(picture, [[900, 0], [990, 0], [990, 60], [900, 60]], 4, 6)
    with pytest.raises(InputError, match="impossible number"):
        patches(picture, [[0, 0], [240, 0], [240, 160], [0, 160]], 0, 6)
    with pytest.raises(InputError, match="too few pixels"):
        region(picture, [[1, 1], [2, 1], [2, 2]])
    with pytest.raises(InputError, match="another size"):
        even_light(picture, picture[:10])
    with pytest.raises(InputError, match="too dark or too bright"):
        even_light(picture, np.ones_like(picture))
    with pytest.raises(InputError, match="not known"):
        terms(picture, "magic")
    with pytest.raises(InputError, match="too few usable patches"):
        correction(np.ones((4, 3)), np.ones((4, 3)), WHITE, "linear")
