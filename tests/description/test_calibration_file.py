"""Calibration files: how one is read, chosen and used, and what later checks then show."""

from __future__ import annotations

import numpy as np
import pytest
import yaml

from enginelimits.assessment.calibrated import calibrated_columns
from enginelimits.assessment.collect import assess
from enginelimits.assessment.sample import input_columns
from enginelimits.description.calibration import Z95, calibration_for, parse_calibration
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.errors import InputError
from enginelimits.shop import Setting, Shop

RPM = np.pi / 30.0
SPEEDS = np.array([2500.0, 4000.0, 5500.0]) * RPM
FILE = """
engine: {family: invented two litre four}
date: 2026-03-02
author: the workshop
method: by hand
taken_at: {speed: 2000 to 6000 rpm, boost: 0.1 to 0.5 bar_g, octane: 98 RON, ethanol: 5 %, dyno: inertia,
           induction: turbocharger, drive: rear, gearbox: manual}
logs: [{file: made.csv, sha256: 0123}]
filling_of: four-valve
anchors:
  filling: {2500 rpm: 0.93 +/- 0.02, 4000 rpm: 0.95 +/- 0.02, 5500 rpm: 0.99 +/- 0.02}
  driveline_loss_fixed: 7.2 +/- 0.5 kW
  driveline_loss_proportional: 0.10 +/- 0.02
  dyno_factor: 1.01 +/- 0.02
  cooler_effectiveness: 0.62 +/- 0.02
  knock_offset: -2.5 +/- 1.0
moved: [filling, cooler_effectiveness, knock_offset]
correlation: [[], [0.8], [0.8, 0.8], [0, 0, 0], [0, 0, 0, 0], [0, 0, 0, 0, 0], [0, 0, 0, 0, 0, 0],
              [0, 0, 0, 0, 0, 0, 0]]
"""
TREE = {
    "build": "invented two litres",
    "goal": {"power": "180 hp", "at": "wheels", "dyno": "inertia", "correction": "none"},
    "engine": {
        "family": "Invented  two litre FOUR", "cylinders": 4, "valves_per_cylinder": 4, "bore": "86 mm",
        "stroke": "86 mm", "compression_ratio": 10.0, "redline": "6500 rpm", "injection": "port",
        "standard_output": {"torque": {"value": "190 N*m", "at": "4500 rpm"},
                            "power": {"value": "150 hp", "at": "6000 rpm"}, "rating": "ISO 1585",
                            "fuel": {"octane": "95 RON", "is": "minimum"}},
    },
    "forced_induction": {"kind": "turbocharger", "boost": "0.45 bar_g"},
    "fuel": {"octane": "98 RON", "gasoline_ethanol": "5 %", "ethanol": "5 %"},
    "driveline": {"drive": "rear", "gearbox": "manual"},
}


def build(**changes):
    tree = yaml.safe_load(yaml.safe_dump(TREE))
    for path, value in changes.items():
        *where, last = path.split("__")
        place = tree
        for key in where:
            place = place.setdefault(key, {})
        if value is None:
            place.pop(last)
        else:
            place[last] = value
    return parse_build(yaml.safe_dump(tree))


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "calibrations"
    folder.mkdir()
    (folder / "first.yaml").write_text(FILE, encoding="utf-8")
    return Shop(tmp_path)


def row(described, id_, samples=0, speeds=SPEEDS):
    """A column that a calibration gives, (1 + samples, speeds)."""
    inputs = input_columns(described, speeds, samples, 1, ("site",))
    si = calibrated_columns(described, speeds, samples, 1, inputs)[id_].si
    return np.broadcast_to(si, np.broadcast_shapes(si.shape, (1, 1 + samples, speeds.size)))[0]


def test_a_file_is_read_in_si():
    found = parse_calibration(FILE, "first.yaml")
    assert found.name == "first"
    assert found.speed == pytest.approx((2000.0 * RPM, 6000.0 * RPM))
    assert found.boost == pytest.approx((10e3, 50e3))
    (fixed,) = found.of("driveline_loss_fixed")
    assert fixed.value == pytest.approx(7200.0)
    # +/- is to the 95th percentile, 1.645 standard deviations of a normal (any table)
    assert fixed.error == pytest.approx(500.0 / 1.645, rel=1e-3)
    assert not fixed.moved and found.of("knock_offset")[0].moved
    assert found.correlation[1][0] == 0.8 == found.correlation[0][1]


def test_the_family_finds_it_and_none_refuses_it(shop):
    assert calibration_for(build(), shop)[0].name == "first"
    assert calibration_for(build(calibration="none"), shop) == (None, False)
    assert calibration_for(build(engine__family="another"), shop)[0] is None
    assert calibration_for(build(engine__family=None), shop)[0] is None
    assert calibration_for(build(), None)[0] is None
    assert filled(build()).calibration is None


