"""A value and its uncertainty, rounded to the digits they deserve.

Every page and print rounds here and nowhere else.
"""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from softmend.errors import InputError

NOT_KNOWN = "not known"
SIGNIFICANT = 2
"""Digits kept of an uncertainty."""

ROUNDING_NOISE = Decimal("1e-12")
"""An uncertainty smaller than this share of the value is the computer's rounding, not a spread."""


@dataclass(frozen=True, slots=True)
class Rounded:
    """The texts of a value and of its uncertainty; the uncertainty is empty for an exact value."""

    value: str
    uncertainty: str

    def text(self, unit: str = "") -> str:
        """Return the one line that is printed, such as '153.4 ± 2.6 mm'."""
        tail = f" {unit}" if unit else ""
        if self.value == NOT_KNOWN:
            return NOT_KNOWN
        if self.uncertainty == NOT_KNOWN:
            return f"{self.value}{tail} (uncertainty not known)"
        if not self.uncertainty:
            return f"{self.value}{tail}"
        return f"{self.value} ± {self.uncertainty}{tail}"


def rounded(value: float | None, uncertainty: float | None) -> Rounded:
    """Return a value and its uncertainty as text, both ending at the same decimal place.

    Parameters
    ----------
    value : float or None, the value [any unit]; None or NaN is not known
    uncertainty : float or None, expanded uncertainty [same unit], 0 or more; None is not known

    Returns
    -------
    Rounded, two significant digits of uncertainty, the value to the same place; an exact value
    keeps its own digits; with the uncertainty not known the value keeps three digits

    Raises
    ------
    InputError
        When the uncertainty is negative or a number is infinite.

    Source: jcgm100, section 7.2.6 (at most two significant digits).
    Checked against: tests/checks/jcgm100.csv.

    Example
    -------
    >>> rounded(153.4127, 2.6271).text("mm")
    '153.4 ± 2.6 mm'
    >>> rounded(12345.6, 1234.5).text("mm2")
    '12300 ± 1200 mm2'
    """
    known = None if value is None or math.isnan(value) else _finite(value)
    if known is None:
        return Rounded(NOT_KNOWN, NOT_KNOWN)
    if uncertainty is None or math.isnan(uncertainty):
        return Rounded(_plain(_significant(known, 3, ROUND_HALF_EVEN)), NOT_KNOWN)
    if uncertainty < 0:
        raise InputError("An uncertainty is negative", value=uncertainty, allowed="0 or more")
    if uncertainty <= ROUNDING_NOISE * abs(known):
        return Rounded(_whole(known), "")
    shown = _significant(_finite(uncertainty), SIGNIFICANT, ROUND_HALF_EVEN)
    place = _place(shown, SIGNIFICANT)
    return Rounded(_plain(known.quantize(place, ROUND_HALF_EVEN)), _plain(shown))


def narrower_than(limit: float, unit: str = "") -> str:
    """Return the text for a thing too small to measure; the limit is rounded up, so it stays true.

    Parameters
    ----------
    limit : float, the smallest size that could have been told [any unit], above 0
    unit : str, unit to print [1]

    Returns
    -------
    str, such as 'narrower than 0.06 mm'

    Raises
    ------
    InputError
        When the limit is not a finite number above 0.

    Source: common practice, no source.
    Checked against: tests/science/test_digits.py.

    Example
    -------
    >>> narrower_than(0.0512, "mm")
    'narrower than 0.06 mm'
    """
    return f"narrower than {_bound(limit, ROUND_CEILING)}{' ' if unit else ''}{unit}"


def at_least(limit: float, unit: str = "") -> str:
    """Return the text for a reading that can only be too small; the limit is rounded down.

    Parameters
    ----------
    limit : float, the lower bound [any unit], above 0
    unit : str, unit to print [1]

    Returns
    -------
    str, such as 'at least 48 mm'

    Raises
    ------
    InputError
        When the limit is not a finite number above 0.

    Source: common practice, no source.
    Checked against: tests/science/test_digits.py.

    Example
    -------
    >>> at_least(48.7, "mm")
    'at least 48 mm'
    """
    return f"at least {_bound(limit, ROUND_FLOOR)}{' ' if unit else ''}{unit}"


