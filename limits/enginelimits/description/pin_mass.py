"""What a piston pin weighs by its size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

from enginelimits.description.filled import Input

MASS = "internals.pins.mass"
SIZE = tuple(f"internals.pins.{name}" for name in ("outer_diameter", "inner_diameter", "length"))
DENSITY = "class.pin.density"
# Rounded ends take a little of a plain tube, a bore that widens towards its ends up to a tenth (memory).
PLAIN, LOW, HIGH = 0.98, 0.90, 1.00


def mass_by_size(inputs: Mapping[str, Input]) -> dict[str, Input]:
    """The mass of a pin whose size is stated and whose mass is its class's; nothing for every other."""
    mass, density, sizes = inputs.get(MASS), inputs.get(DENSITY), [inputs.get(path) for path in SIZE]
    stated = [s.value for s in sizes if s is not None and not s.from_class and isinstance(s.value, float)]
    if mass is None or not mass.from_class or len(stated) < len(SIZE):
        return {}
    if density is None or not isinstance(density.value, float):
        return {}
    outer, inner, length = stated
    tube = pi / 4.0 * (outer**2 - inner**2) * length * density.value
    made = replace(
        mass, value=PLAIN * tube, low=LOW * tube, high=HIGH * tube, floor=0.8 * tube, streams=(), together="",
        source="own-computation", note="a steel tube of the stated size, its ends rounded",
    )  # fmt: skip
    return {MASS: made}
