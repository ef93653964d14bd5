"""Numbers in messages: our own substitution, in units that people use."""

# ruff: noqa: E501 - messages are quoted whole
from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.messages import message_text, placeholders
from enginelimits.rules.model import Rule
from enginelimits.rules.outcome import Cause, LimitUsed, Witness

DATA = Path(__file__).parent / "data" / "catalogue"
USED = LimitUsed("caution_mep", 19.5e5, "Pa", "above", "fixture", 19.5e5)
WITNESS = Witness(
    0, 0, True,
    (Cause("quantity", "brake.mean_effective_pressure", 20.83e5, "Pa", USED, 1.07),
     Cause("fact", "light_rods", True, "", None)),
    {"caution_mep": USED},
    {"quantity:air.boost": (68947.6, "Pa"), "input:engine.block_deck": ("open", "1"), "input:oil.sump": (None, "1"),
     "input:engine.built_for_boost": (False, "1")},
)  # fmt: skip


@pytest.fixture(scope="module")
def rule() -> Rule:
    return load_catalogue(DATA).rules["ROD003"]


@pytest.mark.parametrize(
    ("message", "text"),
    [
        ("{value} over {limit}", "20.8 bar over 19.5 bar"),
        ("at {speed}", "at 3000 rpm"),  # 314.159 rad/s is 100 pi
        ("{chance} of draws", "25 % of draws"),
        ("{limit:caution_mep}", "19.5 bar"),
        ("{quantity:air.boost}", "0.69 bar"),
        ("{input:engine.block_deck}, {input:oil.sump}, {input:engine.built_for_boost}", "open, unknown, no"),
        # What is no placeholder stays as it stands; nothing is looked up in objects.
        ("{value.__class__} {0} {} {value!r} {nothing} {{value}}", "{value.__class__} {0} {} {value!r} {nothing} {20.8 bar}"),
        ("{limit:other}", "{limit:other}"),
        ("100 % of {value}", "100 % of 20.8 bar"),
    ],
)  # fmt: skip
def test_numbers_are_put_in(rule: Rule, message: str, text: str) -> None:
    told = message_text(replace(rule, message=message), WITNESS, speed=100 * math.pi, chance=0.25)
    assert told == text


def test_us_units_change_the_words_alone(rule: Rule) -> None:
    # 20.83e5 Pa / 6894.757 Pa/psi = 302.1 psi
    assert message_text(replace(rule, message="{value}"), WITNESS, system="us") == "302 psi"


def test_a_difference_of_temperature_reads_as_one_by_its_sentence(rule: Rule) -> None:
    used = LimitUsed("rise", 10.0, "K", "above", "fixture", 10.0)
    witness = Witness(0, 0, True, (Cause("quantity", "charge.third_pull_rise", 15.0, "K", used, 1.5),), {"rise": used})
    hotter = replace(rule, message="{value} hotter than two pulls before; the limit is {limit}.")
    # 15 K x 1.8 = 27 degF
    assert message_text(hotter, witness, system="us").startswith("27 degF hotter")
    assert message_text(hotter, witness).startswith("15 K hotter")


def test_what_is_not_known_reads_so(rule: Rule) -> None:
    nothing = Witness(0, 0, False, ())
    told = message_text(replace(rule, message="{value} {limit} {speed} {chance}"), nothing)
    assert told == "unknown unknown unknown an unknown share"


def test_placeholders_are_found_with_their_kind() -> None:
    found = list(placeholders("{value} {limit:a} {quantity:b.c} {input:d.e_f} {x} {limit:}"))
    assert found == [("value", ""), ("limit", "a"), ("quantity", "b.c"), ("input", "d.e_f"), ("", "x"), ("", "limit:")]


HIGHER, HOTTER = "ambient.altitude_above_calibrated", "ambient.heat_above_calibrated"


@pytest.mark.parametrize(
    ("causes", "text"),
    [
        ((HIGHER,), "Driven 2250 m higher than at home."),
        ((HOTTER,), "Driven 18 K hotter than at home."),
        ((HIGHER, HOTTER), "Driven 2250 m higher and 18 K hotter than at home."),
        ((), "Driven 2250 m higher and 18 K hotter than at home."),
    ],
)
def test_of_a_list_what_is_not_crossed_is_left_out(rule: Rule, causes: tuple[str, ...], text: str) -> None:
    values = {f"quantity:{HIGHER}": (2250.0, "m"), f"quantity:{HOTTER}": (18.0, "K")}
    crossed = tuple(Cause("quantity", name, 1.0, "1", None) for name in causes)
    given = Witness(0, 0, True, crossed, {}, values)
    message = f"Driven [{{quantity:{HIGHER}}} higher|{{quantity:{HOTTER}}} hotter] than at home."
    assert message_text(replace(rule, message=message), given) == text
    # Brackets that hold no list stay as they are.
    assert message_text(replace(rule, message="Dry [one word]."), given) == "Dry [one word]."


@pytest.mark.parametrize(
    ("margin", "text"),
    [(0.034, "It is 3.4 % short of surge."), (0.0, "It is 0 % short of surge."), (-0.013, "It is 1.3 % past surge."),
     (None, "It is an unknown way from surge.")],
)
def test_a_margin_below_zero_is_said_to_be_past_its_end(rule: Rule, margin: float | None, text: str) -> None:
    given = Witness(0, 0, True, (), {}, {"quantity:compressor.surge_margin": (margin, "1")})
    told = message_text(replace(rule, message="It is {margin:compressor.surge_margin} surge."), given)
    assert told == text
    assert list(placeholders("{margin:a.b}")) == [("quantity", "a.b")]


