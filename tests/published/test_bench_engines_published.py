"""Two engines measured on a test bench, and what the package makes of them.

Source of both: US EPA, National Vehicle and Fuel Emissions Laboratory, test data packages "2013 1.6 L turbocharged
direct injection engine, Tier 2 fuel" (2018-10) and "2014 2.0 L naturally aspirated engine, compression ratio 13, LEV
III fuel" (2018-03-29).  Bore, stroke, compression ratio and octane of the fuels are from memory.  No constant of the
package is fitted to either engine.  The factor on wall heat was last moved, for the surface of a pentroof, with the map
of the first in view: its mean error is no blind test; how it lies over speed and load is one.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.load_point import load_points
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

RPM = np.pi / 30.0
G_KWH = 3.6e9  # kg/J

TURBO = """
build: turbocharged bench engine
goal: {power: 178 hp, at: crank}
site: {altitude: 110 m, air_temperature: 25 degC, relative_humidity: 40 %}
engine:
  cylinders: 4
  valves_per_cylinder: 4
  bore: 79 mm
  stroke: 81.4 mm
  compression_ratio: 10
  redline: 6500 rpm
  injection: direct
  built_for_boost: true
forced_induction: {kind: turbocharger, boost: 12 psi}
fuel: {octane: 96 RON, gasoline_ethanol: 0 %, ethanol: 0 %}
"""
# Specific consumption in g/kWh, speeds down and mean effective pressure across; rows of the package's map.
LOADS_BAR = (4.563, 6.859, 8.539, 10.163, 12.251)
MAP = {
    1501: (278.1, 256.0, 246.5, 244.2, 251.2),
    2001: (282.0, 258.0, 247.4, 242.0, 242.5),
    2500: (285.3, 261.9, 250.2, 242.9, 241.2),
    3000: (290.1, 265.1, 253.5, 245.6, 242.2),
    3500: (297.9, 270.7, 258.1, 250.0, 245.9),
    4000: (308.8, 278.1, 263.9, 255.5, 250.3),
}
MEASURED = np.array(list(MAP.values()))


def consumption(speeds_rpm, loads_bar):
    speeds, loads = np.broadcast_arrays(np.asarray(speeds_rpm, dtype=float), np.asarray(loads_bar, dtype=float))
    found = load_points(filled(parse_build(TURBO)), speeds.ravel() * RPM, loads.ravel() * 1e5)
    return np.reshape(found["brake.specific_fuel_consumption"].si, speeds.shape) * G_KWH


@cache
def over_the_map():
    """Computed over measured, less one; speeds by loads."""
    return consumption(np.array(list(MAP))[:, None], LOADS_BAR) / MEASURED - 1.0


def test_consumption_over_the_map_of_a_turbocharged_engine():
    # The map is smoothed and worth about 5 %; the fuel's heating value, 42.9 to 43.0 MJ/kg by its efficiency, is a
    # hundredth under the class's; a torque stand adds 1 %.
    off = over_the_map()
    assert np.sqrt(np.mean(off**2)) < 0.07
    assert abs(off.mean()) < 0.04
    # no corner of the map runs away: 5 % of the map with 4 % for what the class cannot know of this engine
    assert np.abs(off).max() < 0.09


def test_consumption_falls_with_load_about_as_measured():
    # From 4.6 to 10.2 bar friction, pumping and heat weigh less.  A known misfit: the computed gain is 0.03 to 0.04
    # larger than the measured one at every speed; 0.045 is 3 % at each end of a map worth 5 %.
    found = (1.0 + over_the_map()) * MEASURED
    gain, measured = (1.0 - table[:, 3] / table[:, 0] for table in (found, MEASURED))
    assert gain == pytest.approx(measured, abs=0.045)
    # more at speed than at 1500 rpm, as measured: 0.12 there and 0.17 at 4000 rpm
    assert np.all(np.diff(gain) > 0.0)


def test_consumption_at_high_load_and_low_speed():
    # 2001 rpm: 15.515 bar 262.7 g/kWh, 16.335 bar 271.9, from rows of the map; 16 bar between them 268.1.  The map is
    # extended near full load.  The computed engine is run as late as its class allows here, so it uses more.
    off = consumption([2001, 2001], [15.515, 16.335]) / np.array([262.7, 271.9]) - 1.0
    assert np.abs(off).max() < 0.10


@pytest.mark.parametrize(
    ("rpm", "bar", "measured", "within"),
    # Read off the same map. Light load is a known misfit: throttled, the sum uses a tenth too much.
    [(2000, 8.0, 251.0, 0.05), (2500, 13.1, 241.0, 0.05), (2000, 2.0, 373.0, 0.10)],
)
def test_consumption_at_single_points(rpm, bar, measured, within):
    assert consumption([rpm], [bar])[0] == pytest.approx(measured, rel=within)


def test_where_the_fuels_heat_goes_at_high_load():
    # An engineering text has for full load: brake 29 %, friction 3, coolant and oil 27.5, exhaust 38, from memory; no
    # engine named. Bands of a quarter either way. The bench engine's own brake share: 34.8 and 33.5 %, 12.3 bar.
    found = load_points(filled(parse_build(TURBO)), np.array([2500.0, 4000.0]) * RPM, [12.251e5] * 2)
    brake, friction, wall, exhaust = (
        np.ravel(found[f"energy.{part}_share"].si) for part in ("brake", "friction", "wall", "exhaust")
    )
    assert brake == pytest.approx([0.348, 0.335], rel=0.05)
    assert np.all((wall + friction > 0.75 * 0.275) & (wall + friction < 1.25 * 0.275))
    assert np.all((exhaust > 0.75 * 0.38) & (exhaust < 1.25 * 0.38))


NATURAL = """
build: bench engine without boost
goal: {power: 155 hp, at: crank}
site: {altitude: 195 m, air_temperature: 25 degC, relative_humidity: 0 %, hot_day_temperature: 25 degC}
engine:
  cylinders: 4
  valves_per_cylinder: 4
  bore: 83.5 mm
  stroke: 91.2 mm
  compression_ratio: 13
  redline: 6500 rpm
  injection: direct
  built_for_boost: false
