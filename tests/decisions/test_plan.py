"""The search for remedies, on an invented bench whose every judgement is a small sum by hand; one real case is slow.

What is expected follows from the invented numbers alone: which remedies clear what is written beside them.
"""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.decisions.plan import REINFORCED, STANDARD, plan
from enginelimits.decisions.remedy_trials import REACHED
from enginelimits.decisions.spend import PriceList, place, read_prices
from enginelimits.decisions.verdict import Because, Finding, LimitShown, RemedyShown
from enginelimits.errors import InputError, Problem
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.grades import severity

CASES = Path(__file__).parents[2] / "cases"


def remedy(id_, *steps, kind="part"):
    return RemedyShown(id_, kind, f"Do {id_}.", tuple((step,) for step in steps), f"{id_} shifts.")


def put(path, to=1):
    return {"set": path, "to": to}


class Bench:
    """A build of a few numbers.  ``rules(state, drawn)`` gives (rule, grade, quantity, value, limit, remedies)."""

    def __init__(self, rules, reach=lambda state: 1.1, samples=0, stop_after=None):
        self.rules, self.reach, self.samples, self.stop_after = rules, reach, samples, stop_after
        self.calls = 0

    def judged(self, edits=(), *, samples=None):
        self.calls += 1
        if self.stop_after is not None and self.calls > self.stop_after:
            raise KeyboardInterrupt
        state = {}
        for edit in edits:
            if state.get(edit["set"]) == edit["to"]:
                raise InputError([Problem("an edit that changes something")])
            state[edit["set"]] = edit["to"]
        drawn = bool(self.samples if samples is None else samples)
        findings = [self._finding(*said) for said in self.rules(state, drawn) if said is not None]
        findings.sort(key=lambda f: -severity(f.grade))
        reach = self.reach(state)
        power = SimpleNamespace(id="crank.power", status="ok", value=1e5 * (reach or 1.0), unit="W", low=None,
                                high=None)
        quantities = {"crank.power": power}
        if reach is not None:
            quantities["goal.power_reach"] = SimpleNamespace(status="ok", value=reach)
        grade = findings[0].grade if findings else "clear"
        return SimpleNamespace(
            name="invented", findings=tuple(findings), filled={}, layers=(), as_of="2026-01-01", samples_valid=0,
            seed=1, not_judged=(), out_of_range=(),
            assessment=SimpleNamespace(quantities=quantities, columns={}),
            verdict=SimpleNamespace(grade=grade, complete=True, open=(), sentence=""),
        )

    @staticmethod
    def _finding(rule, grade, quantity, value, limit, remedies):
        held = LimitShown("l", limit, "1", "above", "base", limit)
        because = (Because("quantity", quantity, value, "1", None, held),)
        return Finding(rule, f"Title {rule}", "family", grade, grade, None, (), None, {}, "", False, "", "", because,
                       tuple(remedies), (), (), "computed", "medium", "")


def ids(tier, place=0):
    return {c.remedy.id for c in tier.sets[place].chosen}


def tiers(found):
    return {t.name: t for t in found.tiers}


def under(bench, edits, grade="reinforce"):
    judged = bench.judged(edits)
    return all(severity(f.grade) < severity(grade) for f in judged.findings)


CLUTCH = remedy("stronger-clutch", put("driveline.clutch_capacity"))
GEARS = remedy("stronger-gearbox", put("driveline.gearbox_rating"))
BOOST = remedy("lower-boost", put("forced_induction.boost", 8), put("forced_induction.boost", 6), kind="calibration")
FUEL = remedy("better-gasoline", put("fuel.octane"), kind="fuel")
RODS = remedy("forged-rods", put("internals.rods.class"))
LOOK = remedy("inspect", kind="inspection")


def reinforce(rule, *remedies, quantity="clutch.reserve", value=2.0):
    return rule, "reinforce", quantity, value, 1.0, remedies


def test_nothing_to_mend_needs_nothing():
    found = plan(Bench(lambda s, d: [("A", "caution", "clutch.reserve", 2.0, 1.0, (CLUTCH,))]))
    assert [t.state for t in found.tiers] == ["nothing needed", "nothing needed"] and found.reached


def caution(rule, *remedies, quantity):
    return rule, "caution", quantity, 2.0, 1.0, remedies