def test_the_newest_of_a_family_is_used(shop):
    newer = FILE.replace("2026-03-02", "2026-04-02").replace("0.62 +/-", "0.66 +/-")
    (shop.folder / "calibrations" / "again.yaml").write_text(newer, encoding="utf-8")
    assert filled(build(), shop=shop).get("forced_induction.intercooler.effectiveness").value == pytest.approx(0.66)


def test_it_stands_before_classes_and_after_what_is_stated(shop):
    used = filled(build(), shop=shop)
    cooler, loss = used.get("forced_induction.intercooler.effectiveness"), used.get("driveline.loss.fixed")
    assert (cooler.value, cooler.basis, cooler.source) == (pytest.approx(0.62), "measured", "calibration first")
    assert (loss.value, loss.basis) == (pytest.approx(7200.0), "assumed")
    stated = filled(build(forced_induction__intercooler={"effectiveness": 0.75}), shop=shop)
    assert stated.get("forced_induction.intercooler.effectiveness").value == pytest.approx(0.75)


def test_a_calibration_that_is_named_stands_before_what_was_not_measured(shop):
    path = "forced_induction.intercooler.effectiveness"
    cooler = {"effectiveness": 0.75}
    named = build(calibration="first", forced_induction__intercooler=cooler)
    assert filled(named, shop=shop).get(path).value == pytest.approx(0.62)
    measured = {"effectiveness": {"value": 0.75, "basis": "measured"}}
    own = build(calibration="first", forced_induction__intercooler=measured)
    assert filled(own, shop=shop).get(path).value == pytest.approx(0.75)
    # a larger cooler tried as an edit is not the one that was measured
    larger = edited(named, [{"set": path, "to": "0.85"}])
    assert filled(larger, shop=shop).get(path).value == pytest.approx(0.85)


def test_the_shops_settings_give_way_to_what_it_measured(shop):
    settings = {"driveline.loss.fixed": Setting(5000.0, None, None, "point", "W")}
    with_settings = Shop(shop.folder, settings)
    assert filled(build(), shop=with_settings).get("driveline.loss.fixed").value == pytest.approx(7200.0)


def test_parts_of_another_car_keep_their_classes(shop):
    other = filled(build(driveline__drive="front", goal__dyno="hub"), shop=shop)
    assert other.get("driveline.loss.fixed").source != "calibration first"
    assert other.get("class.dyno.factor").source != "calibration first"
    blown = filled(build(forced_induction={"kind": "centrifugal", "boost": "0.45 bar_g"}), shop=shop)
    assert blown.get("forced_induction.intercooler.effectiveness").source != "calibration first"
    assert blown.get("calibration.filling") is not None


def test_later_checks_show_what_was_measured(shop):
    used = filled(build(), shop=shop)
    assert row(used, "air.anchored_factor")[0] == pytest.approx([0.93, 0.95, 0.99])
    assert row(used, "knock.anchored_offset")[0] == pytest.approx(-2.5)
    found = assess(used, samples=0, speeds=SPEEDS)
    for id_ in ("air.anchored_factor", "knock.anchored_offset"):
        assert found.quantities[id_].basis == "measured"
    # of its maker's figures, without the calibration: documented or weaker, and another filling
    before = assess(filled(build()), samples=0, speeds=SPEEDS)
    assert before.quantities["air.anchored_factor"].basis != "measured"
    assert before.columns["air.anchored_factor"].si.ravel()[1] != pytest.approx(0.95, abs=0.005)
    assert used.get("calibration.filling").basis == "measured"
    step = found.columns["air.anchored_factor"].step
    assert found.columns["air.anchored_factor"].takes == {"scale": "calibration.filling"} == dict(step.takes)


def test_draws_have_the_files_errors_and_correlation(shop):
    used = filled(build(), shop=shop)
    factor = row(used, "air.anchored_factor", samples=400)[1:]
    # the middle of the file's speeds; three sigma of a standard deviation of 400 draws is a tenth
    assert factor.std(axis=0, ddof=1) == pytest.approx(np.full(3, 0.02 / Z95), rel=0.11)
    assert np.corrcoef(factor.T)[0, 1] == pytest.approx(0.8, abs=0.06)
    assert np.corrcoef(factor.T)[1, 2] == pytest.approx(0.8, abs=0.06)
    effectiveness = row(used, "forced_induction.intercooler.effectiveness", samples=400)[1:, 0]
    assert effectiveness.std(ddof=1) == pytest.approx(0.02 / Z95, rel=0.11)


def spread(described, id_, speeds, samples=400):
    return row(described, id_, samples=samples, speeds=np.asarray(speeds) * RPM)[1:].std(axis=0)


