"""SI numbers as people read them: a fitting unit, and no more digits than the number deserves."""

from __future__ import annotations

import math
from typing import Final, Literal, NamedTuple

from enginelimits.units.registry import difference_to_si, from_si

System = Literal["metric", "us"]


class _Step(NamedTuple):
    """From ``above`` (SI) on, use the unit and this many decimals; negative decimals round to tens."""

    above: float
    unit: str
    decimals: int


# Each list from the largest numbers down.
_METRIC: Final[dict[str, tuple[_Step, ...]]] = {
    "rad/s": (_Step(0.0, "rpm", 0),),
    "rad": (_Step(0.0, "deg", 1),),
    "Pa": (
        _Step(1e9, "GPa", 1),
        _Step(1e6, "bar", 1),
        _Step(1e4, "bar", 2),
        _Step(0.0, "kPa", 1),
    ),
    "N": (_Step(1e4, "kN", 1), _Step(1e3, "kN", 2), _Step(0.0, "N", 0)),
    "N/m": (_Step(0.0, "N/mm", 0),),
    "N*m": (_Step(10.0, "N*m", 0), _Step(0.0, "N*m", 1)),
    "W": (_Step(2e4, "kW", 0), _Step(1e3, "kW", 1), _Step(0.0, "kW", 2)),
    "kg/s": (_Step(0.02, "g/s", 0), _Step(0.0, "g/s", 1)),
    "m^3/s": (_Step(1e-4, "L/s", 2), _Step(1.6e-5, "L/h", 0), _Step(0.0, "cc/min", 0)),
    "m": (
        _Step(1e4, "km", 0),
        _Step(2.0, "m", 0),
        _Step(0.1, "mm", 1),
        _Step(0.01, "mm", 2),
        _Step(1e-4, "mm", 3),
        _Step(1e-5, "um", 1),
        _Step(0.0, "um", 2),
    ),
    "m^2": (_Step(1e-2, "cm^2", 0), _Step(1e-4, "mm^2", 0), _Step(0.0, "mm^2", 1)),
    "m^3": (_Step(1e-3, "L", 2), _Step(0.0, "cc", 1)),
    "m^4": (_Step(0.0, "mm^4", 0),),
    "kg": (_Step(10.0, "kg", 0), _Step(1.0, "kg", 2), _Step(0.01, "g", 0), _Step(0.0, "g", 3)),
    "s": (_Step(1.0, "s", 1), _Step(0.0, "ms", 2)),
    "m/s": (_Step(100.0, "m/s", 0), _Step(0.0, "m/s", 1)),
    "m/s^2": (_Step(1e3, "m/s^2", -1), _Step(0.0, "m/s^2", 1)),
    "V": (_Step(1e3, "kV", 1), _Step(0.0, "V", 1)),
    "kg/J": (_Step(0.0, "g/kWh", 0),),
    "W/m^2": (_Step(1e5, "W/mm^2", 2), _Step(0.0, "W/m^2", 0)),
    "W/m^3": (_Step(0.0, "kW/L", 1),),
    "W/K": (_Step(0.0, "kW/K", 2),),
    "kg/m^3": (_Step(100.0, "kg/m^3", 0), _Step(0.0, "kg/m^3", 3)),
    "J/(kg*K)": (_Step(0.0, "J/(kg*K)", 0),),
    "J/kg": (_Step(1e6, "MJ/kg", 2), _Step(0.0, "kJ/kg", 1)),
    "J": (_Step(1e3, "kJ", 2), _Step(0.0, "J", 1)),
    "Pa*s": (_Step(0.0, "mPa*s", 2),),
    "m^2/s": (_Step(0.0, "mm^2/s", 1),),
}
_US: Final[dict[str, tuple[_Step, ...]]] = {
    **_METRIC,
    "Pa": (_Step(6.8947e6, "psi", -1), _Step(1e6, "psi", 0), _Step(0.0, "psi", 1)),
    # Three digits, as for kN: no clamp is known to a pound.
    "N": (_Step(44_482.2, "lbf", -2), _Step(4_448.22, "lbf", -1), _Step(0.0, "lbf", 0)),
    "N*m": (_Step(10.0, "lb-ft", 0), _Step(0.0, "lb-ft", 1)),
    "W": (_Step(1.5e4, "hp", 0), _Step(745.0, "hp", 1), _Step(0.0, "hp", 2)),
    "kg/s": (_Step(0.0, "lb/min", 1),),
    "m": (_Step(1e4, "mi", 0), _Step(2.0, "ft", 0), _Step(0.01, "in", 3), _Step(1e-5, "in", 4), _Step(0.0, "um", 2)),
    "m^2": (_Step(0.0, "in^2", 3),),
    "m^3": (_Step(1e-4, "in^3", 1), _Step(0.0, "cc", 1)),
    "m^4": (_Step(0.0, "in^4", 5),),
    "kg": (_Step(10.0, "lb", 0), _Step(1.0, "lb", 2), _Step(0.01, "g", 0), _Step(0.0, "g", 3)),
    "m/s": (_Step(0.0, "ft/s", 0),),
    "kg/J": (_Step(0.0, "lb/(hp*h)", 3),),
    "W/m^3": (_Step(0.0, "hp/L", 0),),
}
_OCTANES: Final = ("RON", "MON", "AKI")
# Last words of inputs without a unit that are counted, not measured: they have no decimals.
_COUNTS: Final = frozenset(
    {"count", "cylinders", "valves_per_cylinder", "fasteners", "heat_steps_colder", "belt_ribs"}
)
_UNKNOWN: Final = "unknown"


