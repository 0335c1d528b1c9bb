"""The demo's pictures hold what truth.json says of them."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from importlib.resources import files

import numpy as np
import pytest
from PIL import Image

from softmend.science.photo.cylinder import CylinderView, cylinder_from_outline
from softmend.science.photo.marker import detect_markers
from softmend.science.uncertain import Uncertain

FOLDER = files("softmend") / "demo"
TRUTH = json.loads((FOLDER / "truth.json").read_text(encoding="utf-8"))
PICTURES = pytest.mark.parametrize(
    "picture", TRUTH["pictures"], ids=[picture["file"] for picture in TRUTH["pictures"]]
)


def opened(picture: dict) -> Image.Image:
    with (FOLDER / picture["file"]).open("rb") as file:
        image = Image.open(file)
        image.load()
    return image


def side_px(corners: np.ndarray) -> float:
    return float(np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1).mean())


def darkness(picture: dict) -> np.ndarray:
    return 255.0 - np.asarray(opened(picture).convert("L"), float)


def sighting(picture: dict, feature: str) -> dict:
    return next(seen for seen in picture["sightings"] if seen["feature"] == feature)


def profiles(field: np.ndarray, middle: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Return offsets [px] and the field square to a line at each inner point of it."""
    run = middle[2:] - middle[:-2]
    side = np.stack([-run[:, 1], run[:, 0]], axis=1) / np.linalg.norm(run, axis=1)[:, None]
    offset = np.arange(-reach, reach + 0.01, 0.25)
    at = middle[1:-1, None] + offset[:, None] * side[:, None] - 0.5
    x, y = np.floor(at[..., 0]).astype(int), np.floor(at[..., 1]).astype(int)
    u, v = at[..., 0] - x, at[..., 1] - y
    return offset, (
        field[y, x] * (1 - u) * (1 - v)
        + field[y, x + 1] * u * (1 - v)
        + field[y + 1, x] * (1 - u) * v
        + field[y + 1, x + 1] * u * v
    )


@PICTURES
def test_a_picture_is_small_and_says_that_it_is_invented(picture: dict) -> None:
    image = opened(picture)
    assert image.size == (picture["width_px"], picture["height_px"])
    assert image.width * image.height <= 6_000_000
    exif = image.getexif()
    assert "Invented" in exif[0x010E]
    assert exif[0x0132] == picture["taken_at"]
    assert image.info["icc_profile"]


def test_all_pictures_together_stay_small() -> None:
    names = [entry.name for entry in FOLDER.iterdir() if entry.name.endswith(".jpg")]
    assert sorted(names) == sorted(picture["file"] for picture in TRUTH["pictures"])
    assert sum(len((FOLDER / name).read_bytes()) for name in names) <= 12 * 2**20


@PICTURES
def test_the_marker_lies_where_the_truth_says(picture: dict) -> None:
    markers = detect_markers(np.asarray(opened(picture)))
    found = next(marker for marker in markers if marker.number == picture["marker"]["number"])
    true = np.array(picture["marker"]["corners_px"])
    assert np.linalg.norm((found.corners_px - true).mean(axis=0)) < 0.3
    assert 0.0 < side_px(true) - found.side_px < 0.9
    assert picture["proof"]["marker_middle_off_px"] < 0.15


@PICTURES
def test_the_bar_and_the_marker_give_one_scale(picture: dict) -> None:
    bar = np.array(picture["scale_bar"]["ends_px"])
    along = np.linalg.norm(bar[1] - bar[0]) / picture["scale_bar"]["length_mm"]
    corners = np.array(picture["marker"]["corners_px"])
    side = side_px(corners)
    assert along == pytest.approx(picture["px_per_mm"], rel=1e-3)
    assert side / picture["marker"]["side_mm"] == pytest.approx(picture["px_per_mm"], rel=1e-3)


@PICTURES
def test_lamps_at_known_places_were_found_again(picture: dict) -> None:
    assert picture["proof"]["dots_worst_px"] < 0.1


