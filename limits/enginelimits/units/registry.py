"""Conversion between accepted spellings and SI.  The one module that imports pint.

pint works every factor out from the definitions below, which name nothing but what the project accepts; no
text of a user's reaches it.  Importing pint takes longer than judging a build, so what it gives is kept in
:mod:`enginelimits.units.scales`, and a test works it out again.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from enginelimits.units.grammar import GrammarError
from enginelimits.units.scales import SCALES
from enginelimits.units.spellings import SPELLINGS, Spelling, fitting, spelling

if TYPE_CHECKING:
    from pint import UnitRegistry

# Factors are exact by definition: nist-sp-811 (inch, pound, standard gravity), bipm-si-2019.
DEFINITIONS = (
    "pi = 3.141592653589793",
    "metre = [length]",
    "kilogram = [mass]",
    "second = [time]",
    "kelvin = [temperature]; offset: 0",
    "mole = [substance]",
    "ampere = [current]",
    # Angle is kept as a dimension of its own, or 6000 rpm would pass for 628 hertz.
    "radian = [angle]",
    "degree = pi / 180 * radian",
    "percent = 0.01",
    "minute = 60 * second",
    "hour = 3600 * second",
    "litre = 1e-3 * metre**3",
    "inch = 0.0254 * metre",
    "foot = 0.3048 * metre",
    "mile = 1609.344 * metre",
    "pound = 0.45359237 * kilogram",
    "ounce = pound / 16",
    "standard_gravity = 9.80665 * metre / second**2",
    "newton = kilogram * metre / second**2",
    "pascal = newton / metre**2",
    "joule = newton * metre",
    "watt = joule / second",
    "volt = watt / ampere",
    "degree_celsius = kelvin; offset: 273.15",
    "degree_fahrenheit = 5 / 9 * kelvin; offset: 255.3722222222222",
)


@cache
def registry() -> UnitRegistry[float]:
    """pint's registry with the project's own definitions and nothing else."""
    import pint

    # Offset temperatures never turn into kelvin on their own: 20 degC times two is an error, not 586 K.
    ours: UnitRegistry[float] = pint.UnitRegistry(None, autoconvert_offset_to_baseunit=False)
    for line in DEFINITIONS:
        ours.define(line)
    return ours


def worked_out(unit: Spelling) -> tuple[float, float]:
    """Scale and offset of a spelling as pint gives them: si = scale * x + offset."""
    ours = registry()
    target = ours.parse_expression(fitting(unit.si)[0].pint_name)
    offset_unit = unit.pint_name in ("degree_celsius", "degree_fahrenheit")
    if offset_unit:
        zero = ours.Quantity(0.0, unit.pint_name).to("kelvin").magnitude
        step = ours.Quantity(1.0, "delta_" + unit.pint_name).to("kelvin").magnitude
        return float(step), float(zero)
    if unit.pint_name == "dimensionless":
        return 1.0, 0.0
    ratio: Any = ours.parse_expression(unit.pint_name) / target
    return float(ours.Quantity(ratio).to("dimensionless").magnitude), 0.0


def scale_and_offset(unit: Spelling) -> tuple[float, float]:
    """(a, b) with si = a * x + b for a number x written in the unit."""
    kept = SCALES.get((unit.text, unit.si))
    return kept if kept is not None else worked_out(unit)


def to_si(value: float, unit: str, si: str | None = None) -> float:
    """The number in SI; ``si`` says which meaning of a text is wanted where it has two.

    >>> round(to_si(10, "psi"), 1), to_si(25, "degC"), round(to_si(6000, "rpm"), 3)
    (68947.6, 298.15, 628.319)
    """
    a, b = scale_and_offset(_meant(unit, si))
    return value * a + b


def from_si(value: float, unit: str, si: str | None = None) -> float:
    """The SI number in the unit.

    >>> round(from_si(298.15, "degF"), 6), from_si(0.09, "%")
    (77.0, 9.0)
    """
    a, b = scale_and_offset(_meant(unit, si))
    return (value - b) / a


def difference_to_si(value: float, unit: str, si: str | None = None) -> float:
    """A difference in SI: the scale alone, so that 5 degF of spread is 2.78 K, never 258 K."""
    return value * scale_and_offset(_meant(unit, si))[0]


def _meant(unit: str, si: str | None) -> Spelling:
    found = spelling(unit, si)
    if si is not None and found.si != si:
        raise GrammarError(f"a unit of {si}", f"`{unit}`")
    return found


def every_scale() -> dict[tuple[str, str], tuple[float, float]]:
    """What :mod:`enginelimits.units.scales` must hold, worked out by pint."""
    return {(s.text, s.si): worked_out(s) for s in SPELLINGS}
