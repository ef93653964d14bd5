"""How a workshop measures an input, and how much of what is not known of it that takes away."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from enginelimits.assessment.sample import Z95
from enginelimits.units.grammar import split
from enginelimits.units.registry import to_si

FILE = Path(__file__).with_name("measurements.yaml")


@dataclass(frozen=True, slots=True)
class Measurement:
    """A measurement in workshop words; ``how`` is empty where there is none, and ``unmeasured`` says why.

    ``of_value`` or ``scatter`` (SI) is half of the span of nine readings in ten.  ``enter`` is the path where the
    result goes, where that is another than the input's own.
    """

    how: str
    enter: str = ""
    of_value: float | None = None
    scatter: float | None = None
    evidence: str = "common practice"
    unmeasured: str = ""

    def half_width(self, value: float) -> float | None:
        """Half of the span of nine readings in ten around a value; None where it is not known."""
        return self.scatter if self.of_value is None else self.of_value * abs(value)

    def removes(self, value: float, spread: float) -> float | None:
        """The share of an input's variance that the measurement takes away; None where its scatter is not known.

        An input of standard deviation ``spread``, read with an error of its own, keeps the variance of the error
        beside that of the input (two normal distributions, combined).
        """
        if not self.how:
            return 0.0
        half = self.half_width(value)
        if half is None or spread <= 0.0:
            return None
        return spread**2 / (spread**2 + (half / Z95) ** 2)


NONE = Measurement("", unmeasured="no measurement is on record")


def measurement_of(path: str) -> Measurement:
    """The measurement that settles an input: that of the longest path that fits."""
    table = _table()
    fitting = [known for known in table if path == known or (known.endswith(".") and path.startswith(known))]
    return table[max(fitting, key=len)] if fitting else NONE


@cache
def _table() -> Mapping[str, Measurement]:
    import yaml

    with FILE.open(encoding="utf-8") as file:
        entries = yaml.safe_load(file)
    table: dict[str, Measurement] = {}
    for entry in entries:
        made = _measurement(entry)
        for path in entry["paths"]:
            if path in table:
                raise ValueError(f"{FILE.name}: {path} stands twice")
            table[path] = made
    return table


def _measurement(entry: Mapping[str, Any]) -> Measurement:
    scatter = entry.get("scatter", {})
    amount = None
    if "is" in scatter:
        written = split(str(scatter["is"]))
        assert written.value is not None, scatter
        amount = to_si(written.value, written.unit) if written.unit else written.value
    return Measurement(
        entry.get("how", ""), entry.get("enter", ""), scatter.get("of_value"), amount,
        entry.get("evidence", "common practice"), entry.get("unmeasured", ""),
    )
