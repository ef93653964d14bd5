"""Threads, joints, rod bolts and the head joint against standards and worked examples."""

from __future__ import annotations

import math

import pytest

from enginelimits.physics.components import (
    bolt_endurance,
    clamped_part,
    fastener,
    head,
    rod_bolt,
    tightening,
    valve,
)
from enginelimits.physics.mechanics import loads
from enginelimits.reference.catalogue import classes
from enginelimits.units.constants import INCH_THREAD_DEPTH

RPM = 2.0 * math.pi / 60.0


@pytest.mark.parametrize(
    ("diameter_mm", "pitch_mm", "area_mm2", "tolerance"),
    [
        # ISO 898-1, nominal stress areas as tabled (three digits).
        (6, 1.0, 20.1, 0.05),
        (8, 1.25, 36.6, 0.05),
        (10, 1.5, 58.0, 0.05),
        (12, 1.75, 84.3, 0.05),
        (14, 2.0, 115.0, 0.5),
        (16, 2.0, 157.0, 0.5),
        (8, 1.0, 39.2, 0.05),
        (10, 1.25, 61.2, 0.05),
        (12, 1.25, 92.1, 0.05),
        # Jindal, Machine Design, ex. 9-1, p. 266, two more digits.
        (16, 2.0, 156.7, 0.05),
        (16, 1.5, 167.2, 0.05),
        # By hand from the standard's formula, sizes of rods and heads.
        (9, 1.0, 51.05, 0.005),
        (11, 1.5, 72.27, 0.005),
    ],
)
def test_stress_area(diameter_mm, pitch_mm, area_mm2, tolerance):
    got = fastener.stress_area(diameter_mm * 1e-3, pitch_mm * 1e-3) * 1e6
    assert got == pytest.approx(area_mm2, abs=tolerance)


@pytest.mark.parametrize(
    ("sixteenths", "threads", "area_in2"),
    # Unified threads as tabled in Shigley's Mechanical Engineering Design, table 8-2, coarse and fine (square inches,
    # a whole last digit, since 0.05807 is printed 0.0580): ASME B1.1, 0.7854 (D - 0.9743 / n)^2.
    [(5, 24, 0.0580), (6, 24, 0.0878), (7, 20, 0.1187), (8, 20, 0.1599), (5, 18, 0.0524), (6, 16, 0.0775),
     (7, 14, 0.1063), (8, 13, 0.1419)],
)  # fmt: skip
def test_stress_area_of_inch_threads(sixteenths, threads, area_in2):
    got = fastener.stress_area(sixteenths / 16 * 0.0254, 0.0254 / threads, INCH_THREAD_DEPTH) / 0.0254**2
    assert got == pytest.approx(area_in2, abs=1e-4)


@pytest.mark.parametrize(
    ("diameter_mm", "pitch_mm", "proof_mpa", "load_n"),
    # ISO 898-1, proof loads (from memory).  The standard multiplies the tabled area and rounds: 0.3 %.
    [
        (8, 1.25, 580, 21200),
        (8, 1.25, 830, 30400),
        (10, 1.5, 830, 48100),
        (10, 1.5, 970, 56300),
        (12, 1.75, 830, 70000),
    ],
)
def test_proof_load(diameter_mm, pitch_mm, proof_mpa, load_n):
    area = fastener.stress_area(diameter_mm * 1e-3, pitch_mm * 1e-3)
    assert fastener.preload_from_proof(area, proof_mpa * 1e6) == pytest.approx(load_n, rel=3e-3)


@pytest.mark.parametrize(
    ("diameter_mm", "pitch_mm", "proof_mpa", "preload_kn"),
    # Three quarters of proof, by hand.
    [(8, 1.0, 830, 24.38), (9, 1.0, 830, 31.78), (10, 1.5, 830, 36.10), (11, 1.5, 970, 52.58)],
)
def test_preload(diameter_mm, pitch_mm, proof_mpa, preload_kn):
    area = fastener.stress_area(diameter_mm * 1e-3, pitch_mm * 1e-3)
    got = fastener.preload_from_proof(area, proof_mpa * 1e6, 0.75) / 1e3
    assert got == pytest.approx(preload_kn, abs=0.005)


