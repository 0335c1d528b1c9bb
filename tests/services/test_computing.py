"""What a `_file` field names is decoded by the field's name, from a path or from a kept file."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

from softmend import catalogue
from softmend.intake.logger import LoggerFile
from softmend.services.computing import decoded_files, kept_files

LOGGERS = Path(__file__).parents[1] / "data" / "loggers"
NAME = "house_nine_months_hourly.csv"


def test_a_loggers_file_beside_the_input_is_opened_untouched() -> None:
    opened = decoded_files({"logger_file": NAME}, LOGGERS)["logger_file"]
    assert isinstance(opened, LoggerFile)
    assert opened.data == (LOGGERS / NAME).read_bytes()


def test_a_kept_loggers_file_is_read_by_its_hash() -> None:
    bench = SimpleNamespace(
        store=SimpleNamespace(files=SimpleNamespace(path=lambda sha256: LOGGERS / NAME))
    )
    payload = {"logger_file": "0" * 64}
    files = kept_files(bench, catalogue.files_named(payload))
    assert catalogue.run("climate.read", payload, files=files)["row_count"] == 6337
