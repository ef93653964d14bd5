"""Draws of what a file states with a range: cut where no such thing could be.  Builds are invented."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.columns import Column, Step
from enginelimits.assessment.runner import run
from enginelimits.assessment.sample import drawn, input_columns
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.physics.support.health import worst_leak_down
from enginelimits.present.jsonform import inputs
from enginelimits.present.values import input_text

LEAST = """\
build: least
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 11.0, redline: 7000 rpm}
%s
"""


@pytest.mark.parametrize(
    ("lines", "path", "least", "most"),
    [
        # no boost below none, whose low end is nil or beneath it
        ("forced_induction: {kind: turbocharger, boost: 2 +/- 2 psi}", "forced_induction.boost", 0.0, 5e5),
        ("forced_induction: {kind: turbocharger, boost: 1 +/- 3 psi}", "forced_induction.boost", 0.0, 5e5),
        ("driveline: {loss: {fixed: 3 +/- 3 kW}}", "driveline.loss.fixed", 0.0, 1e5),
        ("fuel: {ethanol: 3 +/- 3 %}", "fuel.ethanol", 0.0, 1.0),
        # no compressor beyond 0.95
        ("forced_induction: {kind: turbocharger, boost: 5 psi, compressor: {efficiency: 0.9 +/- 0.1}}",
         "forced_induction.compressor.efficiency", 0.2, 0.95),
        # temperatures and heights may lie below nil
        ("site: {altitude: 0 +/- 100 m}", "site.altitude", -500.0, 5000.0),
    ],
)
def test_draws_of_a_stated_range_are_cut_at_what_there_can_be(
    lines: str, path: str, least: float, most: float
) -> None:
    given = filled(parse_build(LEAST % lines)).inputs[path]
    draws = drawn(given, 400, seed=5)[1:]
    assert least <= draws.min() < given.value < draws.max() <= most
    if path == "site.altitude":
        assert draws.min() < -100.0


BOOSTED = """\
build: invented
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 9.5, redline: 7000 rpm, injection: port}
forced_induction: {kind: turbocharger, boost: %s}
fuel: {octane: 98 RON}
"""
RPM = np.pi / 30.0
PSI = 6894.757293168361
BOOST = "forced_induction.boost"


def boost_rows(text: str, *, edits: list[dict[str, str]] | None = None, speeds: tuple[float, ...], samples: int = 200):
    """Boost asked for in psi, row 0 and draws, by speed in rpm."""
    build = parse_build(BOOSTED % text)
    described = filled(edited(build, edits) if edits else build)
    column = input_columns(described, np.array(speeds) * RPM, samples, 3, ("site",))[BOOST]
    return np.broadcast_to(column.si, (1, 1 + samples, len(speeds)))[0] / PSI


@pytest.mark.parametrize("value", ["10 +/- 2 psi", "8 to 12 psi", "{value: 9 psi, low: 8 psi, high: 12 psi}"])
def test_the_same_range_at_every_point_of_a_curve_is_that_range(value: str) -> None:
    ids = frozenset({"air.boost", "crank.power", "cylinder.peak_pressure"})
    outputs = [
        assess(filled(parse_build(BOOSTED % boost)), samples=12, speeds=np.array([2500.0, 5000.0]) * RPM,
               site_alone=True, only=ids).quantities
        for boost in (value, f"{{2000 rpm: {value}, 7000 rpm: {value}}}")
    ]
    for id_ in ids:
        scalar, curve = (found[id_] for found in outputs)
        assert scalar.low < scalar.value < scalar.high
        assert (curve.value, curve.low, curve.high) == pytest.approx((scalar.value, scalar.low, scalar.high), rel=1e-9)


def test_a_curve_is_high_or_low_as_a_whole_and_as_wide_as_it_says_at_each_point() -> None:
    rows = boost_rows("{2000 rpm: 6 psi, 4000 rpm: 10 +/- 1 psi, 6000 rpm: {value: 12 psi, low: 8 psi, high: 14 psi}}",
                      speeds=(1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0), samples=4000)
    # Typical values lie straight between the points, level beyond them: exact, as without ranges.
    assert rows[0] == pytest.approx([6.0, 6.0, 8.0, 10.0, 11.0, 12.0, 12.0], abs=1e-9)
    assert np.ptp(rows[:, :2]) < 1e-9  # nothing is uncertain where nothing was said to be
    # low and high are the 5th and 95th percentile, halfway between two points the mean of theirs
    low, high = np.quantile(rows[1:], [0.05, 0.95], axis=0)
    assert low[2:] == pytest.approx([7.5, 9.0, 8.5, 8.0, 8.0], abs=0.03)
    assert high[2:] == pytest.approx([8.5, 11.0, 12.5, 14.0, 14.0], abs=0.03)
    above = rows[1:, 2:] > rows[0, 2:]
    assert (above == above[:, :1]).all()


def test_one_point_alone_is_level() -> None:
    rows = boost_rows("{4000 rpm: 10 +/- 1 psi}", speeds=(2000.0, 4000.0, 6000.0), samples=40)
    assert (rows == rows[:, :1]).all()
    assert rows[1:].min() < 9.0 < 11.0 < rows[1:].max()


def test_draws_of_a_curve_are_cut_at_what_there_can_be() -> None:
    rows = boost_rows("{2000 rpm: 1 +/- 3 psi, 7000 rpm: 2 +/- 3 psi}", speeds=(2000.0, 4500.0, 7000.0))
    assert rows[1:].min() == 0.0


def test_other_inputs_keep_their_draws_beside_a_curve_with_ranges() -> None:
    columns = [
        input_columns(filled(parse_build(BOOSTED % boost)), np.array([3000.0]) * RPM, 20, 3, ("site",))
        for boost in ("{2000 rpm: 10 psi, 7000 rpm: 10 psi}", "{2000 rpm: 10 +/- 2 psi, 7000 rpm: 10 psi}")
    ]
    exact, ranged = columns
    assert exact.keys() == ranged.keys()
    assert exact[BOOST].si.shape == (1, 1, 1)
    for path in exact.keys() - {BOOST}:
        if isinstance(exact[path].si, np.ndarray):
            assert np.array_equal(exact[path].si, ranged[path].si), path


def test_a_cap_from_a_speed_on_keeps_what_was_not_known_on_the_other_side() -> None:
    cap = [{"cap": BOOST, "above": "5000 rpm", "to": "8 psi"}]
    rows = boost_rows("10 +/- 1 psi", edits=cap, speeds=(3000.0, 4990.0, 5000.0, 6500.0), samples=2000)
    assert rows[0] == pytest.approx([10.0, 10.0, 8.0, 8.0], abs=1e-6)
    low, high = np.quantile(rows[1:, :2], [0.05, 0.95], axis=0)
    assert low == pytest.approx([9.0, 9.0], abs=0.01)
    assert high == pytest.approx([11.0, 11.0], abs=0.01)
    # all that the boost may be lies above the cap
    assert np.ptp(rows[:, 2:]) < 1e-6


def test_a_cap_within_the_range_cuts_what_lies_above_and_keeps_what_lies_below() -> None:
    cap = [{"cap": BOOST, "below": "4000 rpm", "to": "9.5 psi"}]
    rows = boost_rows("10 +/- 1 psi", edits=cap, speeds=(2500.0, 5500.0), samples=2000)
    assert rows[0] == pytest.approx([9.5, 10.0], abs=1e-6)
    assert rows[1:, 0].max() == pytest.approx(9.5, abs=1e-6)
    assert np.quantile(rows[1:, 0], 0.05) == pytest.approx(9.0, abs=0.01)
    assert np.quantile(rows[1:, 1], [0.05, 0.95]) == pytest.approx([9.0, 11.0], abs=0.01)


def test_low_and_high_of_a_curve_are_told_where_they_were_stated() -> None:
    described = filled(parse_build(BOOSTED % "{2000 rpm: 5 psi, 6000 rpm: 10 +/- 1 psi}"))
    found = inputs([described.inputs[BOOST]])[BOOST]
    first, last = found["value"]
    assert first == {"at": pytest.approx(2000.0 * RPM), "value": pytest.approx(5.0 * PSI)}
    assert last == {"at": pytest.approx(6000.0 * RPM), "value": pytest.approx(10.0 * PSI),
                    "low": pytest.approx(9.0 * PSI), "high": pytest.approx(11.0 * PSI)}
    assert (found["low"], found["high"]) == (None, None)
    assert input_text(described.inputs[BOOST], "us") == (
        "2000 rpm: 5.0 psi gauge, 6000 rpm: 10.0 psi gauge (9.0 to 11.0 psi gauge)"
    )


CONDITION = BOOSTED + "internals: {condition: {%s}}\n"


def condition(lines: str, quantity: str, samples: int = 200):
    described = filled(parse_build(CONDITION % ("8 psi", lines)))
    speeds = np.array([4000.0]) * RPM
    found = assess(described, samples=samples, speeds=speeds, site_alone=True, only=frozenset({quantity}))
    return described, np.asarray(found.columns[quantity].si, dtype=float).ravel()


def test_each_cylinder_of_a_list_is_drawn_with_its_own_range() -> None:
    lines = "leak_down: [2 %, 10 +/- 2 %, 3 %, 10 +/- 2 %]"
    described, worst = condition(lines, "condition.leak_down_worst", samples=300)
    assert worst[0] == pytest.approx(0.10)
    # The greater of two alike and independent normal readings: sigma / sqrt(pi) above one (order statistics, from
    # memory), against none if one gauge moved both.
    sigma = 0.02 / 1.6449
    assert worst[1:].mean() == pytest.approx(0.10 + sigma / np.sqrt(np.pi), abs=0.0015)
    given = described.inputs["internals.condition.leak_down"]
    told = inputs([given])[given.path]
    assert told["value"] == pytest.approx([0.02, 0.10, 0.03, 0.10])
    assert told["low"] == pytest.approx([0.02, 0.08, 0.03, 0.08])
    assert told["high"] == pytest.approx([0.02, 0.12, 0.03, 0.12])
    assert input_text(given, "metric") == "0.02, 0.10 (0.08 to 0.12), 0.03, 0.10 (0.08 to 0.12)"


def test_a_list_is_cut_at_what_there_can_be_and_an_exact_one_is_not_drawn() -> None:
    columns = [
        input_columns(filled(parse_build(CONDITION % ("8 psi", f"leak_down: [{lines}]"))), np.array([400.0]), 90, 3)
        for lines in ("1 +/- 2 %, 2 %, 3 %, 4 %", "1 %, 2 %, 3 %, 4 %")
    ]
    ranged, exact = (found["internals.condition.leak_down"].si for found in columns)
    assert ranged.shape == (1, 91, 1, 4)
    assert ranged.min() == 0.0
    assert exact == pytest.approx([0.01, 0.02, 0.03, 0.04])


def test_the_spread_of_compressions_follows_their_ranges() -> None:
    exact = "compression: [13 bar_g, 13 bar_g, 12 bar_g, 13 bar_g]"
    _, alone = condition(exact, "condition.compression_spread")
    assert alone == pytest.approx(1.0 / 13.0)
    _, ranged = condition(exact.replace("12 bar_g", "12 +/- 0.5 bar_g"), "condition.compression_spread")
    assert ranged[0] == pytest.approx(1.0 / 13.0)
    assert np.quantile(ranged[1:], [0.05, 0.95]) == pytest.approx([0.5 / 13.0, 1.5 / 13.0], abs=0.002)


def test_a_reading_beyond_its_range_marks_the_draws_and_no_other_axis() -> None:
    """Boosts tried are an axis of their own too, and keep it: what lies beyond a range there marks its own boost."""
    listed, boosts = np.zeros((1, 3, 1, 4)), np.zeros((3, 1, 1, 2))
    listed[0, 1, 0, 2], boosts[2, 0, 0, 1] = 1.5, 1.5

    def marked(name: str, values: np.ndarray) -> np.ndarray:
        step = Step(("condition.leak_down_worst",), worst_leak_down, {"leak_down": name})
        return np.asarray(run([step], {name: Column(values)})["condition.leak_down_worst"].outside)

    assert marked("internals.condition.leak_down", listed).tolist() == [[[False], [True], [False]]]
    found = marked("something.else", boosts)
    assert found.shape == boosts.shape and found.sum() == 1