def bolt_of(diameter_m, grip_m, modulus_pa):
    """Stiffness of a bolt plain over its grip, as both of Jindal's examples take it."""
    plain = math.pi / 4 * diameter_m**2
    return fastener.bolt_stiffness(plain, plain, grip_m, 0.0, modulus_pa)


def test_jindal_9_4():
    # Jindal, Machine Design, ex. 9-4, p. 267: 20 mm bolt, 205 GPa, grip 84 and 80 mm, members 105 GPa, cones
    # of 45 deg, 105 MPa + 20 kN on 245 mm^2: 123.28 MPa.
    members = fastener.member_stiffness_by_frusta(0.020, 0.080, 105e9, math.radians(45.0))
    share = fastener.joint_constant(bolt_of(0.020, 0.084, 205e9), members)
    stress = fastener.bolt_load(105e6 * 245e-6, 20e3, share) / 245e-6
    assert stress / 1e6 == pytest.approx(123.28, abs=0.005)


def test_jindal_9_5():
    # Jindal, Machine Design, ex. 9-5, p. 268: 14 mm bolt, 207 GPa, grip 63 and 60 mm, members 105 GPa: joint
    # constant 0.2163 (recomputed), clamp 0.75 of 650 MPa on 115 mm^2, K 0.2: 156.97 N*m.
    members = fastener.member_stiffness_by_frusta(0.014, 0.060, 105e9, math.radians(45.0))
    share = fastener.joint_constant(bolt_of(0.014, 0.063, 207e9), members)
    assert share == pytest.approx(0.2163, abs=5e-5)
    preload = fastener.preload_from_proof(115e-6, 650e6, 0.75)
    torque = fastener.tightening_torque(preload, 0.2, 0.014)
    assert torque == pytest.approx(156.97, abs=0.0055)  # 156.975 is printed cut, not rounded
    assert fastener.preload_from_torque(156.97, 0.2, 0.014) == pytest.approx(preload, rel=1e-4)


def test_jindal_9_6():
    # Jindal, Machine Design, ex. 9-6, p. 269: 120 kN + 30 kN on 245 mm^2, C 0.35: 489.8, then 532.65 MPa; K
    # 0.18 on 20 mm: 432 N*m.
    assert fastener.bolt_load(120e3, 0.0, 0.35) / 245e-6 / 1e6 == pytest.approx(489.8, abs=0.05)
    assert fastener.bolt_load(120e3, 30e3, 0.35) / 245e-6 / 1e6 == pytest.approx(532.65, abs=0.005)
    assert fastener.tightening_torque(120e3, 0.18, 0.020) == pytest.approx(432.0, abs=0.5)


def test_shigley_8_2():
    # Shigley, ex. 8-2 (from memory): half-inch bolt, steel of 30 Mpsi, grip 1.095 in: 15.97 Mlbf/in by cones,
    # 15.7 by the fit; the two differ by less than 2 %.
    inch, per = 0.0254, 4.4482216 / 0.0254
    modulus = 30e6 * 6894.757
    cones = fastener.member_stiffness_by_frusta(0.5 * inch, 1.095 * inch, modulus) / per / 1e6
    fitted = fastener.member_stiffness_by_fit(0.5 * inch, 1.095 * inch, modulus, *fastener.WILEMAN["steel"])
    assert cones == pytest.approx(15.97, abs=0.01)  # the book rounds tan 30 deg to 0.5774
    assert fitted / per / 1e6 == pytest.approx(15.7, abs=0.05)


def test_steel_joint_of_10_mm():
    # 10 mm bolt, 60 mm grip, steel on steel, by hand: cones 1.563e6, fit 1.809e6 N/mm; with an M10 of which
    # 26 mm of thread lie in the grip the joint constant is 0.131 and 0.115.
    cones = fastener.member_stiffness_by_frusta(0.010, 0.060, 207e9)
    fitted = fastener.member_stiffness_by_fit(0.010, 0.060, 207e9, *fastener.WILEMAN["steel"])
    assert cones / 1e9 == pytest.approx(1.563, abs=5e-4)
    assert fitted / 1e9 == pytest.approx(1.809, abs=5e-4)
    bolt = fastener.bolt_stiffness(math.pi / 4 * 0.010**2, 57.99e-6, 0.034, 0.026, 207e9)
    assert fastener.joint_constant(bolt, cones) == pytest.approx(0.131, abs=5e-4)
    assert fastener.joint_constant(bolt, fitted) == pytest.approx(0.115, abs=5e-4)


