"""The rod as a column against Johnson, Rankine, Euler and a worked handbook rod."""

from __future__ import annotations

import math

import pytest

from enginelimits.physics.components import bearing, pin, rod
from enginelimits.physics.mechanics import forces, loads

MPA = 1.0e6


@pytest.mark.parametrize(
    ("yield_mpa", "fixity", "slenderness"),
    # (L/k)1 = sqrt(2 pi^2 C E / Sy), E 207 GPa (Shigley, ch. 4; values by hand).
    [(550, 1.0, 86.19), (700, 1.0, 76.40), (1000, 1.0, 63.92), (700, 4.0, 152.80)],
)
def test_johnson_meets_euler_at_half_the_crushing_load(yield_mpa, fixity, slenderness):
    area, gyration = 2e-4, 0.005
    capacity = rod.johnson_capacity(
        yield_mpa * MPA, area, area * gyration**2, slenderness * gyration, 207e9, fixity
    )
    # Half the last digit of the slenderness is 6e-5 of it, twice that in the load.
    assert capacity == pytest.approx(0.5 * yield_mpa * MPA * area, rel=2e-4)


def test_shigley_round_column_by_euler():
    # Shigley, ch. 4, round column 1.5 m long, pinned, 22 kN with a design factor of 4, 500 MPa, 207 GPa:
    # 37.48 mm (from memory).
    d = 0.03748
    capacity = rod.johnson_capacity(500e6, math.pi / 4 * d**2, math.pi / 64 * d**4, 1.5, 207e9, 1.0)
    assert capacity == pytest.approx(88e3, rel=4 * 0.005 / 37.48)


@pytest.mark.parametrize(("yield_mpa", "share"), [(550, 0.981), (700, 0.976), (900, 0.969)])
def test_short_steel_rod_is_not_slender(yield_mpa, share):
    # I-section 4t x 5t of t 5 mm over 150 mm: Johnson over crushing load, by hand.
    area, plane = 11 * 0.005**2, 419 / 12 * 0.005**4
    capacity = rod.johnson_capacity(yield_mpa * MPA, area, plane, 0.150, 207e9, 1.0)
    assert capacity / (yield_mpa * MPA * area) == pytest.approx(share, abs=5e-4)


def test_rankine_of_the_same_bar():
    # Same bar, crushing stress 320 MPa, 1/7500: 84.8 kN, by hand.
    area, plane, across = 11 * 0.005**2, 419 / 12 * 0.005**4, 131 / 12 * 0.005**4
    assert rod.rod_rankine_capacity(320e6, area, plane, across, 0.150) / 1e3 == pytest.approx(84.8, abs=0.05)


def test_khurmi_gupta_32_3():
    # Khurmi & Gupta, A Textbook of Machine Design, ex. 32.3: D 100, l 380, S 190 mm, 3.15 MPa, 1800 rpm,
    # 2.25 kg, factor 6, 320 MPa.
    gas = forces.gas_force(3.15e6, 0.0, 0.100)
    assert gas == pytest.approx(24740.0, abs=5.0)
    buckling = 6 * 24740.0
    assert buckling == 148440.0
    t = 0.00690  # printed thickness of flange and web
    area, plane, across = 11 * t**2, 419 / 12 * t**4, 131 / 12 * t**4
    assert math.sqrt(plane / area) / t == pytest.approx(1.78, abs=0.005)
    # Printed on the way: Ixx / Iyy = 3.2, and t^2 = 47.6 mm^2 from 148 440 = 320 x 11 t^2 / (1 + 6.1 / t^2).
    assert plane / across == pytest.approx(3.2, abs=0.05)
    assert buckling / (320.0 * 11.0) == pytest.approx(42.2, abs=0.05)
    assert 0.380**2 / (7500 * plane / area / t**2) * 1e6 == pytest.approx(6.1, abs=0.05)
    assert (t * 1e3) ** 2 == pytest.approx(47.6, abs=0.05)
    # The printed thickness is good to 0.005 mm in 6.90, that is 0.2 % of the load it was chosen for.
    assert rod.rod_rankine_capacity(320e6, area, plane, across, 0.380) == pytest.approx(148440.0, rel=2e-3)
    # Crank pin 10 MPa with length 1.3 d: 43.6 mm; piston pin 15 MPa with length 2 d: 28.7 mm.
    assert bearing.specific_load(24740.0, 0.0436, 1.3 * 0.0436) == pytest.approx(10e6, rel=2.5e-3)
    assert pin.small_end_pressure(24740.0, 0.0287, 2 * 0.0287) == pytest.approx(15e6, rel=3.5e-3)
    inertia = loads.rod_tension_at_exhaust_top(2.25, 0.190, 0.380, 1800 * math.pi / 30)
    assert inertia == pytest.approx(9493.0, abs=0.5)
    assert loads.cap_opening_load(2.25, 0.0, 0.0, 0.190, 0.380, 1800 * math.pi / 30) == pytest.approx(inertia)
    # Two bolts at 60 MPa: a core of 10.04 mm, by hand.
    assert inertia / 2 / (math.pi / 4 * 0.01004**2) == pytest.approx(60e6, rel=1e-3)


def test_warm_yield_takes_from_a_short_rod_what_it_takes_from_the_steel():
    # A short rod is crushed, not bent: 6 per cent less yield is nearly 6 per cent less column (Johnson's curve).
    area, plane, across = 140e-6, 4200e-12, 1500e-12
    cold, warm = (rod.rod_column_capacity(sy, area, plane, across, 0.140, 207e9) for sy in (620e6, 0.94 * 620e6))
    assert 0.94 < warm / cold < 0.945


def test_rod_is_four_times_as_strong_across():
    # Khurmi & Gupta, ch. 32: equally strong in both planes when Ixx = 4 Iyy.
    even = rod.rod_rankine_capacity(320e6, 150e-6, 4000e-12, 1000e-12, 0.15)
    assert even == pytest.approx(rod.rod_rankine_capacity(320e6, 150e-6, 4000e-12, 2000e-12, 0.15))
    assert even > rod.rod_rankine_capacity(320e6, 150e-6, 4000e-12, 990e-12, 0.15)
    even = rod.rod_column_capacity(600e6, 150e-6, 4000e-12, 1000e-12, 0.15, 207e9)
    assert even == pytest.approx(rod.rod_column_capacity(600e6, 150e-6, 4000e-12, 2000e-12, 0.15, 207e9))
    assert even > rod.rod_column_capacity(600e6, 150e-6, 4000e-12, 990e-12, 0.15, 207e9)


@pytest.mark.parametrize("yield_mpa", [550, 700])
@pytest.mark.parametrize("area_mm2", [120, 160])
def test_light_rods_stand_what_the_trade_works_out(yield_mpa, area_mm2):
    # Trade arithmetic for light rods of 120 to 160 mm^2 and 550 to 700 MPa: 63 to 107 kN, which is the
    # crushing load times about 0.95.
    area, radius_squared = area_mm2 * 1e-6, 30e-6
    capacity = rod.rod_column_capacity(
        yield_mpa * MPA, area, area * radius_squared, area * radius_squared / 3, 0.130, 207e9
    )
    assert 62e3 < capacity < 108e3
    assert capacity / (yield_mpa * MPA * area) == pytest.approx(0.95, abs=0.02)


def test_event_on_an_86_mm_bore():
    # 200 bar on 58.09 cm^2 is 116.2 kN (arithmetic), here over a crankcase at 1 bar: 115.6 kN.
    assert rod.rod_event_use(0.086, 115.6e3) == pytest.approx(1.0, abs=1e-3)
