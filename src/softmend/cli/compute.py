"""The command `softmend compute`: one computation on a JSON file, the same as in the app."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from softmend.errors import InputError, SoftmendError

ANSWERED, REFUSED, CANNOT_SAY = 0, 2, 3
MOST_BYTES = 50_000_000


def compute(
    name: str = "",
    *,
    in_file: Annotated[Path | None, Parameter(name="--in")] = None,
    out_file: Annotated[Path | None, Parameter(name="--out")] = None,
    seed: int = 0,
    list_names: Annotated[bool, Parameter(name="--list", negative=())] = False,
    schema: Annotated[str, Parameter(name="--schema")] = "",
    **named_files: Path,
) -> int:
    """Run one computation on a JSON file.

    Exit status 0: answered; 2: input refused, one JSON error on stderr; 3: cannot say.

    Parameters
    ----------
    name
        The computation, such as photo.length.
    in_file
        The input as JSON; fields ending in _file are paths relative to it.
    out_file
        Where the answer goes; the screen when left out.
    seed
        The same seed gives the same answer.
    list_names
        Name every computation.
    schema
        Print what a computation takes and gives, as JSON Schema.
    named_files
        A file by the name of its field, such as --logger-file room.csv.
    """
    from softmend import catalogue

    if list_names:
        _say("\n".join(catalogue.names()))
        return ANSWERED
    try:
        if schema:
            _say(_text(catalogue.schema(schema)))
            return ANSWERED
        payload = _payload(in_file, _plain(named_files))
        answer = catalogue.run(name, payload, seed, _decoded(payload, in_file))
        _write(_text(answer), out_file)
    except SoftmendError as refused:
        sys.stderr.write(json.dumps(_error(refused), ensure_ascii=False) + "\n")
        return REFUSED
    return CANNOT_SAY if answer["answer"] == "cannot say" else ANSWERED


def _plain(named_files: dict[str, Path]) -> dict[str, str]:
    """Return the files given as plain options; their paths are relative to where one stands."""
    fields = {option.replace("-", "_"): path for option, path in named_files.items()}
    unknown = [option for option in fields if not option.endswith("_file")]
    if unknown:
        raise InputError(
            "There is no such option",
            value=f"--{unknown[0].replace('_', '-')}",
            allowed="--in, --out, --seed, --list, --schema, or a field ending in -file",
        )
    return {field: str(path.absolute()) for field, path in fields.items()}


def _payload(path: Path | None, named: dict[str, str]) -> dict[str, Any]:
    return (_read(path) if path or not named else {}) | named


def _read(path: Path | None) -> dict[str, Any]:
    if path is None:
        raise InputError("No input was named", remedy="Name a JSON file with --in")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise InputError("The input is too large", value=path.name, allowed="50 MB")
        found = json.loads(path.read_text("utf-8"))
    except OSError as fault:
        raise InputError(
            "The input cannot be read", value=path, allowed="a file", remedy="Check its name"
        ) from fault
    except (ValueError, RecursionError) as fault:
        raise InputError("The input is not JSON", value=path.name, remedy=str(fault)) from fault
    if not isinstance(found, dict):
        raise InputError("The input is not a JSON object", value=type(found).__name__)
    return found


def _decoded(payload: dict[str, Any], in_file: Path | None) -> dict[str, Any]:
    """Return what is decoded for every field ending in _file, by the field's name."""
    from softmend.catalogue import files_named
    from softmend.services.computing import decoded_files

    return decoded_files(files_named(payload), in_file.parent if in_file else Path())


def _write(text: str, out_file: Path | None) -> None:
    if out_file is None:
        _say(text)
        return
    try:
        out_file.write_text(text + "\n", "utf-8")
    except OSError as fault:
        raise InputError(
            "The answer cannot be written there", value=out_file, remedy="Choose another folder"
        ) from fault


def _text(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)


def _error(refused: SoftmendError) -> dict[str, Any]:
    return {
        "error": {
            "kind": type(refused).__name__,
            "problem": refused.problem,
            "value": refused.value,
            "allowed": refused.allowed,
            "remedy": refused.remedy,
            "sentence": refused.sentence(),
        }
    }


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
