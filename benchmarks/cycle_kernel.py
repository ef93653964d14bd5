"""One closed cycle by each of several means, as ratios within one run.

    python benchmarks/cycle_kernel.py [-o FILE.json]

The package's arrays, its compiled cycle (numba), the same equations in C (a compiler), scipy's solve_ivp on the same
rates, and a one-species reactor with a moving wall in Cantera; each of the last three only where it is installed.
What is timed is written beside each figure.  Lanes are invented cylinders of the tests.  All take turns, several times
over, so that a slow or busy machine slows all alike.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "tests" / "physics" / "cycle"), str(ROOT / "benchmarks")]

import c_kernel  # noqa: E402
from test_closed_cycle import TURBO, _charge, _random_lanes  # noqa: E402

from enginelimits.physics.combustion.wiebe import share_at_burned, start_of_combustion  # noqa: E402
from enginelimits.physics.cycle.closed import COARSE, COMPILED, STEPS, closed_cycle  # noqa: E402
from enginelimits.physics.cycle.lanes import Lanes, cylinder_of  # noqa: E402
from enginelimits.physics.cycle.rates import VECTORS, Gas, Ignition  # noqa: E402

LANES, ROUNDS = 4096, 5


def seconds(work: Callable[[], Any]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


@contextmanager
def compiled(use: bool) -> Any:
    token = COMPILED.set(use)
    try:
        yield
    finally:
        COMPILED.reset(token)


def by_package(use: bool, steps: tuple[int, int, int, int]) -> Callable[[], Any]:
    charge, lanes = _random_lanes(LANES, 1)

    def work() -> Any:
        with compiled(use):
            return closed_cycle(charge, **lanes, steps=steps, traces=False)

    return work


def by_compiled_kernel(steps: tuple[int, int, int, int]) -> Callable[[], Any]:
    """The compiled function alone, on the blocks of lanes that the package makes for it."""
    from enginelimits.physics.cycle import compiled as module

    taken: list[tuple[Any, ...]] = []
    whole = module._cycles

    def kept(*arguments: Any) -> Any:
        taken.append(arguments)
        return whole(*arguments)

    module._cycles = kept
    try:
        by_package(True, steps)()
    finally:
        module._cycles = whole
    return lambda: whole(*taken[0])


def rows_for_c() -> tuple[Any, Any]:
    """The rows of the C kernel, and the lanes they are of."""
    charge, lanes = _random_lanes(LANES, 1)
    x = Lanes(**{name: lanes.get(name, np.ones(LANES)) for name in Lanes._fields})
    start = start_of_combustion(x.half_burned_angle_rad, x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    opening = np.pi - x.exhaust_opening_rad
    nine_tenths, end = (
        start + np.minimum(x.burn_duration_rad * share_at_burned(b, x.wiebe_a, x.wiebe_form), (opening - start) * most)
        for b, most in ((0.9, 0.6), (0.9999, 0.8))
    )
    gas = Gas.of(charge)
    rows = (*gas, *cylinder_of(x, charge, gas, start), x.intake_closing_rad - np.pi, nine_tenths, end, opening,
            x.closing_temperature_k)
    return np.array([np.broadcast_to(row, LANES) for row in rows]), x


def by_c(made: c_kernel.Kernel, steps: tuple[int, int, int, int]) -> Callable[[], Any]:
    rows, _ = rows_for_c()
    return made.prepared(rows, steps)


def by_scipy() -> Callable[[], Any]:
    from scipy.integrate import solve_ivp

    charge = _charge()
    x = Lanes(**{name: np.full(1, TURBO.get(name, 1.0)) for name in Lanes._fields})
    start = start_of_combustion(x.half_burned_angle_rad, x.burn_duration_rad, x.wiebe_a, x.wiebe_form)
    gas = Gas(*(float(np.squeeze(v)) for v in Gas.of(charge)))
    cylinder = cylinder_of(x, charge, Gas.of(charge), start)
    cylinder = type(cylinder)(*(float(np.squeeze(v)) for v in cylinder))
    low, opening = float(x.intake_closing_rad[0]) - np.pi, np.pi - float(x.exhaust_opening_rad[0])
    log_closing = float(np.log(VECTORS.volume_and_slope(cylinder, low)[0]))

    def compressing(angle: float, state: Any) -> Any:
        at = VECTORS.compressing_at(gas, cylinder, log_closing, angle, 1.0)
        return VECTORS.compression_slopes(gas, cylinder.wall_temperature, cylinder.exponent, at, state[0])

    def work() -> Any:
        first = solve_ivp(compressing, (low, cylinder.start), [float(x.closing_temperature_k[0]), 0.0], rtol=1e-6,
                          atol=1e-6)
        at = VECTORS.compressing_at(gas, cylinder, log_closing, cylinder.start, 1.0)
        t = first.y[0, -1] / at.to_z
        p = gas.constant * t / at.volume
        ignition = Ignition(p, np.log(at.volume), VECTORS.flame(gas, p, t))

        def burning(angle: float, state: Any) -> Any:
            share = (angle - cylinder.start) * cylinder.over_duration
            at = VECTORS.burning_at(gas, cylinder, ignition, share, angle)
            rise, warming, heat, _ = VECTORS.burn_slopes(gas, cylinder, at, state[0], state[1])
            return rise, warming, heat, state[0] * at.slope

        return solve_ivp(burning, (cylinder.start, opening), [p, t, 0.0, 0.0], rtol=1e-6, atol=1e-6)

    return work


def by_cantera() -> Callable[[], Any]:
    import cantera as ct

    gas = ct.Solution(thermo="ideal-gas", species=[s for s in ct.Species.list_from_file("air.yaml") if s.name == "N2"])
    bore, stroke, rod, speed = (TURBO[name] for name in ("bore_m", "stroke_m", "rod_length_m", "speed_rad_s"))
    area, crank = 0.25 * np.pi * bore**2, 0.5 * stroke
    clearance = area * stroke / (TURBO["compression_ratio"] - 1.0)
    low, high = TURBO["intake_closing_rad"] - np.pi, np.pi - TURBO["exhaust_opening_rad"]

    def travel(angle: float) -> float:
        return crank + rod - crank * np.cos(angle) - np.sqrt(rod**2 - (crank * np.sin(angle)) ** 2)

    def work() -> Any:
        gas.TP = TURBO["closing_temperature_k"], 1.7e5
        cylinder = ct.IdealGasReactor(gas)
        cylinder.volume = clearance + area * travel(low)
        outside = ct.Reservoir(gas)
        wall = ct.Wall(cylinder, outside, A=area)

        def velocity(time_s: float) -> float:
            angle = low + speed * time_s
            across = crank * np.sin(angle)
            return float(speed * across * (1.0 + crank * np.cos(angle) / np.sqrt(rod**2 - across**2)))

        wall.velocity = velocity
        net = ct.ReactorNet([cylinder])
        net.rtol, net.atol = 1e-6, 1e-12
        net.advance((high - low) / speed)
        return cylinder.thermo.P

    return work


def contenders(folder: Path) -> dict[str, tuple[Callable[[], Any], int]]:
    """What is timed, with the cycles that one call solves."""
    found: dict[str, tuple[Callable[[], Any], int]] = {}
    for grid, steps in (("search grid", COARSE), ("full grid", STEPS)):
        found[f"closed_cycle by arrays, {grid}"] = by_package(False, steps), LANES
        if find_spec("numba"):
            found[f"closed_cycle compiled, {grid}"] = by_package(True, steps), LANES
            found[f"compiled kernel, {grid}"] = by_compiled_kernel(steps), LANES
        if shutil.which("cc"):
            found[f"C kernel, {grid}, without peak and knock"] = by_c(c_kernel.kernel(folder), steps), LANES
    if find_spec("scipy"):
        found["scipy solve_ivp, RK45 to 1e-6"] = by_scipy(), 1
    if find_spec("cantera"):
        found["Cantera, one species, moving wall, to 1e-6"] = by_cantera(), 1
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("-o", "--output", type=Path)
    output = parser.parse_args().output
    with tempfile.TemporaryDirectory() as folder:
        found = contenders(Path(folder))
        if "C kernel, full grid, without peak and knock" in found:
            check_c(found["C kernel, full grid, without peak and knock"][0]())
        for work, _ in found.values():
            work()
        rounds = [{name: seconds(work) / cycles for name, (work, cycles) in found.items()} for _ in range(ROUNDS)]
    against = next(name for name in ("compiled kernel, search grid", "closed_cycle by arrays, search grid")
                   if name in rounds[0])
    figures = {
        name: {
            "times of " + against: _spread([r[name] / r[against] for r in rounds]),
            "microseconds here": _spread([1e6 * r[name] for r in rounds]),
        }
        for name in found
    }
    text = json.dumps({"lanes": LANES, "rounds": ROUNDS, "a cycle": figures}, indent=2) + "\n"
    if output:
        output.write_text(text)
    sys.stdout.write(text)


def check_c(found: Any) -> None:
    """The C kernel must give what the package gives, or its time says nothing."""
    ours = by_package(False, STEPS)()
    assert np.abs(found[0] / ours.opening_pressure_pa - 1.0).max() < 1e-9
    _, lanes = rows_for_c()
    assert np.abs(found[1] * lanes.trapped_mass_kg / ours.closed_work_j - 1.0).max() < 1e-9


def _spread(values: list[float]) -> dict[str, float]:
    return {"median": round(statistics.median(values), 4), "least": round(min(values), 4),
            "greatest": round(max(values), 4)}


if __name__ == "__main__":
    main()