def test_a_goal_that_wants_parts_beside_more_boost_is_not_given_up_for_what_falls_short():
    # A fuel brings 92 % and raises nothing; enough boost brings all of it, with two limits that parts answer.
    more = remedy("more-boost", *(put("forced_induction.boost", psi) for psi in (8, 10, 12)), kind="calibration")
    fuel = remedy("ethanol", put("fuel.ethanol", 70), kind="fuel")
    cooler = remedy("larger-intercooler", put("forced_induction.intercooler"))

    def reach(state):
        by_boost = {8: 0.83, 10: 0.91, 12: 1.02}.get(state.get("forced_induction.boost"), 0.87)
        return by_boost + (0.05 if "fuel.ethanol" in state else 0.0)

    def rules(state, _):
        missed, boost = reach(state) < REACHED, state.get("forced_induction.boost", 9)
        return [
            ("G", "caution", "goal.power_reach", -reach(state), -0.97, (more, fuel)) if missed else None,
            reinforce("C", CLUTCH) if boost > 10 and "driveline.clutch_capacity" not in state else None,
            reinforce("H", cooler, quantity="charge.temperature_end_of_pull")
            if boost > 9 and "forced_induction.intercooler" not in state else None,
        ]

    best = tiers(plan(Bench(rules, reach)))[REINFORCED]
    assert best.state == "reaches the goal" and best.sets[0].needed
    assert ids(best) == {"more-boost", "stronger-clutch", "larger-intercooler"}


class Stacked(Bench):
    """Three cautions of three causes raise the verdict by a grade, as `check` does it."""

    def judged(self, edits=(), *, samples=None):
        made = super().judged(edits, samples=samples)
        if made.verdict.grade == "caution" and len(made.findings) >= 3:
            made.verdict.grade = "reinforce"
        return made


def three_small(state, _=False):
    return [None if "driveline.clutch_capacity" in state else caution("A", CLUTCH, quantity="clutch.reserve"),
            None if "fuel.octane" in state else caution("B", FUEL, quantity="knock.margin"),
            caution("C", quantity="ring.gap_margin")]


def test_small_margins_that_add_up_are_planned_for_and_one_cause_less_is_enough():
    found = plan(Stacked(three_small))
    best = tiers(found)[REINFORCED]
    assert found.reached and best.state == "reaches the goal" and not best.sets[0].chosen
    assert set(best.causes) == {"driveline", "knock", "ring gap"}
    assert len(best.wider.chosen) == 1 and best.wider.needed and best.wider.verdict.grade == "caution"


def test_small_margins_without_a_remedy_are_said_and_not_called_reached():
    def rules(state, _):
        return [caution(n, quantity=q) for n, q in zip("ABC", ("clutch.reserve", "knock.margin", "ring.gap_margin"),
                                                       strict=True)]

    found = plan(Stacked(rules))
    assert {t.state for t in found.tiers} == {"small margins alone"} and not found.reached
    assert tiers(found)[REINFORCED].wider is None and len(tiers(found)[REINFORCED].causes) == 3


def test_small_margins_left_by_a_set_are_brought_down_on_top_of_it():
    def rules(state, _):
        return [None if "internals.rods.class" in state else reinforce("R", RODS, quantity="rod.column_use"),
                *three_small(state)]

    best = tiers(plan(Stacked(rules)))[REINFORCED]
    assert ids(best) == {"forged-rods"} and best.sets[0].verdict.grade == "reinforce"
    wider = {c.remedy.id for c in best.wider.chosen}
    assert "forged-rods" in wider and len(wider) == 2 and best.wider.verdict.grade == "caution"


def test_power_is_kept_by_parts_and_lost_without_them():
    def rules(state, _):
        weak = state.get("forced_induction.boost", 10) > 6 and "driveline.clutch_capacity" not in state
        return [reinforce("A", BOOST, CLUTCH)] if weak else []

    bench = Bench(rules, lambda s: 1.05 * s.get("forced_induction.boost", 10) / 10)
    got = tiers(plan(bench))
    assert ids(got[REINFORCED]) == {"stronger-clutch"} and got[REINFORCED].state == "reaches the goal"
    assert ids(got[STANDARD]) == {"lower-boost"} and got[STANDARD].state == "nearest goal"
    assert got[STANDARD].sets[0].reach == pytest.approx(0.63) and got[STANDARD].sets[0].chosen[0].step == 1


