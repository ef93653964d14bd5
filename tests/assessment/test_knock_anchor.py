"""Knock anchored on the maker's fuel, or on the shop's own points: bounds, spread, and what each draw makes of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.physics.combustion.auto_ignition import anchored_offset

RPM = np.pi / 30.0
PSI = 6894.757
SPEEDS = np.array([2500.0, 3500.0, 4500.0, 6000.0]) * RPM
OFFSET, SPREAD = "knock.anchored_offset", "knock.anchored_spread"
PRIOR = "class.knock.octane_offset"
# A net rating is referred to 99 kPa of dry air at 25 degC (ISO 1585), which is 195 m in the standard atmosphere.
RATING_SITE = "{altitude: 195 m, air_temperature: 25 degC, relative_humidity: 0 %, hot_day_temperature: 25 degC}"
SITE = "{altitude: 0 m, air_temperature: 25 degC, relative_humidity: 40 %, hot_day_temperature: 25 degC}"
TURBO = "{kind: turbocharger, boost: 6 psi, intercooler: {effectiveness: 0.7}}"


def written(ratio=12.5, maker=95, fuel=95, boosted=True, site=SITE, anchors=""):
    rating = "" if maker is None else f"""
  standard_output:
    torque: {{value: 206 N*m, at: 4500 rpm}}
    power: {{value: 200 hp, at: 7000 rpm}}
    rating: ISO 1585
    fuel: {{octane: {maker} RON, is: minimum}}"""
    return filled(parse_build(f"""
build: invented two litres
goal: {{power: 220 hp, at: crank}}
site: {site}
engine:
  cylinders: 4
  bore: 86 mm
  stroke: 86 mm
  compression_ratio: {ratio}
  redline: 7200 rpm
  injection: direct{rating}
