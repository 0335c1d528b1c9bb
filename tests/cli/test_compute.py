"""The command `softmend compute`: answers, refusals and "cannot say" as files and exit statuses."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import cv2
import numpy as np
import pytest

from softmend.cli.compute import compute

if TYPE_CHECKING:
    from pathlib import Path

BAR = {
    "method": "two_clicks",
    "end_a_px": [[100, 50]],
    "end_b_px": [[1100, 50]],
    "length_mm": 100,
}


def written(folder: Path, payload: object) -> Path:
    path = folder / "in.json"
    path.write_text(json.dumps(payload), "utf-8")
    return path


def test_an_answer_goes_to_its_file(tmp_path: Path) -> None:
    path = written(tmp_path, {"scale": BAR, "line_px": [[0, 0], [300, 400]]})
    assert compute("photo.length", in_file=path, out_file=tmp_path / "out.json") == 0
    found = json.loads((tmp_path / "out.json").read_text("utf-8"))
    assert found["length_mm"]["mean"] == pytest.approx(50, rel=0.01)


def test_an_answer_without_a_file_goes_to_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, {"places": []})
    assert compute("condition.overall", in_file=path) == 3
    assert json.loads(capsys.readouterr().out)["answer"] == "cannot say"


def test_the_list_and_a_schema_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert compute(list_names=True) == 0
    assert "photo.scale" in capsys.readouterr().out.splitlines()
    assert compute(schema="fill.volume") == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Volume of fill"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "The input is not JSON; got in.json; "),
        ("[]", "The input is not a JSON object; got list."),
        ('{"places": [{}]}', "The field “places.0.place” is missing"),
        ("[" * 100_000, "The input is not JSON; got in.json; "),
    ],
    ids=["cut off", "a list", "a wrong field", "a deep nest"],
)
def test_a_refused_input_is_one_json_error_on_stderr(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, words: str
) -> None:
    path = tmp_path / "in.json"
    path.write_text(text, "utf-8")
    assert compute("condition.overall", in_file=path) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert words in json.loads(said.err)["error"]["sentence"]


def test_a_missing_file_name_or_computation_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert compute("photo.length") == 2
    assert compute("photo.length", in_file=tmp_path / "none.json") == 2
    assert compute("photo.nothing", in_file=written(tmp_path, {})) == 2
    kinds = [json.loads(line)["error"]["kind"] for line in capsys.readouterr().err.splitlines()]
    assert kinds == ["InputError", "InputError", "NotFoundError"]


def test_a_picture_is_named_relative_to_the_json_file(tmp_path: Path) -> None:
    paper = np.full((600, 800), 230, dtype=np.uint8)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_250)
    paper[150:450, 200:500] = cv2.aruco.generateImageMarker(dictionary, 5, 300)
    cv2.imwrite(str(tmp_path / "paper.png"), paper)
    path = written(
        tmp_path,
        {"scale": {"method": "markers", "picture_file": "paper.png", "side_mm": 30}},
    )
    assert compute("photo.scale", in_file=path, out_file=tmp_path / "out.json") == 0
    found = json.loads((tmp_path / "out.json").read_text("utf-8"))
    assert found["markers"][0]["number"] == 5
