"""The grammar of numbers and units: what it reads, what it refuses, and that it never does anything else."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.units.grammar import GrammarError, Written, parse_number, split

# Seconds after which a text counts as one that hangs; a sound one takes a hundredth of it.
HANGS = 10.0

@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("140 mm^2", Written(140.0, None, None, "point", "mm^2")),
        ("140mm^2", Written(140.0, None, None, "point", "mm^2")),
        ("140 mm²", Written(140.0, None, None, "point", "mm^2")),
        ("210 N·m", Written(210.0, None, None, "point", "N*m")),
        ("140 +/- 15 mm^2", Written(140.0, 125.0, 155.0, "split-normal", "mm^2")),
        ("140 mm^2 ± 15 mm^2", Written(140.0, 125.0, 155.0, "split-normal", "mm^2")),
        ("120 to 160 mm^2", Written(None, 120.0, 160.0, "uniform", "mm^2")),
        ("120 mm^2 to 160 mm^2", Written(None, 120.0, 160.0, "uniform", "mm^2")),
        ("-5 degC", Written(-5.0, None, None, "point", "degC")),
        ("−5 °C", Written(-5.0, None, None, "point", "degC")),
        ("-10 to -5 degC", Written(None, -10.0, -5.0, "uniform", "degC")),
        ("1e5 Pa", Written(1e5, None, None, "point", "Pa")),
        ("1.5e-3m", Written(1.5e-3, None, None, "point", "m")),
        ("9 %", Written(9.0, None, None, "point", "%")),
        ("9%", Written(9.0, None, None, "point", "%")),
        (".72", Written(0.72, None, None, "point", "")),
        ("11.", Written(11.0, None, None, "point", "")),
        ("0.12 1/bar", Written(0.12, None, None, "point", "1/bar")),
    ],
)
def test_reads(text: str, expected: Written) -> None:
    assert split(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "mm",
        "ten mm",
        "nan mm",
        "inf mm",
        "-inf mm",
        "1e999 mm",
        "-1e999",
        "1 to 1e999 mm",
        "1e308 +/- 1.7e308 m",
        "-1.7e308 to 1.7e308 m",
        "9**9**9 mm",
        "9 ** 9 mm",
        "__import__('os') mm",
        "1,240 kg",
        "140 +/- 0 mm^2",
        "140 +/- -3 mm^2",
        "140 mm^2 +/- 3 cm^2",
        "140 mm^2 +/- 3",
        "160 to 120 mm^2",
        "120 to 120 mm^2",
        "120-160 mm^2",
        "120..160 mm^2",
        "1 2 mm",
        "1 mm mm",
        "0x10 mm",
        "1_000 mm",
        "١٢ mm",
        "+-3 mm",
        "--3 mm",
        "1.2.3 mm",
        "5 m\x00m",
        "(" * 50,
        "9" * 500,
        "1 " + "m" * 100,
    ],
)
def test_refuses(text: str) -> None:
    with pytest.raises(GrammarError) as caught:
        split(text)
    assert caught.value.wanted
    assert caught.value.got
    assert len(str(caught.value)) < 400
    assert str(caught.value).isprintable()


def test_says_how_to_write_a_range_and_a_decimal() -> None:
    with pytest.raises(GrammarError, match="`120 to 160 mm\\^2`"):
        split("120-160 mm^2")
    with pytest.raises(GrammarError, match="no comma"):
        split("1,240 kg")
    with pytest.raises(GrammarError, match="Begin with the number"):
        split("about 5 mm")


def test_a_spread_too_small_to_show_is_refused() -> None:
    # 1e20 + 1 is 1e20 in a double: a spread that vanishes would pass as a range of no width.
    with pytest.raises(GrammarError):
        split("1e20 +/- 1 Pa")


@given(st.text(max_size=400))
def test_never_raises_anything_else(text: str) -> None:
    for read in (split, parse_number):
        try:
            read(text)
        except GrammarError as error:
            assert str(error).isprintable()


@given(st.text(alphabet="0123456789.eE+-/ tom^*%1", max_size=120))
def test_never_raises_anything_else_near_the_grammar(text: str) -> None:
    try:
        written = split(text)
    except GrammarError:
        return
    assert written.low is None or written.high is None or written.low < written.typical < written.high


@given(
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["mm^2", "degC", "%", "N*m", "lb-ft", "J/(kg*K)", "1/Pa", "bar_g", ""]),
)
def test_a_written_number_comes_back(number: float, unit: str) -> None:
    assert split(f"{number!r} {unit}") == Written(number, None, None, "point", unit)
    assert parse_number(repr(number)) == number


@given(
    st.floats(-1e6, 1e6).map(lambda x: round(x, 3)),
    st.floats(0.001, 1e6).map(lambda x: round(x, 3)),
)
def test_ranges_come_back(low: float, width: float) -> None:
    high = low + width
    if high > low:
        assert split(f"{low!r} to {high!r} kPa") == Written(None, low, high, "uniform", "kPa")
        written = split(f"{low!r} +/- {width!r} kPa")
        assert (written.value, written.low, written.high) == (low, low - width, low + width)


def test_long_and_awkward_texts_are_quick() -> None:
    start = time.perf_counter()
    for text in ("1" * 119, "1 " + "m" * 118, "1e" * 60, "1 to " * 24, "+/-" * 40, " " * 120, "9" * 10**6):
        with pytest.raises(GrammarError):
            split(text)
    assert time.perf_counter() - start < HANGS


@pytest.mark.parametrize("space", ["\u00a0", "\u2007", "\u2009", "\u202f"])
def test_a_space_copied_from_a_page_is_a_space(space):
    # ISO 80000-1 puts a space between number and unit, and typesetters one that does not break
    assert split(f"140{space}mm^2") == split("140 mm^2")
    assert split(f"140{space}±{space}15{space}mm^2") == split("140 +/- 15 mm^2")


def test_one_sign_for_degrees_celsius_is_the_unit():
    assert split("25 ℃").unit == "degC" and split("77 ℉").unit == "degF"
