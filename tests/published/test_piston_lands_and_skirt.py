"""Land, skirt, rings and oval pin against handbook examples, and against sums done another way."""

from __future__ import annotations

import math

import numpy as np
import pytest

from enginelimits.physics.components import crown_heat, land, pin, piston, ring, skirt
from enginelimits.physics.mechanics import forces


def test_khurmi_gupta_piston_rings_barrel_and_skirt():
    # Khurmi & Gupta, A Textbook of Machine Design, ch. 32, example on a cast-iron piston: D 100 mm, 5 MPa.
    # Ring: 0.035 MPa on the wall, 90 MPa allowed: t1 = 3.4 mm as printed.
    thickness = ring.radial_thickness(0.100, 0.035e6, 90e6) * 1e3
    assert thickness == pytest.approx(3.4, abs=0.05)
    # Groove 0.4 mm deeper than the ring: 3.8 mm.  Barrel 0.03 D + b + 4.5 = 11.3 mm, both as printed.
    assert 3.0 + round(float(thickness), 1) + 0.4 + 4.5 == pytest.approx(11.3)
    # Side thrust of a tenth of the gas load, 3928 N as printed: the book rounds the area up to 7855 mm^2, hence 1.5 N.
    thrust = 0.1 * forces.gas_force(5e6, 0.0, 0.100)
    assert thrust == pytest.approx(3928.0, abs=1.5)
    # Bearing pressure 0.45 MPa over 100 mm: R = 45 l, hence l = 87.3 mm by hand.
    assert skirt.skirt_pressure(3928.0, 0.100, 0.0873) / 1e6 == pytest.approx(0.45, abs=5e-4)


def test_khurmi_gupta_heat_of_the_crown():
    # The same example: 0.75 MPa, 125 mm, 2000 rpm, one cylinder: 12.27 kW indicated, 9.8 kW at 0.8; heat 860 W
    # by 0.05 of 42 MJ/kg at 41.7e-6 kg/(kW*s), as printed.
    indicated = 0.75e6 * 0.125 * math.pi / 4 * 0.100**2 * 2000 / 60 / 2
    assert indicated / 1e3 == pytest.approx(12.27, abs=0.005)
    assert crown_heat.crown_heat_of_fuel(41.7e-6 * 9.8, 42e6) == pytest.approx(860.0, abs=5.0)


def test_handbook_gap_in_the_cylinder():
    # Khurmi & Gupta, ch. 32: the gap of the ring in its cylinder is 0.002 D to 0.004 D, 0.2 to 0.4 mm on 100 mm.
    assert [ring.gap_ratio(gap, 0.100) for gap in (0.2e-3, 0.4e-3)] == pytest.approx([0.002, 0.004])


@pytest.mark.parametrize(
    ("bar", "kilonewton"), [(60, 34.9), (80, 46.5), (100, 58.1), (120, 69.7), (150, 87.1), (200, 116.2)]
)
def test_gas_force_on_86_mm(bar, kilonewton):
    # By hand: 58.09 cm^2 times the pressure.
    assert forces.gas_force(bar * 1e5, 0.0, 0.086) / 1e3 == pytest.approx(kilonewton, abs=0.05)


@pytest.mark.parametrize("factor", [1.2, 1.25, 1.3])
def test_second_gap(factor):
    # Clearance sheet of the piston trade: second gap 1.25 times the top one (1.2 to 1.3 in use); 0.43 mm on 86 mm.
    assert ring.second_gap_ratio(factor * 0.43e-3, 0.43e-3) == pytest.approx(factor)


