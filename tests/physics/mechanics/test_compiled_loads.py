"""Loads over the crank are the same from arrays, from a few lanes at a time, and compiled, to rounding."""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from typing import Any

import numpy as np
import pytest

from enginelimits.physics.components import rod_bending
from enginelimits.physics.mechanics import crank_torque, forces, kinematics, loads, mains
from enginelimits.physics.numerics import blocks
from enginelimits.physics.numerics.compiling import COMPILED

DEGREES = np.concatenate(
    [np.arange(-360.0, -30.0, 6.0), np.arange(-30.0, 60.0, 1.5), np.arange(60.0, 361.0, 6.0)]
)  # of uneven steps, as where pressure peaks
ANGLE = np.radians(DEGREES)
FULL = (2, 9, 5)
needs_numba = pytest.mark.skipif(find_spec("numba") is None, reason="the extra is not installed")


def pressures(shape: tuple[int, ...], rng: np.random.Generator) -> Any:
    """An invented cycle each: compression and expansion round a bell, and a little of everything else."""
    peak, place = rng.uniform(20e5, 140e5, (*shape, 1)), rng.uniform(5.0, 25.0, (*shape, 1))
    bell = peak / (1.0 + ((DEGREES - place) / rng.uniform(15.0, 30.0, (*shape, 1))) ** 2) ** 1.3
    wavy = 0.1 * np.sin(np.radians(DEGREES) * rng.integers(1, 4, (*shape, 1)) / 2.0)
    return 1e5 * (1.0 + wavy) + np.where(np.abs(DEGREES) < 180.0, bell, 0.0)


def engine(full: bool, seed: int = 3) -> dict[str, Any]:
    """Inputs of shapes as an assessment has them, or all of them full."""
    rng = np.random.default_rng(seed)

    def drawn(low: float, high: float, shape: tuple[int, int, int]) -> Any:
        return rng.uniform(low, high, FULL if full else shape)

    return {
        "cylinder_pressure_pa": pressures(FULL, rng), "crankcase_pressure_pa": drawn(0.9e5, 1.1e5, (2, 1, 1)),
        "bore_m": drawn(0.07, 0.10, (1, 1, 1)), "stroke_m": drawn(0.07, 0.10, (1, 1, 1)),
        "rod_length_m": drawn(0.13, 0.16, (1, 9, 1)), "pin_offset_m": drawn(-0.001, 0.001, (1, 9, 1)),
        "speed_rad_s": drawn(100.0, 850.0, (1, 1, 5)), "piston_assembly_mass_kg": drawn(0.3, 0.5, (1, 9, 1)),
        "rod_mass_kg": drawn(0.4, 0.6, (1, 9, 1)), "small_end_mass_kg": drawn(0.1, 0.2, (1, 9, 1)),
        "rod_mass_above_section_kg": drawn(0.08, 0.12, (1, 9, 1)), "shank_mass_kg": drawn(0.15, 0.25, (1, 9, 1)),
        "section_position": drawn(0.2, 0.4, (1, 9, 1)), "shank_area_m2": drawn(1.2e-4, 1.8e-4, (1, 9, 1)),
        "second_moment_plane_m4": drawn(3e-9, 5e-9, (1, 9, 1)), "half_depth_m": drawn(0.007, 0.009, (1, 9, 1)),
        "fatigue_strength_pa": drawn(3e8, 4e8, (1, 9, 1)), "ultimate_strength_pa": drawn(8e8, 1e9, (1, 9, 1)),
        "crank_mass_share": drawn(1.0, 2.0, (1, 9, 1)), "counterweight_share": drawn(0.5, 0.9, (1, 9, 1)),
    }  # fmt: skip


LOADS = ("piston_assembly_mass_kg", "rod_mass_kg", "small_end_mass_kg", "rod_mass_above_section_kg")
SHANK = ("piston_assembly_mass_kg", "rod_mass_above_section_kg", "shank_mass_kg", "section_position", "shank_area_m2",
         "second_moment_plane_m4", "half_depth_m", "fatigue_strength_pa", "ultimate_strength_pa")  # fmt: skip