@pytest.mark.parametrize(
    ("file", "feature", "within_px"),
    [
        ("antler-detail-crack-1.jpg", "crack 1", 0.6),
        ("antler-front-normal.jpg", "crack 1", 0.4),
        ("antler-front-normal-after.jpg", "crack 1", 0.4),
        ("figurehead-front-normal.jpg", "check", 0.5),
    ],
)
def test_the_dark_line_lies_between_the_lips(file: str, feature: str, within_px: float) -> None:
    picture = next(entry for entry in TRUTH["pictures"] if entry["file"] == file)
    seen = sighting(picture, feature)
    wide = np.array(seen["mouth_width_mm"]) * picture["px_per_mm"]
    middle = np.array(seen["points_px"])
    offset, dark = profiles(darkness(picture), middle, 1.5 * wide.max() + 2)
    dark = np.clip(dark - np.median(dark, axis=1, keepdims=True) - 25, 0, None)
    near = np.abs(offset) < wide[1:-1, None] + 2
    weight = np.where(near, dark, 0.0) + 1e-9
    centre = (weight * offset).sum(axis=1) / weight.sum(axis=1)
    wide_enough = wide[1:-1] > 0.6 * wide.max()
    assert wide_enough.sum() > 10
    assert abs(np.median(centre[wide_enough])) < within_px


def test_crack_1_has_opened_and_crack_4_is_new_by_known_amounts() -> None:
    features = {feature["name"]: feature for feature in TRUTH["objects"][0]["features"]}
    states = features["crack 1"]["states"]
    opened_mm = states["after"]["mean_mouth_mm"] - states["before"]["mean_mouth_mm"]
    assert 0.2 < opened_mm < 0.6
    assert features["crack 4"]["states"]["before"] == {"exists": False}
    assert features["crack 4"]["states"]["after"]["exists"]
    seen = {p["file"]: {s["feature"] for s in p["sightings"]} for p in TRUTH["pictures"]}
    assert "crack 4" in seen["antler-front-normal-after.jpg"]
    assert "crack 4" not in seen["antler-front-normal.jpg"]


def unrolled(picture: dict, points_px: np.ndarray) -> CylinderView:
    """Return the beam as the cylinder between the two true stations nearest to some points."""
    stations = picture["cylinder"]
    axis = np.array([station["axis_px"] for station in stations])
    far = np.abs(axis[:, 0] - points_px[:, 0].mean())
    near = [stations[number] for number in sorted(np.argsort(far)[:2])]
    outline = np.array([station["outline_px"] for station in near])
    diameter, distance = (
        Uncertain.exact(np.mean([station[name] for station in near]) / 1000)
        for name in ("diameter_across_mm", "camera_to_surface_mm")
    )
    middle = [picture["width_px"] / 2, picture["height_px"] / 2]
    return cylinder_from_outline(outline[:, 0], outline[:, 1], diameter, distance, middle)


@pytest.mark.parametrize(
    ("file", "feature", "share"),
    [
        ("antler-front-normal.jpg", "crack 1", 0.005),
        ("antler-front-normal.jpg", "crack 2", 0.005),
        ("antler-front-normal.jpg", "crack 3", 0.005),
        ("antler-front-normal-after.jpg", "crack 4", 0.005),
        ("antler-above-normal.jpg", "crack 3", 0.005),
        ("antler-front-normal.jpg", "fill", 0.02),
        ("antler-front-normal.jpg", "loss", 0.02),
        ("antler-front-normal.jpg", "lifting", 0.05),
    ],
)
def test_the_round_reading_of_true_points_gives_the_truth(
    file: str, feature: str, share: float
) -> None:
    # The reading knows a straight cone; the beam bends and is a little oval, and the lifting
    # varnish lies up to 61 degrees round it: that costs the last per cent.
    picture = next(entry for entry in TRUTH["pictures"] if entry["file"] == file)
    seen = sighting(picture, feature)
    points = np.array(seen["points_px"])
    flat_mm = unrolled(picture, points).positions(points) * 1000
    if seen["shape"] == "LineString":
        read = np.linalg.norm(np.diff(flat_mm, axis=0), axis=1).sum()
        assert read == pytest.approx(seen["visible_length_mm"], rel=share)
    else:
        x, y = flat_mm.T
        read = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2
        assert read == pytest.approx(seen["visible_area_mm2"], rel=share)