forced_induction: {TURBO if boosted else "{kind: none}"}
fuel: {{octane: {fuel} RON, gasoline_ethanol: 10 %, ethanol: 10 %}}
{anchors}
"""))


def with_input(described, **values):
    changed = {path: replace(described.inputs[path], value=to, low=None, high=None) for path, to in values.items()}
    return replace(described, inputs={**described.inputs, **changed})


def column(described, id_, samples=0, speeds=SPEEDS):
    return assess(described, samples=samples, speeds=speeds).columns[id_].si


def offset(described, samples=0):
    return np.ravel(column(described, OFFSET, samples))


@pytest.mark.parametrize(
    ("prior", "latest", "earliest", "octane", "expected"),
    [
        (0.0, 92.0, 101.0, 95.0, 0.0),  # between -3 and 6: the class's own
        (0.0, 97.0, 106.0, 95.0, 2.0),  # could not be run as late as the latest without 2 more
        (5.0, 92.0, 97.0, 95.0, 2.0),  # more than 2 would leave the earliest clear of knock
        (5.0, 80.0, 85.0, 95.0, -3.0),  # 10 unused, of which 3 are taken for the chamber's fault
        (-6.0, 85.0, 94.0, 95.0, -6.0),  # a class that knocks early keeps that
    ],
)
def test_the_bounds_by_hand(prior, latest, earliest, octane, expected):
    assert anchored_offset(prior, latest, earliest, octane, -3.0) == expected


def test_a_makers_engine_that_could_not_run_on_his_fuel_is_given_what_it_takes():
    # 13.5 : 1 on 86 RON: at the maker's torque the engine then burns as late as a factory runs, 16 deg for the class,
    # in the air that the rating is for.  0.5 deg: torque is scaled once more after the offset.
    described = written(ratio=13.5, maker=86, fuel=86, boosted=False, site=RATING_SITE)
    assert offset(described)[0] > 0.0
    angle = column(described, "combustion.angle_of_half_burned", speeds=np.array([4500.0]) * RPM)
    assert np.degrees(np.ravel(angle)[0]) == pytest.approx(16.0, abs=0.5)


def test_a_maker_who_asks_for_more_than_he_uses_lowers_the_offset_by_three_at_most():
    assert offset(written(ratio=8.5, maker=98, fuel=98, boosted=False))[0] == pytest.approx(-3.0, abs=1e-9)


def test_an_engine_between_its_bounds_keeps_the_offset_of_its_class():
    between = written(ratio=12.5, maker=95)
    assert offset(between)[0] == 0.0
    assert offset(with_input(between, **{PRIOR: 1.0}))[0] == pytest.approx(offset(between)[0], abs=1.0)


@pytest.mark.parametrize("prior", [-12.0, 12.0])
def test_bounds_hold_whatever_the_prior(prior):
    described = with_input(written(ratio=12.5, maker=93), **{PRIOR: prior})
    found = assess(described, samples=0, speeds=SPEEDS)
    read = {name: np.ravel(found.columns[f"knock.{name}"].si)[0]
            for name in ("factory_wanted_latest", "factory_wanted_earliest", "factory_octane")}
    held = read["factory_octane"] + np.ravel(found.columns[OFFSET].si)[0]
    # with what it gets, the factory engine can be run at the latest angle, and knocks at the earliest or nearly does
    assert held >= read["factory_wanted_latest"] - 1e-9
    assert held <= max(read["factory_wanted_earliest"], read["factory_octane"] - 3.0) + 1e-9
    # a later burn wants less
    assert read["factory_wanted_latest"] < read["factory_wanted_earliest"]


def test_the_offset_moves_with_the_makers_octane():
    # At the bound, an engine that its maker runs on a poorer fuel gets along with as many numbers more.
    makers = [83, 86, 89, 92, 95, 98]
    found = np.array([offset(written(ratio=13.5, maker=octane))[0] for octane in makers])
    assert np.all(np.diff(found) <= 0.0)
    # a number of research octane is one of the index while the sensitivity stays; a tenth for what it does to that
    assert found[0] - found[1] == pytest.approx(3.0, abs=0.3)
    assert found[-1] < found[0] - 3.0


def test_no_edit_of_boost_or_fuel_moves_the_offset_while_the_maker_stands():
    plain = offset(written(ratio=13.5, maker=88, fuel=95), samples=4)
    richer = offset(written(ratio=13.5, maker=88, fuel=98), samples=4)
    assert np.array_equal(plain, richer)


def half_width(values):
    low, high = np.percentile(values, (5, 95))
    return 0.5 * (high - low)


@pytest.mark.parametrize("maker", [None, 95])
def test_without_points_a_boosted_build_is_open_by_three_numbers_at_least(maker):
    # Nothing but the shop's own points tells how the maker's chamber carries to boost.
    described = written(maker=maker)
    columns = assess(described, samples=200, speeds=SPEEDS[:2]).columns
    known = columns.get(OFFSET, columns[PRIOR]).si
    drawn = np.ravel(known + columns["class.knock.carried"].si)[1:]
    assert drawn.size == 200
    assert half_width(drawn) >= 3.0
    # and what comes of it: the fuel holds that much more or less
    assert half_width(np.ravel(columns["knock.octane_available"].si[0])[1:]) >= 3.0


def test_an_engine_without_boost_is_carried_nowhere():
    carried = assess(written(boosted=False), samples=200, speeds=SPEEDS[:2]).columns["class.knock.carried"].si
    assert half_width(np.ravel(carried)[1:]) == pytest.approx(1.5, abs=0.2)


TRUE_OFFSET = 4.0


def points_of(described, speeds=SPEEDS):
    """What a shop would note of an engine run at its knock limit, read off the engine."""
    found = assess(described, samples=0, speeds=speeds).columns

    def at_site(id_):
        return np.broadcast_to(found[id_].si, (2, 1, len(speeds)))[0, 0]

    limited = at_site("combustion.knock_limited_half_burned")
    # the spark moves with the burn: from the timing run to the knock limit
    timing = at_site("combustion.spark_advance") + at_site("combustion.angle_of_half_burned") - limited
    lines = []
    for place, speed in enumerate(speeds):
        boost, kelvin = at_site("air.boost")[place], at_site("air.manifold_temperature")[place]
        lines.append(f"{{speed: {speed / RPM:.3f} rpm, boost: {boost / PSI:.5f} psi, "
                     f"charge_temperature: {kelvin - 273.15:.4f} degC, "
                     f"lambda: {at_site('fuel.lambda_target')[place]:.4f}, "
                     f"timing: {np.degrees(timing[place]):.4f} deg}}")
    return f"anchors: {{knock: [{', '.join(lines)}]}}"


@pytest.mark.parametrize("maker", [None, 95])
@pytest.mark.parametrize("true", [TRUE_OFFSET, -3.0])
def test_the_shops_points_give_back_the_offset_of_the_engine_they_are_from(true, maker):
    # the engine itself: its class's offset is set, and the maker's figures (if any) are its own, so that bounds hold
    engine = with_input(written(maker=maker), **{PRIOR: true})
    its_own = offset(engine)[0] if maker else true
    told = written(maker=maker, anchors=points_of(engine))
    assert offset(told)[0] == pytest.approx(its_own, abs=0.3)
    # no less than half of the way from what would be believed without
    believed = offset(written(maker=maker))[0] if maker else 0.0
    if abs(its_own - believed) > 1.0:
        assert abs(offset(told)[0] - its_own) < 0.5 * abs(believed - its_own)


def test_the_shops_points_replace_prior_and_spread():
    told = written(maker=None, anchors=points_of(with_input(written(maker=None), **{PRIOR: TRUE_OFFSET})))
    without, with_points = (assess(d, samples=200, speeds=SPEEDS[2:]).columns for d in (written(maker=None), told))
    assert SPREAD not in without
    # Each point is good to 1.5 numbers, four of them to half of that.
    assert half_width(np.ravel(with_points[SPREAD].si)[1:]) == pytest.approx(0.75, abs=0.1)
    # The margin of a draw no longer rests on the prior nor on what carrying it is worth.
    assert PRIOR not in with_points["knock.margin_best_torque"].rests
    assert "class.knock.carried" not in with_points["knock.margin_best_torque"].rests
    # What was assumed of the engine when the points were reckoned is in the offset.
    assert {"anchors.knock", "class.wall.temperature", "engine.bore"} <= with_points["knock.anchored_offset"].rests


def test_at_the_shops_own_spark_the_margin_is_nil_within_what_a_point_is_worth():
    # What a draw assumes of burning, walls and heat is in its offset too, so it cancels where the points were taken.
    # Elsewhere it does not: where the burn lies for a spark is as unknown as before.
    engine = with_input(written(maker=None), **{PRIOR: TRUE_OFFSET})
    speeds = SPEEDS[2:]  # where the turbocharger surely gives what is asked
    points = points_of(engine, speeds)
    timing = [float(text.split("timing: ")[1].split(" deg")[0]) for text in points.split("}, {")]
    curve = ", ".join(f"{speed / RPM:.3f} rpm: {at:.4f} deg" for speed, at in zip(speeds, timing, strict=True))
    run_there = f"ignition: {{timing: {{{curve}}}}}"
    untold, told = (
        np.asarray(column(written(maker=None, anchors=text), "knock.margin", 200, speeds))[0]
        for text in (run_there, f"{points}\n{run_there}")
    )
    assert told[0] == pytest.approx(0.0, abs=0.3)
    for place in range(speeds.size):
        # two points of 1.5 numbers: 1.06, and the charge at one speed against the mean of both
        assert half_width(told[1:, place]) < 2.5
        assert half_width(told[1:, place]) < 0.25 * half_width(untold[1:, place])


def test_one_point_is_a_point():
    told = written(maker=None, anchors=points_of(with_input(written(maker=None), **{PRIOR: TRUE_OFFSET}), SPEEDS[1:2]))
    assert offset(told)[0] == pytest.approx(TRUE_OFFSET, abs=0.3)
    assert half_width(np.ravel(column(told, SPREAD, samples=200))[1:]) == pytest.approx(1.5, abs=0.2)


def test_an_edit_that_takes_the_makers_figures_out_leaves_the_air_of_the_shops_points():
    """The maker's engine is a fact of the file as read.  Classes that are chosen by his power may be others then."""
    point = "{speed: 4500 rpm, boost: 6 psi, charge_temperature: 45 degC, lambda: 0.80, timing: 9 deg}"
    told = written(anchors=f"anchors: {{knock: [{point}]}}")
    less, none = (
        filled(edited(told.build, [{"drop": f"engine.standard_output{part}"}])) for part in (".torque", "")
    )
    assert offset(less) == pytest.approx(offset(told), abs=1e-9)
    assert np.isfinite(offset(none)).all()