MAINS = ("rod_mass_kg", "small_end_mass_kg", "crank_mass_share", "counterweight_share")
CRANK = ("cylinder_pressure_pa", "crankcase_pressure_pa", "bore_m", "stroke_m", "rod_length_m", "speed_rad_s")


def taken(of: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    return {"crank_angle_rad": ANGLE, "pin_offset_m": of["pin_offset_m"], **{n: of[n] for n in (*CRANK, *names)}}


def reciprocating(of: dict[str, Any]) -> Any:
    return of["piston_assembly_mass_kg"] + of["small_end_mass_kg"]


# Cylinders and the angle between banks; seven cylinders have steps between the nodes, and no order for the mains
ENGINES = ((1, 0.0), (4, 0.0), (5, 0.0), (6, np.pi), (8, np.pi / 2), (6, np.pi / 3), (7, 0.0))


def everything(of: dict[str, Any], engines: tuple[tuple[int, float], ...] = ENGINES) -> dict[str, Any]:
    """Every result by name."""
    found: dict[str, Any] = dict(loads.loads_over_cycle(**taken(of, LOADS))._asdict())
    found |= rod_bending.shank_stresses(**taken(of, SHANK))._asdict()
    for count, bank in engines:
        mass = reciprocating(of)
        torque = crank_torque.engine_torque(**taken(of, ()), reciprocating_mass_kg=mass, cylinders=count)
        main = mains.main_loads(
            **taken(of, MAINS), reciprocating_mass_kg=mass, cylinders=count, bank_angle_rad=bank
        )
        found |= {f"{name} of {count} at {bank:.1f}": v for r in (torque, main) for name, v in r._asdict().items()}
    return found


def compiled(work: Callable[[], Any]) -> Any:
    token = COMPILED.set(True)
    try:
        return work()
    finally:
        COMPILED.reset(token)


def agree(one: dict[str, Any], other: dict[str, Any], shape: tuple[int, ...]) -> None:
    assert one.keys() == other.keys()
    for name, value in one.items():
        assert np.shape(value) == np.shape(other[name]) == shape, name
        np.testing.assert_allclose(other[name], value, rtol=1e-9, atol=0.0, err_msg=name)


def spoiled(of: dict[str, Any]) -> dict[str, Any]:
    """Some lanes with what is not known or cannot be."""
    spoiled = {name: np.array(value) for name, value in of.items()}
    spoiled["cylinder_pressure_pa"][0, 2, 3] = np.nan  # a lane that was not solved
    spoiled["cylinder_pressure_pa"][1, 4, 0, 17] = np.nan  # one node alone
    spoiled["piston_assembly_mass_kg"][0, 5, 0] = np.nan
    spoiled["rod_length_m"][0, 7, 0] = 0.02  # the crank cannot turn
    return spoiled


@pytest.fixture(scope="module", params=[False, True], ids=["as assessed", "all full"])
def arrays(request: pytest.FixtureRequest) -> tuple[dict[str, Any], dict[str, Any]]:
    of = spoiled(engine(request.param))
    return of, everything(of)


@needs_numba
def test_compiled_gives_what_the_arrays_give(arrays: tuple[dict[str, Any], dict[str, Any]]) -> None:
    of, found = arrays
    agree(found, compiled(lambda: everything(of)), FULL)
    lost = np.isnan(found["rod_compression_n"])
    assert lost[0, 2, 3] and lost[1, 4, 0] and lost[0, 7, 0]
    assert not lost[0, 0].any() and not lost[1, 2].any()


@needs_numba
def test_a_node_that_is_not_known_is_told_as_the_place_by_both() -> None:
    of = spoiled(engine(full=False))
    both = [loads.loads_over_cycle(**taken(of, LOADS)), compiled(lambda: loads.loads_over_cycle(**taken(of, LOADS)))]
    assert [float(found.rod_compression_angle_rad[1, 4, 0]) for found in both] == [ANGLE[17]] * 2


def test_a_few_lanes_at_a_time_give_what_all_at_once_give(
    arrays: tuple[dict[str, Any], dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    of, found = arrays
    assert np.prod(FULL) < blocks.BLOCK
    for few in (1, 7, 20):
        monkeypatch.setattr(blocks, "BLOCK", few)
        agree(found, everything(of), FULL)


@pytest.mark.parametrize("way", ["arrays", pytest.param("compiled", marks=needs_numba)])
@pytest.mark.parametrize("shape", [(), (1, 1, 1), (1,)])
def test_a_lane_alone_is_as_among_others(way: str, shape: tuple[int, ...]) -> None:
    of = engine(full=True)
    among = everything(of, ((4, 0.0), (8, np.pi / 2)))
    alone = {name: np.reshape(value[1, 3, 2], (*shape, *value.shape[3:])) for name, value in of.items()}
    work = lambda: everything(alone, ((4, 0.0), (8, np.pi / 2)))  # noqa: E731
    found = compiled(work) if way == "compiled" else work()
    agree({name: np.reshape(value[1, 3, 2], shape) for name, value in among.items()}, found, shape)


@pytest.mark.parametrize("way", ["arrays", pytest.param("compiled", marks=needs_numba)])
def test_extremes_are_those_of_the_documented_forces(way: str) -> None:
    """Angle by angle from the functions of forces and kinematics, the textbook's, one lane."""
    of = {name: float(value[0, 1, 2]) for name, value in engine(full=True).items() if value.ndim == 3}
    pressure = pressures((), np.random.default_rng(9))
    crank = (of["stroke_m"], of["rod_length_m"])
    offset, speed, assembly, small = (
        of[n] for n in ("pin_offset_m", "speed_rad_s", "piston_assembly_mass_kg", "small_end_mass_kg")
    )
    gas = forces.gas_force(pressure, of["crankcase_pressure_pa"], of["bore_m"])
    acceleration = kinematics.piston_acceleration(ANGLE, *crank, speed, offset)
    tilt, throw = kinematics.rod_angle(ANGLE, *crank, offset), kinematics.throw_angle(ANGLE, *crank, offset)
    axial = forces.rod_axial_force(gas, assembly + of["rod_mass_above_section_kg"], acceleration, tilt)
    side = forces.side_force(gas, assembly + small, acceleration, tilt)
    whole = forces.rod_axial_force(gas, assembly + small, acceleration, tilt)
    on_pin = np.hypot(*forces.crank_pin_force(whole, throw, tilt, of["rod_mass_kg"] - small, crank[0], speed))

    work = lambda: loads.loads_over_cycle(**taken({**of, "cylinder_pressure_pa": pressure}, LOADS))  # noqa: E731
    found = compiled(work) if way == "compiled" else work()
    assert found.rod_compression_n == pytest.approx(axial.max(), rel=1e-12)
    assert found.rod_tension_n == pytest.approx(-axial.min(), rel=1e-12)
    assert found.rod_compression_angle_rad == ANGLE[axial.argmax()]
    assert found.side_force_n == pytest.approx(np.abs(side).max(), rel=1e-12)
    assert found.big_end_force_n == pytest.approx(on_pin.max(), rel=1e-12)


def test_both_ends_of_a_cycle_are_one_place() -> None:
    """The pull of inertia alone is greatest at the top: told as the first node, never as the last, the same place."""
    pressure = np.full(ANGLE.size, 1e5)
    for offset in np.linspace(-0.001, 0.001, 21):
        found = loads.loads_over_cycle(
            ANGLE, pressure, 1e5, 0.086, 0.086, 0.15, np.linspace(200.0, 800.0, 7), 0.43, 0.48, 0.14, 0.1, offset
        )
        assert (found.rod_tension_angle_rad == ANGLE[0]).all()


def test_a_part_of_an_axis_goes_round_what_does_not_vary() -> None:
    values, weights = np.arange(24.0).reshape(2, 4, 3), np.array([1.0, 2.0, 3.0])
    seen: list[tuple[int, ...]] = []

    def sums(x: Any, w: Any) -> tuple[Any, ...]:
        seen.append(np.shape(x))
        return ((x * w).sum(axis=-1),)

    (found,) = blocks.in_blocks(sums, values, weights, block=2)
    assert found.tolist() == (values * weights).sum(axis=-1).tolist()
    assert seen == [(2, 1, 3)] * 4
