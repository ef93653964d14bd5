"""How turbine, compressor, cooler, site and units move a whole build.

The builds are invented, the cases drawn.  The directions are those of physics and the trade (common practice, no
source, where nothing stands beside a test).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from enginelimits.assessment.collect import assess
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

RPM = math.pi / 30
PSI = 6894.757
SPEEDS = np.array([1500, 2000, 2500, 3000, 3500, 4000, 5000, 6000, 7000]) * RPM
# Room for the solver of the closed cycle, and for the half-burned angle found on a grid
SOLVER = 2e-4

# A case costs about a second: one that fails is shown as drawn, for to shrink it would take minutes.
few = settings(max_examples=3, deadline=None, derandomize=True, phases=[Phase.generate],
               suppress_health_check=list(HealthCheck))
boosts = st.floats(5.0, 12.0)
wheels = st.sampled_from([(53, 47), (56, 50), (60, 55)])
housings = st.floats(0.45, 0.85)
steps = st.floats(1.06, 1.5)
altitudes = st.floats(0.0, 1500.0)

BUILD = """
build: invented two litres
goal: {{power: 260 hp, at: crank, correction: none, use: street}}
site: {{altitude: {altitude}, air_temperature: {air}, relative_humidity: 40 %, hot_day_temperature: {hot}}}
engine:
  cylinders: 4
  injection: direct
  bore: {bore}
  stroke: 86 mm
  compression_ratio: {ratio}
  redline: 7200 rpm
forced_induction:
  kind: turbocharger
  boost: {boost}
  compressor: {{inducer: {inducer}, exducer: {exducer}{efficiency}}}
  turbine: {{inducer: {turbine_inducer}, exducer: {turbine_exducer}, housing_ratio: {housing}}}
  wastegate: {{diameter: {gate}}}
  intercooler: {{effectiveness: {cooler}, pressure_drop: {drop}}}
