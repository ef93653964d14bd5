"""The compressor's own map in place of the class map, where the build file names one.

The table stands in the step as fixed numbers, since it belongs to the build and not to a draw.  Flow and speed are
corrected to the state that the file names.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import numpy as np

from enginelimits import nodes
from enginelimits.assessment.columns import Step
from enginelimits.description.filled import Filled
from enginelimits.description.map_file import MapTable, load_map
from enginelimits.errors import InputError, Problem
from enginelimits.physics.airflow import compressor, compressor_map, compressor_margins, map_efficiency
from enginelimits.units.grammar import excerpt

MAP = "forced_induction.compressor.map"
EXDUCER = "forced_induction.compressor.exducer"
MEETING = {
    "pressure_ratio": "compressor.pressure_ratio", "inlet_temperature_k": "site.air_temperature",
    "inlet_pressure_pa": "air.inlet_pressure", "cooling_air_temperature_k": "site.air_temperature",
    "cooler_effectiveness": "intercooler.effectiveness",
    "manifold_pressure_pa": "air.manifold_pressure", "volumetric_efficiency": "air.filling",
    "displacement_m3": "engine.displacement", "speed_rad_s": "engine.speed",
    "compressors": "forced_induction.count",
}
STATED = "forced_induction.compressor.efficiency"
INDUCER = "forced_induction.compressor.inducer"
HILL = ("choked_share", "surge_factor", "work_at_no_flow", "work_fall", "peak_efficiency", "choke_efficiency",
        "surge_efficiency", "peak_place")


def with_map(steps: Sequence[Step], filled: Filled) -> tuple[Step, ...]:
    """The steps as they are, or reading the map file that the build names beside itself.

    Without one, and without an efficiency in the build file, the map of the class gives it where the wheel is known.

    Raises InputError for a map that cannot be read, or whose shaft speeds lack the wheel's outer diameter.
    """
    named = filled.get(MAP)
    if named is None or not isinstance(named.value, str):
        open_ = _wheel_alone(filled)
        return tuple(_of_class_map(step) if open_ else step for step in steps)
    path = _inside(Path(filled.build.file or ".").parent, named.value, filled)
    table = load_map(path)
    reference = {"reference_temperature_k": table.reference_temperature_k}
    lines = _lines(table, filled, str(path))
    return tuple(_reading(step, lines, reference, table.reference_pressure_pa) for step in steps)


def _inside(folder: Path, name: str, filled: Filled) -> Path:
    """Where a file that the build names lies.  InputError for one outside the build's own folder: a build from somebody
    else is not to have other files read, by whatever path or link."""
    path = folder / name
    with suppress(OSError, ValueError, RuntimeError):  # what no path can be is told when it is read
        if not path.resolve().is_relative_to(folder.resolve()):
            at = nodes.place(filled.build.tree, tuple(MAP.split(".")))
            raise InputError([Problem("a file in the folder of the build, or below it", excerpt(name), "Copy it there.",
                                      MAP, filled.build.file, at.line if at else None, at.column if at else None)])
    return path


def _wheel_alone(filled: Filled) -> bool:
    """Whether a radial wheel's size is known and its efficiency is not."""
    kind, stated, wheel = (filled.get(path) for path in ("forced_induction.kind", STATED, INDUCER))
    radial = kind is not None and kind.value in ("turbocharger", "centrifugal")
    assumed = stated is not None and stated.basis == "assumed"
    return radial and assumed and wheel is not None and wheel.value is not None


def _of_class_map(step: Step) -> Step:
    """The step that gives efficiency reading the class map; others as they are."""
    if step.gives != ("compressor.efficiency",):
        return step
    takes = {**MEETING, "inducer_m": INDUCER, **{name: f"class.compressor.{name}" for name in HILL}}
    return Step(("compressor.efficiency", "compressor.map_residual"), map_efficiency.efficiency_on_class_map, takes,
                step.when)


def _reading(step: Step, lines: dict[str, object], reference: dict[str, float], pressure_pa: float) -> Step:
    if "compressor.map_efficiency" in step.gives:
        takes = {"corrected_flow_kg_s": "compressor.corrected_flow", "pressure_ratio": "compressor.pressure_ratio"}
        return step._replace(of=compressor_map.read_map, takes=takes, fixed=lines)  # type: ignore[arg-type]
    if "compressor.efficiency" in step.gives:
        fixed = {**lines, **reference, "reference_pressure_pa": pressure_pa}
        return Step(("compressor.efficiency", "compressor.map_residual"), map_efficiency.efficiency_on_map,
                    {**MEETING, "stated_efficiency": STATED}, step.when, fixed)  # type: ignore[arg-type]
    if step.of is compressor.corrected_flow:
        return step._replace(fixed={**step.fixed, **reference, "reference_pressure_pa": pressure_pa})
    if step.of is compressor_margins.tip_speed_from_corrected:
        return step._replace(fixed={**step.fixed, **reference})
    return step


def _lines(table: MapTable, filled: Filled, path: str) -> dict[str, object]:
    """The arguments of the map's reading, speeds as tip speeds."""
    columns = table.columns
    speed = np.array(columns.speed)
    if table.speed_is == "shaft":
        wheel = filled.get(EXDUCER)
        if wheel is None or not isinstance(wheel.value, float):
            raise InputError([Problem(
                "the wheel's outer diameter, such as `62 mm`, since the map's speeds are those of the shaft",
                f"nothing, with `{path}`", key=EXDUCER,
            )])
        speed = np.asarray(compressor.tip_speed(wheel.value, speed))
    arrays = tuple(map(np.array, (columns.flow, columns.pressure_ratio, columns.efficiency)))
    if not compressor_map.lines_in_order(speed, *arrays):
        raise InputError([Problem(
            "speed lines that lie above one another", f"lines that cross, in `{path}`", key=MAP,
            mend="Look for a swapped column, or for points of one line under the speed of another.",
        )])
    return dict(zip(
        ("line_speed_m_s", "line_flow_kg_s", "line_pressure_ratio", "line_efficiency"), (speed, *arrays), strict=True
    ))
