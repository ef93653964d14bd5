"""Which broken parts speak against a rule: those that its own part breaks, or is broken with."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from enginelimits.measured.record_model import PART_FAMILIES

# By the part that a rule names: the parts of a record that count as its own.  What breaks with it counts (a bolt that
# lets go is found as a broken rod), and so does a family's name where nobody said which part it was.  Common practice
# of those who take engines down, no source.
OWN_PARTS: Final[Mapping[str, tuple[str, ...]]] = {
    "rods": ("rods", "rod_bolts"), "rod bolts": ("rods", "rod_bolts"),
    "pistons": ("pistons", "rings", "pins"), "rings": ("pistons", "rings"), "pins": ("pistons", "pins"),
    "big-end bearings": ("bearings", "crankshaft", "bottom-end"),
    "main bearings": ("bearings", "crankshaft", "bottom-end"),
    "crankshaft": ("crankshaft", "bearings", "bottom-end"),
    "block": ("block", "bottom-end"), "crankcase": ("block", "bottom-end"),
    "oil pump": ("bearings", "bottom-end"),
    "head joint": ("head", "head_gasket"), "valve springs": ("valves",),
    "clutch": ("clutch", "driveline"), "gearbox": ("gearbox", "driveline"), "axles": ("axles", "driveline"),
    "brakes and tyres": ("brakes",),
    "compressor": ("turbocharger", "supercharger", "air"), "turbine": ("turbocharger", "air"),
    "turbocharger": ("turbocharger", "air"), "belt drive": ("supercharger", "air"),
    "injectors": ("injectors", "fuel"), "direct injection": ("injectors", "fuel"),
    "high-pressure pump": ("pump", "fuel"), "fuel supply": ("pump", "fuel"),
}  # fmt: skip


def own_break(broken: Collection[str], family: str, part: str = "") -> bool:
    """Whether one of the broken parts is a rule's own; of its family, where the table has not the rule's part."""
    own = OWN_PARTS.get(part)
    return any(PART_FAMILIES.get(each) == family if own is None else each in own for each in broken)
