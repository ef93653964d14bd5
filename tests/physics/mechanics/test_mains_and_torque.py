"""Main bearings and torque over the crank against plain statics, the textbook series and the work of the gas."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from enginelimits.physics.cycle.trace import crank_grid
from enginelimits.physics.mechanics import crank_torque, kinematics, loads, mains

RPM = 2.0 * math.pi / 60.0
BORE, STROKE, ROD = 0.086, 0.086, 0.140
GRID = crank_grid()
AMBIENT = 1e5
BANKS = {6: 60.0, 8: 90.0, 10: 72.0, 12: 60.0}  # degrees, common practice
LAYOUTS = [
    *((n, 0.0) for n in mains.IN_LINE),
    *((n, math.pi) for n in mains.OPPOSED),
    *((n, math.radians(BANKS[n])) for n in mains.VEE),
]


def fired(peak=8e6):
    """A smooth cylinder pressure with its peak 14 deg after the top."""
    return AMBIENT + (peak - AMBIENT) * np.exp(-(((GRID - math.radians(14)) / 0.5) ** 2))


def mains_of(cylinders, bank, pressure, rpm, *, rod=0.5, small=0.15, crank=0.0, weights=0.0, pin=0.0):
    return mains.main_loads(
        GRID, pressure, AMBIENT, BORE, STROKE, ROD, rpm * RPM, 0.5, rod, small, crank, weights, cylinders, bank, pin
    )


@pytest.mark.parametrize(("cylinders", "bank"), LAYOUTS)
def test_every_cylinder_hangs_on_one_throw(cylinders, bank):
    places = [place for throw in mains.arrangement(cylinders, bank) for place, _ in throw]
    assert sorted(places) == list(range(cylinders))


@pytest.mark.parametrize("cylinders", [8, 10, 12])
def test_cylinders_on_one_pin_agree_where_it_points(cylinders):
    """A pin points along a bank when the cylinder there is at its top: both banks must tell one place."""
    for throw in mains.arrangement(cylinders, math.radians(BANKS[cylinders])):
        (first, _), (second, _) = throw
        apart = (second - first) * 720.0 / cylinders
        assert (apart - BANKS[cylinders]) % 360.0 == pytest.approx(0.0, abs=1e-9)


def test_neighbouring_throws_of_the_usual_cranks():
    """Common practice: a four at 0, 180, 180, 0, a six at 0, 120, 240, 240, 120, 0, a vee eight crossed."""
    four = [-place * 180 % 360 for ((place, _),) in mains.arrangement(4, 0.0)]
    assert four == [0, 180, 180, 0]
    six = [-place * 120 % 360 for ((place, _),) in mains.arrangement(6, 0.0)]
    assert six in ([0, 120, 240, 240, 120, 0], [0, 240, 120, 120, 240, 0])
    flat_four = [(180 * bank - place * 180) % 360 for ((place, bank),) in mains.arrangement(4, math.pi)]
    assert flat_four == [0, 180, 180, 0]
    eight = [-second * 90 % 360 + 90 for (_, (second, _)) in mains.arrangement(8, math.pi / 2)]
    assert sorted(angle % 360 for angle in eight) == [0, 90, 180, 270]


def by_hand(cylinders, bank, pressure, rpm, reciprocating, turning, offset=0.0):
    """Each main's force at each angle by statics alone: every cylinder's own pressure and place, no phase tricks."""
    angles = np.radians(np.arange(-360.0, 360.0, 2.0))
    throws = mains.arrangement(cylinders, bank)
    forces = []
    for throw in throws:
        force = np.zeros((2, angles.size))
        for place, side in throw:
            own = (angles - place * 4 * math.pi / cylinders + 2 * math.pi) % (4 * math.pi) - 2 * math.pi
            p = np.interp(own, GRID, pressure)
            throw_at = own - math.asin(offset / (ROD + STROKE / 2))
            radius = STROKE / 2
            tilt = np.arcsin((radius * np.sin(throw_at) + offset) / ROD)
            acceleration = kinematics.piston_acceleration(own, STROKE, ROD, rpm * RPM, offset)
            down = (p - AMBIENT) * math.pi / 4 * BORE**2 - reciprocating * acceleration
            pull = turning * radius * (rpm * RPM) ** 2
            local = np.array([-down + pull * np.cos(throw_at), down * np.tan(tilt) + pull * np.sin(throw_at)])
            turn = side * bank
            force += np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]) @ local
        forces.append(force)
    ends = [np.zeros_like(forces[0]), *forces, np.zeros_like(forces[0])]
    return [0.5 * (a + b) for a, b in pairwise(ends)]


@pytest.mark.parametrize(("cylinders", "bank"), LAYOUTS)
@pytest.mark.parametrize("rpm", [2500.0, 8500.0])
def test_mains_against_statics_by_hand(cylinders, bank, rpm):
    found = mains_of(cylinders, bank, fired(), rpm, crank=1.5, weights=0.6, pin=0.001)
    own = by_hand(cylinders, bank, fired(), rpm, 0.5, 0.35 * 2.5 * 0.4, 0.001)
    # nodes of four degrees against two
    assert found.main_force_n == pytest.approx(max(np.hypot(*f).max() for f in own), rel=0.01)
    if bank == math.pi:
        parting = max(np.abs(f[0]).max() for f in own)
    else:
        axis = bank / 2
        parting = max(-(f[0] * math.cos(axis) + f[1] * math.sin(axis)).min() for f in own)
    assert found.parting_force_n == pytest.approx(parting, rel=0.01)


def test_one_cylinder_gives_half_its_crank_pin_to_each_main():
    whole = loads.loads_over_cycle(GRID, fired(), AMBIENT, BORE, STROKE, ROD, 5000 * RPM, 0.35, 0.5, 0.15, 0.1)
    alone = mains_of(1, 0.0, fired(), 5000.0)
    assert alone.main_force_n == pytest.approx(0.5 * whole.big_end_force_n, rel=0.005)


def test_inner_throws_of_a_four_pull_together_on_the_centre_main():
    """Two throws that point one way: the centre main takes a whole throw's pull (common practice, no source)."""
    still = np.full(GRID.size, AMBIENT)
    four, single = mains_of(4, 0.0, still, 7000.0), mains_of(1, 0.0, still, 7000.0)
    assert four.main_force_n == pytest.approx(2.0 * single.main_force_n, rel=1e-9)


