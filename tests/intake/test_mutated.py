"""Bytes of small pictures are changed at random: each is taken whole or refused in one sentence."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import io
import tempfile
import warnings
from dataclasses import replace
from functools import cache
from pathlib import Path

import cv2
import numpy as np
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from softmend.intake.canonical import read_canonical
from softmend.intake.child import outcome
from softmend.intake.limits import STANDARD
from softmend.intake.profile import srgb_profile
from tests.intake.odd_files import exif, picture

SMALL = replace(STANDARD, pixels=4_000_000, side_px=8000)
SENTENCES = {"InputError", "LimitError"}


@cache
def seeds() -> tuple[bytes, ...]:
    """Return small sound files of every kind that is read."""
    found = []
    image = Image.fromarray(picture(width=40, height=30))
    record, profile = exif(6), srgb_profile()
    for kind, options in (
        ("JPEG", {"progressive": True}),
        ("JPEG", {}),
        ("PNG", {}),
        ("WEBP", {"lossless": True}),
        ("TIFF", {"compression": "tiff_lzw"}),
    ):
        out = io.BytesIO()
        image.save(out, kind, exif=record, icc_profile=profile, **options)
        found.append(out.getvalue())
    deep = picture(16, width=40, height=30)
    found.append(cv2.imencode(".png", deep)[1].tobytes())
    for options in ({}, {"compression": "zlib", "predictor": True}, {"tile": (16, 16)}):
        out = io.BytesIO()
        tifffile.imwrite(out, deep, photometric="rgb", **options)
        found.append(out.getvalue())
    out = io.BytesIO()
    tifffile.imwrite(out, np.moveaxis(deep, -1, 0), photometric="rgb", planarconfig="separate")
    found.append(out.getvalue())
    return tuple(found)


# Most changes fall where the headers are; the rest anywhere.
_WHERE = st.one_of(st.integers(0, 400), st.integers(0, 20_000))
_CHANGES = st.lists(st.tuples(_WHERE, st.integers(0, 255)), min_size=1, max_size=8)


@settings(max_examples=400, deadline=None)
@given(st.integers(0, 9), _CHANGES, st.one_of(st.none(), st.integers(0, 20_000)))
def test_a_mutated_picture_is_taken_whole_or_refused_in_one_sentence(
    seed: int, changes: list[tuple[int, int]], cut: int | None
) -> None:
    data = bytearray(seeds()[seed])
    for place, value in changes:
        data[place % len(data)] = value
    if cut is not None:
        del data[cut:]
    with tempfile.TemporaryDirectory() as scratch, warnings.catch_warnings():
        warnings.simplefilter("ignore")  # in the child they go to standard error
        source, folder = Path(scratch) / "a.jpg", Path(scratch) / "a"
        source.write_bytes(data)
        folder.mkdir()
        told = outcome(source, folder, SMALL, lambda stage: None)
        if "facts" in told:
            facts = told["facts"]
            pixels = read_canonical(folder / "canonical.tif")
            assert pixels.shape[:2] == (facts["height"], facts["width"])
            assert (folder / "tiles").is_dir()
            return
    assert told["refused"] in SENTENCES
    assert told["parts"]["problem"]
    assert told["parts"]["remedy"]