RATING
forced_induction: {kind: none}
fuel: {octane: 91 RON, gasoline_ethanol: 10 %, ethanol: 10 %}
"""
# Full load, (rpm, N*m) from 1900 rpm up; the last is a round number and looks extended.  A net rating is referred to
# 99 kPa of dry air (ISO 1585), which is 195 m in the standard atmosphere.
CURVE = ((1900.8, 182.8), (1999.9, 186.105), (2400.3, 180.67), (2501.3, 182.494), (2899.4, 196.836), (3199.8, 199.257),
         (3499.5, 194.024), (3701.3, 193.916), (4099.5, 200.111), (4299.6, 197.528), (4489.8, 198.496), (6000.0, 184.0))
TORQUE, POWER = "torque: {value: 200.1 N*m, at: 4100 rpm}", "power: {value: 115.61 kW, at: 6000 rpm}"
AT_TORQUE, AT_POWER = 8, 11


@cache
def over_the_curve(*figures):
    fuel = "rating: SAE J1349, fuel: {octane: 91 RON, is: recommended}"
    rating = f"  standard_output: {{{', '.join((*figures, fuel))}}}" if figures else "  layout: inline"
    described = filled(parse_build(NATURAL.replace("RATING", rating)))
    speeds, torque = np.array(CURVE).T
    found = assess(described, samples=0, speeds=speeds * RPM).columns["crank.torque"].si
    return np.broadcast_to(found, (2, 1, speeds.size))[0, 0] / torque - 1.0


def test_from_geometry_alone_the_full_load_curve_is_met_roughly():
    # Filling of a plain four-valve engine spreads by -7 and +6 % at the 5th and 95th percentile, friction and timing
    # add a few, intake tuning waves by 3 %: 12 % in all.
    off = over_the_curve()
    assert np.abs(off).max() < 0.12


def test_anchored_on_torque_and_power_the_curve_between_is_met():
    off = over_the_curve(TORQUE, POWER)
    assert abs(off[AT_TORQUE]) < 0.005 and abs(off[AT_POWER]) < 0.005
    between = np.delete(off, [AT_TORQUE, AT_POWER])
    # waves of intake tuning of 3 % about a smooth curve, which no class curve can follow
    assert np.sqrt(np.mean(between**2)) < 0.03
    assert np.abs(between).max() < 0.05


def test_anchored_on_torque_alone_the_power_point_is_predicted():
    # Held out: nothing at 6000 rpm is known to the model. The class's fall of filling over speed is worth 6 %.
    off = over_the_curve(TORQUE)
    assert abs(off[AT_TORQUE]) < 0.005
    assert abs(off[AT_POWER]) < 0.06
    # and it is the figure that does it: without, the torque point is off by more
    assert abs(off[AT_TORQUE]) < abs(over_the_curve()[AT_TORQUE])
