"""Every unit that may be written, and nothing else.

``pint_name`` is an expression over the project's own unit definitions in :mod:`enginelimits.units.registry`;
``si`` is how the same dimension is written in SI.  One text may stand for two things (``g`` is a mass and an
acceleration, ``K`` a temperature and a difference): the field that holds it decides.
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cache
from typing import Final

from enginelimits.units.grammar import GrammarError, excerpt


@dataclass(frozen=True, slots=True)
class Spelling:
    """One accepted unit.  ``kind`` marks a reference: gauge or absolute pressure, RON, MON or AKI."""

    text: str
    pint_name: str
    si: str
    dimension: str
    kind: str = ""


# dimension: (SI text, [(spelling, expression over the registry's names)]); the first is the SI unit itself.
_TABLE: Final[dict[str, tuple[str, list[tuple[str, str]]]]] = {
    "number": ("1", [("1", "dimensionless"), ("%", "percent")]),
    "length": (
        "m",
        [
            ("m", "metre"),
            ("mm", "1e-3 * metre"),
            ("cm", "1e-2 * metre"),
            ("um", "1e-6 * metre"),
            ("km", "1e3 * metre"),
            ("in", "inch"),
            ("ft", "foot"),
            ("mi", "mile"),
        ],
    ),
    "area": (
        "m^2",
        [("m^2", "metre**2"), ("mm^2", "1e-6 * metre**2"), ("cm^2", "1e-4 * metre**2"), ("in^2", "inch**2")],
    ),
    "volume": (
        "m^3",
        [
            ("m^3", "metre**3"),
            ("L", "litre"),
            ("cc", "1e-3 * litre"),
            ("cm^3", "1e-6 * metre**3"),
            ("mm^3", "1e-9 * metre**3"),
            ("in^3", "inch**3"),
        ],
    ),
    "second moment of area": (
        "m^4",
        [("m^4", "metre**4"), ("mm^4", "1e-12 * metre**4"), ("cm^4", "1e-8 * metre**4"), ("in^4", "inch**4")],
    ),
    "mass": (
        "kg",
        [("kg", "kilogram"), ("g", "1e-3 * kilogram"), ("lb", "pound"), ("oz", "ounce")],
    ),
    "time": ("s", [("s", "second"), ("ms", "1e-3 * second"), ("min", "minute"), ("h", "hour")]),
    "angle": ("rad", [("rad", "radian"), ("deg", "degree")]),
    "speed of rotation": ("rad/s", [("rad/s", "radian / second"), ("rpm", "2 * pi * radian / minute")]),
    "speed": (
        "m/s",
        [
            ("m/s", "metre / second"),
            ("km/h", "1e3 * metre / hour"),
            ("mph", "mile / hour"),
            ("ft/s", "foot / second"),
            ("ft/min", "foot / minute"),
        ],
    ),
    "acceleration": ("m/s^2", [("m/s^2", "metre / second**2"), ("g", "standard_gravity")]),
    "force": (
        "N",
        [
            ("N", "newton"),
            ("kN", "1e3 * newton"),
            ("lbf", "pound * standard_gravity"),
            ("kgf", "kilogram * standard_gravity"),
        ],
    ),
    "stiffness": ("N/m", [("N/m", "newton / metre"), ("N/mm", "1e3 * newton / metre")]),
    "pressure": (
        "Pa",
        [
            ("Pa", "pascal"),
            ("kPa", "1e3 * pascal"),
            ("MPa", "1e6 * pascal"),
            ("GPa", "1e9 * pascal"),
            ("N/mm^2", "1e6 * pascal"),
            ("mbar", "1e2 * pascal"),
            ("bar", "1e5 * pascal"),
            ("psi", "pound * standard_gravity / inch**2"),
        ],
    ),
    "torque": (
        "N*m",
        [
            ("N*m", "newton * metre"),
            ("Nm", "newton * metre"),
            ("lb-ft", "pound * standard_gravity * foot"),
            ("ft-lb", "pound * standard_gravity * foot"),
            ("lbf*ft", "pound * standard_gravity * foot"),
            ("ft*lbf", "pound * standard_gravity * foot"),
            ("lbf-ft", "pound * standard_gravity * foot"),
            ("ft-lbf", "pound * standard_gravity * foot"),
            ("lb*ft", "pound * standard_gravity * foot"),
            ("ft*lb", "pound * standard_gravity * foot"),
            ("kgf*m", "kilogram * standard_gravity * metre"),
        ],
    ),
    "energy": ("J", [("J", "joule"), ("kJ", "1e3 * joule"), ("MJ", "1e6 * joule"), ("kWh", "3.6e6 * joule")]),
    "power": (
        "W",
        [
            ("W", "watt"),
            ("kW", "1e3 * watt"),
            ("hp", "550 * foot * pound * standard_gravity / second"),
            ("PS", "75 * metre * kilogram * standard_gravity / second"),
        ],
    ),
    "temperature": ("K", [("K", "kelvin"), ("degC", "degree_celsius"), ("degF", "degree_fahrenheit")]),
    "temperature difference": ("K", [("K", "kelvin")]),
    "mass flow": (
        "kg/s",
        [
            ("kg/s", "kilogram / second"),
            ("g/s", "1e-3 * kilogram / second"),
            ("kg/min", "kilogram / minute"),
            ("kg/h", "kilogram / hour"),
            ("lb/min", "pound / minute"),
            ("lb/h", "pound / hour"),
        ],
    ),
    "volume flow": (
        "m^3/s",
        [
            ("m^3/s", "metre**3 / second"),
            ("m^3/min", "metre**3 / minute"),
            ("m^3/h", "metre**3 / hour"),
            ("L/s", "litre / second"),
            ("L/min", "litre / minute"),
            ("L/h", "litre / hour"),
            ("cc/min", "1e-3 * litre / minute"),
            ("ft^3/min", "foot**3 / minute"),
        ],
    ),
    "voltage": ("V", [("V", "volt"), ("kV", "1e3 * volt")]),
    "density": ("kg/m^3", [("kg/m^3", "kilogram / metre**3"), ("kg/L", "kilogram / litre")]),
    "specific volume": ("m^3/kg", [("m^3/kg", "metre**3 / kilogram")]),
    "molar mass": ("kg/mol", [("kg/mol", "kilogram / mole"), ("g/mol", "1e-3 * kilogram / mole")]),
    "specific energy": (
        "J/kg",
        [
            ("J/kg", "joule / kilogram"),
            ("kJ/kg", "1e3 * joule / kilogram"),
            ("MJ/kg", "1e6 * joule / kilogram"),
        ],
    ),
    "specific heat": (
        "J/(kg*K)",
        [("J/(kg*K)", "joule / kilogram / kelvin"), ("kJ/(kg*K)", "1e3 * joule / kilogram / kelvin")],
    ),
    "specific consumption": (
        "kg/J",
        [
            ("kg/J", "kilogram / joule"),
            ("g/kWh", "1e-3 * kilogram / (3.6e6 * joule)"),
            ("lb/(hp*h)", "pound / (550 * foot * pound * standard_gravity / second * hour)"),
        ],
    ),
    "power per area": (
        "W/m^2",
        [
            ("W/m^2", "watt / metre**2"),
            ("W/mm^2", "1e6 * watt / metre**2"),
            ("kW/cm^2", "1e7 * watt / metre**2"),
        ],
    ),
    "power per volume": (
        "W/m^3",
        [
            ("W/m^3", "watt / metre**3"),
            ("kW/L", "1e3 * watt / litre"),
            ("hp/L", "550 * foot * pound * standard_gravity / second / litre"),
        ],
    ),
    "heat transfer": ("W/(m^2*K)", [("W/(m^2*K)", "watt / metre**2 / kelvin")]),
    "thermal conductivity": ("W/(m*K)", [("W/(m*K)", "watt / metre / kelvin")]),
    "heat capacity": ("J/K", [("J/K", "joule / kelvin"), ("kJ/K", "1e3 * joule / kelvin")]),
    "heat conductance": ("W/K", [("W/K", "watt / kelvin"), ("kW/K", "1e3 * watt / kelvin")]),
    "viscosity": ("Pa*s", [("Pa*s", "pascal * second"), ("mPa*s", "1e-3 * pascal * second")]),
    "kinematic viscosity": (
        "m^2/s",
        [("m^2/s", "metre**2 / second"), ("mm^2/s", "1e-6 * metre**2 / second"), ("cSt", "1e-6 * metre**2 / second")],
    ),
    "pressure per speed": (
        "Pa*s/m",
        [("Pa*s/m", "pascal * second / metre"), ("kPa*s/m", "1e3 * pascal * second / metre")],
    ),
    "expansion": ("1/K", [("1/K", "1 / kelvin"), ("um/(m*K)", "1e-6 / kelvin")]),
    "per pressure": (
        "1/Pa",
        [("1/Pa", "1 / pascal"), ("1/kPa", "1e-3 / pascal"), ("1/bar", "1e-5 / pascal")],
    ),
}

_REFERRED: Final = (
    Spelling("psig", "pound * standard_gravity / inch**2", "Pa", "pressure", "gauge"),
    Spelling("psia", "pound * standard_gravity / inch**2", "Pa", "pressure", "absolute"),
    Spelling("bar_g", "1e5 * pascal", "Pa", "pressure", "gauge"),
    Spelling("bar_a", "1e5 * pascal", "Pa", "pressure", "absolute"),
    Spelling("kPa_g", "1e3 * pascal", "Pa", "pressure", "gauge"),
    Spelling("kPa_a", "1e3 * pascal", "Pa", "pressure", "absolute"),
    # An octane number is a place on a scale of mixtures, not a multiple of a unit: no factor joins the three.
    Spelling("RON", "dimensionless", "1", "octane number", "RON"),
    Spelling("MON", "dimensionless", "1", "octane number", "MON"),
    Spelling("AKI", "dimensionless", "1", "octane number", "AKI"),
)

SPELLINGS: Final[tuple[Spelling, ...]] = (
    *(Spelling(text, name, si, dim) for dim, (si, rows) in _TABLE.items() for text, name in rows),
    *_REFERRED,
)

_BY_TEXT: Final[dict[str, list[Spelling]]] = {}
for _each in SPELLINGS:
    _BY_TEXT.setdefault(_each.text, []).append(_each)

# What people write instead, and what they most likely meant.
_INSTEAD: Final = {
    "ft-lbs": "lb-ft",
    "lbft": "lb-ft",
    "ftlb": "lb-ft",
    "bhp": "hp",
    "cv": "PS",
    "ps": "PS",
    "c": "degC",
    "f": "degF",
    "cm3/min": "cc/min",
    "lph": "L/h",
    "cfm": "ft^3/min",
    "kph": "km/h",
    "kmh": "km/h",
    "lbs": "lb",
    "kilo": "kg",
    "degree": "deg",
    "degrees": "deg",
    "deg/s": "rad/s",
    "1/min": "rpm",
    "octane": "RON",
    "ron": "RON",
    "percent": "%",
}


def spelling(text: str, si: str | None = None, dimension: str | None = None) -> Spelling:
    """The accepted unit written so; where a text means two things, the one of that SI unit or dimension.

    An empty text is a plain number.  Raises GrammarError with near matches for anything else.

    >>> spelling("g").dimension, spelling("g", si="m/s^2").dimension
    ('mass', 'acceleration')
    """
    found = _BY_TEXT.get(text or "1")
    if not found:
        raise GrammarError(
            "an accepted unit", excerpt(text), _listing(si, dimension), near_units(text, si, dimension)
        )
    for each in found:
        if (si is None or each.si == si) and (dimension is None or each.dimension == dimension):
            return each
    return found[0]


@cache
def fitting(si: str, dimension: str | None = None) -> tuple[Spelling, ...]:
    """Every accepted spelling of an SI unit (and dimension), the SI unit first."""
    return tuple(s for s in SPELLINGS if s.si == si and (dimension is None or s.dimension == dimension))


def near_units(text: str, si: str | None = None, dimension: str | None = None) -> tuple[str, ...]:
    """Accepted spellings that look like the text, those of the wanted unit before all others."""
    fits = [s.text for s in fitting(si, dimension)] if si else []
    names = [*fits, *(t for t in _BY_TEXT if t not in fits and t != "1")]
    lower = text.lower()[:32]
    near = [n for n in names if n.lower() == lower]
    if lower in _INSTEAD:
        near.append(_INSTEAD[lower])
    for pool in (fits, names):
        folded: dict[str, str] = {}
        for name in pool:
            folded.setdefault(name.lower(), name)
        near += [folded[n] for n in difflib.get_close_matches(lower, folded, n=2, cutoff=0.6)]
    return tuple(dict.fromkeys(n for n in near if not fits or n in fits))[:3]


def _listing(si: str | None, dimension: str | None) -> str:
    if si is None:
        return "`enginelimits quantities --units` lists the accepted units."
    fits = [s.text for s in fitting(si, dimension) if s.text != "1"]
    return f"Accepted here: {', '.join(fits)}." if fits else "No unit is accepted here."