def test_a_flat_twin_cancels_its_inertia_at_the_centre_main():
    still = np.full(GRID.size, AMBIENT)
    twin, single = mains_of(2, math.pi, still, 7000.0), mains_of(1, 0.0, still, 7000.0)
    # only the outer mains feel anything, each half of its throw
    assert twin.main_force_n == pytest.approx(single.main_force_n, rel=1e-9)


def test_full_counterweights_leave_the_mains_what_reciprocates():
    still = np.full(GRID.size, AMBIENT)
    balanced = mains_of(1, 0.0, still, 7000.0, crank=2.0, weights=1.0)
    light = mains_of(1, 0.0, still, 7000.0, rod=0.15 + 1e-9, small=0.15)
    assert balanced.main_force_n == pytest.approx(light.main_force_n, rel=1e-6)


def test_an_order_that_is_not_known_gives_no_number():
    assert mains.arrangement(7, 0.0) is None
    assert mains.arrangement(5, math.pi) is None
    found = mains_of(7, 0.0, fired(), 3000.0)
    assert np.isnan(found.main_force_n) and np.isnan(found.parting_force_n)


# Torque


def engine(cylinders, pressure, rpm, reciprocating=0.5, grid=GRID):
    return crank_torque.engine_torque(
        grid, pressure, AMBIENT, BORE, STROKE, ROD, rpm * RPM, reciprocating, cylinders
    )