def shown(
    value_si: float | None, unit: str, system: System = "metric", kind: str = "", quantity_hint: str = "",
    beside: float | None = None,
) -> str:
    """The value with a unit that people use; "unknown" for None and NaN.

    ``kind`` is gauge, absolute or difference, an octane scale, or percent.  ``quantity_hint`` may be a
    quantity's id or an input's path: a stress is shown in MPa, a road speed in km/h, a temperature's margin
    as a difference.  ``beside`` is the other end of a range: both are told in the unit of the larger.

    >>> shown(753.98, "rad/s"), shown(68947.6, "Pa", "us", "gauge"), shown(134226.0, "W", "us")
    ('7200 rpm', '10.0 psi gauge', '180 hp')
    >>> shown(298.15, "K"), shown(298.15, "K", "us"), shown(12.0, "K", kind="difference")
    ('25 degC', '77 degF', '12 K')
    >>> shown(1.0, "1"), shown(0.00291, "1"), shown(4.0, "1", quantity_hint="engine.cylinders")
    ('1.00', '0.00291', '4')
    """
    if value_si is None or not math.isfinite(value_si):
        return _UNKNOWN
    if unit == "1":
        return _plain(value_si, kind, quantity_hint)
    if unit == "K":
        return _temperature(value_si, system, kind, quantity_hint)
    larger = beside if beside is not None and abs(value_si) <= abs(beside) < math.inf else value_si
    own, step = (_special(v, unit, system, quantity_hint) or _chosen(v, unit, system) for v in (value_si, larger))
    if own is None or step is None:
        return f"{shown_number(value_si)} {unit}"
    number = from_si(value_si, step.unit, si=unit)
    if not math.isfinite(number):
        return f"{shown_number(value_si)} {unit}"
    # In the unit of a larger number a small one keeps two digits; in its own it has those of its size.
    decimals = own.decimals if own.unit == step.unit else _two_digits(number, step.decimals)
    text = _rounded(number, decimals)
    reference = f" {kind}" if unit == "Pa" and kind in ("gauge", "absolute") else ""
    return f"{text} {step.unit}{reference}"


def shown_number(value: float | None, digits: int = 3) -> str:
    """A plain number to so many significant digits, in everyday notation where that stays short.

    >>> shown_number(0.012345), shown_number(1234567.0), shown_number(4.2e-9), shown_number(2.0)
    ('0.0123', '1230000', '4.2e-09', '2')
    """
    if value is None or not math.isfinite(value):
        return _UNKNOWN
    if value == 0.0:
        return "0"
    size = math.floor(math.log10(abs(value)))
    if not -4 <= size < 9:
        return f"{value:.{digits}g}"
    decimals = digits - 1 - size
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


