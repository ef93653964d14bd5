"""What the shipped rules about logs find in pulls typed by hand, and what must make no difference to it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pulls_by_hand import DEG, GRID, KPA, PSI, RPM, ZERO, build, catalogue, over, pull

from enginelimits.measured.log_findings import LogJudgement, log_findings, log_judgement
from enginelimits.measured.log_ground import LogGround
from enginelimits.measured.pull import Pull
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.model import Limit

BOOST = over((2000, 5 * KPA), (3500, 60 * KPA))
# Everything that a log of a sound engine holds, each well within its limits.
SOUND = {
    "boost": BOOST, "boost_target": 60 * KPA, "boost_control_duty": 0.3, "manifold_pressure": 160 * KPA,
    "barometer": 100 * KPA, "lambda": 0.80, "lambda_second": 0.80, "lambda_target": 0.80,
    "fuel_pressure": lambda rpm: 300 * KPA + BOOST(rpm), "injector_duty": 0.6, "rail_pressure": 19.5e6,
    "rail_pressure_target": 20e6, "ethanol": 0.85, "knock_retard_1": 0.0, "knock_retard_2": 0.0,
    "charge_temperature": over((2000, 30 + ZERO), (7000, 45 + ZERO)), "exhaust_temperature": 850 + ZERO,
    "catalyst_temperature": 800 + ZERO, "oil_temperature": 100 + ZERO, "coolant_temperature": 92 + ZERO,
    "oil_pressure": over((2000, 300 * KPA), (7000, 560 * KPA)), "crankcase_pressure": 0.3 * KPA,
    "exhaust_pressure": lambda rpm: 1.3 * BOOST(rpm), "turbocharger_speed": 13000.0, "air_mass_flow": lambda r: r / 4e4,
    "throttle": 1.0, "pedal": 1.0, "voltage": 13.8, "misfire_share": 0.0, "cam_phase": 0.3, "cam_phase_target": 0.3,
    "road_speed": lambda rpm: rpm / 130.0,
}  # fmt: skip


def judged(*made: dict, described=None, **how) -> LogJudgement:
    """The judgement of a sound pull, or of several, with some channels changed; None leaves a channel out."""
    pulls = []
    for number, changed in enumerate(made or ({},), start=1):
        channels = {n: c for n, c in {**SOUND, **changed}.items() if c is not None}
        pulls.append(pull(channels, number=number, **how))
    return on(pulls, described)


def on(pulls: list[Pull], described=None) -> LogJudgement:
    return log_judgement(LogGround(pulls, described or build()), catalogue())


def grades(found: LogJudgement) -> dict[str, str]:
    return {f.rule: f.grade for f in found.findings}


def step(before: float, after: float, rpm: float = 5000.0):
    """One value up to a speed, another from 25 rpm above it."""
    return over((rpm, before), (rpm + 25, after))


def test_a_sound_pull_gives_no_finding_and_lacks_but_what_only_others_give():
    found = judged()
    assert grades(found) == {}
    # a prediction, and a valve that was closed
    assert {n.rule: n.missing for n in found.not_judged} == {"LOG005": ("air.boost",)}
    assert {n.rule for n in found.not_applicable} == {"LOG002", "LOG004", "LOG019"}


# One pull a grade that ends a run, each with its rule: what is changed, and by how much beyond the limit.
STOPS = [
    ("LOG001", {"boost": step(60 * KPA, 60 * KPA + 3.2 * PSI)}),
    ("LOG006", {"lambda": step(0.80, 0.93), "lambda_second": step(0.80, 0.93), "lambda_target": step(0.80, 0.93)}),
    ("LOG007", {"boost": 2 * PSI, "boost_target": 2 * PSI, "lambda": step(0.80, 0.96)}),
    ("LOG010", {"lambda_second": 0.835}),
    ("LOG011", {"fuel_pressure": lambda rpm: 300 * KPA + BOOST(rpm) - np.where(rpm > 5000, 5.2 * PSI, 0.0)}),
    ("LOG013", {"rail_pressure": step(20e6, 15.8e6)}),
    ("LOG015", {"knock_retard_2": over((4000, 0), (4025, 5.2 * DEG), (4400, 5.2 * DEG), (4425, 0))}),
    ("LOG017", {"charge_temperature": 71 + ZERO}),
    ("LOG020", {"exhaust_temperature": 985 + ZERO}),
    ("LOG021", {"oil_temperature": 136 + ZERO}),
    ("LOG022", {"oil_pressure": 4.8 * PSI * 7.0}),
    ("LOG023", {"coolant_temperature": 113 + ZERO}),
    ("LOG034", {"misfire_share": 0.012}),
    ("LOG035", {"catalyst_temperature": 905 + ZERO, "lambda": 1.01, "boost": 0.0, "boost_target": 0.0}),
    ("LOG037", {"oil_pressure": over((2000, 300 * KPA), (6000, 520 * KPA), (6050, 520 * KPA - 22 * PSI))}),
]


def test_they_are_all_the_rules_that_end_a_run():
    shipped = {r.id for r in catalogue().judged("log").values() if r.grades[0].grade == "stop"}
    assert {rule for rule, _ in STOPS} == shipped


@pytest.mark.parametrize(("rule", "changed"), STOPS, ids=[rule for rule, _ in STOPS])
def test_what_ends_a_run_does(rule, changed):
    found = judged(changed)
    assert grades(found)[rule] == "stop"
    assert found.findings[0].grade == "stop"
    assert found.verdict.grade == "stop"
    assert found.verdict.sentence.startswith("The run ends here")


OTHERS = [
    ("LOG002", "reinforce", {"boost_control_duty": 0.0, "boost": over((2000, 0), (3000, 40 * KPA), (7000, 110 * KPA)),
                             "boost_target": 120 * KPA}),
    ("LOG003", "caution", {"boost": over((2000, 0), (3500, 60 * KPA), (5000, 60 * KPA), (6000, 48 * KPA))}),
    ("LOG008", "caution", {"lambda_target": 0.74}),
    ("LOG009", "note", {"lambda": 0.73}),
    ("LOG012", "reinforce", {"injector_duty": 0.91}),
    ("LOG014", "reinforce", {"ethanol": 0.60}),
    ("LOG016", "note", {"boost": 0.5 * PSI, "knock_retard_1": 3.2 * DEG}),
    ("LOG018", "note", {"charge_temperature": over((2000, 25 + ZERO), (7000, 70 + ZERO))}),
    ("LOG022", "caution", {"oil_pressure": 350 * KPA}),
    ("LOG024", "reinforce", {"crankcase_pressure": 6.5 * KPA}),
    ("LOG025", "reinforce", {"exhaust_pressure": lambda rpm: 2.1 * BOOST(rpm)}),
    ("LOG026", "decline", {"turbocharger_speed": 17500.0}),
    ("LOG027", "reinforce", {"manifold_pressure": 245 * KPA}),
    ("LOG028", "caution", {"air_mass_flow": over((2000, 0.05), (5000, 0.2), (7000, 0.2))}),
    ("LOG029", "note", {"throttle": step(1.0, 0.9)}),
    ("LOG030", "caution", {"voltage": 12.4}),
    ("LOG036", "caution", {"fuel_pressure": lambda rpm: 260 * KPA + BOOST(rpm)}),
    ("LOG033", "caution", {"cam_phase": 0.3 + 6 * DEG}),
    ("LOG038", "reinforce", {"road_speed": lambda rpm: rpm / 130.0 * np.interp(rpm, [4000, 4500, 7000], [1, 0.93, 1])}),
]


@pytest.mark.parametrize(("rule", "grade", "changed"), OTHERS, ids=[rule for rule, *_ in OTHERS])
def test_every_other_rule_speaks(rule, grade, changed):
    assert grades(judged(changed))[rule] == grade


def test_a_long_pull_and_a_slow_log():
    found = grades(judged(seconds=16.0))
    assert (found["LOG031"], found["LOG032"]) == ("caution", "note")


def test_a_belt_that_slips_and_boost_that_is_late_are_held_against_the_prediction():
    belt = build(pair="kind: turbocharger => kind: centrifugal")
    prediction = (np.array([2000.0, 7000.0]) * RPM, np.array([70.0, 70.0]) * KPA)
    ground = LogGround([pull({"boost": 60 * KPA})], belt)
    from enginelimits.measured.log_quantities import log_columns

    ground.columns.update(log_columns(ground.pulls, belt, predicted_boost=prediction))
    assert grades(log_judgement(ground, catalogue()))["LOG004"] == "caution"  # 0.857 of it

    late = LogGround([pull({**SOUND, "boost": over((2000, 0), (4500, 60 * KPA))})], build())
    early = (np.array([2000.0, 3000.0, 7000.0]) * RPM, np.array([0.0, 60.0, 60.0]) * KPA)
    late.columns.update(log_columns(late.pulls, build(), predicted_boost=early))
    assert grades(log_judgement(late, catalogue()))["LOG005"] == "note"


def test_three_pulls_that_soak():
    hot = [{"charge_temperature": 25 + ZERO + more} for more in (0.0, 8.0, 16.0)]
    assert grades(judged(*hot))["LOG019"] == "caution"
    assert "LOG019" not in grades(judged(*hot[:2]))


# ---- what makes no difference


@pytest.mark.parametrize(("rule", "changed"), STOPS, ids=[rule for rule, _ in STOPS])
@pytest.mark.parametrize("rpm", [np.arange(2000.0, 7001.0, 12.5), np.arange(2000.0, 7001.0, 10.0)], ids=["12.5", "10"])
def test_more_rows_of_the_same_pull_change_nothing(rule, changed, rpm):
    coarse = pull({n: c for n, c in {**SOUND, **changed}.items() if c is not None}, rpm=GRID)
    speeds = rpm * RPM
    dense = pull({name: np.interp(speeds, coarse.speeds, values) for name, values in coarse.on_speed.items()
                  if name != "engine_speed"}, rpm=rpm)
    one, other = on([coarse]), on([dense])
    assert grades(one) == grades(other)
    assert [f.message for f in one.findings] == [f.message for f in other.findings]


def test_the_unit_that_the_build_was_written_in_changes_nothing():
    changed = {"boost_target": None, "boost": over((2000, 0), (3500, 68 * KPA))}
    metric = judged(changed)
    american = judged(changed, described=build(pair="boost: 60 kPa_g => boost: 8.702264 psig"))
    assert grades(metric) == grades(american) != {}


def noisy(seed: int) -> dict:
    """Every channel with as much noise as a good sensor has, a row here and there far off."""
    rng = np.random.default_rng(seed)
    size = {
        "boost": 0.5 * KPA, "lambda": 0.006, "lambda_second": 0.006, "fuel_pressure": 2 * KPA, "injector_duty": 0.01,
        "rail_pressure": 0.2e6, "ethanol": 0.01, "charge_temperature": 1.0, "exhaust_temperature": 8.0,
        "oil_temperature": 1.0, "coolant_temperature": 1.0, "oil_pressure": 10 * KPA,
        "crankcase_pressure": 0.15 * KPA, "exhaust_pressure": 1 * KPA, "turbocharger_speed": 100.0, "voltage": 0.1,
        "cam_phase": 0.5 * DEG,
    }
    made = {}
    for name, spread in size.items():
        still = pull({name: SOUND[name]}, rpm=FINE).on_speed[name]
        row = still + rng.normal(0.0, spread, still.size)
        far = rng.choice(still.size, 3, replace=False)
        row[far] *= rng.choice([0.3, 2.0], 3)
        made[name] = row
    for name in ("knock_retard_1", "knock_retard_2"):
        single = np.zeros(FINE.size)
        single[rng.choice(FINE.size)] = 8 * DEG  # one event
        made[name] = single
    return made


FINE = np.arange(2000.0, 7001.0, 20.0)


@pytest.mark.parametrize("seed", range(8))
def test_noise_and_single_rows_trigger_nothing(seed):
    assert grades(judged(noisy(seed), rpm=FINE)) == {}


def test_a_dropout_as_short_as_noise_changes_nothing_and_a_long_one_leaves_it_open():
    rpm = np.asarray(GRID)
    short = np.where((rpm > 4000) & (rpm < 4200), np.nan, 0.80)
    assert grades(judged({"lambda": short})) == {}
    long = judged({"lambda": np.where((rpm > 4000) & (rpm < 5000), np.nan, 0.80)})
    assert "LOG006" in {n.rule for n in long.not_judged}
    assert not long.verdict.complete


# ---- what is not logged


@pytest.mark.parametrize(("channel", "rules"), [
    ("lambda", {"LOG006", "LOG007", "LOG008", "LOG009", "LOG010", "LOG035"}),
    ("fuel_pressure", {"LOG011", "LOG036"}), ("charge_temperature", {"LOG017", "LOG018"}), ("voltage", {"LOG030"}),
    ("oil_temperature", {"LOG021"}), ("misfire_share", {"LOG034"}), ("rail_pressure", {"LOG013"}),
])
def test_a_channel_that_is_not_logged_is_named_by_every_rule_that_wants_it(channel, rules):
    found = judged({channel: None, **({"catalyst_temperature": 905 + ZERO} if channel == "lambda" else {})})
    lacking = {n.rule for n in found.not_judged if f"log.channel.{channel}" in n.missing}
    lacking |= {f.rule for f in found.findings if f"log.channel.{channel}" in f.missing}
    assert lacking == rules


def test_lean_where_boost_is_not_logged_is_not_passed_over():
    found = judged({"boost": None, "manifold_pressure": None, "lambda": 0.97})
    assert {n.rule: n.missing for n in found.not_judged}["LOG006"] == ("log.channel.boost",)


# ---- several pulls


def test_a_lean_pull_without_boost_beside_a_rich_one_with_boost_is_not_lean_under_boost():
    off = {"boost": 0.0, "boost_target": 0.0, "lambda": 0.93, "lambda_second": 0.93, "lambda_target": 0.93}
    assert "LOG006" not in grades(judged({}, off))
    assert grades(judged({}, {"lambda": 0.93}))["LOG006"] == "stop"


def test_the_pulls_in_which_it_was_seen_are_told():
    found = judged({}, {"oil_temperature": 136 + ZERO}, {"oil_temperature": 136 + ZERO})
    told = next(f for f in found.findings if f.rule == "LOG021")
    assert told.message.endswith("Seen in pull 2, pull 3; 2 of 3 pulls.")
    assert told.because[0].at.ambient == "pull 2"
    assert found.pulls == ("pull 1", "pull 2", "pull 3")


def test_one_event_of_knock_in_each_of_two_pulls_is_knock_that_comes_back():
    event = {"knock_retard_1": np.where(GRID == 4000.0, 6 * DEG, 0.0)}
    assert "LOG015" not in grades(judged(event))
    assert grades(judged(event, event))["LOG015"] == "stop"


# ---- grades


def test_stop_is_worse_than_decline():
    found = judged({"turbocharger_speed": 17500.0, "coolant_temperature": 113 + ZERO})
    assert [f.grade for f in found.findings] == ["stop", "decline"]
    assert found.verdict.limiting.rule == "LOG023"


def test_a_limit_of_low_confidence_does_not_end_a_run_alone():
    shipped = catalogue()
    rule = shipped.rules["LOG013"]
    unsure: dict[str, Limit] = {n: replace(limit, confidence="low") for n, limit in rule.limits.items()}
    rules = {**shipped.rules, "LOG013": replace(rule, limits=unsure)}
    ground = LogGround([pull({**SOUND, "rail_pressure": 15e6})], build())
    found = log_judgement(ground, replace(shipped, rules=rules, _stages={}))
    told = next(f for f in found.findings if f.rule == "LOG013")
    assert (told.grade, told.uncapped) == ("caution", "stop")
    assert "By the numbers alone this is stop" in told.message


def test_no_shipped_rule_that_ends_a_run_rests_on_a_limit_of_low_confidence():
    for rule in catalogue().judged("log").values():
        if rule.grades[0].grade == "stop":
            assert "low" not in {limit.confidence for limit in rule.limits.values()}, rule.id


def test_three_small_margins_of_separate_causes_raise_the_verdict():
    margins = {"oil_pressure": 260 * KPA, "cam_phase": 0.3 + 6 * DEG, "coolant_temperature": 106 + ZERO}
    assert judged(margins).verdict.grade == "reinforce"
    assert judged(dict(list(margins.items())[:2])).verdict.grade == "caution"


def test_findings_say_what_the_rule_says_with_its_numbers():
    found = judged({"coolant_temperature": 113 + ZERO}).findings[0]
    assert found.message == "The coolant stood at 113 degC at 2000 rpm; the limit is 112 degC."
    assert found.settled_by and found.remedies and found.caveats
    assert (found.chance, found.evidence, found.confidence) == (None, "common practice", "medium")


def test_both_ways_of_inference_agree():
    ground = LogGround([pull({**SOUND, "lambda": 0.93, "oil_temperature": 136 + ZERO})], build())
    for engine in ("plain", "auto"):  # auto raises where the two differ
        evaluation = evaluate(catalogue(), ground, engine=engine, about="log")
        found = {f.rule: f.grade for f in log_findings(evaluation, ground, catalogue())}
        assert found == {"LOG006": "stop", "LOG008": "caution", "LOG010": "stop", "LOG021": "stop"}


def test_rules_about_logs_say_nothing_of_a_build_and_the_other_way_round():
    of_logs = set(catalogue().judged("log"))
    assert of_logs and all(id_.startswith("LOG") for id_ in of_logs)
    assert not of_logs & set(catalogue().judged())