def test_bhandari_7_20():
    # Bhandari, Design of Machine Elements, ex. 7.20: two big-end bolts, 2000 rpm with 50 % overspeed, S 100,
    # l 200 mm, 5 kg, members four times as stiff, Sut 600 MPa, Se 89.7 MPa, factor 2.
    opening = loads.cap_opening_load(5.0, 0.0, 0.0, 0.100, 0.200, 2000 * RPM)
    over = loads.cap_opening_load(5.0, 0.0, 0.0, 0.100, 0.200, 2000 * RPM, overspeed=1.5)
    assert opening == pytest.approx(13708.0, abs=0.5)
    assert over == pytest.approx(30843.0, abs=0.5)
    share = fastener.joint_constant(1.0, 4.0)
    assert over / 2 == pytest.approx(15421.0, abs=1.0)
    # The clamp is chosen so that the joint just opens at the overspeed.
    preload = 12337.0
    assert fastener.separating_load(preload, share) == pytest.approx(over / 2, abs=1.0)
    amplitude = (fastener.bolt_load(preload, opening / 2, share) - preload) / 2
    assert amplitude == pytest.approx(685.4, abs=0.05)
    # Core area for a factor of 2: 38.13 mm^2.
    margin = rod_bolt.bolt_fatigue_margin(preload, 2, opening, share, 38.13e-6, 89.7e6, 600e6)
    assert margin == pytest.approx(2.0, abs=1e-3)
    assert rod_bolt.separation_margin(preload, 2, over) == pytest.approx(0.8, abs=1e-3)  # 1 - C, by hand


@pytest.mark.parametrize(("bar", "ratio"), [(60, 4.14), (80, 3.11), (100, 2.49), (120, 2.07)])
def test_head_clamp_ratio(bar, ratio):
    # 86 mm bore, four M10x1.5 10.9 a cylinder at three quarters of proof, 144.4 kN, gauge pressures, by hand.
    got = head.clamp_ratio(144.4e3 / 4, 16, 4, 0.086, (bar + 1) * 1e5, 1e5)
    assert got == pytest.approx(ratio, abs=0.005)


def test_head_clamp_tightened_to_yield():
    # M11x1.5 10.9 at its yield of 940 MPa, four a cylinder: 271.7 kN, 4.68 at 100 bar, by hand.
    preload = fastener.stress_area(0.011, 0.0015) * 940e6
    assert 4 * preload / 1e3 == pytest.approx(271.7, abs=0.05)
    assert head.clamp_ratio(preload, 16, 4, 0.086, 101e5, 1e5) == pytest.approx(4.68, abs=0.005)


@pytest.mark.parametrize(("bar", "ratio"), [(100, 2.32), (120, 1.94)])
def test_head_clamp_of_shared_fasteners(bar, ratio):
    # Three fasteners of 45 kN a cylinder (trade text: 8000 to 12000 lbf each), 86 mm, by hand.
    assert head.clamp_ratio(45e3, 12, 4, 0.086, (bar + 1) * 1e5, 1e5) == pytest.approx(ratio, abs=0.005)


def test_head_event():
    # The same joint at a 200 bar event over the crankcase: 1.16, by hand.
    assert head.event_clamp_ratio(45e3, 12, 4, 0.086, 201e5, 1e5) == pytest.approx(1.16, abs=0.005)


def test_jindal_9_5_stiffnesses():
    # Jindal, Machine Design, ex. 9-5, p. 268, intermediates by hand: bolt 153.94 mm^2 x 207 GPa / 63 mm = 505.8
    # kN/mm; cones of 45 deg over 60 mm: pi x 105 x 14 / (2 ln(5 (60 + 7) / (60 + 35))) = 4618.1 / (2 x 1.2602) =
    # 1832 kN/mm.
    assert bolt_of(0.014, 0.063, 207e9) / 1e6 == pytest.approx(505.8, abs=0.05)
    members = fastener.member_stiffness_by_frusta(0.014, 0.060, 105e9, math.radians(45.0))
    assert members / 1e6 == pytest.approx(1832.0, abs=1.0)