@pytest.mark.parametrize("cylinders", [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 16])
@pytest.mark.parametrize("rpm", [0.0, 6500.0])
def test_mean_torque_is_the_work_of_the_gas_over_the_cycle(cylinders, rpm):
    """Energy: the mean of the torque times 4 pi is the integral of p dV, whatever reciprocates and fires when."""
    fine = np.radians(np.arange(-360.0, 360.001, 0.1))
    pressure = np.interp(fine, GRID, fired())
    volume = math.pi / 4 * BORE**2 * kinematics.piston_travel(fine, STROKE, ROD)
    work = np.sum(0.5 * (pressure[1:] + pressure[:-1]) * np.diff(volume))
    found = engine(cylinders, fired(), rpm)
    # on nodes of four degrees
    assert found.mean_torque_nm == pytest.approx(cylinders * work / (4 * math.pi), rel=2e-3)


def test_inertia_torque_is_the_textbook_series():
    """Torque of what reciprocates: m r^2 w^2 / 2 (lam / 2 sin a - sin 2a - 3 lam / 2 sin 3a), e.g. Norton, Design of
    Machinery, ch. 13 (from memory); with r / l = 0.1 what it leaves out is a hundredth."""
    radius, rpm, mass = 0.043, 6000.0, 0.5
    angle = np.linspace(-math.pi, math.pi, 181)
    found = crank_torque.cylinder_torque(angle, AMBIENT, AMBIENT, BORE, 2 * radius, radius / 0.1, rpm * RPM, mass)
    size = 0.5 * mass * radius**2 * (rpm * RPM) ** 2
    series = size * (0.05 * np.sin(angle) - np.sin(2 * angle) - 0.15 * np.sin(3 * angle))
    np.testing.assert_allclose(found, series, atol=0.01 * size)


def test_inertia_torque_of_a_four_is_of_second_order():
    """Of a four's cylinders only every other harmonic is left: 4 x m r^2 w^2 / 2, its mean nil (same series)."""
    still = np.full(GRID.size, AMBIENT)
    found = engine(4, still, 6000.0)
    size = 4 * 0.5 * 0.5 * (STROKE / 2) ** 2 * (6000 * RPM) ** 2
    assert found.peak_torque_nm == pytest.approx(size, rel=0.05)
    assert found.mean_torque_nm == pytest.approx(0.0, abs=1e-6 * size)


def test_more_cylinders_even_the_torque_out():
    # compression and expansion of an ordinary engine: 10.5 to 1, 75 bar
    angle, swept = GRID, math.pi / 4 * BORE**2 * STROKE
    volume = swept / 9.5 + math.pi / 4 * BORE**2 * kinematics.piston_travel(angle, STROKE, ROD)
    squeezed = AMBIENT * ((swept / 9.5 + swept) / volume) ** 1.33
    burned = 7.5e6 * (swept / 9.5 / volume) ** 1.3
    pressure = np.select([abs(angle + 1.6) < 1.6, abs(angle - 1.3) <= 1.3], [squeezed, burned], AMBIENT)
    ratios = [engine(n, pressure, 0.0) for n in (1, 4, 6, 8, 12)]
    values = [float(crank_torque.torque_peak_ratio(*r)) for r in ratios]
    assert values == sorted(values, reverse=True)
    assert values[-1] > 1.0
    # a single cylinder of four strokes peaks at many times its mean, a four at two to four (common practice)
    assert 8.0 < values[0] < 20.0 and 2.0 < values[1] < 4.0


def test_torque_is_pressure_work_at_each_angle():
    # torque = (p - p0) dV / d angle, checked by differencing the volume
    angle = np.radians(np.linspace(5.0, 175.0, 35))
    step = 1e-5
    area = math.pi / 4 * BORE**2
    for offset in (0.0, 0.0012):
        rise = kinematics.piston_travel(angle + step, STROKE, ROD, offset)
        rise = rise - kinematics.piston_travel(angle - step, STROKE, ROD, offset)
        found = crank_torque.cylinder_torque(angle, 3e6, AMBIENT, BORE, STROKE, ROD, 0.0, 0.5, offset)
        np.testing.assert_allclose(found, (3e6 - AMBIENT) * area * rise / (2 * step), rtol=1e-6)
