"""Changes to a build: what they leave, how they compose, and which are refused.

Builds are invented; expected numbers are worked by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.description.edits import edited
from enginelimits.description.load import load_build, parse_build
from enginelimits.description.models import Build
from enginelimits.description.paths import flattened
from enginelimits.description.values import Curve, Value
from enginelimits.errors import InputError

FULL = load_build(Path(__file__).parent / "builds" / "full.yaml")
LEAST = """\
build: least
engine:
  {cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 11.0, redline: 7200 rpm, limiter: 7400 rpm}
"""
PLAIN = parse_build(LEAST + "forced_induction: {kind: turbocharger, boost: 10 psi}\n")
# NIST SP 811: 1 psi = 6894.757 Pa; 1 rpm = pi/30 rad/s.
PSI = 6894.757
RPM = np.pi / 30.0


def boost(build: Build) -> list[tuple[float, float]]:
    """Points in rpm and psi."""
    value = flattened(build)["forced_induction.boost"]
    assert isinstance(value, Curve)
    return [(s / RPM, v / PSI) for s, v in value.points]


def close(points: Sequence[tuple[float, float]]) -> Any:
    return [(pytest.approx(s, rel=1e-6), pytest.approx(v, rel=1e-6)) for s, v in points]


def refusal(build: Build, *edits: Mapping[str, Any]) -> str:
    with pytest.raises(InputError) as caught:
        edited(build, edits)
    for problem in caught.value.problems:
        assert problem.file.startswith("edit")
        assert str(problem).isprintable()
    return str(caught.value)


def test_replace_forgets_the_old_details() -> None:
    after = edited(FULL, [{"replace": "internals.rods", "with": {"class": "forged-i-section"}}])
    assert {p: v for p, v in flattened(after).items() if p.startswith("internals.rods.")} == {
        "internals.rods.class": "forged-i-section"
    }
    assert flattened(FULL)["internals.rods.class"] == "light-forged-steel"


def test_set_and_drop() -> None:
    after = edited(
        FULL,
        [
            {"set": "engine.redline", "to": "7000 rpm"},
            {"set": "fuel.lambda_target", "to": 0.78},
            {"set": "internals.pistons.oil_jets", "to": True},
            {"set": "forced_induction.intercooler", "to": "none"},
            {"drop": "internals.rod_bolts.preload"},
            {"drop": "history"},
        ],
    )
    stated = flattened(after)
    redline, target = stated["engine.redline"], stated["fuel.lambda_target"]
    assert isinstance(redline, Value) and isinstance(target, Value)
    assert redline.si == pytest.approx(7000 * RPM)
    assert target.si == 0.78
    assert stated["internals.pistons.oil_jets"] is True
    assert stated["forced_induction.intercooler"] == "none"
    assert not {p for p in stated if p.startswith("history") or p == "internals.rod_bolts.preload"}


def test_set_makes_the_mappings_on_the_way() -> None:
    after = edited(PLAIN, [{"set": "cooling.radiator_capacity.heat", "to": "60 kW"}])
    heat = flattened(after)["cooling.radiator_capacity.heat"]
    assert isinstance(heat, Value)
    assert heat.si == 60e3


def test_edits_never_touch_what_the_maker_built() -> None:
    before = flattened(PLAIN)["engine.standard.redline"]
    after = edited(
        PLAIN,
        [
            {"set": "engine.redline", "to": "7600 rpm"},
            {"set": "engine.limiter", "to": "7800 rpm"},
            {"set": "engine.compression_ratio", "to": "9.5"},
        ],
    )
    stated = flattened(after)
    assert stated["engine.standard.redline"] == before
    assert stated["engine.standard.compression_ratio"] == flattened(PLAIN)["engine.compression_ratio"]
    assert stated["engine.redline"] != before
    assert after.as_read == PLAIN
    assert edited(after, [{"drop": "engine.limiter"}]).as_read == PLAIN


def test_replacing_the_engine_keeps_what_its_maker_built() -> None:
    other = {
        "cylinders": 4,
        "bore": "84 mm",
        "stroke": "85 mm",
        "compression_ratio": 9.0,
        "redline": "7000 rpm",
    }
    after = edited(PLAIN, [{"replace": "engine", "with": other}])
    assert flattened(after)["engine.standard.redline"] == flattened(PLAIN)["engine.standard.redline"]


def test_edits_may_depend_on_each_other() -> None:
    # A redline above the limiter would be refused, had not the next edit raised the limiter.
    after = edited(
        PLAIN, [{"set": "engine.redline", "to": "7600 rpm"}, {"set": "engine.limiter", "to": "7800 rpm"}]
    )
    redline = flattened(after)["engine.redline"]
    assert isinstance(redline, Value)
    assert redline.si == pytest.approx(7600 * RPM)
    assert "engine.limiter" in refusal(PLAIN, {"set": "engine.redline", "to": "7600 rpm"})


def test_a_cap_below_a_speed_turns_a_number_into_a_step() -> None:
    after = edited(PLAIN, [{"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}])
    assert boost(after) == close([(3500, 8), (3501, 10)])


def test_a_cap_above_a_speed_turns_a_number_into_a_step() -> None:
    after = edited(PLAIN, [{"cap": "forced_induction.boost", "above": "5000 rpm", "to": "7 psi"}])
    assert boost(after) == close([(4999, 10), (5000, 7)])


def test_a_cap_cuts_a_curve_where_it_crosses() -> None:
    # 4 psi at 2500, 10 at 3500: 8 psi is crossed at 2500 + 1000 x 4/6; at 3501 the fall is 1/3700 of 1 psi.
    after = edited(FULL, [{"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}])
    assert boost(after) == close([(2500, 4), (3166.6667, 8), (3500, 8), (3501, 10 - 1 / 3700), (7200, 9)])


def test_caps_compose() -> None:
    once = edited(
        PLAIN,
        [
            {"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"},
            {"cap": "forced_induction.boost", "above": "6000 rpm", "to": "9 psi"},
        ],
    )
    twice = edited(
        edited(PLAIN, [{"cap": "forced_induction.boost", "above": "6000 rpm", "to": "9 psi"}]),
        [{"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}],
    )
    expected = close([(3500, 8), (3501, 10), (5999, 10), (6000, 9)])
    assert boost(once) == expected
    assert boost(twice) == expected


def test_the_same_cap_again_changes_nothing() -> None:
    cap = {"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}
    assert "changes something" in refusal(edited(FULL, [cap]), cap)
    assert "changes something" in refusal(edited(PLAIN, [cap]), cap)


def test_a_milder_cap_after_a_stricter_changes_nothing() -> None:
    strict = {"cap": "forced_induction.boost", "below": "3500 rpm", "to": "5 psi"}
    mild = {"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"}
    assert "changes something" in refusal(edited(PLAIN, [strict]), mild)


def test_a_cap_without_a_speed_holds_everywhere() -> None:
    after = edited(PLAIN, [{"cap": "forced_induction.boost", "to": "7 psi"}])
    value = flattened(after)["forced_induction.boost"]
    assert isinstance(value, Value)
    assert value.si == pytest.approx(7 * PSI, rel=1e-6)
    assert value.kind == "gauge"
    assert max(v for _, v in boost(edited(FULL, [{"cap": "forced_induction.boost", "to": "7 psi"}]))) == (
        pytest.approx(7, rel=1e-6)
    )


def test_a_cap_cuts_the_range_too() -> None:
    uncertain = edited(PLAIN, [{"set": "forced_induction.boost", "to": "10 +/- 1 psi"}])
    value = flattened(edited(uncertain, [{"cap": "forced_induction.boost", "to": "10.5 psi"}]))[
        "forced_induction.boost"
    ]
    assert isinstance(value, Value)
    assert (value.low, value.si, value.high) == (
        pytest.approx(9 * PSI, rel=1e-6),
        pytest.approx(10 * PSI, rel=1e-6),
        pytest.approx(10.5 * PSI, rel=1e-6),
    )


def test_caps_of_other_values_keep_their_kind() -> None:
    after = flattened(
        edited(FULL, [{"cap": "fuel.octane", "to": "95 RON"}, {"cap": "fuel.ethanol", "to": "20 %"}])
    )
    octane, ethanol = after["fuel.octane"], after["fuel.ethanol"]
    assert isinstance(octane, Value) and isinstance(ethanol, Value)
    assert (octane.si, octane.kind) == (95.0, "RON")
    assert (ethanol.si, ethanol.shape) == (pytest.approx(0.2), "point")


def test_a_cap_is_of_the_scale_that_the_value_has() -> None:
    # Common practice, no source: 90 AKI is about 94 RON, so that as a number it would cap four too low.
    with pytest.raises(InputError) as caught:
        edited(FULL, [{"cap": "fuel.octane", "to": "90 AKI"}])
    (problem,) = caught.value.problems
    assert (problem.wanted, problem.got) == ("a cap in RON, as the value is", "`90 AKI`")


@given(
    st.lists(
        st.tuples(st.integers(15, 80), st.integers(1, 40)), min_size=1, max_size=6, unique_by=lambda p: p[0]
    ),
    st.integers(15, 80),
    st.integers(1, 40),
    st.sampled_from(["below", "above"]),
)
def test_a_cap_is_the_lesser_on_its_side_and_nothing_on_the_other(
    points: list[tuple[int, int]], speed: int, to: int, side: str
) -> None:
    """Against numpy's interpolation, away from the one-rpm slope."""
    curve = {f"{s * 100} rpm": f"{b / 2} psi" for s, b in points}
    build = edited(PLAIN, [{"set": "forced_induction.boost", "to": curve}])
    cap = {"cap": "forced_induction.boost", side: f"{speed * 100} rpm", "to": f"{to / 2} psi"}
    rows = sorted(points)
    grid = np.arange(1000.0, 9000.0, 50.0)
    before = np.interp(grid, [s * 100.0 for s, _ in rows], [b / 2.0 for _, b in rows])
    inside = grid <= speed * 100.0 if side == "below" else grid >= speed * 100.0
    expected = np.where(inside, np.minimum(before, to / 2.0), before)
    try:
        after = boost(edited(build, [cap]))
    except InputError:
        assert np.allclose(expected, before)
        return
    found = np.interp(grid, [s for s, _ in after], [v for _, v in after])
    assert np.allclose(found, expected, rtol=1e-5)


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        ({"set": "engine.redline", "to": "7200.0 rpm"}, "changes something"),
        ({"replace": "goal", "with": {}}, "changes something"),
        ({"set": "engine.redlin", "to": "7000 rpm"}, "Near: engine.redline"),
        ({"set": "engine.redline", "to": 7000}, "`7000` without a unit"),
        ({"set": "engine.redline", "to": None}, "`to` beside `set`"),
        ({"set": "engine.redline"}, "`to` beside `set`"),
        ({"set": "engine.redline", "with": {}}, "beside `set`"),
        ({"drop": "engine.bore"}, "required"),
        ({"drop": "engine"}, "required"),
        ({"drop": "goal.use"}, "leaves out"),
        ({"drop": "goal.nothing"}, "a known path"),
        ({"drop": ""}, "a path such as"),
        ({"drop": 5}, "a path such as"),
        ({"cap": "forced_induction.boost", "to": "20 psi"}, "changes something"),
        ({"cap": "forced_induction.boost", "to": "8 hp"}, "a gauge pressure"),
        ({"cap": "forced_induction.boost", "to": "8 to 9 psi"}, "one number"),
        ({"cap": "forced_induction.boost", "to": "8 psi", "below": "3500"}, "without a unit"),
        ({"cap": "forced_induction.boost", "to": "8 psi", "below": "3 rpm", "above": "4 rpm"}, "both"),
        ({"cap": "engine.limiter", "below": "3500 rpm", "to": "7000 rpm"}, "differ by speed"),
        ({"cap": "engine.family", "to": "7000 rpm"}, "holds a number"),
        ({"cap": "ignition.timing", "to": "10 deg"}, "none stated"),
        ({"set": "engine.standard.redline", "to": "7100 rpm"}, "what its maker built"),
        ({"drop": "engine.standard"}, "what its maker built"),
        ({"replace": "internals.rods", "with": "forged"}, "a mapping after `with`"),
        ({"replace": "internals.rods", "with": {"clas": "x"}}, "Near: class"),
        ({"set": "internals.rods", "to": {"class": "x"}}, "Use `replace`"),
        ({"set": "internals.rods", "to": "forged"}, "a mapping of keys"),
        ({"set": "engine.rod_length", "to": "90 mm"}, "times the stroke"),
        ({"set": "fuel.octane", "to": object()}, "texts, numbers"),
        ({"set": "anchors.knock.0.boost", "to": "3 psi"}, "an item of a list"),
        ({"lower": "engine.redline"}, "one of `replace`, `set`, `drop` or `cap`"),
        ({"set": "a", "drop": "b"}, "`set` and `drop`"),
        ({}, "one of"),
        ("drop", "a mapping with"),
    ],
)
def test_refused(edit: Any, said: str) -> None:
    assert said in refusal(PLAIN, edit)