# Shares that the trade speaks of in per cent.
# Words in a name that say a temperature is a difference
_DIFFERENCES = (
    *("margin", "difference", "rise", "soak", "heating", "heat_above"),
    *("_cooling", "cooling_held", "cooling_beyond", "probe_error"),
)
_SHARES = frozenset(
    ("port_duty", "ethanol", "methanol", "torque_lost", "gasoline_ethanol", "leak_down", "leak_down_worst",
     "compression_spread", "injector_duty", "ethanol_difference", "misfire_share", "rail_deviation",
     "anchor_scale", "boost_held", "both_capacity", "choke_margin", "drift_content", "exhaust_seat_load_lost",
     "float_margin", "gap_margin", "intake_seat_load_lost", "limiter_raise", "mass_raise", "port_share",
     "power_over_standard", "surge_margin", "throttle", "uncovered_level",
     "drive_slip")
)
# What takes up a limit, reaches what was asked or keeps a reserve is such a share by the end of its name.
_SHARE_ENDS = ("_use", "_use_high", "_highest_ethanol", "_reach", "_overshoot_share", "blow_by_share", "whip_share")
_RESERVES = ("clutch.reserve", "belt.reserve")


def _plain(value: float, kind: str, hint: str) -> str:
    if kind in _OCTANES:
        return f"{_rounded(value, 1).removesuffix('.0')} {kind}"
    if kind == "percent":
        return f"{shown_number(value * 100.0)} %"
    if hint.rpartition(".")[2] in _SHARES or hint.endswith(_SHARE_ENDS) or hint in _RESERVES:
        return _percent(value * 100.0)
    text = shown_number(value)
    if abs(value) >= 10.0 or "e" in text or hint.rpartition(".")[2] in _COUNTS:
        return text
    # A ratio beside its limit: 0.94 against 1 would read as if one were known better than the other.
    whole, _, decimals = text.partition(".")
    return f"{whole}.{decimals.ljust(2, '0')}"


def _percent(number: float) -> str:
    """No computed share is known to a hundredth of a per cent, nor one far beyond the whole to a tenth."""
    if 0.0 < abs(number) < 0.05:
        return "under 0.1 %"
    return f"{_rounded(number, 1 if abs(number) < 110.0 else 0).removesuffix('.0')} %"


def _temperature(value: float, system: System, kind: str, hint: str) -> str:
    if kind == "difference" or any(word in hint for word in _DIFFERENCES):
        if system == "us":
            return f"{_rounded(value / difference_to_si(1.0, 'degF'), 0)} degF of difference"
        return f"{_rounded(value, 0)} K"
    unit = "degF" if system == "us" else "degC"
    return f"{_rounded(from_si(value, unit), 0)} {unit}"


# No gas and no fuel stands at more than this: 500 bar
LEAST_STRESS = 50e6


def _special(value: float, unit: str, system: System, hint: str) -> _Step | None:
    """The trade's unit where a quantity has one of its own."""
    if unit == "Pa" and (abs(value) >= LEAST_STRESS or any(
        word in hint
        for word in ("stress", "strength", "bearing_pressure", "boss_pressure", "skirt_pressure", "bearing.", "modulus")
    )):
        if abs(value) >= 1e10:
            return _Step(0.0, "GPa", 0)
        return _Step(0.0, "MPa", 0 if abs(value) >= 1e7 else 1)
    if unit == "m/s" and ("road" in hint or "vehicle" in hint):
        return _Step(0.0, "mph" if system == "us" else "km/h", 0)
    if unit == "m/s" and system == "us" and "piston" in hint:
        return _Step(0.0, "ft/min", 0)
    if unit == "m/s^2" and "lateral" in hint:
        return _Step(0.0, "g", 2)
    return None


def _chosen(value: float, unit: str, system: System) -> _Step | None:
    steps = (_US if system == "us" else _METRIC).get(unit, ())
    return next((s for s in steps if abs(value) >= s.above), None)


def _two_digits(value: float, least: int) -> int:
    """Decimals that leave a number two digits, and no fewer than the least."""
    return max(least, 1 - math.floor(math.log10(abs(value)))) if value else least


def _rounded(value: float, decimals: int) -> str:
    text = f"{round(value, decimals):.{max(decimals, 0)}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
