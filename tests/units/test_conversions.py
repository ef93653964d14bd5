"""Conversion against factors printed in standards; each number is typed from the source named beside it."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.units.grammar import GrammarError
from enginelimits.units.registry import difference_to_si, every_scale, from_si, registry, to_si
from enginelimits.units.scales import SCALES
from enginelimits.units.spellings import SPELLINGS

# NIST SP 811 (2008), appendix B.8: the factor as printed there; bold (exact) ones carry tolerance 0.
# The tolerance of the others is half the last printed digit.
NIST = [
    ("in", "m", 2.54e-2, 0.0),
    ("ft", "m", 3.048e-1, 0.0),
    ("mi", "m", 1.609344e3, 0.0),
    ("in^2", "m^2", 6.4516e-4, 0.0),
    ("in^3", "m^3", 1.638706e-5, 5e-12),
    ("in^4", "m^4", 4.162314e-7, 5e-14),
    ("lb", "kg", 4.535924e-1, 5e-8),
    ("oz", "kg", 2.834952e-2, 5e-9),
    ("lbf", "N", 4.448222, 5e-7),
    ("kgf", "N", 9.80665, 0.0),
    ("psi", "Pa", 6.894757e3, 5e-4),
    ("bar", "Pa", 1e5, 0.0),
    ("lbf*ft", "N*m", 1.355818, 5e-7),
    ("lb-ft", "N*m", 1.355818, 5e-7),
    # That the trade also writes the pound-force foot so is common practice, no source; the factor is that of lbf ft.
    ("lb*ft", "N*m", 1.355818, 5e-7),
    ("ft*lb", "N*m", 1.355818, 5e-7),
    ("ft*lbf", "N*m", 1.355818, 5e-7),
    ("lbf-ft", "N*m", 1.355818, 5e-7),
    ("ft-lbf", "N*m", 1.355818, 5e-7),
    ("hp", "W", 7.456999e2, 5e-5),
    ("PS", "W", 7.354988e2, 5e-5),
    ("lb/h", "kg/s", 1.259979e-4, 5e-11),
    ("lb/min", "kg/s", 7.559873e-3, 5e-10),
    ("ft^3/min", "m^3/s", 4.719474e-4, 5e-11),
    ("mph", "m/s", 4.4704e-1, 0.0),
    ("km/h", "m/s", 2.777778e-1, 5e-8),
    ("ft/min", "m/s", 5.08e-3, 0.0),
    ("rpm", "rad/s", 1.047198e-1, 5e-8),
    ("deg", "rad", 1.745329e-2, 5e-9),
    ("kWh", "J", 3.6e6, 0.0),
    ("lb/(hp*h)", "kg/J", 1.689659e-7, 5e-14),
    ("g", "m/s^2", 9.80665, 0.0),
]


@pytest.mark.parametrize(("unit", "si", "printed", "tolerance"), NIST, ids=[row[0] for row in NIST])
def test_factor_as_printed(unit: str, si: str, printed: float, tolerance: float) -> None:
    # 1e-15 relative: the factor is a product of exact ones, rounded once or twice.
    assert abs(to_si(1.0, unit, si) - printed) <= tolerance + 1e-15 * printed


def test_metric_horsepower_is_seventy_five_kilogram_force_metres_a_second() -> None:
    # NIST SP 811, B.8: horsepower (metric) 735.4988 W; exactly 75 x 9.80665.
    assert to_si(1.0, "PS") == pytest.approx(735.49875, abs=1e-12)
    # 1 hp in PS, common practice: 1.0139.
    assert to_si(1.0, "hp") / to_si(1.0, "PS") == pytest.approx(1.0139, abs=5e-5)


def test_temperatures() -> None:
    # NIST SP 811, B.8: t/degC = T/K - 273.15; T/K = (t/degF + 459.67)/1.8. Fixed points of common knowledge.
    assert to_si(0.0, "degC") == 273.15
    assert to_si(32.0, "degF") == pytest.approx(273.15, abs=1e-12)
    assert to_si(212.0, "degF") == pytest.approx(373.15, abs=1e-12)
    assert to_si(-40.0, "degF") == pytest.approx(to_si(-40.0, "degC"), abs=1e-12)
    assert to_si(-459.67, "degF") == pytest.approx(0.0, abs=1e-10)


def test_a_difference_of_temperature_has_no_offset() -> None:
    # NIST SP 811, B.8: temperature interval 1 degF = 1/1.8 K.
    assert difference_to_si(9.0, "degF") == pytest.approx(5.0, abs=1e-14)
    assert difference_to_si(5.0, "degC") == 5.0


def test_misused_offset_temperatures_raise() -> None:
    ours = registry()
    assert ours.autoconvert_offset_to_baseunit is False
    twenty = ours.Quantity(20.0, "degree_celsius")
    with pytest.raises(pint.OffsetUnitCalculusError):
        twenty * 2.0 * ours.Quantity(1.0, "metre")
    with pytest.raises(pint.OffsetUnitCalculusError):
        twenty + twenty


def test_traps_of_general_readers() -> None:
    """Nm is newton metre, PS is a power, and turning is not a frequency."""
    ours = registry()
    assert to_si(210.0, "Nm") == 210.0
    assert (
        ours.parse_expression("radian / second").dimensionality
        != ours.parse_expression("1 / second").dimensionality
    )
    for stranger in ("Nm", "PS", "psi", "gallon", "megametre", "furlong", "kmetre"):
        with pytest.raises(pint.UndefinedUnitError):
            ours.parse_expression(stranger)


def test_kept_scales_are_what_pint_works_out() -> None:
    """The table beside the registry, against pint: two independent holders of the same factors."""
    worked_out = every_scale()
    assert set(worked_out) == set(SCALES)
    for key, (scale, offset) in worked_out.items():
        assert SCALES[key] == (pytest.approx(scale, rel=1e-14), pytest.approx(offset, rel=1e-14)), key


def test_every_spelling_has_the_dimension_of_its_si_unit() -> None:
    ours = registry()
    first = {}
    for each in SPELLINGS:
        expression = ours.parse_units("dimensionless") if each.pint_name == "dimensionless" else None
        found = (
            ours.parse_expression(each.pint_name) if expression is None else ours.Quantity(1.0, expression)
        )
        dimensionality = getattr(found, "dimensionality", None)
        assert first.setdefault(each.si, dimensionality) == dimensionality, each.text


def test_a_unit_of_another_dimension_is_refused() -> None:
    with pytest.raises(GrammarError):
        to_si(210.0, "J", "N*m")
    with pytest.raises(GrammarError):
        to_si(1.0, "furlong")


@given(
    st.floats(-1e9, 1e9, allow_nan=False),
    st.sampled_from(list(SPELLINGS)),
)
def test_there_and_back(number: float, unit: object) -> None:
    text, si = unit.text, unit.si  # type: ignore[attr-defined]
    there = to_si(number, text, si)
    # An offset costs digits of small numbers, never more than a part in 1e12 of the offset.
    assert math.isclose(from_si(there, text, si), number, rel_tol=1e-12, abs_tol=1e-9)