@pytest.mark.parametrize("rule_id", ["AIR006", "AIR008", "AIR019"])
def test_both_ends_of_a_compressors_map_are_told_so(rule_id: str) -> None:
    asked = load_catalogue().rules[rule_id]
    end = "choke_margin" if rule_id == "AIR008" else "surge_margin"
    given = Witness(0, 0, True, (), {}, {f"quantity:compressor.{end}": (-0.05, "1")})
    assert " is 5 % past " in message_text(asked, given, speed=300.0)


# What one of each is in the other system, exactly: 1 lbf = 4.4482216152605 N, 1 in = 25.4 mm, 1 mi = 1609.344 m,
# 1 hp = 550 ft lbf/s, a kelvin is 1.8 Fahrenheit degrees (NIST SP 811, appendix B).
PSI = 4.4482216152605 / 0.0254**2
OTHER = {
    "degC": ("degF", 1.8, 32.0), "K": ("degF", 1.8, 0.0), "bar": ("psi", 1e5 / PSI, 0.0), "kPa": ("psi", 1e3 / PSI, 0.0),
    "mm": ("in", 1 / 25.4, 0.0), "km": ("mi", 1 / 1.609344, 0.0), "psi": ("bar", PSI / 1e5, 0.0),
    "hp": ("kW", 550 * 4.4482216152605 * 0.3048 / 1e3, 0.0), "degF": ("degC", 1 / 1.8, -32 / 1.8),
    "in": ("mm", 25.4, 0.0), "kW": ("hp", 1e3 / (550 * 4.4482216152605 * 0.3048), 0.0),
    "lb-ft": ("N*m", 4.4482216152605 * 0.3048, 0.0), "N*m": ("lb-ft", 1 / (4.4482216152605 * 0.3048), 0.0),
    "km/h": ("mph", 1 / 1.609344, 0.0),
}  # fmt: skip
NUMBER = r"(\d+(?:\.\d+)?)(?: to (\d+(?:\.\d+)?))? "
FIXED = re.compile(NUMBER + rf"({'|'.join(map(re.escape, sorted(OTHER, key=len, reverse=True)))})(?![\w/*^])")


def one_system_alone(text: str) -> list[str]:
    """The fixed numbers of a text beside which the other system's does not stand, or stands wrongly."""
    wrong, end = [], 0
    for found in FIXED.finditer(text):
        if found.start() < end:
            continue
        unit, factor, offset = OTHER[found[3]]
        beside = re.compile(rf" \({NUMBER}{re.escape(unit)}\)").match(text, found.end())
        end = beside.end() if beside else found.end()
        for mine, other in ((found[1], beside and beside[1]), (found[2], beside and beside[2])):
            exact = None if mine is None else float(mine) * factor + offset
            near = exact is not None and other is not None and abs(float(other) - exact) <= 0.03 * abs(exact)
            if not near and not (mine is None and beside is not None and other is None):
                wrong.append(found[0])
                break
    return wrong


def test_a_fixed_number_stands_in_both_systems_of_units() -> None:
    catalogue = load_catalogue()
    told = {id_: (rule.message, rule.why, rule.settled_by, *rule.caveats) for id_, rule in catalogue.rules.items()}
    told |= {id_: (remedy.say, remedy.shifts) for id_, remedy in catalogue.remedies.items()}
    wrong = {id_: [each for text in texts for each in one_system_alone(text)] for id_, texts in told.items()}
    assert {id_: found for id_, found in wrong.items() if found} == {}
    assert one_system_alone("beyond 950 degC, or 4 psi (0.28 bar)") == ["950 degC"]
    assert one_system_alone("270 to 340 degC (520 to 640 degF)") == []
    assert one_system_alone("270 to 340 degC (520 to 740 degF)") == ["270 to 340 degC"]
    assert one_system_alone("some 40 K (104 degF)") == ["40 K"]


def test_a_limit_in_a_text_is_shown_in_the_readers_units() -> None:
    # 80 000 km / 1.609344 km/mi = 49 710 mi
    asked = load_catalogue().rules["HLT005"]
    used = LimitUsed("distance", 8e7, "m", "above", "shipped", 8e7)
    given = Witness(0, 0, True, (), {"distance": used}, {})
    assert "made them, 80000 km." in message_text(asked, given)
    assert "made them, 49710 mi." in message_text(asked, given, system="us")


@pytest.mark.parametrize(
    ("value", "text"),
    [(19.52e5, "just over 19.5 bar; the limit is 19.5 bar"), (19.48e5, "just under 19.5 bar; the limit is 19.5 bar"),
     (19.5e5, "19.5 bar; the limit is 19.5 bar"), (19.6e5, "19.6 bar; the limit is 19.5 bar")],
)  # fmt: skip
@pytest.mark.parametrize("word", ["value", "quantity:brake.mean_effective_pressure"])
def test_a_value_that_reads_as_its_limit_says_on_which_side_it_lies(rule: Rule, value: float, text: str, word: str) -> None:
    lead = replace(WITNESS.causes[0], value=value)
    near = replace(WITNESS, causes=(lead,), values={"quantity:brake.mean_effective_pressure": (value, "Pa")})
    assert message_text(replace(rule, message=f"{{{word}}}; the limit is {{limit}}"), near) == text


def test_of_a_list_the_part_whose_input_is_a_cause_is_told(rule: Rule) -> None:
    feed, drain = "forced_induction.oil.feed_pressure", "forced_induction.oil.drain_diameter"
    message = f"[feed {{input:{feed}}}|drain {{input:{drain}}}]"
    cause = Cause("input", drain, 0.014, "m", LimitUsed("drain", 0.016, "m", "below", "fixture", 0.016))
    told = Witness(0, 0, True, (cause,), {}, {f"input:{feed}": (4e5, "Pa"), f"input:{drain}": (0.014, "m")})
    assert message_text(replace(rule, message=message), told) == "drain 14.00 mm"