@pytest.mark.parametrize(("hp_per_litre", "ratio", "off"), [(120, 0.0040, 0.0004), (150, 0.0045, 0.0006)])
def test_needed_gap_meets_the_trade(hp_per_litre, ratio, off):
    """The trade wants 0.0040 of the bore beyond 120 hp/L and 0.0045 or more on boosted street cars.

    Common practice; the sum takes mean temperatures of its class and may be off by a tenth.
    """
    power_per_area = hp_per_litre * 745.7 * 1e3 * 0.086  # four of 86 x 86 mm: stroke times power over displacement
    temperature = ring.ring_temperature(423.15, power_per_area, 80.0)
    closing = ring.thermal_closing(0.086, temperature, 423.15, 11.5e-6, 12e-6)
    assert ring.gap_needed(closing, 0.086, 0.0020) / 0.086 == pytest.approx(ratio, abs=off)


def test_a_hotter_bore_leaves_the_gap_as_cold_at_most():
    # Aluminium, 17e-6 1/K, opens the gap when warm; cold is the narrowest moment then.
    closing = ring.thermal_closing(0.086, 430.0, 423.15, 11.5e-6, 17e-6)
    assert closing == 0.0
    assert ring.gap_margin(0.0003, closing) == 1.0


def ring_between(load, steps=20_000):
    """Moment under the load and flattening of a thin ring of radius 1 and stiffness 1, by unit-load integrals.

    Half a ring from the load (angle 0) down to the other load (pi), symmetric about the middle; ``load`` gives the
    inward radial load by angle and a force at angle 0.
    """
    angle = np.linspace(0.0, math.pi / 2, steps + 1)
    # Thrust at the middle (angle pi/2) carries half of all vertical load; a free moment there makes the turn nil.
    pressure, point = load
    q = pressure(angle)

    def moment(at):
        # Moment at angle ``at`` from what acts between it and the load axis, plus half the point load.
        inside = angle <= at
        arm = np.sin(at - angle[inside])
        spread = np.trapezoid(q[inside] * arm, angle[inside]) if inside.sum() > 1 else 0.0
        return -(point / 2 * math.sin(at) + spread)

    coarse = np.linspace(0.0, math.pi / 2, 401)
    bent = np.array([moment(a) for a in coarse])
    # Hoop force at the load axis does not turn the section there by symmetry: it adds N (1 - cos), with N such that
    # the horizontal force of the quarter is held.
    horizontal = np.trapezoid(q * np.sin(angle), angle)
    bent += horizontal * (1 - np.cos(coarse))
    start = -np.trapezoid(bent, coarse) / (math.pi / 2)
    bent += start
    # Unit pair of forces along the load axis: moment -(sin)/2 plus its own constant, 1/pi.
    unit = -0.5 * np.sin(coarse) + 1 / math.pi
    return start, 4 * np.trapezoid(bent * unit, coarse)


def test_thin_ring_between_points_is_as_printed():
    # Roark, Formulas for Stress and Strain, circular ring under two opposite loads (from memory): the moment under
    # the load is 0.3183 W R, the diameter shortens by 0.149 W R^3 / (E I) (more exactly 0.1488).
    start, shortening = ring_between((np.zeros_like, 1.0))
    assert start == pytest.approx(0.3183, abs=5e-5)
    assert shortening == pytest.approx(0.149, abs=5e-4)


def test_oval_pin_under_a_cosine_load():
    """The same integrals under a pressure as the cosine, whose whole force is one."""
    start, shortening = ring_between((lambda angle: np.cos(angle) * 2 / math.pi, 0.0))
    force, outer, inner, length, modulus = 55e3, 0.020, 0.012, 0.055, 208e9
    radius, wall = (outer + inner) / 4, (outer - inner) / 2
    oval = shortening * force / length * radius**3 / (modulus * wall**3 / 12)
    assert pin.pin_ovality(force, outer, inner, length, modulus) == pytest.approx(oval, rel=2e-3)
    stress = 6 * start * force / length * radius / wall**2
    assert pin.pin_hoop_stress(force, outer, inner, length) == pytest.approx(stress, rel=3e-3)


def test_land_as_a_cantilever():
    # By hand, any handbook on beams: 1 mm wide, 4 mm long, 5 mm high under 8 MPa: M = 8 * 4^2 / 2 = 64 N*mm,
    # W = 5^2 / 6 = 4.1667 mm^3, 15.36 MPa; shear 8 * 4 / 5 = 6.4 MPa; together 18.94 MPa.
    assert land.land_stress(8e6, 1.0, 0.004, 0.005) / 1e6 == pytest.approx(18.94, abs=0.005)