def test_short_of_the_goal_the_way_with_more_power_is_told():
    """Parts bear nine tenths of what is asked, less boost alone six tenths: whoever reinforces wants the nine."""
    def rules(state, _):
        full = state.get("forced_induction.boost", 10) > 6
        clutch = reinforce("A", BOOST, CLUTCH) if full and "driveline.clutch_capacity" not in state else None
        gears = reinforce("B", BOOST, GEARS) if full and "driveline.gearbox_rating" not in state else None
        return [clutch, gears, reinforce("GOL", quantity="goal.power_reach", value=0.9)]

    bench = Bench(rules, lambda s: 0.9 * s.get("forced_induction.boost", 10) / 10)
    got = tiers(plan(bench))
    assert ids(got[REINFORCED]) == {"stronger-clutch", "stronger-gearbox"}
    assert got[REINFORCED].state == "nearest goal" and got[REINFORCED].sets[0].reach == pytest.approx(0.9)
    assert ids(got[STANDARD]) == {"lower-boost"} and got[STANDARD].sets[0].reach == pytest.approx(0.54)


def test_the_goal_is_reached_where_the_rules_on_reach_fall_silent():
    rules = load_catalogue().rules
    assert {rules[id_].limits["note_reach"].value.number for id_ in ("GOL001", "GOL008")} == {REACHED}


@pytest.mark.parametrize("asked", [1.05, 0.985])
@pytest.mark.parametrize(("share", "state"), [(0.975, "reaches the goal"), (0.96, "nearest goal")])
def test_one_share_says_whether_the_goal_is_reached(asked, share, state):
    """However near the build as asked comes, and whatever grade draws give the finding on the goal by chance.

    Common practice, no source: power is not known so well that three hundredths short of it would be a miss.
    """
    def rules(changed, _):
        weak = "fuel.octane" not in changed
        return [reinforce("A", FUEL) if weak else None, reinforce("GOL", quantity="goal.power_reach", value=0.9)]

    bench = Bench(rules, lambda s: share if "fuel.octane" in s else asked)
    got = tiers(plan(bench))[STANDARD]
    assert got.state == state and got.sets[0].reach == pytest.approx(share)
    assert got.sets[0].verdict.grade == "clear"


def test_the_cause_is_mended_before_the_part():
    def rules(state, _):
        if "fuel.octane" in state:
            return []
        return [reinforce("KNK", FUEL, quantity="knock.margin"),
                None if "internals.rods.class" in state else reinforce("ROD", RODS, quantity="rod.column_use")]

    assert ids(tiers(plan(Bench(rules)))[REINFORCED]) == {"better-gasoline"}


def test_of_two_that_do_as_much_calibration_and_fuel_come_first():
    def rules(state, _):
        return [] if state else [reinforce("A", RODS, FUEL, quantity="rod.column_use")]

    assert ids(tiers(plan(Bench(rules)))[REINFORCED]) == {"better-gasoline"}


def test_the_mildest_step_that_is_enough():
    ports = remedy("ports", put("fuel_system.port_injectors.flow", 1), put("fuel_system.port_injectors.flow", 2),
                   put("fuel_system.port_injectors.flow", 3))

    def rules(state, _):
        flow = state.get("fuel_system.port_injectors.flow", 0)
        return [reinforce("A", ports, value=3.0 - flow)] if flow < 2 else []

    chosen = tiers(plan(Bench(rules)))[REINFORCED].sets[0].chosen
    assert [(c.remedy.id, c.step) for c in chosen] == [("ports", 1)]


def test_what_a_remedy_newly_raises_is_mended_too_and_named():
    def rules(state, _):
        clutch, gears = "driveline.clutch_capacity" in state, "driveline.gearbox_rating" in state
        return [None if clutch else reinforce("CLU", CLUTCH),
                reinforce("GEA", GEARS) if clutch and not gears else None,
                ("AXL", "note", "clutch.reserve", 2.0, 1.0, ()) if clutch else None]

    best = tiers(plan(Bench(rules)))[REINFORCED].sets[0]
    assert {c.remedy.id for c in best.chosen} == {"stronger-clutch", "stronger-gearbox"} and best.needed
    assert [(m.rule, m.before, m.after) for m in best.raised] == [("AXL", "clear", "note")]
    clutch = next(c for c in best.chosen if c.remedy.id == "stronger-clutch")
    assert [m.rule for m in clutch.removes] == ["CLU"] and [m.rule for m in clutch.raises] == ["AXL"]


