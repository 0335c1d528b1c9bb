"""A name means one thing in one unit: every quantity of the models stands in the nomenclature."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import ast
import re

import pytest

from tests.house.sources import PACKAGE, ROOT, files_of_the_project, python_files, tree_of

PAGE = ROOT / "docs" / "nomenclature.md"
# The closed list of endings.
UNITS = {
    "ug_per_m3": "µg/m³", "g_per_m3": "g/m³", "kg_per_m3": "kg/m³", "g_per_kg": "g/kg",
    "lux_hours": "lx·h", "px_per_mm": "px/mm", "g_per_ml": "g/mL", "j_per_m2": "J/m²",
    "sqrt_mpa": "MPa^½", "cm3_per_mol": "cm³/mol", "g_per_mol": "g/mol", "mg_per_m3": "mg/m³",
    "mg_per_min": "mg/min", "ml_per_h": "mL/h", "m_per_min": "m/min", "m3_per_h": "m³/h",
    "m3_per_ml": "m³/mL", "per_h": "1/h", "minutes": "min", "nat": "nat",
    "m3": "m³", "mm2": "mm²", "mm3": "mm³", "um": "µm", "mm": "mm",
    "cm": "cm", "m": "m",
    "ml": "mL", "l": "L", "g": "g", "kg": "kg", "percent": "%", "degc": "°C", "degrees": "°",
    "pa": "Pa", "kpa": "kPa", "mpa": "MPa", "gpa": "GPa", "n": "N", "px": "px", "h": "h",
    "hours": "h", "s": "s", "days": "d", "lux": "lx", "ppm": "ppm", "bytes": "B",
}  # fmt: skip
ENDING = re.compile(rf"_({'|'.join(UNITS)})$")
LINE = re.compile(r"^\| `([a-z0-9_]+)` \| (\S+) \| (.+) \| (.+) \|$", re.MULTILINE)


def lines() -> list[tuple[str, str, str, str]]:
    """Return name, unit, meaning and place of every line of the nomenclature."""
    return LINE.findall(PAGE.read_text(encoding="utf-8"))


def fields(tree: ast.Module) -> set[str]:
    """Return the fields of classes whose name ends in a unit."""
    classes = (node for node in ast.walk(tree) if isinstance(node, ast.ClassDef))
    annotated = (line for node in classes for line in node.body if isinstance(line, ast.AnnAssign))
    names = {line.target.id for line in annotated if isinstance(line.target, ast.Name)}
    return {name for name in names if ENDING.search(name)}


def fields_of_the_models() -> set[str]:
    """Return every field with a unit in the catalogue and the records."""
    paths = python_files("src/softmend/catalogue", "src/softmend/records")
    return set().union(*(fields(tree_of(path)) for path in paths))


def test_every_quantity_of_the_models_has_a_line() -> None:
    assert fields_of_the_models() - {name for name, *_ in lines()} == set()


def test_every_line_is_of_a_quantity_that_exists() -> None:
    code = [path for path in files_of_the_project() if path.is_relative_to(PACKAGE)]
    text = "\n".join(
        path.read_text(encoding="utf-8") for path in code if path.suffix in {".py", ".csv", ".toml"}
    )
    words = set(re.findall(r"\w+", text))
    assert {name for name, *_ in lines()} - words == set()


def test_a_name_has_one_line() -> None:
    names = [name for name, *_ in lines()]
    assert names
    assert len(names) == len(set(names))


@pytest.mark.parametrize("line", lines(), ids=lambda line: line[0])
def test_the_ending_is_the_unit(line: tuple[str, str, str, str]) -> None:
    name, unit, meaning, _ = line
    ending = ENDING.search(name)
    assert ending is not None
    assert unit == UNITS[ending[1]]
    assert meaning


def test_a_planted_field_is_found() -> None:
    planted = "class Crack(BaseModel):\n    width_mm: float\n    note: str\n    rh_percent: float\n"
    assert fields(ast.parse(planted)) == {"width_mm", "rh_percent"}
