"""Number and unit as people write them, taken apart without evaluating anything.

The grammar is small on purpose: a text is bounded in length, read by three regular expressions without nested
repetition, and never reaches a parser that computes.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Literal

Shape = Literal["point", "split-normal", "uniform"]

LONGEST_TEXT = 120
_FORMS = "a number and a unit, such as `140 mm^2`, `140 +/- 15 mm^2` or `120 to 160 mm^2`"

_NUMBER = r"[+-]?(?:\d{1,40}(?:\.\d{0,40})?|\.\d{1,40})(?:[eE][+-]?\d{1,4})?"
_UNIT = r"(?:1/)?[A-Za-z%][A-Za-z0-9%^*/()_-]{0,23}"
_POINT = re.compile(rf"({_NUMBER})\s*({_UNIT})?", re.ASCII)
_SPREAD = re.compile(rf"({_NUMBER})\s*({_UNIT})?\s*\+/-\s*({_NUMBER})\s*({_UNIT})?", re.ASCII)
_RANGE = re.compile(rf"({_NUMBER})\s*({_UNIT})?\s+to\s+({_NUMBER})\s*({_UNIT})?", re.ASCII)
_WHOLE_NUMBER = re.compile(_NUMBER, re.ASCII)
_DASHED = re.compile(rf"({_NUMBER})\s*(?:-|\.\.|…|–|—)\s*({_NUMBER})\s*({_UNIT})?", re.ASCII)
_WITH_COMMA = re.compile(r"[+-]?[\d.]{1,9}(?:,\d{1,3})+")
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[ _'’]\d{3})+(?![\d.])")
_RATIO = re.compile(rf"({_NUMBER})\s*(?::|to)\s*1", re.ASCII)

# One way to write each sign; what a keyboard or a word processor puts in its place means the same.
_SAME = str.maketrans(
    {
        "²": "^2",
        "³": "^3",
        "⁴": "^4",
        "·": "*",
        "⋅": "*",
        "−": "-",
        "±": "+/-",
        "µ": "u",
        "μ": "u",
        "°": "deg",
        "℃": "degC",
        "℉": "degF",
        # Spaces that do not break or are narrow, as text copied from a page has them.
        "\u00a0": " ",
        "\u2007": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)


class GrammarError(ValueError):
    """A text that is no number with a unit.  Says what was wanted, what was got and how to mend it."""

    def __init__(self, wanted: str, got: str, mend: str = "", near: tuple[str, ...] = ()) -> None:
        self.wanted = wanted
        self.got = got
        self.mend = mend
        self.near = near
        parts = [f"wanted {wanted}, got {got}"]
        if near:
            parts.append(f"near: {', '.join(near)}")
        if mend:
            parts.append(mend)
        super().__init__(". ".join(parts))


@dataclass(frozen=True, slots=True)
class Written:
    """A value as written: numbers in the written unit.  ``value`` is None where only ends are given."""

    value: float | None
    low: float | None
    high: float | None
    shape: Shape
    unit: str

    @property
    def typical(self) -> float:
        """The value, or the middle of a range."""
        if self.value is not None:
            return self.value
        assert self.low is not None and self.high is not None
        return self.low + (self.high - self.low) / 2.0


def excerpt(text: object, longest: int = 40) -> str:
    """A text in backquotes, fit to print: cut to length, with nothing but printable characters."""
    shown = str(text)
    cut = len(shown) > longest
    shown = "".join(c if c.isprintable() else "?" for c in shown[:longest])
    return f"`{shown}{'...' if cut else ''}`" if shown else "nothing"


def parse_number(text: str) -> float:
    """The finite number that the whole text is.

    >>> parse_number("1.4e2")
    140.0
    """
    got = text.translate(_SAME).strip() if len(text) <= LONGEST_TEXT else text
    if len(got) > LONGEST_TEXT or not _WHOLE_NUMBER.fullmatch(got):
        raise GrammarError("a number", excerpt(text), _number_mend(got))
    return _finite(got)


def split(text: str) -> Written:
    """Number and unit of a text; the unit is not looked up here and may be empty.

    >>> split("140 +/- 15 mm^2")
    Written(value=140.0, low=125.0, high=155.0, shape='split-normal', unit='mm^2')
    >>> split("-5 degC").value, split("9 %").unit, split("120 to 160 mm^2").typical
    (-5.0, '%', 140.0)
    """
    if len(text) > LONGEST_TEXT:
        raise GrammarError(_FORMS, excerpt(text), f"A value has at most {LONGEST_TEXT} characters.")
    plain = text.translate(_SAME).strip()
    if match := _RANGE.fullmatch(plain):
        first, unit, second, last = match.groups()
        return _range(_finite(first), _finite(second), _one_unit(unit, last, text), text)
    if match := _SPREAD.fullmatch(plain):
        first, unit, second, last = match.groups()
        return _spread(_finite(first), _finite(second), _one_unit(unit, last, text), text)
    if match := _POINT.fullmatch(plain):
        number, unit = match.groups()
        return Written(_finite(number), None, None, "point", unit or "")
    raise GrammarError(_FORMS, excerpt(text), _value_mend(plain))


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise GrammarError(
            "a finite number", excerpt(text), "No computer holds a number that large: check the exponent."
        )
    return number


def _one_unit(first: str | None, last: str | None, text: str) -> str:
    if first and last and first != last:
        raise GrammarError("one unit for the whole value", excerpt(text), "Write one unit, once, at the end.")
    if first and not last:
        raise GrammarError(
            "the unit at the end", excerpt(text), "Write `140 +/- 15 mm^2` or `120 to 160 mm^2`."
        )
    return last or ""


def _range(low: float, high: float, unit: str, text: str) -> Written:
    if not low < high:
        if high == 1.0 and not unit:
            raise GrammarError("a number", excerpt(text), f"Write a ratio to one as the number alone: `{low:g}`.")
        raise GrammarError("a range from low to high", excerpt(text), "Put the smaller number first.")
    if not math.isfinite(high - low):
        raise GrammarError("a range that a computer can hold", excerpt(text))
    return Written(None, low, high, "uniform", unit)


def _spread(value: float, spread: float, unit: str, text: str) -> Written:
    low, high = value - spread, value + spread
    if not spread > 0.0 or not low < value < high:
        raise GrammarError(
            "a spread above zero", excerpt(text), "Leave `+/-` out if the value is known exactly."
        )
    if not (math.isfinite(low) and math.isfinite(high)):
        raise GrammarError("a spread that a computer can hold", excerpt(text))
    return Written(value, low, high, "split-normal", unit)


def _number_mend(text: str) -> str:
    if _WITH_COMMA.match(text):
        return "Write a point for decimals, and no comma between thousands."
    if _GROUPED.match(text):
        return "Write the digits of a number together, with no mark between thousands."
    return ""


def _value_mend(text: str) -> str:
    if match := _DASHED.fullmatch(text):
        low, high, unit = match.groups()
        return f"Write a range as `{low} to {high}{' ' + unit if unit else ''}`."
    if match := _RATIO.fullmatch(text):
        return f"Write a ratio to one as the number alone: `{match[1]}`."
    if not text or text.lower() in ("null", "~", "?", "n/a", "tbd"):
        return "Leave the key out if the value is not known."
    if "+-" in text:
        return "Write a spread as `140 +/- 15 mm^2`."
    if text[0].isalpha() or text[0] in "%~<>":
        return "Begin with the number."
    return _number_mend(text)