def test_two_half_measures_are_put_together():
    def rules(state, _):
        left = 2.0 - 0.6 * len(state)
        return [reinforce("A", FUEL, RODS, quantity="rod.column_use", value=left)] if left > 1.0 else []

    assert ids(tiers(plan(Bench(rules)))[REINFORCED]) == {"better-gasoline", "forged-rods"}


def one_for_both():
    both = remedy("both", put("engine.block_deck"))

    def rules(state, _):
        return [None if {"driveline.clutch_capacity", "engine.block_deck"} & state.keys()
                else reinforce("A", CLUTCH, both),
                None if {"fuel.octane", "engine.block_deck"} & state.keys()
                else reinforce("B", FUEL, both, quantity="knock.margin")]

    return rules


def test_few_remedies_when_few_are_asked_for():
    assert ids(tiers(plan(Bench(one_for_both()), by="count"))[REINFORCED]) == {"both"}


def test_low_price_when_price_is_asked_for_and_what_has_none_is_named():
    dear = PriceList({"both": 500.0, "stronger-clutch": 100.0, "better-gasoline": 20.0}, "EUR", "list")
    cheap = PriceList({"both": 50.0, "stronger-clutch": 100.0}, "EUR", "list")
    assert ids(tiers(plan(Bench(one_for_both()), by="price", prices=dear))[REINFORCED]) == {
        "stronger-clutch", "better-gasoline"}
    best = tiers(plan(Bench(one_for_both()), by="price", prices=cheap))[REINFORCED].sets[0]
    assert best.price == 50.0 and best.unpriced == ()
    holed = PriceList({"stronger-clutch": 100.0}, "EUR", "list")
    best = tiers(plan(Bench(one_for_both()), by="price", prices=holed))[REINFORCED].sets[0]
    assert best.price == 100.0 and best.unpriced == ("better-gasoline",)


def test_what_only_an_inspection_answers_waits_and_comes_first():
    def rules(state, _):
        return [reinforce("LOOK", LOOK, quantity="leak_down"), None if state else reinforce("A", CLUTCH)]

    found = plan(Bench(rules))
    assert [f.remedy.id for f in found.find_out] == ["inspect"] and not found.reached
    best = tiers(found)[REINFORCED]
    assert best.state == "waits for inspection" and ids(best) == {"stronger-clutch"}
    assert [f.rule for f in best.sets[0].waiting] == ["LOOK"]


def test_no_plan_is_said_with_what_is_left():
    found = plan(Bench(lambda s, d: [reinforce("A", CLUTCH), None if "fuel.octane" in s else reinforce("B", FUEL)]))
    best = tiers(found)[REINFORCED]
    assert best.state == "no plan" and not found.reached
    assert [f.rule for f in best.sets[0].left] == ["A"] and ids(best) == {"better-gasoline"}


def test_a_goal_that_is_missed_is_mended_like_a_finding():
    def rules(state, _):
        return [] if "fuel.octane" in state else [("GOL", "caution", "goal.power_reach", 0.9, 0.92, (FUEL,))]

    best = tiers(plan(Bench(rules, lambda s: 1.0 if s else 0.9)))[REINFORCED]
    assert best.state == "reaches the goal" and ids(best) == {"better-gasoline"}


def test_a_tail_that_only_draws_show_is_found_when_the_set_is_verified():
    def rules(state, drawn):
        return [None if "driveline.clutch_capacity" in state else reinforce("A", CLUTCH),
                reinforce("B", GEARS) if drawn and "driveline.gearbox_rating" not in state else None]

    best = tiers(plan(Bench(rules, samples=32)))[REINFORCED].sets[0]
    assert {c.remedy.id for c in best.chosen} == {"stronger-clutch", "stronger-gearbox"} and best.needed
    without = tiers(plan(Bench(rules)))[REINFORCED]
    assert ids(without) == {"stronger-clutch"}


def test_without_a_goal_the_power_as_asked_is_kept():
    def rules(state, _):
        return [] if state else [reinforce("A", BOOST, CLUTCH)]

    bench = Bench(rules, lambda s: None)
    bench.reach = lambda s: None
    found = plan(bench)
    assert not found.goal_stated and found.reach == pytest.approx(1.0)


