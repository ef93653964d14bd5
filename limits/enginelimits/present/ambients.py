"""In what air a build was judged: each ambient's altitude and temperature, and what the mountain's air rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

from enginelimits.present.tree import Line, Run, line
from enginelimits.present.values import finite, value_text

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment
    from enginelimits.units.display import System


class Ambient(NamedTuple):
    """One ambient of the typical build: altitude [m] and air temperature [K], None where unknown."""

    name: str
    altitude: float | None
    air_temperature: float | None


def ambients_of(assessment: Assessment) -> tuple[Ambient, ...]:
    """Every ambient that was judged, in the order of the batch."""
    return tuple(
        Ambient(name, _at(assessment, "site.altitude", place), _at(assessment, "site.air_temperature", place))
        for place, name in enumerate(assessment.ambients)
    )


def ambients_data(assessment: Assessment) -> list[dict[str, Any]]:
    """The same as data, SI."""
    return [finite(ambient._asdict()) for ambient in ambients_of(assessment)]


def mountain_lines(assessment: Assessment, system: System) -> list[Line]:
    """One line on the mountain's air, which nobody measured; none where no mountain was asked for."""
    found = {ambient.name: ambient for ambient in ambients_of(assessment)}
    if "mountain" not in found:
        return []
    mountain = found["mountain"]
    before, there = (value_text(found[n].air_temperature, "K", system) for n in ("site", "mountain"))
    said = (
        f"the same build at {value_text(mountain.altitude, 'm', system, hint='site.altitude')}; assumed there: the "
        f"air of the ordinary day lowered from {before} to {there}, by the standard atmosphere's 6.5 K a kilometre, "
        "at the same relative humidity."
    )
    return [line(Run("Mountain: ", "muted"), Run(said, "assumed"))]


def mountain_output(assessment: Assessment, system: System) -> list[Line]:
    """What the engine gives up there, beside what it gives at the site: the first thing that is asked of a height."""
    if "mountain" not in assessment.ambients:
        return []
    told = []
    for id_, words in (("crank.power", "power"), ("crank.torque", "torque")):
        there, here = (_greatest(assessment, id_, name) for name in ("mountain", "site"))
        if there is not None and here:
            number = value_text(there, assessment.quantities[id_].unit, system)
            told.append(f"{words} at the crank {number}, {100 * there / here:.0f} % of the site's")
    return [line(Run("Up there: ", "muted"), "; ".join(told), ".")] if told else []


def _greatest(assessment: Assessment, id_: str, ambient: str) -> float | None:
    import numpy as np

    column = assessment.columns.get(id_)
    if column is None or column.si is None or id_ not in assessment.quantities:
        return None
    shape = (len(assessment.ambients), 1 + assessment.samples, len(assessment.speeds))
    values = np.broadcast_to(np.asarray(column.si, dtype=float), shape)[assessment.ambients.index(ambient), 0]
    return float(np.nanmax(values)) if np.isfinite(values).any() else None


def _at(assessment: Assessment, path: str, place: int) -> float | None:
    from enginelimits.assessment.derivation import cell

    column = assessment.columns.get(path)
    value = None if column is None else cell(column, (place, 0))
    return value if isinstance(value, float) else None
