"""Turbine, gate, blower and compressor map in a whole build: how boost and its price follow from their sizes.

The builds are invented.  Behaviour without a number is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build
from enginelimits.errors import InputError

RPM = np.pi / 30
SPEEDS = np.array([2000, 2500, 3000, 3500, 4000, 5000, 6000, 7000]) * RPM
BUILD = """
build: two litres, twelve and a half to one
goal: {{power: 260 hp, at: crank}}
site: {{altitude: {altitude}, air_temperature: 25 degC, relative_humidity: 40 %, hot_day_temperature: 35 degC}}
engine: {{cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: {ratio}, redline: 7200 rpm, injection: direct}}
forced_induction: {induction}
fuel: {{octane: 98 RON, ethanol: 10 %}}
"""
TURBO = ("{{kind: turbocharger, boost: 8 psi, "
         "compressor: {{inducer: {inducer} mm, exducer: 62 mm, efficiency: 0.70{map}}}, "
         "turbine: {{inducer: 53 mm, exducer: 47 mm, housing_ratio: {housing}}}, "
         "wastegate: {{diameter: {gate} mm}}, intercooler: {{effectiveness: {cooler}, pressure_drop: 0.7 psi}}}}")
MAP = Path(__file__).parents[2] / "docs" / "compressor-map.md"


def turbo(altitude="0 m", ratio=10.5, inducer=48, housing=0.82, gate=38, cooler=0.7, map=""):
    machine = TURBO.format(inducer=inducer, housing=housing, gate=gate, cooler=cooler, map=map)
    return BUILD.format(altitude=altitude, ratio=ratio, induction=machine)


def columns(text, speeds=SPEEDS):
    return assess(filled(parse_build(text)), samples=0, speeds=speeds).columns


def read(found, id_):
    return np.broadcast_to(found[id_].si, (2, 1, SPEEDS.size))[0, 0]


def test_a_larger_turbine_comes_in_later_and_is_driven_more_lightly():
    # Common practice: the next housing costs 300 to 500 rpm and lowers the drive ratio
    small, large = (columns(turbo(housing=h)) for h in (0.64, 0.82))
    assert 150 * RPM < read(large, "turbine.boost_threshold")[0] - read(small, "turbine.boost_threshold")[0] < 800 * RPM
    assert read(large, "turbine.drive_pressure_ratio")[-1] < read(small, "turbine.drive_pressure_ratio")[-1]
    assert read(large, "crank.power")[-1] > read(small, "crank.power")[-1]
    assert read(large, "crank.power")[1] <= read(small, "crank.power")[1]


def test_ordinary_sizes_give_an_ordinary_onset_and_drive_pressure():
    # Common practice, two litres: 10 psi by 3200 to 3900 rpm with such wheels, 8 psi a little before; 1.3 to 1.7 gauge
    found = columns(turbo())
    assert 2500 * RPM < read(found, "turbine.boost_threshold")[0] < 3700 * RPM
    assert 1.1 < read(found, "turbine.drive_pressure_ratio")[-1] < 1.9
    assert np.all(np.abs(read(found, "turbine.balance_residual")) < 1e-3)
    assert read(found, "air.boost")[-1] == pytest.approx(8 * 6894.757)


def test_the_air_of_the_balance_is_the_air_of_the_engine():
    found = columns(turbo())
    assert read(found, "turbine.air_flow") == pytest.approx(read(found, "air.mass_flow"), rel=0.02)


def test_a_mountain_turns_the_wheel_faster_for_less_power():
    sea, high = (columns(turbo(altitude=a)) for a in ("0 m", "2000 m"))
    assert np.all(read(high, "compressor.tip_speed")[3:] > read(sea, "compressor.tip_speed")[3:])
    assert np.all(read(high, "crank.power")[3:] < read(sea, "crank.power")[3:])


def test_a_better_cooler_never_costs_power():
    plain, better = (columns(turbo(cooler=c)) for c in (0.6, 0.8))
    assert np.all(read(better, "crank.power") >= read(plain, "crank.power") * (1 - 1e-6))


def test_a_smaller_compressor_never_has_more_choke_margin():
    small, large = (columns(turbo(inducer=i)) for i in (44, 52))
    assert np.all(read(small, "compressor.choke_margin") <= read(large, "compressor.choke_margin"))


def test_a_small_gate_lets_boost_creep():
    assert read(columns(turbo(gate=20)), "boost.creep")[-1] > 0.0
    assert read(columns(turbo(gate=45)), "boost.creep")[-1] == 0.0


def test_a_map_file_is_read_beside_the_build(tmp_path):
    text = MAP.read_text(encoding="utf-8")
    (tmp_path / "comp.csv").write_text(text.partition("```csv\n")[2].partition("```")[0], encoding="utf-8")
    (tmp_path / "build.yaml").write_text(turbo(map=", map: comp.csv"), encoding="utf-8")
    found = assess(filled(load_build(tmp_path / "build.yaml")), samples=0, speeds=SPEEDS).columns
    # between the map's lines of 250 and 350 m/s at about 1.65, where surge lies between 8 and 13.5 lb/min
    at = 5
    assert 1.55 < read(found, "compressor.pressure_ratio")[at] < 1.75
    assert 250.0 < read(found, "compressor.tip_speed")[at] < 350.0
    assert 8.0 * 0.00756 < read(found, "compressor.surge_flow")[at] < 13.5 * 0.00756
    assert 0.58 < read(found, "compressor.map_efficiency")[at] < 0.76
    # the charge is as warm as that efficiency makes it, to what exhaust pressure takes from the flow
    shown = read(found, "compressor.map_efficiency")[at]
    assert read(found, "compressor.efficiency")[at] == pytest.approx(shown, abs=5e-3)
    assert np.all(np.abs(read(found, "compressor.map_residual")) < 1e-4)


def test_a_map_file_that_is_not_there_is_named(tmp_path):
    (tmp_path / "build.yaml").write_text(turbo(map=", map: nothere.csv"), encoding="utf-8")
    with pytest.raises(InputError, match="nothere"):
        assess(filled(load_build(tmp_path / "build.yaml")), samples=0, speeds=SPEEDS)


def test_rotors_make_the_boost_of_their_pulley():
    # Sum by hand at 5000 rpm: 0.9 l at twice the engine's speed against 2.0 l at half of it is 1.8 times the engine's
    # displacement: 1.8 times the air density at most, 12 psi with the heat in it; leakage takes a tenth or two.
    def blower(drive):
        machine = (f"{{kind: positive-displacement, boost: 12 psi, supercharger: {{drive_ratio: {drive}, "
                   "displacement_per_rev: 0.9 L}, intercooler: {effectiveness: 0.7, pressure_drop: 0.7 psi}}")
        return columns(BUILD.format(altitude="0 m", ratio=10.5, induction=machine))

    slow, fast = blower(2.0), blower(2.3)
    assert 8.0 < read(slow, "air.boost")[5] / 6894.757 < 12.0
    assert np.all(read(fast, "air.boost_available") > read(slow, "air.boost_available"))


def test_a_controller_that_holds_absolute_pressure_asks_for_more_boost_up_the_mountain():
    # standard atmosphere, ISO 2533: 101.325 kPa at sea level, 79.495 kPa at 2000 m; 8 psi is 55.158 kPa
    control = "boost: 8 psi, control: {kind: closed-loop, holds: absolute},"
    held = turbo(altitude="2000 m").replace("boost: 8 psi,", control)
    found = columns(held.replace("site: {altitude", "site: {calibrated_altitude: 0 m, altitude"))
    assert read(found, "air.boost_asked")[-1] == pytest.approx(55158 + 101325 - 79495, rel=1e-3)
    assert read(columns(turbo(altitude="2000 m")), "air.boost_asked")[-1] == pytest.approx(55158, rel=1e-4)


def test_on_the_spring_alone_the_spring_is_the_boost():
    # 5 psi is 34.474 kPa
    alone = turbo().replace("boost: 8 psi,", "boost: 8 psi, control: {kind: spring},").replace(
        "wastegate: {diameter", "wastegate: {spring: 5 psi, diameter")
    found = columns(alone)
    assert read(found, "air.boost_asked")[-1] == pytest.approx(34474, rel=1e-4)
    assert read(found, "air.boost")[-1] == pytest.approx(34474, rel=1e-3)


def test_the_third_pull_is_hotter_than_the_first():
    found = columns(turbo())
    assert np.all(read(found, "charge.temperature_third_pull") > read(found, "charge.temperature_end_of_pull"))
    assert np.all(read(found, "charge.temperature_end_of_pull")[2:] > read(found, "air.manifold_temperature")[2:])


@pytest.mark.parametrize(("control", "spring", "excess"), [
    # Common practice: a boost valve only adds to what the spring holds, so 14 psi of spring leave 6 beyond the 8 asked
    ("closed-loop", "14 psi", 6.0), ("open-loop", "14 psi", 6.0), ("closed-loop", "5 psi", 0.0),
    # on the spring alone it is the spring that asks
    ("spring", "14 psi", None), ("closed-loop", None, None),
])
def test_control_holds_no_less_than_the_spring(control, spring, excess):
    gate = "wastegate: {diameter: 38 mm}" if spring is None else f"wastegate: {{diameter: 38 mm, spring: {spring}}}"
    text = turbo().replace("wastegate: {diameter: 38 mm}", f"control: {{kind: {control}}}, {gate}")
    found = columns(text, SPEEDS[-1:]).get("boost.spring_beyond_asked")
    told = None if found is None or found.si is None else float(np.asarray(found.si).flat[0]) / 6894.757
    assert told == (None if excess is None else pytest.approx(excess, abs=1e-3))