def test_interrupted_says_what_is_known():
    found = plan(Bench(one_for_both(), stop_after=4))
    assert found.interrupted and {t.state for t in found.tiers} <= {"interrupted", "not looked for"}


@pytest.mark.parametrize("told", [2, 3, 4])
def test_interrupted_while_a_step_is_told_it_says_what_is_known(told):
    said = []

    def tell(words):
        said.append(words)
        if len(said) == told:
            raise KeyboardInterrupt

    found = plan(Bench(one_for_both()), tell=tell)
    assert found.interrupted and found.judgements == told - 1
    assert {t.state for t in found.tiers} <= {"interrupted", "not looked for", "reaches the goal"}


def test_interrupted_between_two_judgements_it_says_what_is_known(monkeypatch):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("enginelimits.decisions.plan._set", interrupted)
    found = plan(Bench(one_for_both()))
    assert found.interrupted and {t.state for t in found.tiers} == {"not looked for"}


def test_the_bound_ends_a_search_and_is_told():
    many = [remedy(f"m{i}", put(f"sensors.m{i}")) for i in range(8)]
    found = plan(Bench(lambda s, d: [reinforce("A", *many)]), budget=3)
    assert tiers(found)[REINFORCED].cut_short and tiers(found)[REINFORCED].state == "no plan"


@pytest.mark.parametrize("budget", [1, 5, 12, 40])
def test_the_bound_holds_for_the_whole_command(budget):
    """Whatever is tried, verified or put together: no more than twice the bound, and one more that was begun."""
    many = [remedy(f"m{i}", put(f"sensors.m{i}", 1), put(f"sensors.m{i}", 2)) for i in range(12)]

    def rules(state, drawn):
        fitted = sum(int(v) for v in state.values())
        return [reinforce(f"A{n}", *many, value=3.0 - 0.01 * fitted) for n in range(4) if fitted < 9 + n + 2 * drawn]

    bench = Bench(rules, samples=32)
    found = plan(bench, budget=budget)
    # A judgement with 32 draws costs as much as two; two more are the build as asked, judged before all else.
    assert bench.calls <= 2 * budget + 4
    assert any(t.cut_short for t in found.tiers) or found.reached


@pytest.mark.parametrize("calls", range(4, 40, 3))
def test_interrupted_anywhere_it_gives_what_is_known(calls):
    def rules(state, drawn):
        return [None if "driveline.clutch_capacity" in state else reinforce("CLU", CLUTCH),
                None if "fuel.octane" in state else reinforce("KNK", FUEL, quantity="knock.margin"),
                reinforce("GEA", GEARS) if drawn and "driveline.gearbox_rating" not in state else None]

    bench = Bench(rules, samples=16, stop_after=calls)
    found = plan(bench)
    assert found.interrupted == (bench.calls > calls)
    for tier in found.tiers:
        for each in tier.sets if tier.state in ("reaches the goal", "nearest goal") else ():
            assert each.judgement is not None
            if each.drawn:
                assert under(Bench(rules, samples=16), each.edits)


@settings(max_examples=60, deadline=None)
@given(
    clears=st.lists(st.frozensets(st.integers(0, 3), min_size=1, max_size=3), min_size=2, max_size=5),
    raises=st.lists(st.sampled_from([None, 0, 1, 2, 3]), min_size=5, max_size=5),
    by=st.sampled_from(["effect", "count"]),
)
def test_whatever_is_planned_holds_and_holds_only_whole(clears, raises, by):
    kinds = ("part", "fuel", "part", "calibration", "part")
    remedies = [remedy(f"r{i}", put(f"cooling.r{i}"), kind=kinds[i]) for i in range(len(clears))]

    def rules(state, _):
        fitted = [i for i in range(len(clears)) if f"cooling.r{i}" in state]
        open_ = set(range(4)) - set().union(*(clears[i] for i in fitted))
        # What one raises, no other remedy than its own can clear.
        open_ |= {raises[i] for i in fitted if raises[i] is not None and raises[i] not in clears[i]
                  and not any(raises[i] in clears[j] for j in fitted)}
        return [reinforce(f"F{n}", *(r for i, r in enumerate(remedies) if n in clears[i])) for n in sorted(open_)]

    bench = Bench(rules)
    for tier in plan(bench, by=by).tiers:
        for each in tier.sets if tier.state in ("reaches the goal", "nearest goal") else ():
            assert under(bench, each.edits)
            for chosen in each.chosen:
                fewer = [e for e in each.edits if e not in chosen.edits]
                assert not under(bench, fewer)
    # Whatever all remedies together clear, some set clears.
    if set().union(*clears) == set(range(4)):
        assert tiers(plan(bench, by=by))[REINFORCED].state == "reaches the goal"


