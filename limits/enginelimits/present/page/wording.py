"""Words and roundings of the trade, for sentences that people decide by."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from enginelimits.units.registry import from_si

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Because, Finding
    from enginelimits.units.display import System

# What may be quoted: no figure finer than the trade itself keeps to.  Common practice, no source.
POWER_STEP = {"hp": 5.0, "kW": 5.0}
TORQUE_STEP = {"N*m": 10.0, "lb-ft": 10.0}
BOOST_STEP = {"psi": 0.5, "bar": 0.05}
TEMPERATURE_STEP = 5.0
SHARE_STEP = 5.0
# The words have one meaning each, over the use that was stated.
CHANCES = {
    "unlikely": "less than 1 in 10",
    "possible": "between 1 in 10 and 1 in 3",
    "even": "between 1 in 3 and 2 in 3",
    "likely": "more than 2 in 3",
}
GRADE_MEANINGS = {
    "clear": "nothing found",
    "note": "to be told",
    "caution": "needs a mitigation or a measured check",
    "reinforce": "not to be run without the remedy",
    "decline": "not quoted as asked",
}
VERDICTS = {
    "clear": "Yes, as described. What could be judged lies within the band we accept.",
    "note": "Yes, as described, with things you should know.",
    "caution": "Yes, on conditions: the cautions below come with it.",
    "reinforce": "Not as the car stands. It can be quoted once the remedies named below are in.",
    "decline": "No, not as asked. We do not recommend it and do not quote it this way.",
}
OPEN = "Not answered yet: too much could not be judged. What was found so far stands below."


def stepped(value: float, step: float) -> str:
    """A number rounded to a step, without digits that the step does not have."""
    rounded = round(value / step) * step + 0.0
    decimals = 0 if step >= 1.0 else 1 if math.isclose(step * 10 % 1, 0.0, abs_tol=1e-9) else 2
    return f"{rounded:.{decimals}f}"


def power_words(value_w: float, system: System) -> str:
    """Power in both units, to 5: the reader's own first."""
    told = [f"{stepped(from_si(value_w, unit, si='W'), POWER_STEP[unit])} {unit}" for unit in ("hp", "kW")]
    first, second = told if system == "us" else told[::-1]
    return f"{first} ({second})"


def power_range(low_w: float | None, high_w: float | None, system: System) -> str:
    """A range of power in the reader's unit; empty where there is none."""
    if low_w is None or high_w is None:
        return ""
    unit = "hp" if system == "us" else "kW"
    low, high = (stepped(from_si(end, unit, si="W"), POWER_STEP[unit]) for end in (low_w, high_w))
    return f"{low} to {high} {unit}" if low != high else ""


def torque_words(value_nm: float, system: System) -> str:
    """Torque in the reader's unit, to 10."""
    unit = "lb-ft" if system == "us" else "N*m"
    return f"{stepped(from_si(value_nm, unit, si='N*m'), TORQUE_STEP[unit])} {unit}"


def boost_words(value_pa: float, system: System) -> str:
    """Boost in the reader's unit, to half a psi."""
    unit = "psi" if system == "us" else "bar"
    return f"{stepped(from_si(value_pa, unit, si='Pa'), BOOST_STEP[unit])} {unit}"


def temperature_words(value_k: float, system: System) -> str:
    """Temperature in the reader's unit, to 5 degrees."""
    unit = "degF" if system == "us" else "degC"
    return f"{stepped(from_si(value_k, unit, si='K'), TEMPERATURE_STEP)} {unit}"


def difference(kelvin: float, system: System) -> float:
    """A difference of temperature in the reader's degrees."""
    return from_si(kelvin, "degF", si="K") - from_si(0.0, "degF", si="K") if system == "us" else kelvin


def nearness(because: Because, system: System = "metric") -> str:
    """How a value stands to its limit, in words rounded as the trade rounds; empty where it is no number."""
    limit = because.limit
    if limit is None or not _number(because.value) or not _number(limit.value):
        return ""
    value, edge = float(because.value), float(limit.value)  # type: ignore[arg-type]
    beyond = edge - value if limit.sense == "below" else value - edge
    if because.unit == "K":
        unit, step = ("degF", 2.0 * TEMPERATURE_STEP) if system == "us" else ("degC", TEMPERATURE_STEP)
        steps = round(difference(abs(beyond), system) / step) * step
        if steps == 0.0:
            return f"within {step:.0f} {unit} of its limit"
        return f"about {steps:.0f} {unit} {'past' if beyond > 0 else 'inside'} its limit"
    if edge == 0.0:
        return "past its limit" if beyond > 0 else "inside its limit"
    share = 100.0 * beyond / abs(edge)
    steps = round(abs(share) / SHARE_STEP) * SHARE_STEP
    if steps == 0.0:
        return "right at its limit"
    if steps > 100.0:
        return "far past its limit" if share > 0 else "far inside its limit"
    return f"about {steps:.0f} % {'past' if share > 0 else 'inside'} its limit"


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


def chance_words(finding: Finding) -> str:
    """How sure a finding is: its chance by the fixed words, and how well its limits are known."""
    told = []
    if finding.chance is not None and finding.chance_word:
        told.append(f"{finding.chance_word}, {CHANCES[finding.chance_word]}")
    else:
        told.append("the typical build only, no chance was drawn")
    told.append(f"our confidence in the rule is {finding.confidence}")
    if finding.borderline:
        told.append("close to the line, a measurement can move it")
    return "; ".join(told)


def plain_path(path: str) -> str:
    """A path of the build file as words, the part behind: ``top ring gap (pistons)``."""
    parts = [part.replace("_", " ") for part in path.split(".")]
    if len(parts) > 1 and parts[0] in ("internals", "forced induction", "class"):
        parts = parts[1:]
    return f"{parts[-1]} ({' '.join(parts[:-1])})" if len(parts) > 1 else parts[0]


def counted(count: int, noun: str, many: str = "") -> str:
    """A count with its noun."""
    return f"{count} {noun}" if count == 1 else f"{count} {many or noun + 's'}"


def joined(words: list[str], most: int) -> str:
    """Words as a list in a sentence, the rest counted."""
    told = ", ".join(words[:most])
    return f"{told} and {len(words) - most} more" if len(words) > most else told
