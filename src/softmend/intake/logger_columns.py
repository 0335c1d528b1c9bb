"""What each column of a logger's table holds, told from its name, its unit and its values."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum


class Meaning(StrEnum):
    """What a column is to us."""

    TIME = "time"
    DATE = "date"
    CLOCK = "time of day"
    LOGGER = "logger"
    TEMPERATURE = "temperature"
    HUMIDITY = "relative humidity"
    CO2 = "carbon dioxide"
    LIGHT = "light"
    UNUSED = "not used"


READ = (Meaning.TEMPERATURE, Meaning.HUMIDITY, Meaning.CO2, Meaning.LIGHT)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the file, what it means, its unit, and which logger it belongs to."""

    name: str
    meaning: Meaning
    unit: str = ""
    logger: str = ""


# Looked for in this order: a dew point is in degrees too, and "absolute humidity" is no %RH.
_WORDS: tuple[tuple[Meaning, re.Pattern[str]], ...] = tuple(
    (meaning, re.compile(words, re.IGNORECASE))
    for meaning, words in (
        (
            Meaning.UNUSED,
            r"dew|taupunkt|точка росы|露点|harmatpont|punkt rosy|rosný|"
            r"ros[ée]e|roc[ií]o|rugiada|kastepiste|dauwpunt|daggpunkt|wet.?bulb|"
            r"feuchtkugel|vpd|enthalp|abs\w*\.? ?(hum|feuch)|absol|абс|mixing|g/m|g/kg|mm ?hg|hpa|"
            r"press|druck|batt|volt|signal|rssi|status|alarm|limit|set.?point|coupler|host|"
            r"\bsd\b|std|st\.? ?dev|deviation|end of file|stopped|logged|event|"
            r"\bmin\b|\bmax\b|minimum|maximum|^w$|heat index",
        ),
        (Meaning.CO2, r"co2|co₂|carbon|kohlen|ppm"),
        (Meaning.LIGHT, r"\blux|\blx\b|illumin|beleucht|[ée]clairement|^light"),
        (
            Meaning.HUMIDITY,
            r"(?<![a-z])r\.?h\.?(?![a-z])|rh[_ ]?[a-z]?\d*$|hum[ie]|hum\b|feuch|\br\.?f\.?\b|"
            r"h[uú]med|umidit|kosteus|vochtig|fukt|fugt|wilgotn|vlhkost|hygro|^h[_ ]?\d*$|% ?rel|"
            r"^hr\b|^ur\b|^%$|^rhe?$|^rh|влажн|湿度|υγρασ|p[aá]ratart|\bnem\b|vlaga|drėgm|niisk|mitrum|"
            r"^\[?u\]?$|^u \[%\]",
        ),
        (
            Meaning.TEMPERATURE,
            r"temp|celsius|fahrenheit|°\s?[cf]|deg\.? ?[cf]\b|^t[a-z]?[_ .-]?\d*(\W|$)|^t_|lämpö|"
            r"teplot|^ta$|^\W?[cf]\W?$|^te$|[\s_]t(?:\W|$)|℃|℉|темп|温度|溫度|θερμ|hőm|sıcakl",
        ),
    )
)
TIME_NAME = re.compile(
    r"date|time|zeit|datum|uhr|horodat|fecha|hora|heure|hour|stund|uur|timme|aika|päiv|tid\b|tijd|"
    r"data\b|ora\b|stamp|utc|gmt|unix|epoch|дата|время|日時|時刻|日期|时间|idő|tarih|czas|čas\b|"
    r"godz|ημερ|ώρα|kell|klo?\b|^t_utc|serial day|^dt$|^id$",
    re.IGNORECASE,
)
LOGGER_NAME = re.compile(
    r"node|sensor|logger|device|station|probe|locat|room|raum|raumname|place|channel|serial|"
    r"^id$|^name$|gerät|appareil|position|zone",
    re.IGNORECASE,
)
_LABELS = (
    re.compile(r"LBL:\s*([^,)]+)"),
    re.compile(r"SEN S/N:\s*([^,)]+)"),
    re.compile(r"LGR S/N:\s*([^,)]+)"),
)
_UNIT = re.compile(
    r"(℃|℉|°\s?[CF]|º\s?[CF]|deg\.? ?[CF]\b|celsius|fahrenheit|%\s?r\.?[hf]\.?|%|％|ppm|lux|lx\b)",
    re.IGNORECASE,
)
_ROLE_WORDS = re.compile(
    r"[(\[]\s*(?:[°º]?\s?[cf]|deg\.? ?[cf]|%.{0,4}|r\.?h\.?|ppm|lux|lx|k)\s*[)\]]|"
    r"relative|relativ\w*|rel\.?|\bair\b|temperatur\w*|température|temp\w*\.?|"
    r"humidit\w*|humidity|luftfeuch\w*|feuch\w*|celsius|fahrenheit|r\.?h\.?(?![a-z]{2})|"
    r"°\s?[cf]|deg\.? ?[cf]\b|[\s_,][cft]$|%|co2|co₂|ppm|lux|\blx\b|light|illuminance|value",
    re.IGNORECASE,
)