KPSI, INCH, KIP = 6.894757e6, 0.0254, 4448.2216


def test_shigley_8_4():
    # Shigley, ex. 8-4 (from memory): six bolts 5/8-11 of grade 5 hold a cover against 36 kip, C 0.368, 0.226 in^2,
    # three quarters of 85 kpsi: 14.4 kip; factor against separation 3.80, against yield 1.16.
    area = 0.226 * INCH**2
    preload = fastener.preload_from_proof(area, 85.0 * KPSI, 0.75)
    assert preload / KIP == pytest.approx(14.4, abs=0.05)
    each = 36.0 / 6.0 * KIP
    assert fastener.separating_load(preload, 0.368) / each == pytest.approx(3.80, abs=0.005)
    proof = fastener.preload_from_proof(area, 85.0 * KPSI)
    assert proof / fastener.bolt_load(preload, each, 0.368) == pytest.approx(1.16, abs=0.005)


def test_shigley_8_5():
    # Shigley, ex. 8-5 (from memory): cap screw 5/8-11 of grade 5, grip 1 in, all thread: 6.78 Mlbf/in; members
    # 17.40; C 0.280.  5 kip coming and going: amplitude 3.10 kpsi, clamp 63.7 kpsi, separation 4.00, Goodman with
    # Se 18.6 and Sut 120 kpsi 2.44.
    area, per = 0.226 * INCH**2, 1e6 * 4.4482216 / INCH
    screw = fastener.bolt_stiffness(area, area, 0.0, 1.0 * INCH, 30e3 * KPSI)
    assert screw / per == pytest.approx(6.78, abs=0.005)
    share = fastener.joint_constant(screw, 17.40 * per)
    assert share == pytest.approx(0.280, abs=5e-4)
    preload = fastener.preload_from_proof(area, 85.0 * KPSI, 0.75)
    assert preload / area / KPSI == pytest.approx(63.75, abs=0.05)
    assert fastener.separating_load(preload, share) / (5.0 * KIP) == pytest.approx(4.00, abs=0.01)
    amplitude = (fastener.bolt_load(preload, 5.0 * KIP, share) - preload) / (2 * area)
    assert amplitude / KPSI == pytest.approx(3.10, abs=0.005)
    goodman = rod_bolt.bolt_fatigue_margin(preload, 1, 5.0 * KIP, share, area, 18.6 * KPSI, 120.0 * KPSI)
    assert goodman == pytest.approx(2.44, abs=0.01)
    # By the guideline's amplitude alone the same screw has 18.6 / 3.10 = 6.0.
    alone = bolt_endurance.thread_endurance_margin(preload, 5.0 * KIP, 1, share, area, 18.6 * KPSI)
    assert alone == pytest.approx(6.0, abs=0.02)


@pytest.mark.parametrize(
    ("factor", "percent"),
    # VDI 2230, greatest over least preload of a way of tightening, and the scatter to either side in whole per cent
    # as fastener suppliers reprint its table.
    [(1.1, 5), (1.2, 9), (1.4, 17), (1.6, 23), (1.7, 26), (1.8, 28.5), (2.0, 33), (2.5, 43), (4.0, 60)],
)
def test_scatter_of_tightening(factor, percent):
    assert tightening.scatter_of_tightening(factor) * 100 == pytest.approx(percent, abs=0.5)


@pytest.mark.parametrize(
    ("way", "least", "greatest"),
    # The same table: by angle 5 to 12 %, by torque 17 to 28 %; by gauge over both ends 5 to 12 % as one tests it.
    [("angle", 5, 12), ("torque", 17, 28), ("stretch", 4, 12)],
)
def test_classes_of_tightening_lie_in_the_bands(way, least, greatest):
    factor = classes("tightenings")[way].gives["preload_factor"]
    assert factor.typical == 1.0
    assert least <= (factor.high - factor.low) / 2.0 * 100 <= greatest