def band_text(low: float, typical: float, high: float, unit: str = "") -> str:
    """Return the text of a lopsided result: the typical value and its 5 and 95 % points.

    Parameters
    ----------
    low : float, 5 % point [any unit]
    typical : float, 50 % point [same unit], at least low
    high : float, 95 % point [same unit], at least typical
    unit : str, unit to print [1]

    Returns
    -------
    str, such as '3.1 (1.2 to 9.8) mL'; all three end at the place that half the band's width
    deserves

    Raises
    ------
    InputError
        When the points are out of order or not finite.

    Source: jcgm100, section 7.2.6, applied to half the width of the band.
    Checked against: tests/science/test_digits.py.

    Example
    -------
    >>> band_text(1.234, 3.1, 9.83, "mL")
    '3.1 (1.2 to 9.8) mL'
    """
    if not low <= typical <= high:
        raise InputError(
            "A band is out of order", value=(low, typical, high), allowed="low, typical, high"
        )
    half = (_finite(high) - _finite(low)) / 2
    tail = f" {unit}" if unit else ""
    if half <= ROUNDING_NOISE * abs(_finite(typical)):
        return f"{_whole(_finite(typical))}{tail}"
    place = _place(_significant(half, SIGNIFICANT, ROUND_HALF_EVEN), SIGNIFICANT)
    texts = [_plain(_finite(v).quantize(place, ROUND_HALF_EVEN)) for v in (low, typical, high)]
    return f"{texts[1]} ({texts[0]} to {texts[2]}){tail}"


def few_digits(value: float, digits: int = SIGNIFICANT) -> str:
    """Return a number to so many digits, never as a power of ten and without zeros to no purpose.

    Parameters
    ----------
    value : float, the number [any unit]
    digits : int, significant digits to keep [1], 1 to 12

    Returns
    -------
    str, such as '220' for 218.4 and '1' for 1.02

    Raises
    ------
    InputError
        When the number is not finite.

    Source: jcgm100, section 7.2.6.
    Checked against: tests/science/test_digits.py.

    Example
    -------
    >>> few_digits(1386.0)
    '1400'
    """
    return _plain(_significant(_finite(value), digits, ROUND_HALF_EVEN).normalize())


def _bound(limit: float, rounding: str) -> str:
    number = _finite(limit)
    if number <= 0:
        raise InputError("A limit is not above zero", value=limit, allowed="above 0")
    leading = number.scaleb(-number.adjusted())
    digits = 2 if leading < 2 or rounding == ROUND_FLOOR else 1
    return _plain(_significant(number, digits, rounding))


def _finite(value: float) -> Decimal:
    if not math.isfinite(value):
        raise InputError("A number to print is not finite", value=value, allowed="a finite number")
    return Decimal(repr(float(value)))


def _whole(number: Decimal) -> str:
    """Return an exact number with its own digits, at most twelve; 5.0 is 5."""
    kept = Decimal(f"{number:.12g}").normalize()
    return _plain(kept)


def _place(number: Decimal, digits: int) -> Decimal:
    return Decimal(1).scaleb(number.adjusted() - digits + 1)


def _significant(number: Decimal, digits: int, rounding: str) -> Decimal:
    """Return a number with so many digits; rounding up to the next power of ten keeps the count."""
    if number == 0:
        return Decimal(0)
    first = number.quantize(_place(number, digits), rounding)
    return first.quantize(_place(first, digits), rounding)


def _plain(number: Decimal) -> str:
    """Return a number without exponent and without a minus before zero."""
    return format(number if number else abs(number), "f")
