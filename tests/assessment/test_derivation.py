"""The worked calculation: it reaches the inputs, and anyone who puts its numbers in gets its result."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.derivation import worked
from enginelimits.assessment.vocabulary import QUANTITIES, printed
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build
from enginelimits.errors import InputError

CASES = Path(__file__).parents[2] / "cases"
RPM = 2 * math.pi / 60
NAMES = ("centrifugal-six-3000", "ethanol-2400", "factory-na-1800")
FUNCTIONS = {"max": max, "min": min, "sqrt": math.sqrt, "pi": math.pi, "exp": math.exp, "log": math.log,
             "log10": math.log10,
             "sin": math.sin, "cos": math.cos, "abs": abs, "where": lambda test, yes, no: yes if test else no}


@cache
def assessed(name):
    return assess(filled(load_build(CASES / name / "build.yaml")), samples=0)


def put_in(step):
    """What a reader gets who takes the equation and the numbers of the arguments, line by line."""
    names = {a.name: a.value for a in step.arguments}
    value = None
    for line in step.equation.splitlines():
        name, assigned, expression = line.partition(" = ")
        plain = assigned and name.strip().isidentifier()
        value = eval(expression if plain else line, {"__builtins__": {}}, {**FUNCTIONS, **names})
        if plain:
            names[name.strip()] = value
    return value


def test_piston_speed_by_hand():
    # 2 x 0.099 m x 6800/60 a second = 22.44 m/s.
    (step,) = worked(assessed("ethanol-2400"), "engine.mean_piston_speed")
    assert step.value == pytest.approx(22.44, abs=0.005)
    assert put_in(step) == pytest.approx(22.44, abs=0.005)
    assert {a.name: a.comes_from for a in step.arguments} == {
        "stroke_m": "engine.stroke", "speed_rad_s": "engine.limiter"}
    assert step.arguments[0].value == pytest.approx(0.099)


@pytest.mark.parametrize("id_", ["brake.mean_effective_pressure", "crank.torque", "crank.power",
                                 "compressor.outlet_temperature", "fuel.pressure_difference",
                                 "injector.port_duty", "rod.event_use", "head.clamp_ratio"])
@pytest.mark.parametrize("name", NAMES[:2])
def test_numbers_put_into_the_equation_give_the_value(name, id_):
    first = worked(assessed(name), id_)[0]
    assert first.status == "ok"
    assert put_in(first) == pytest.approx(first.value, rel=1e-9)


@pytest.mark.parametrize("name", [NAMES[0], *(pytest.param(name, marks=pytest.mark.slow) for name in NAMES[1:])])
def test_every_equation_that_is_one_gives_its_value(name):
    # Those told in words ("Solved: ...") take no numbers; a printed constant has six digits.
    reached = 0
    for kind in printed():
        step = worked(assessed(name), kind.id)[0]
        if step.status != "ok" or not step.equation or step.equation.startswith("Solved:"):
            continue
        assert put_in(step) == pytest.approx(step.value, rel=2e-6, abs=1e-12), kind.id
        reached += 1
    assert reached > 50


@pytest.mark.parametrize(("name", "id_"), [("small-turbo-1800", "goal.power_reach"),
                                           ("centrifugal-six-3000", "crank.power_over_standard")])
def test_what_takes_the_greatest_over_speeds_shows_the_number_that_it_took(name, id_):
    # greatest power over that asked for, or over the maker's: a division that a reader can do
    first, second = worked(assessed(name), id_)[:2]
    power, over = (a.value for a in first.arguments)
    assert power / over == pytest.approx(first.value, rel=1e-9)
    # and the calculation goes on there
    assert second.value == power and "the greatest, at" in first.arguments[0].note


def test_the_greatest_is_shown_although_the_calculation_stands_at_another_speed():
    steps = {s.gives: s for s in worked(assessed("small-turbo-1800"), "air.boost", speed=2000 * math.pi / 30)}
    (asked,) = steps["air.greatest_boost_asked"].arguments
    assert asked.value == steps["air.greatest_boost_asked"].value > steps["air.boost_asked"].value


def test_every_branch_ends_at_an_input_or_a_constant():
    steps = worked(assessed("ethanol-2400"), "rod.column_use")
    shown = {step.gives for step in steps}
    assert len(shown) == len(steps)
    assert steps[0].gives == "rod.column_use" and steps[0].depth == 0
    for step in steps:
        for argument in step.arguments:
            comes_from = argument.comes_from
            assert comes_from in shown or comes_from not in QUANTITIES or comes_from in (
                "engine.speed", "crank.angle", "ambient.ordinary_temperature", "air.anchor_scale_at_torque",
                "air.anchor_scale_at_power",
                "knock.factory_wanted_latest", "knock.factory_wanted_earliest", "knock.factory_octane"), comes_from
    taken = {a.comes_from for step in steps for a in step.arguments}
    assert {"engine.bore", "internals.rods.shank_area", "class.rod.yield_strength", "forced_induction.boost",
            "fuel.ethanol", "site.altitude"} <= taken


def test_an_argument_tells_basis_and_class():
    steps = worked(assessed("ethanol-2400"), "rod.column_capacity")
    arguments = {a.comes_from: a for step in steps for a in step.arguments}
    assert arguments["internals.rods.shank_area"].basis == "documented"
    strength = arguments["class.rod.yield_strength"]
    assert (strength.basis, strength.note != "", strength.source != "") == ("assumed", True, True)


def test_constants_of_the_formula_and_settled_choices_are_shown():
    step = worked(assessed("factory-na-1800"), "pump.pressure")[0]
    settled = next(a for a in step.arguments if a.name == "boost_referenced")
    assert (settled.value, settled.comes_from, settled.note) == (0.0, "fuel_system.regulator", "fixed")
    event = worked(assessed("ethanol-2400"), "rod.event_use")[0]
    pressure = next(a for a in event.arguments if a.name == "event_pressure_pa")
    # One knock event of 200 bar.
    assert (pressure.value, pressure.unit, pressure.basis) == (200e5, "Pa", "constant")


def test_a_speed_that_is_asked_for_is_taken():
    got = assessed("ethanol-2400")
    step = worked(got, "crank.power", speed=3010 * RPM)[0]
    power = got.curves["crank.power"].values[[round(s / RPM) for s in got.speeds].index(3000)]
    assert step.value == pytest.approx(power)
    speed = next(a for a in step.arguments if a.name == "speed_rad_s")
    assert speed.value == pytest.approx(3000 * RPM)


def test_the_hot_day_shows_its_own_air():
    steps = worked(assessed("ethanol-2400"), "compressor.outlet_temperature", 5000 * RPM, "hot day")
    air = next(a for a in steps[0].arguments if a.name == "inlet_temperature_k")
    assert air.value == pytest.approx(273.15 + 36)


def test_what_cannot_be_computed_says_what_it_needs():
    step = worked(assessed("ethanol-2400"), "sensor.air_meter_use")[0]
    assert step.value is None and "sensors.air_meter_range" in step.status
    absent = worked(assessed("factory-na-1800"), "compressor.pressure_ratio")
    assert [s.status for s in absent] == ["not applicable"]


def test_an_unknown_quantity_is_refused_with_near_ones():
    with pytest.raises(InputError) as caught:
        worked(assessed("ethanol-2400"), "rod.colum_use")
    assert "rod.column_use" in caught.value.problems[0].near


def test_a_value_that_a_step_fixes_for_every_build_is_a_constant():
    # A rod bolt is screwed into the cap or the rod: no nut adds to its length.
    bolt = worked(assessed("ethanol-2400"), "rod_bolt.stiffness_between_ends")[0]
    nut = next(a for a in bolt.arguments if a.name == "nut_ratio")
    assert (nut.value, nut.comes_from, nut.basis) == (0.0, "formula", "constant")