def test_land_of_half_the_height_bears_nearly_four_times_the_stress():
    tall, short = (land.land_stress(8e6, 0.75, 0.004, height) for height in (0.008, 0.004))
    assert 2.0 < short / tall < 4.0


@pytest.mark.parametrize(("degrees", "low", "high"), [(150, 75, 85), (250, 45, 50), (350, 20, 25)])
def test_eutectic_alloy_loses_its_fatigue_strength_with_heat(degrees, low, high):
    # Cast eutectic piston alloy (Pistons and Engine Testing, Springer, from memory): fatigue strength in MPa.
    from enginelimits.reference.catalogue import classes

    of = classes("materials")["cast-eutectic-aluminium"].gives
    found = crown_heat.hot_strength(
        of["hot_fatigue_strength"].typical, degrees + 273.15,
        of["fatigue_ratio_150"].typical, of["fatigue_ratio_350"].typical,
    )
    assert low <= found / 1e6 <= high


@pytest.mark.parametrize(("degrees", "low", "high"), [(150, 170, 210), (250, 70, 110), (350, 20, 30)])
def test_eutectic_alloy_loses_its_yield_strength_with_heat(degrees, low, high):
    # The same table: 0.2 % proof stress in MPa.
    from enginelimits.reference.catalogue import classes

    of = classes("materials")["cast-eutectic-aluminium"].gives
    found = crown_heat.hot_strength(
        of["hot_yield_strength"].typical, degrees + 273.15,
        of["yield_ratio_150"].typical, of["yield_ratio_350"].typical,
    )
    assert low <= found / 1e6 <= high


def test_heat_leaves_by_two_paths():
    """Balance by hand: what goes along the crown and what goes into oil add up to what came in."""
    heat, bore, crown, k, share, rings, splash, jets = 5500.0, 0.086, 0.006, 132.0, 0.2, 640.0, 115.0, 90.0
    middle = crown_heat.crown_temperature(heat, bore, crown, k, share, rings, splash, jets, 1.0, 423.15, 388.15)
    belt = crown_heat.land_temperature(middle, 423.15, bore, crown, k, share, rings)
    into_bore = (belt - 423.15) * rings * bore
    into_oil = (middle - 388.15) * (splash + jets) * bore
    assert into_bore + into_oil == pytest.approx(heat, rel=1e-12)
    # From middle to rim the flat plate of the handbook falls by H / (4 pi k t); a share of that is taken.
    assert middle - belt == pytest.approx(share * into_bore / (4 * math.pi * k * crown), rel=1e-12)


def test_without_oil_the_crown_is_the_handbook_s_plate():
    found = crown_heat.crown_temperature(860.0, 0.1, 0.00668, 46.6, 1.0, 5000.0, 0.0, 0.0, 0.0, 400.0, 400.0)
    # 220 K over the rim as printed; the rim is 860 W / (5000 * 0.1) = 1.72 K over its bore.
    assert found - 400.0 == pytest.approx(220.0 + 1.72, abs=0.3)


def test_skirt_grows_as_the_alloy_says():
    # 2618, 22.5e-6 1/K, 86 mm: 100 K take 0.1935 mm; iron, 11e-6, gives 80 K: 0.0757 mm back; by hand.
    left = skirt.skirt_clearance_hot(0.10e-3, 0.086, 393.15, 373.15, 22.5e-6, 11e-6)
    assert left * 1e3 == pytest.approx(0.10 - 0.1935 + 0.0757, abs=1e-4)


def test_knock_event_is_twice_a_hundred_bar():
    # The plate is linear in pressure: 200 bar less outside pressure over 100 bar.
    assert piston.crown_event_stress(0.086, 0.006) / piston.crown_stress(10e6, 0.086, 0.006) == pytest.approx(1.99)