fuel: {{octane: {octane} RON, ethanol: {ethanol} %}}
"""
USUAL = {
    "altitude": "100 m", "air": "25 degC", "hot": "35 degC", "bore": "86 mm", "ratio": "10.5", "boost": "8 psi",
    "inducer": "48 mm", "exducer": "62 mm", "efficiency": ", efficiency: 0.70", "turbine_inducer": "55 mm",
    "turbine_exducer": "49.5 mm", "housing": "0.72", "gate": "38 mm", "cooler": "0.7", "drop": "0.7 psi",
    "octane": "98", "ethanol": "10",
}  # fmt: skip
fewer = settings(few, max_examples=2)  # where a test runs more than once
# An efficiency that is given, and one that is left to the class
EFFICIENCIES = pytest.mark.parametrize("efficiency", [", efficiency: 0.70", ""], ids=["given", "of the class"])


def columns(**changes):
    described = filled(parse_build(BUILD.format(**{**USUAL, **changes})))
    return assess(described, samples=0, speeds=SPEEDS).columns


def read(found, id_):
    return np.broadcast_to(found[id_].si, (2, 1, SPEEDS.size))[0, 0]


def turbine_of(wheel, housing):
    return {"turbine_inducer": f"{wheel[0]} mm", "turbine_exducer": f"{wheel[1]} mm", "housing": f"{housing}"}


def threshold(found):
    """Where boost comes in; never is later than ever."""
    at = float(read(found, "turbine.boost_threshold")[0])
    return math.inf if math.isnan(at) else at


def equal_boost(one, other):
    asked = read(one, "air.boost_asked")
    held = np.abs(read(one, "air.boost") - asked) < 1e-5 * asked
    return held & (np.abs(read(other, "air.boost") - asked) < 1e-5 * asked)


@given(wheels, housings, steps, boosts, altitudes)
@few
def test_a_larger_turbine_never_comes_in_earlier_nor_is_driven_harder_nor_gives_less_at_the_top(
    wheel, housing, step, boost, altitude
):
    small, large = (columns(boost=f"{boost} psi", altitude=f"{altitude} m", **turbine_of(wheel, h))
                    for h in (housing, housing * step))
    assert threshold(large) >= threshold(small)
    # boost short of what is asked for is never more with it either
    assert np.all(read(large, "air.boost") <= read(small, "air.boost") + 1.0)
    same = equal_boost(small, large)
    assert same[-1]
    assert np.all(read(large, "exhaust.pressure")[same] <= read(small, "exhaust.pressure")[same])
    drive = [read(found, "turbine.drive_pressure_ratio") for found in (small, large)]
    assert np.all(drive[1][same & np.isfinite(drive[0])] <= drive[0][same & np.isfinite(drive[0])])
    assert read(large, "crank.power")[-1] >= read(small, "crank.power")[-1] * (1 - SOLVER)


@given(wheels, housings, st.floats(1.2, 1.5), boosts)
@few
def test_below_one_speed_the_smaller_turbine_makes_more_torque_and_above_it_the_larger(wheel, housing, step, boost):
    small, large = (columns(boost=f"{boost} psi", **turbine_of(wheel, h)) for h in (housing, housing * step))
    gain = read(small, "crank.torque") / read(large, "crank.torque") - 1.0
    assert gain[0] > 0.0 > gain[-1]
    crossing = int(np.argmax(gain < 0.0))
    assert np.all(gain[:crossing] > 0.0) and np.all(gain[crossing:] < SOLVER)


@EFFICIENCIES
@given(st.floats(0.0, 1500.0), st.floats(200.0, 1000.0), boosts)
@fewer
def test_a_mountain_turns_the_wheel_faster_for_less_power(efficiency, altitude, climb, boost):
    low, high = (columns(altitude=f"{a} m", boost=f"{boost} psi", efficiency=efficiency)
                 for a in (altitude, altitude + climb))
    assert np.all(read(high, "crank.power") < read(low, "crank.power"))
    same = equal_boost(low, high) & np.isfinite(read(low, "compressor.tip_speed"))
    assert same[-1]
    assert np.all(read(high, "compressor.tip_speed")[same] > read(low, "compressor.tip_speed")[same])
    # thin air drives less: boost is never there sooner
    assert threshold(high) >= threshold(low)


@EFFICIENCIES
@pytest.mark.parametrize(("octane", "ethanol"), [(95, 10), (98, 70)], ids=["knocks", "hardly knocks"])
@given(st.floats(0.5, 0.85), st.floats(0.02, 0.1), boosts)
@fewer
def test_a_better_cooler_never_costs_power_nor_warms_the_charge(efficiency, octane, ethanol, cooler, better, boost):
    # A larger core may cost more pressure: that is an input of its own here.
    plain, good = (columns(cooler=f"{c}", boost=f"{boost} psi", octane=octane, ethanol=ethanol, efficiency=efficiency)
                   for c in (cooler, cooler + better))
    for id_ in ("air.manifold_temperature", "charge.temperature_end_of_pull", "charge.temperature_third_pull"):
        assert np.all(read(good, id_) <= read(plain, id_) + 1e-6), id_
    # A denser charge feeds the turbine more as well: where boost is short there is more of it, and more retard with it.
    same = equal_boost(plain, good)
    assert same[-1]
    retard = [read(found, "combustion.spark_retard")[same] for found in (plain, good)]
    assert np.all(retard[1] <= retard[0] + math.radians(0.1))
    assert np.all(read(good, "air.boost") >= read(plain, "air.boost") - 1.0)
    assert np.all(read(good, "crank.power") >= read(plain, "crank.power") * (1 - SOLVER))


@EFFICIENCIES
@given(st.floats(43.0, 54.0), st.floats(0.5, 6.0), boosts)
@fewer
def test_a_smaller_compressor_never_has_more_choke_margin_nor_less_surge_margin(efficiency, inducer, more, boost):
    small, large = (columns(inducer=f"{i} mm", exducer=f"{i * 62 / 48} mm", boost=f"{boost} psi",
                            efficiency=efficiency) for i in (inducer, inducer + more))
    for id_, worse, better in (("choke", small, large), ("surge", large, small)):
        ours, theirs = (read(found, f"compressor.{id_}_margin") for found in (worse, better))
        known = np.isfinite(ours) & np.isfinite(theirs)
        assert known[-3:].all()
        assert np.all(ours[known] <= theirs[known] + 1e-9), id_


@EFFICIENCIES
@given(st.floats(2.0, 10.0), st.floats(0.3, 4.0), altitudes)
@fewer
def test_more_boost_never_cools_what_leaves_the_compressor(efficiency, boost, more, altitude):
    less, much = (columns(boost=f"{b} psi", altitude=f"{altitude} m", efficiency=efficiency)
                  for b in (boost, boost + more))
    for id_ in ("compressor.outlet_temperature", "air.manifold_temperature"):
        assert np.all(read(much, id_) >= read(less, id_) - 1e-6), id_
    assert read(much, "compressor.outlet_temperature")[-1] > read(less, "compressor.outlet_temperature")[-1]


# Definitions: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 psi = 6894.757293 Pa, degF = 1.8 degC + 32
@given(
    st.floats(5.0, 12.0), st.floats(44.0, 52.0), st.floats(0.0, 2000.0), st.floats(5.0, 35.0), st.floats(25.0, 45.0)
)
@few
def test_units_never_change_the_answer(boost, inducer, altitude, celsius, gate):
    metric = columns(
        boost=f"{boost * 6894.757293168361 / 1e5:.15g} bar", inducer=f"{inducer:.15g} mm", exducer="62 mm",
        altitude=f"{altitude:.15g} m", air=f"{celsius:.15g} degC", hot=f"{celsius + 8:.15g} degC", bore="86 mm",
        turbine_inducer="55 mm", turbine_exducer="49.5 mm", gate=f"{gate:.15g} mm", drop="5 kPa", cooler="0.7",
    )  # fmt: skip
    other = columns(
        boost=f"{boost:.15g} psi", inducer=f"{inducer / 25.4:.15g} in", exducer=f"{62 / 25.4:.15g} in",
        altitude=f"{altitude / 0.3048:.15g} ft", air=f"{1.8 * celsius + 32:.15g} degF",
        hot=f"{1.8 * (celsius + 8) + 32:.15g} degF", bore=f"{86 / 25.4:.15g} in",
        turbine_inducer=f"{55 / 25.4:.15g} in", turbine_exducer=f"{49.5 / 25.4:.15g} in",
        gate=f"{gate / 25.4:.15g} in", drop=f"{5000 / 6894.757293168361:.15g} psi", cooler="70 %",
    )  # fmt: skip
    families = ("ambient.", "air.", "exhaust.", "turbine.", "compressor.", "intercooler.", "charge.", "boost.",
                "crank.", "wastegate.")
    compared = 0
    for id_, column in metric.items():
        if not id_.startswith(families) or column.si is None or not np.issubdtype(np.asarray(column.si).dtype, float):
            continue
        # residuals are what the solvers leave over, round-off of round-off
        room = 1e-6 if id_.endswith("residual") else 1e-9
        assert np.allclose(other[id_].si, column.si, rtol=1e-6, atol=room, equal_nan=True), id_
        compared += 1
    assert compared > 40
