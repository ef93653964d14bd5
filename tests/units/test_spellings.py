"""Which units are accepted, what an ambiguous one means, and what is said of any other."""

from __future__ import annotations

import pytest

from enginelimits.units.grammar import GrammarError, split
from enginelimits.units.sources import SOURCES
from enginelimits.units.spellings import SPELLINGS, fitting, near_units, spelling
from enginelimits.units.suffixes import SUFFIXES, unit_of_argument

TRADE = {
    *("hp", "PS", "kW", "lb-ft", "lbf*ft", "N*m", "Nm", "psi", "bar", "kPa", "MPa", "psig", "psia", "bar_g"),
    *("bar_a", "cc/min", "L/h", "lb/h", "g/s", "lb/min", "degC", "degF", "K", "mm", "cm", "in", "mm^2"),
    *("in^2", "mm^4", "g", "kg", "lb", "oz", "deg", "rpm", "%", "RON", "MON", "AKI", "kN", "N", "L", "m/s"),
    *("km/h", "km", "ms", "V"),
}
SI = {
    *("Pa", "N", "N*m", "W", "K", "m", "m^2", "m^3", "m/s", "m/s^2", "rad", "rad/s", "kg", "kg/s", "m^3/s"),
    *("kg/J", "W/m^2", "1", "kg/m^3", "J/kg", "kg/mol", "J/(kg*K)", "N/m", "Pa*s/m", "1/Pa"),
}


@pytest.mark.parametrize("text", sorted(TRADE | SI))
def test_accepted(text: str) -> None:
    assert spelling(text).text == text


@pytest.mark.parametrize("text", [s.text for s in SPELLINGS if s.text != "1"])
def test_the_grammar_lets_every_spelling_through(text: str) -> None:
    assert split(f"12.5 {text}").unit == text
    assert split(f"1 to 2 {text}").unit == text


@pytest.mark.parametrize(
    ("text", "si", "dimension"),
    [
        ("g", "kg", "mass"),
        ("g", "m/s^2", "acceleration"),
        ("m", "m", "length"),
        ("bar", "Pa", "pressure"),
        ("deg", "rad", "angle"),
        ("degC", "K", "temperature"),
    ],
)
def test_the_field_decides(text: str, si: str, dimension: str) -> None:
    assert spelling(text, si).dimension == dimension


def test_a_difference_of_temperature_is_told_from_a_temperature() -> None:
    assert spelling("K", "K", "temperature difference").dimension == "temperature difference"
    assert spelling("degC", "K", "temperature difference").dimension == "temperature"


def test_torque_is_not_energy() -> None:
    assert {s.text for s in fitting("N*m")} & {s.text for s in fitting("J")} == set()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("psig", "gauge"),
        ("bar_g", "gauge"),
        ("psia", "absolute"),
        ("bar_a", "absolute"),
        ("psi", ""),
        ("RON", "RON"),
    ],
)
def test_kinds(text: str, kind: str) -> None:
    assert spelling(text).kind == kind


@pytest.mark.parametrize(
    "text", ["mPa", "KW", "HP", "furlong", "gal", "C", "Mpa", "N.m", "mm2", "RPM", "lbs", "W*s"]
)
def test_refused(text: str) -> None:
    with pytest.raises(GrammarError):
        spelling(text)


@pytest.mark.parametrize(
    ("text", "si", "near"),
    [
        ("KW", "W", "kW"),
        ("bhp", "W", "hp"),
        ("mm2", "m^2", "mm^2"),
        ("C", "K", "degC"),
        ("RPM", "rad/s", "rpm"),
        ("ft-lbs", "N*m", "lb-ft"),
        ("lbs*ft", "N*m", "lb*ft"),
        ("ftlb", "N*m", "lb-ft"),
        ("lbs", "kg", "lb"),
    ],
)
def test_near_matches(text: str, si: str, near: str) -> None:
    assert near in near_units(text, si)


def test_near_matches_keep_to_what_fits() -> None:
    fits = {s.text for s in fitting("N*m")}
    assert set(near_units("furlong", "N*m")) <= fits
    assert set(near_units("n*m", "N*m")) <= fits


def test_suffixes_end_in_accepted_units() -> None:
    for name, unit in SUFFIXES.items():
        assert spelling(unit).si == unit
        assert unit_of_argument(f"some_{name}") == unit


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("stroke_m", "m"),
        ("speed_rad_s", "rad/s"),
        ("torque_nm", "N*m"),
        ("stiffness_n_m", "N/m"),
        ("flow_kg_s", "kg/s"),
        ("density_kg_m3", "kg/m^3"),
        ("heat_j_kgk", "J/(kg*K)"),
        ("area_m2", "m^2"),
        ("moment_m4", "m^4"),
        ("coefficient_w_m2k", "W/(m^2*K)"),
        ("compression_ratio", "1"),
        ("m", "1"),
    ],
)
def test_unit_of_argument(name: str, unit: str) -> None:
    assert unit_of_argument(name) == unit


def test_sources_are_in_order_and_say_what_they_are() -> None:
    assert list(SOURCES) == sorted(SOURCES)
    for key, source in SOURCES.items():
        assert source.title, key
        if source.kind in ("published", "standard"):
            assert source.year > 1800, key
    assert SOURCES["common-practice"].kind == "common practice"
    assert SOURCES["memory"].kind == "memory"