def test_three_ways_to_the_same_clamp():
    # By hand: M9x1, bolt 200 and boss 800 N/um: 36 kN stretch the bolt by 0.18 mm and press the boss by 0.045 mm;
    # the thread advances by their sum, 0.225 of its pitch, 81 deg; K 0.16: 0.16 x 9 mm x 36 kN = 51.84 N*m.
    assert tightening.bolt_stretch(36e3, 200e6) == pytest.approx(0.18e-3)
    assert tightening.preload_from_stretch(0.18e-3, 200e6) == pytest.approx(36e3)
    angle = tightening.tightening_angle(36e3, 1e-3, 200e6, 800e6)
    assert math.degrees(angle) == pytest.approx(81.0)
    assert tightening.preload_from_angle(0.0, math.radians(81.0), 1e-3, 200e6, 800e6) == pytest.approx(36e3)
    assert fastener.tightening_torque(36e3, 0.16, 0.009) == pytest.approx(51.84)


def test_wide_boss_is_two_cones():
    # Where the cones never reach the wall, the guideline's boss and Shigley's cones are one formula, at the slope
    # of the guideline: for M10, grip 30 mm, face 15, boss 60 mm by hand 0.362 + 0.032 ln 1 + 0.153 ln 4 = 0.5741.
    boss = clamped_part.boss_stiffness(0.010, 0.030, 6.0, 207e9, 1.0, 1.5)
    cones = fastener.member_stiffness_by_frusta(0.010, 0.030, 207e9, math.atan(0.57410))
    assert boss == pytest.approx(cones, rel=1e-4)


def test_boss_as_wide_as_the_bolt_head_is_a_sleeve():
    # By hand: (15^2 - 10^2) pi / 4 = 98.17 mm^2 over 50 mm, 207 GPa: 406.4 kN/mm.
    boss = clamped_part.boss_stiffness(0.010, 0.050, 1.5, 207e9, 1.0, 1.5)
    assert boss / 1e6 == pytest.approx(406.4, abs=0.05)


def test_stretch_of_a_rod_bolt_lies_where_the_trade_sets_it():
    # Common practice, no source: cap screws of three eighths of an inch and 1.6 in under the head, of which half an
    # inch is in the rod's thread, are stretched by 5 to 7 thousandths of an inch, 0.13 to 0.18 mm.
    area = fastener.stress_area(0.009525, 0.0254 / 24)
    shank = clamped_part.shank_area(0.009525, 0.88)
    bolt = clamped_part.whole_bolt_stiffness(0.009525, shank, area, 0.028, 0.28, 207e9, 0.0)
    clamp = fastener.preload_from_proof(area, 1150e6, 0.80)
    assert 0.13e-3 < tightening.bolt_stretch(clamp, bolt) < 0.18e-3


@pytest.mark.parametrize("newton", [8000 * 4.4482, 12000 * 4.4482])
def test_classes_of_head_fasteners_clamp_as_the_trade_says(newton):
    # A trade text: 8000 to 12 000 lbf a fastener.  M10 and M11 of class 10.9 near yield lie within.
    within = [
        fastener.preload_from_proof(fastener.stress_area(d, 0.0015), 830e6, 0.97) for d in (0.010, 0.011)
    ]
    assert (min(within) > newton) if newton < 40e3 else (min(within) < newton)


def test_warm_head():
    # By hand: 207 GPa x 58 mm^2 x 0.8 x 10.5e-6 x 70 = 7.06 kN gained; never beyond 940 x 58 = 54.5 kN.
    gain = head.thermal_preload_change(58e-6, 207e9, 0.2, 22e-6, 11.5e-6, 70.0)
    assert gain == pytest.approx(7060.0, abs=1.0)
    assert head.warm_preload(44e3, gain, 58e-6, 940e6) == pytest.approx(51060.0, abs=1.0)
    assert head.warm_preload(50e3, gain, 58e-6, 940e6) == pytest.approx(54520.0)


@pytest.mark.parametrize(("psi", "pounds"), [(8, 11), (12, 17)])
def test_seat_load_that_boost_takes(psi, pounds):
    # Trade check, by hand: a valve of 34 mm loses 11 lbf at 8 psi and 17 lbf at 12 psi; 23 % and 35 % of 48 lbf.
    lost = valve.seat_load_lost((14.696 + psi) * 6894.757, 14.696 * 6894.757, 0.034, 48 * 4.44822)
    assert lost * 48 == pytest.approx(pounds, abs=0.5)