def test_a_refusal_names_the_edit() -> None:
    good = {"set": "fuel.lambda_target", "to": 0.8}
    with pytest.raises(InputError) as caught:
        edited(PLAIN, [good, {"set": "engine.redlin", "to": "7 rpm"}])
    assert caught.value.problems[0].file == "edit 2"
    with pytest.raises(InputError) as caught:
        edited(PLAIN, [{"set": "engine.rod_length", "to": "90 mm"}, good])
    assert caught.value.problems[0].file == "edit 1"


def test_endless_data_is_refused() -> None:
    endless: list[Any] = []
    endless.append(endless)
    assert "texts, numbers" in refusal(PLAIN, {"set": "protections", "to": endless})


def test_no_edits_leave_the_build_as_it_is() -> None:
    assert edited(FULL, []) == FULL


def test_an_edit_may_be_let_change_nothing() -> None:
    # a grid of values holds the one that stands there already
    same = {"set": "forced_induction.boost", "to": "10 psi"}
    with pytest.raises(InputError, match="changes something"):
        edited(PLAIN, [same])
    assert edited(PLAIN, [same], idle=True) == PLAIN
    with pytest.raises(InputError, match="a gauge pressure"):
        edited(PLAIN, [{"set": "forced_induction.boost", "to": "10 psy"}], idle=True)
