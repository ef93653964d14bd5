"""Whether channels can be what they are named: ranges, and what physics says of two that belong together.

A wrong unit or a swapped column makes numbers that no engine has, or that contradict one another.  What everything
rests on is refused with what it would be in another unit; other channels are left out, and that is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import Problem
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.columns import NO_RETARD
from enginelimits.measured.log import Channel, Log
from enginelimits.units.constants import STANDARD_PRESSURE
from enginelimits.units.registry import scale_and_offset
from enginelimits.units.spellings import fitting, spelling

FloatArray = NDArray[np.float64]
RPM: Final = np.pi / 30.0

# Lowest and highest that the middle of a channel's rows can be, in a car that runs; common practice, no source.
_RANGES: Final[dict[str, tuple[float, float]]] = {
    "engine_speed": (500.0 * RPM, 12e3 * RPM),
    "throttle": (-0.05, 1.1), "pedal": (-0.05, 1.1), "gear": (-1.0, 12.0),
    "road_speed": (0.0, 120.0), "roller_speed": (0.0, 1500.0), "roller_torque": (-2e3, 2e4),
    "manifold_pressure": (15e3, 600e3), "boost": (-95e3, 450e3), "boost_target": (-105e3, 450e3),
    "barometer": (60e3, 108e3), "exhaust_pressure": (-5e3, 800e3), "boost_control_duty": (-0.01, 1.01),
    "turbocharger_speed": (0.0, 35e3), "air_mass_flow": (0.0, 3.0),
    "air_temperature": (240.0, 345.0), "charge_temperature": (240.0, 430.0), "coolant_temperature": (270.0, 405.0),
    "oil_temperature": (270.0, 440.0), "oil_pressure": (-10e3, 1.2e6), "exhaust_temperature": (280.0, 1400.0),
    "lambda": (0.55, 2.5), "lambda_second": (0.55, 2.5), "lambda_target": (0.55, 2.5),
    "fuel_pressure": (50e3, 1.5e6), "rail_pressure": (1e6, 60e6), "rail_pressure_target": (1e6, 60e6),
    "injector_duty": (0.0, 1.3), "injector_time": (0.0, 0.05), "ethanol": (0.0, 1.0),
    "ignition_angle": (np.radians(-30.0), np.radians(65.0)), "knock_retard": (np.radians(-20.0), np.radians(25.0)),
    "crankcase_pressure": (-50e3, 60e3), "voltage": (9.0, 17.0), "air_humidity": (0.0, 1.0),
    "misfire_share": (0.0, 1.0), "catalyst_temperature": (280.0, 1500.0),
}  # fmt: skip
# At full load, of the highest tenth of the rows: what cannot be less on a run that is a pull
_AT_LOAD: Final[dict[str, tuple[float, float]]] = {
    "engine_speed": (1800.0 * RPM, 14e3 * RPM), "throttle": (0.5, 1.1), "manifold_pressure": (60e3, 600e3),
    "wheel_torque": (20.0, 2500.0), "wheel_power": (8e3, 1.6e6), "roller_torque": (20.0, 2e4),
    "exhaust_temperature": (500.0, 1450.0), "air_mass_flow": (10e-3, 3.0), "misfire_share": (0.0, 1.0),
}  # fmt: skip
ESSENTIAL: Final = ("engine_speed", "throttle", "manifold_pressure", "boost", "wheel_torque", "wheel_power",
                    "roller_speed", "roller_torque")
# How far two channels of one thing may differ
POWER_SHARE, PRESSURE_PA = 0.04, 10e3
# What a manifold holds on a closed throttle well above idle: common practice, no source
LEAST_VACUUM, PERFECT_VACUUM = 25e3, 105e3


@dataclass(frozen=True)
class Distrust:
    """What a log cannot be read with, what is left out of it, and what is said of that."""

    fatal: tuple[Problem, ...]
    left_out: tuple[str, ...]
    remarks: tuple[str, ...]


def distrusted(log: Log) -> Distrust:
    """The channels that cannot be what they are named."""
    fatal: list[Problem] = []
    left_out: list[str] = []
    remarks: list[str] = []
    for channel in log.channels.values():
        why = _out_of_range(channel)
        if not why:
            continue
        if channel.name in ESSENTIAL:
            fatal.append(_problem(log, channel, why))
        else:
            left_out.append(channel.name)
            remarks.append(f"{channel.name} left out: {why}")
    if not fatal:
        fatal += _contradictions(log)
    remarks += _doubts(log, left_out)
    return Distrust(tuple(fatal), tuple(left_out), tuple(remarks))


def _problem(log: Log, channel: Channel, why: str) -> Problem:
    return Problem(f"{channel.name} in `{channel.written_unit}`", why,
                   "Correct its unit or its header in the file of names.", channel.header, log.file)


def _limits(name: str) -> tuple[float, float]:
    return _RANGES.get("knock_retard" if name.startswith("knock_retard") else name, (-np.inf, np.inf))


def _fits(name: str, si: FloatArray) -> bool:
    known = si[np.isfinite(si)]
    if not known.size:
        return True
    low, high = _limits(name)
    middle, top = float(np.median(known)), float(np.percentile(known, 97.0))
    if name == "engine_speed":
        # an idle log may hold stops; what counts is what it reaches
        middle = float(np.percentile(known, 90.0))
    least, most = _AT_LOAD.get(name, (-np.inf, np.inf))
    return low <= middle <= high and least <= top <= most


def _out_of_range(channel: Channel) -> str:
    """Why a channel cannot be what it is named; empty where it can."""
    if _fits(channel.name, channel.si):
        return ""
    kind = CHANNELS[channel.name]
    known = channel.si[np.isfinite(channel.si)]
    low, middle, high = (_written(channel, float(v)) for v in np.percentile(known, (3.0, 50.0, 97.0)))
    why = f"from {low:.4g} to {high:.4g} with {middle:.4g} in the middle, which no engine has"
    if channel.written_unit == "AFR":
        return why
    a, b = scale_and_offset(spelling("" if channel.written_unit == "1" else channel.written_unit, kind.unit))
    as_written = (channel.si - b) / a
    others = [s.text for s in fitting(kind.unit)
              if s.kind in ("", kind.pressure) and s.text != channel.written_unit
              and _fits(channel.name, np.asarray(scale_and_offset(s)[0] * as_written + scale_and_offset(s)[1]))]
    others.sort(key=lambda text: _from_usual(channel.name, as_written, scale_and_offset(spelling(text, kind.unit))))
    if kind.name.startswith("lambda") and 9.0 < float(np.median(as_written)) < 20.0:
        others = ["AFR"]
    return why + (f"; they would fit as {' or '.join(others[:3])}" if others else "; is it another column?")


# What a channel mostly reaches at full load, of several units that would fit to name the likeliest first
_USUAL: Final = {"boost": 80e3, "boost_target": 80e3, "manifold_pressure": 180e3, "exhaust_pressure": 120e3,
                 "oil_pressure": 450e3, "fuel_pressure": 400e3, "crankcase_pressure": 1e3}


def _from_usual(name: str, as_written: FloatArray, unit: tuple[float, float]) -> float:
    """How far the top of a channel lies from what is usual, as a logarithm; nought where nothing is known."""
    usual = _USUAL.get(name)
    top = unit[0] * float(np.nanpercentile(as_written, 97.0)) + unit[1]
    return 0.0 if usual is None else abs(float(np.log(max(top, 1e-9) / usual)))


def _written(channel: Channel, si: float) -> float:
    if channel.written_unit == "AFR":
        return si
    a, b = scale_and_offset(spelling("" if channel.written_unit == "1" else channel.written_unit,
                                     CHANNELS[channel.name].unit))
    return (si - b) / a


def _contradictions(log: Log) -> list[Problem]:
    """Pairs that physics joins and that do not fit."""
    return [p for p in (_power_is_torque_by_speed(log), _boost_is_gauge(log), _pressures_agree(log)) if p is not None]


def _power_is_torque_by_speed(log: Log) -> Problem | None:
    """Displayed power is displayed torque times engine speed: in lb-ft and hp they cross at 5252 rpm."""
    torque, power, speed = (log.channels.get(n) for n in ("wheel_torque", "wheel_power", "engine_speed"))
    if torque is None or power is None or speed is None:
        return None
    ratio = _ratio(power.si, torque.si * speed.si)
    if ratio is None or abs(ratio - 1.0) <= POWER_SHARE:
        return None
    # as if each column stood under the other's header
    swapped = _ratio(_as_unit(torque, power), _as_unit(power, torque) * speed.si)
    if swapped is not None and abs(swapped - 1.0) <= POWER_SHARE:
        mend = f"`{torque.header}` and `{power.header}` fit when they are swapped."
    else:
        mend = _other_units(torque, power, ratio) or "Check both units; a factor on only one of them is `correction`."
    return Problem("power that is torque times engine speed", f"{ratio:.3f} of it", mend,
                   f"{torque.header}, {power.header}", log.file)


def _as_unit(numbers: Channel, of: Channel) -> FloatArray:
    """The numbers of one column, read in the unit of another."""
    a, b = scale_and_offset(spelling(numbers.written_unit, CHANNELS[numbers.name].unit))
    c, d = scale_and_offset(spelling(of.written_unit, CHANNELS[of.name].unit))
    return np.asarray(c * ((numbers.si - b) / a) + d)


def _other_units(torque: Channel, power: Channel, ratio: float) -> str:
    """Which one unit, read otherwise, would make the two fit; the closest first."""
    fits: dict[tuple[str, float], tuple[float, str]] = {}
    for channel, by in ((power, ratio), (torque, 1.0 / ratio)):
        scale, _ = scale_and_offset(spelling(channel.written_unit, CHANNELS[channel.name].unit))
        for other in fitting(CHANNELS[channel.name].unit):
            # read in the other unit the channel grows by their ratio; power is to shrink, or torque to grow
            new = scale_and_offset(other)[0]
            off = abs(new / scale * by - 1.0)
            if off <= 0.01 and other.text != channel.written_unit:
                fits.setdefault((channel.name, new), (off, f"`{channel.header}` in {other.text}"))
    found = [text for _, text in sorted(fits.values())]
    return f"They fit with {' or '.join(found[:2])}." if found else ""


def _ratio(one: FloatArray, other: FloatArray) -> float | None:
    with np.errstate(all="ignore"):
        both = np.isfinite(one) & np.isfinite(other) & (other > 0.3 * np.nanmax(other))
        return float(np.median(one[both] / other[both])) if both.sum() >= 8 else None


def _boost_is_gauge(log: Log) -> Problem | None:
    """A gauge reading of a log that holds part load goes below zero; one that never comes near is absolute."""
    boost, throttle = log.channels.get("boost"), log.get("throttle")
    if boost is None or throttle is None:
        return None
    lowest = _overrun(log, boost.si, throttle)
    if lowest is None or -PERFECT_VACUUM <= lowest <= -LEAST_VACUUM:
        return None
    mend = "An absolute pressure is `manifold_pressure`." if lowest > 15e3 else "Is its unit another?"
    return Problem("boost, which is gauge and goes far below zero on a closed throttle",
                   f"{lowest / 1e3:.0f} kPa at the least", mend, boost.header, log.file)


def _overrun(log: Log, pressure: FloatArray, throttle: FloatArray) -> float | None:
    """Lowest pressure in rows on a closed throttle well above idle; None without such rows."""
    least = float(np.nanmin(throttle))
    if least > 0.1:
        return None
    speed = log.channels["engine_speed"].si
    with np.errstate(invalid="ignore"):
        closed = np.isfinite(pressure) & (throttle <= least + 0.03) & (speed > 1500.0 * RPM)
    return float(np.percentile(pressure[closed], 5.0)) if closed.sum() >= 8 else None


def _pressures_agree(log: Log) -> Problem | None:
    """Manifold pressure is boost on the barometer."""
    absolute, boost = log.channels.get("manifold_pressure"), log.channels.get("boost")
    if absolute is None:
        return None
    barometer = log.get("barometer")
    if boost is None:
        return None
    site = 97e3 if barometer is None else float(np.nanmedian(barometer))
    apart = float(np.nanmedian(absolute.si - boost.si)) - site
    if abs(apart) <= (PRESSURE_PA if barometer is not None else 25e3):
        return None
    return Problem("manifold pressure that is boost on the barometer", f"{apart / 1e3:+.0f} kPa apart",
                   "One of both is in another unit, or gauge and absolute are exchanged.",
                   f"{absolute.header}, {boost.header}", log.file)


def _doubts(log: Log, left_out: list[str]) -> list[str]:
    """What does not fit and can be left out."""
    said = []
    charge, air = log.get("charge_temperature"), log.get("air_temperature")
    if charge is not None and air is not None and not {"charge_temperature", "air_temperature"} & set(left_out):
        boost = log.get("boost")
        with np.errstate(invalid="ignore"):
            at_load = np.isfinite(air - charge) & (boost > 20e3) if boost is not None else np.isfinite(air - charge)
        # under boost the charge was heated by the compressor; without, a soaked sensor may read more than the charge
        cooler = float(np.median((air - charge)[at_load])) if at_load.any() else 0.0
        if cooler > (5.0 if boost is not None else 15.0):
            left_out += ["charge_temperature", "air_temperature"]
            said.append(f"charge_temperature lies {cooler:.0f} K below the inlet's: swapped, or in another unit; both "
                        "left out")
    said += _both_ways(log, left_out) + _absolute_target(log, left_out)
    coolant = log.get("coolant_temperature")
    if coolant is not None and "coolant_temperature" not in left_out and float(np.nanpercentile(coolant, 97)) < 325.0:
        said.append(f"coolant at {float(np.nanpercentile(coolant, 97)) - 273.15:.0f} degC at most: an engine that is "
                    "cold, or another unit")
    for name in log.channels:
        values = log.channels[name].si
        known = values[np.isfinite(values)]
        if name in _MOVING and known.size > 50 and float(np.ptp(known)) == 0.0 and name not in left_out:
            left_out.append(name)
            said.append(f"{name} left out: it never moves, so that the sensor or its channel is dead")
    return said


def _both_ways(log: Log, left_out: list[str]) -> list[str]:
    """A retard that is a correction either way: which side of zero is taken out for knock, nobody can tell."""
    names = [name for name in log.channels if name.startswith("knock_retard") and name not in left_out]
    if not names:
        return []
    known = np.concatenate([log.channels[name].si[np.isfinite(log.channels[name].si)] for name in names])
    if not known.size or known.min() >= -NO_RETARD or known.max() <= NO_RETARD:
        return []
    left_out += names
    low, high = np.degrees([known.min(), known.max()])
    return [f"{', '.join(names)} left out: from {low:.3g} to {high:.3g} deg, so that nobody can tell which way is "
            "taken out for knock; log what knock control takes out alone"]


def _absolute_target(log: Log, left_out: list[str]) -> list[str]:
    """A target that never comes below 60 kPa and lies a barometer over boost is written as absolute pressure."""
    target, boost = log.get("boost_target"), log.get("boost")
    if target is None or "boost_target" in left_out:
        return []
    if boost is None:
        absolute, barometer = log.get("manifold_pressure"), log.get("barometer")
        if absolute is None:
            return []
        boost = absolute - (STANDARD_PRESSURE if barometer is None else float(np.nanmedian(barometer)))
    with np.errstate(invalid="ignore"):
        under = np.isfinite(target - boost) & (boost > 10e3)
    if under.sum() < 8 or float(np.nanmin(target)) < 60e3:
        return []
    apart = float(np.median((target - boost)[under]))
    if not 60e3 <= apart <= 125e3:
        return []
    left_out.append("boost_target")
    return [f"boost_target left out: it lies {apart / 1e3:.0f} kPa over boost, as an absolute pressure does; it is to "
            "be gauge"]


_MOVING: Final = ("boost", "manifold_pressure", "lambda", "lambda_second", "exhaust_pressure", "exhaust_temperature",
                  "air_mass_flow", "oil_pressure", "wheel_torque", "wheel_power", "injector_duty", "ignition_angle",
                  "charge_temperature")
