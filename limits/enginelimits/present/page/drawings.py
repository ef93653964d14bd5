"""The plots that each reader gets, and what is said where one cannot be drawn."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING, Final

from enginelimits.errors import InputError

if TYPE_CHECKING:
    from enginelimits.decisions.ladder import Ladder
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.present.page.parts import Drawn
    from enginelimits.units.display import System

WANTED: Final = {
    "enthusiast": ("torque_and_power", "ladder", "margins", "cylinder_pressure", "rod_force"),
    "calibrator": ("torque_and_power", "margins"),
}
LACKING: Final = "matplotlib is not installed, so there are no plots; pip install 'engine-limits[report]' brings it"


def drawings(
    reader: str, judgement: Judgement, ladder: Ladder | None, system: System
) -> tuple[tuple[Drawn, ...], str]:
    """The plots of a reader, and why some or all of them are missing."""
    wanted = WANTED.get(reader, ())
    if not wanted:
        return (), ""
    if find_spec("matplotlib") is None:
        return (), LACKING
    from enginelimits.present.plots import plot

    made: list[Drawn] = []
    missing: list[str] = []
    for name in wanted:
        if name == "ladder" and ladder is None:
            continue
        try:
            made.append(plot.ladder(ladder, system) if name == "ladder" and ladder is not None
                        else getattr(plot, name)(judgement, system))
        except InputError as error:
            missing.append(f"{name.replace('_', ' ')}: {error.problems[0].got}")
    return tuple(made), "; ".join(missing)