def test_every_draw_has_its_own_offset_and_none_moves_another():
    described = written(ratio=13.0, maker=91)
    found = assess(described, samples=64, speeds=SPEEDS[:2]).columns
    drawn, prior = np.ravel(found[OFFSET].si), np.ravel(found[PRIOR].si)
    assert drawn.shape == prior.shape == (65,)
    lowest, highest = (np.ravel(found[f"knock.factory_wanted_{name}"].si - found["knock.factory_octane"].si)
                       for name in ("latest", "earliest"))
    kept = (prior >= lowest) & (prior <= np.maximum(highest, -3.0))
    # some draws keep the class's, some are raised to what the maker's fuel asks for
    assert kept.any() and (~kept).any()
    assert drawn[kept] == pytest.approx(prior[kept], abs=1e-12)
    assert drawn[prior < lowest] == pytest.approx(lowest[prior < lowest], abs=1e-12)
    # the typical row is what it is without draws, and a draw what it is among fewer speeds
    assert drawn[0] == pytest.approx(offset(described)[0], abs=1e-9)
    fewer = np.ravel(assess(described, samples=64, speeds=SPEEDS[:1]).columns[OFFSET].si)
    assert np.array_equal(drawn, fewer)


def test_a_point_stated_with_ranges_opens_the_offset_as_far_as_its_ends():
    def point(boost, timing="9 deg"):
        one = f"{{speed: 4500 rpm, boost: {boost}, charge_temperature: 45 degC, lambda: 0.80, timing: {timing}}}"
        return written(maker=None, anchors=f"anchors: {{knock: [{one}]}}")

    def alone(described):
        """Nothing else is drawn."""
        kept = {path: given if path.startswith("anchors.") else replace(given, low=None, high=None, shape="point")
                for path, given in described.inputs.items()}
        return replace(described, inputs=kept)

    middle, low, high = (offset(point(boost))[0] for boost in ("6 psi", "5 psi", "7 psi"))
    ranged = np.ravel(offset(alone(point("6 +/- 1 psi")), samples=200))
    assert ranged[0] == pytest.approx(middle, abs=1e-9)
    assert np.ptp(offset(alone(point("6 psi")), samples=8)) < 1e-9
    # the offset runs one way with boost, so its percentiles are those of the boost
    assert abs(high - low) > 0.5
    assert np.quantile(ranged[1:], [0.05, 0.95]) == pytest.approx(sorted([low, high]), abs=0.05)
    # another deviate for each value of a point
    timed = np.ravel(offset(alone(point("6 psi", "9 +/- 1 deg")), samples=200))
    assert abs(np.corrcoef(ranged[1:], timed[1:])[0, 1]) < 0.2