def meaning_of(name: str) -> Meaning | None:
    """Return what a column's name says it holds, or None when it says nothing."""
    bare = name.strip()
    found = next((meaning for meaning, words in _WORDS if words.search(bare)), None)
    if found is Meaning.UNUSED and re.match(r"temp|rh\b", bare, re.IGNORECASE) and "LGR" in bare:
        return next((m for m, w in _WORDS[1:] if w.search(bare)), None)
    return found


def unit_of(name: str) -> str:
    """Return the unit that a column's name carries: °C, °F, %, ppm or lx."""
    found = _UNIT.search(name)
    if not found:
        bare = re.search(r"[\s,(\[_/](c|f)[\])]?$", name.strip(), re.IGNORECASE)
        return f"°{bare[1].upper()}" if bare else ""
    text = found[1].lower()
    if text.startswith(("%", "％")):
        return "%"
    if text in {"ppm", "lux", "lx"}:
        return "lx" if text.startswith("l") else "ppm"
    return "°F" if text.rstrip().endswith(("f", "℉")) or text == "fahrenheit" else "°C"


def label_of(name: str) -> str:
    """Return which of several loggers a column belongs to, such as `1` of `RH_1`."""
    for words in _LABELS:
        found = words.search(name)
        if found:
            return found[1].strip()
    bare = _ROLE_WORDS.sub(" ", name)
    bare = re.sub(r"^\s*[th](?=[_\W\d]|$)|[\s_]t\s*$", " ", bare, flags=re.IGNORECASE)
    return re.sub(r"^[\s_.,;:#/()\[\]-]+|[\s_.,;:/()\[\]-]+$", "", re.sub(r"\s+", " ", bare))


def loggers_of(columns: Sequence[Column]) -> tuple[list[Mapping[Meaning, int]], list[str], bool]:
    """Return the columns of each logger, their names, and whether they were paired by position.

    Columns of like labels belong together; where the labels do not pair, position decides.
    """
    read = [(i, one) for i, one in enumerate(columns) if one.meaning in READ]
    by_kind = {kind: [i for i, one in read if one.meaning is kind] for kind in READ}
    if all(len(places) <= 1 for places in by_kind.values()):
        return [{kind: places[0] for kind, places in by_kind.items() if places}], [""], False
    groups: dict[str, dict[Meaning, int]] = {}
    for i, one in read:
        groups.setdefault(one.logger, {}).setdefault(one.meaning, i)
    taken = sum(len(group) for group in groups.values())
    most = max(len(places) for places in by_kind.values())
    if taken == len(read) and len(groups) == most:
        return list(groups.values()), list(groups), False
    kinds = [kind for kind in READ if by_kind[kind]]
    counts = {len(by_kind[kind]) for kind in kinds}
    if len(counts) == 1:
        pairs: list[Mapping[Meaning, int]] = [
            {kind: by_kind[kind][n] for kind in kinds} for n in range(counts.pop())
        ]
        return pairs, [str(n + 1) for n in range(len(pairs))], True
    return list(groups.values()), list(groups), False