def test_the_order_of_spend():
    """Common practice, no source."""
    order = ("fuel_system.lift_pump", "cooling.oil_cooler", "sensors.air_meter_range", "internals.rods.class",
             "driveline.clutch_capacity", "driveline.gearbox_rating")
    assert [place(remedy("x", put(p))) for p in order] == sorted(place(remedy("x", put(p))) for p in order)
    rods, pistons = remedy("x", put("internals.rods.class")), remedy("x", put("internals.pistons.class"))
    assert place(rods, {"gas load"}) < place(pistons, {"gas load"})
    assert place(pistons, {"knock"}) < place(rods, {"knock"})


def test_prices_are_read_and_refused_by_line(tmp_path):
    path = tmp_path / "prices.yaml"
    path.write_text("stronger-clutch: {price: 900.5, currency: EUR}\n")
    got = read_prices(path, {"stronger-clutch"})
    assert dict(got.prices) == {"stronger-clutch": 900.5} and got.currency == "EUR"
    path.write_text(
        "stronger-cluch: {price: 9, currency: EUR}\nlower-boost: {price: -1, currency: euro, of: x}\n"
        "forged-rods: {price: .nan, currency: USD}\nforged-rods: 5\n"
    )
    with pytest.raises(InputError) as caught:
        read_prices(path, {"stronger-clutch", "lower-boost", "forged-rods"})
    told = str(caught.value)
    for words in ("Near: stronger-clutch", ":2", "price", "ISO 4217", "each key once", "one currency", ":4"):
        assert words in told


def test_the_example_prices_are_of_real_remedies_and_say_that_they_are_invented():
    from enginelimits.rules.catalogue import load_catalogue

    path = CASES.parent / "docs" / "example-prices.yaml"
    assert read_prices(path, load_catalogue().remedies.keys()).currency == "EUR"
    assert "Invented" in path.read_text(encoding="utf-8")


@pytest.mark.slow
@pytest.mark.parametrize("case", ["high-compression-2000", "ethanol-2400"])
def test_a_real_plan_holds_on_the_changed_build_and_only_whole(case):
    from enginelimits.decisions.bench import bench_of
    from enginelimits.decisions.judge import judge
    from enginelimits.decisions.stacking import counts
    from enginelimits.decisions.strength import strength_anchor
    from enginelimits.description.edits import edited
    from enginelimits.description.load import load_build

    path = CASES / case / "build.yaml"
    bench = bench_of(path, samples=8)
    build = load_build(path)
    anchor = strength_anchor(build, bench.catalogue)

    def worst_and_reach(edits):
        changed = edited(build, edits) if edits else build
        judged = judge(changed, bench.catalogue, samples=8, anchor=anchor)
        goals = ("GOL001", "GOL008")  # that the goal is missed is what a nearest goal says itself
        worst = max((severity(f.grade) for f in judged.findings if counts(f) and f.rule not in goals), default=0)
        reaches = (judged.assessment.quantities.get(f"goal.{name}_reach") for name in ("power", "torque"))
        return worst, min(r.value for r in reaches if r is not None and r.value is not None)

    found = plan(bench)
    told = [(t, s) for t in found.tiers for s in t.sets if t.state in ("reaches the goal", "nearest goal")]
    assert told
    for tier, each in told:
        worst, reach = worst_and_reach(each.edits)
        assert worst < severity("reinforce") and reach == pytest.approx(each.reach, rel=1e-6)
        assert reach > 0.97 or tier.state == "nearest goal"
        for chosen in each.chosen:
            fewer = [e for e in each.edits if e not in chosen.edits]
            worst, reach = worst_and_reach(fewer)
            assert worst >= severity("reinforce") or (tier.state == "reaches the goal" and reach < 0.995)