def test_beyond_the_speeds_covered_the_filling_is_less_sure(shop):
    used = filled(build(engine__redline="7600 rpm"), shop=shop)
    at_edge, near, far = spread(used, "air.anchored_factor", [6000.0, 6600.0, 7500.0])
    assert at_edge < near < far
    # 1500 rpm beyond: the class's whole spread beside that of the file; 0.93 to 1.06 is 1.645 deviations either way
    assert far == pytest.approx(np.hypot(0.02 / Z95, 0.13 / 2.0 / Z95), rel=0.15)
    assert row(used, "air.anchored_factor", speeds=np.array([7500.0]) * RPM)[0, 0] == pytest.approx(0.99)


def test_beyond_the_boost_and_fuel_covered_filling_and_knock_are_less_sure(shop):
    within, above, far = (
        filled(build(forced_induction__boost=f"{bar} bar_g"), shop=shop) for bar in (0.45, 0.70, 1.20)
    )
    for id_ in ("air.anchored_factor", "knock.anchored_spread"):
        widths = [spread(used, id_, [4000.0])[0] for used in (within, above, far)]
        assert widths[0] < widths[1] < widths[2]
    race = filled(build(fuel={"octane": "104 RON", "gasoline_ethanol": "5 %", "ethanol": "5 %"}), shop=shop)
    carried = spread(race, "knock.anchored_spread", [4000.0])[0]
    # class.knock.carried of an engine with boost is 4 either way at the 95th percentile
    assert carried == pytest.approx(4.0 / Z95, rel=0.1)
    assert spread(within, "knock.anchored_spread", [4000.0])[0] == 0.0


def test_far_beyond_it_is_no_longer_told_as_measured(shop):
    fast = filled(build(engine__redline="7600 rpm"), shop=shop)
    found = assess(fast, samples=4, speeds=np.array([4000.0, 7500.0]) * RPM)
    assert found.quantities["air.anchored_factor"].basis == "assumed"


def test_the_makers_engine_is_still_judged_by_its_own_figures(shop):
    from enginelimits.description.standard import standard_build

    assert filled(standard_build(build()), shop=shop).calibration is None


def test_another_class_of_filling_is_not_scaled(shop):
    two_valve = build(engine__valves_per_cylinder=2)
    assert filled(two_valve, shop=shop).get("calibration.filling") is None
    with pytest.raises(InputError, match="scales the class `two-valve`"):
        filled(build(engine__valves_per_cylinder=2, calibration="first"), shop=shop)


@pytest.mark.parametrize(
    ("name", "said"),
    [("second", "There is: first"), ("../first", "There is: first"), ("first.txt", "There is: first")],
)
def test_a_name_that_is_not_there_is_refused(shop, name, said):
    with pytest.raises(InputError, match=said):
        filled(build(calibration=name), shop=shop)


def test_a_name_without_a_folder_and_another_family_are_refused(shop):
    with pytest.raises(InputError, match="--shop"):
        filled(build(calibration="first"))
    with pytest.raises(InputError, match="a calibration of this engine family"):
        filled(build(calibration="first", engine__family="another"), shop=shop)


@pytest.mark.parametrize(
    ("was", "now", "key", "line"),
    [
        ("date: 2026-03-02", "date: 2026-13-02", "date", 3),
        ("author:", "autor:", "autor", 4),
        ("98 RON", "98", "taken_at.octane", 6),
        ("0.93 +/- 0.02", "1.93 +/- 0.02", "anchors.filling.2500 rpm", 11),
        ("7.2 +/- 0.5 kW", "7.2 +/- 0.5", "anchors.driveline_loss_fixed", 12),
        ("cooler_effectiveness: 0.62", "cooler: 0.62", "anchors.cooler", 15),
        ("[0.8], [0.8, 0.8]", "[0.8], [0.8]", "correlation", 18),
        ("[0.8], [0.8, 0.8]", "[0.9], [0.9, -0.9]", "correlation", 18),
        ("2500 rpm: 0.93", "4500 rpm: 0.93", "anchors.filling", 11),
        ("engine: {family: invented two litre four}", "engine: {}", "engine.family", 2),
        ("filling_of: four-valve\n", "", "filling_of", None),
        ("boost: 0.1 to 0.5 bar_g", "boost: 0.1 to 0.5 bar_a", "taken_at.boost", 6),
        ("[{file: made.csv, sha256: 0123}]", "[made.csv]", "logs.0", 8),
    ],
)
def test_what_is_wrong_with_a_file_is_named_at_its_place(was, now, key, line):
    assert was in FILE
    with pytest.raises(InputError) as refused:
        parse_calibration(FILE.replace(was, now), "first.yaml")
    (problem,) = refused.value.problems
    assert problem.key == key
    assert problem.file == "first.yaml"
    if line is not None:
        assert problem.line == line


@pytest.mark.parametrize("text", ["", "- a list", "just words", "engine: [", "\x00"])
def test_what_is_no_calibration_at_all_is_refused(text):
    with pytest.raises(InputError):
        parse_calibration(text, "first.yaml")
