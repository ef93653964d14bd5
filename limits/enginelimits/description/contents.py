"""How much ethanol the tanks of a car may hold from fill to fill, beside what its map was made for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from enginelimits.description.filled import Input

CONTENT, IN_GASOLINE = "fuel.ethanol", "fuel.gasoline_ethanol"
MAPPED, LOWEST, HIGHEST = (f"class.tank.ethanol_{name}" for name in ("mapped", "lowest", "highest"))
FLEX = tuple(f"class.tank.flex_{name}" for name in ("lowest", "usual", "highest"))
A_LITTLE = 0.005  # a content that was written in another unit must not fall a rounding short of a bound


def ethanol_contents(inputs: Mapping[str, Input]) -> tuple[Input, ...]:
    """Content that the map was made for, and the lowest and highest that a tank may hold.

    A fuel within the specified range of flexible fuel may hold anything of that range at the next fill, whatever
    this tank holds.  A weaker blend is mixed from gasoline and such a fuel, and moves with it, unless the file
    says how far.  What is sold as gasoline stays as it is.
    """
    found = [inputs.get(path) for path in (CONTENT, IN_GASOLINE, *FLEX)]
    numbers = [i.value for i in found if i is not None and isinstance(i.value, float)]
    if len(numbers) < len(found):
        return ()
    content, sold, least, usual, most = numbers
    stated = inputs[CONTENT]
    low = content if stated.low is None else stated.low
    high = content if stated.high is None else stated.high
    if least - A_LITTLE <= content <= most + A_LITTLE:
        lowest, highest, note = min(low, least), max(high, most), "specified range of flexible fuel"
    elif high > low and stated.basis != "assumed":
        lowest, highest, note = low, high, "range in the file"
    elif sold + A_LITTLE < content < least:
        share = (content - sold) / (usual - sold)
        lowest, highest = (sold + share * (end - sold) for end in (least, most))
        note = "mixed from gasoline and flexible fuel"
    else:
        lowest, highest, note = content, content, "as sold"
    made = Input(MAPPED, content, basis=stated.basis, source=stated.source, note=f"of {CONTENT}")
    ends = ((LOWEST, max(min(sold, content), lowest)), (HIGHEST, min(1.0, highest)))
    basis, source = (stated.basis, stated.source) if note == "range in the file" else ("assumed", "astm-d5798")
    return made, *(replace(made, path=path, value=end, basis=basis, source=source, note=note) for path, end in ends)
