"""The graph of steps as data: every binding names something, and in the unit that the argument says."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from functools import cache
from itertools import product
from pathlib import Path

import pytest

from enginelimits.assessment.chain.all_steps import STEPS
from enginelimits.assessment.chain.burn import BOOST_TRIAL
from enginelimits.assessment.columns import Step
from enginelimits.assessment.runner import BLOWER, TIMING, TURBINE, TURBINE_CLASS, TURBINE_SIZE, chosen, ordered
from enginelimits.assessment.vocabulary import QUANTITIES, printed
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build, parse_build
from enginelimits.description.paths import known_paths
from enginelimits.units.suffixes import unit_of_argument

CASES = Path(__file__).parents[2] / "cases"
INDUCTIONS = ("none", "turbocharger", "centrifugal", "positive-displacement")
INJECTIONS = ("port", "direct", "port-and-direct")
REGULATORS = ("boost-referenced", "fixed")

# What no step gives: the speed that the grid sets, and what the anchor solves before the steps run.
GIVEN_OTHERWISE = {
    "engine.speed", "ambient.ordinary_temperature", "air.anchor_scale", "air.anchored_factor",
    "air.anchor_scale_at_torque", "air.anchor_scale_at_power",
    # solved on the maker's engine, or on trial boosts
    "knock.anchored_offset",
    "knock.anchored_spread",
    "knock.factory_wanted_latest",
    "knock.factory_wanted_earliest",
    "knock.factory_octane",
    "knock.limited_boost",
    # of the pass before the one that counts
    "balance.exhaust_temperature", "balance.compressor_efficiency", "balance.filling",
    # only with a map file
    "compressor.map_residual",
    *(id_ for trial in BOOST_TRIAL for id_ in trial.gives),
}
# A ratio of the two whatever they measure: they must share a unit, which their names cannot say.
# Yes and no count as one and nil.
OF_ANY_UNIT = {("over_standard", "as_built"), ("over_standard", "standard"), ("allowed_for_build", "built_for_boost"),
               ("preload_left", "reused"), ("crown_temperature", "oil_jets"),
               ("crown_heat_to_oil", "oil_jets"), ("oil_temperature", "oil_cooler")}
# What no shipped class states, and a workshop's own may.
OF_A_WORKSHOP = {"class.rod_bolt.load_share": "1"}


def label(step: Step) -> str:
    only = "-".join(word for words in step.when.values() for word in words)
    return f"{step.gives[0]}({only})" if only else step.gives[0]


every_step = pytest.mark.parametrize("step", STEPS, ids=label)


# No worked case has rotors.
BLOWN = """
build: with rotors
goal: {power: 200 hp, at: crank}
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 10.0, redline: 7000 rpm}
forced_induction: {kind: positive-displacement, boost: 6 psi}
"""


@cache
def input_units() -> dict[str, str]:
    """Units by path: of the build file's own keys, and of what classes supply to the shipped builds."""
    units = {**known_paths(), **OF_A_WORKSHOP}
    for build in (*map(load_build, sorted(CASES.glob("*/build.yaml"))), parse_build(BLOWN)):
        for name, given in filled(build).inputs.items():
            if name.startswith("class.") or name not in units:
                units.setdefault(name, given.unit)
    return units


def sources(step: Step) -> Iterator[tuple[str, str]]:
    for argument, source in step.takes.items():
        for name in (source,) if isinstance(source, str) else source:
            yield argument, name


def unit_of_source(name: str) -> str:
    return QUANTITIES[name].unit if name in QUANTITIES else input_units()[name]


@every_step
def test_every_binding_is_a_parameter_and_every_parameter_is_bound(step):
    parameters = inspect.signature(step.of).parameters
    bound = {*step.takes, *step.fixed}
    assert not set(step.takes) & set(step.fixed)
    assert bound <= set(parameters)
    assert {n for n, p in parameters.items() if p.default is p.empty} <= bound


@every_step
def test_every_source_is_a_quantity_or_an_input(step):
    unknown = [name for _, name in sources(step) if name not in QUANTITIES and name not in input_units()]
    assert unknown == []
    assert [path for path in step.when if path not in known_paths()] == []


@every_step
def test_each_argument_takes_what_has_its_unit(step):
    for argument, name in sources(step):
        if (step.of.__name__, argument) in OF_ANY_UNIT:
            continue
        assert unit_of_source(name) == unit_of_argument(argument), f"{argument} takes {name}"


@pytest.mark.parametrize("step", [s for s in STEPS if s.of.__name__ == "over_standard"], ids=label)
def test_a_ratio_to_the_standard_is_of_like_things(step):
    assert len({unit_of_source(name) for _, name in sources(step)}) == 1
    assert all(QUANTITIES[id_].unit == "1" for id_ in step.gives)


@every_step
def test_every_id_given_is_in_the_vocabulary(step):
    assert set(step.gives) <= set(QUANTITIES)


@every_step
def test_the_unit_of_what_is_returned_is_that_of_the_id(step):
    # The docstring of each function names its return value with the unit's suffix.
    document = inspect.getdoc(step.of) or ""
    returned = document.partition("Returns\n-------\n")[2].partition("\n\n")[0]
    if len(step.gives) > 1:
        fields = inspect.signature(step.of).return_annotation
        names = step.of.__globals__[fields]._fields if isinstance(fields, str) else fields._fields
        assert len(names) == len(step.gives)
    else:
        names = (returned.partition(" :")[0].strip(),)
    for name, id_ in zip(names, step.gives, strict=True):
        assert unit_of_argument(name) == QUANTITIES[id_].unit, f"{name} -> {id_}"


def test_no_quantity_bears_the_name_of_an_input():
    assert set(QUANTITIES) & {*known_paths(), *input_units()} == set()


def test_every_printed_quantity_is_given_by_some_step():
    given = {id_ for step in STEPS for id_ in step.gives}
    assert {kind.id for kind in printed()} - given == GIVEN_OTHERWISE


def test_what_varies_over_speed_is_taken_by_nothing_that_does_not():
    # A quantity that has one value for the whole range cannot be made from one that has many, unless its
    # function reduces it over the range.
    reduces = {"boost_threshold", "greatest_boost_asked", "greatest_boost_made", "goal_power_reach",
               "goal_torque_reach", "heat_step_shortfall", "power_over_standard"}
    for step in STEPS:
        if step.of.__name__ in reduces or any(QUANTITIES[id_].varies for id_ in step.gives):
            continue
        assert [n for _, n in sources(step) if n in QUANTITIES and QUANTITIES[n].varies] == [], step.gives


@pytest.mark.parametrize(("kind", "turbine", "injection", "regulator"),
                         [*product(INDUCTIONS, (TURBINE_CLASS,), INJECTIONS, (*REGULATORS, None)),
                          ("turbocharger", TURBINE_SIZE, "direct", "fixed")])
def test_the_steps_can_be_ordered_for_every_kind_of_engine(kind, turbine, injection, regulator):
    texts = {"forced_induction.kind": kind, "engine.injection": injection, "fuel_system.regulator": regulator,
             "goal.correction": "none", "goal.at": "wheels", TIMING: "open", TURBINE: turbine,
             "forced_induction.control.holds": "gauge", "forced_induction.control.kind": "closed-loop",
             BLOWER: TURBINE_CLASS}
    steps = ordered(chosen(STEPS, texts))
    have = {n for s in STEPS for _, n in sources(s) if n not in QUANTITIES} | {"crank.angle"} | GIVEN_OTHERWISE
    have |= {path for s in STEPS for path in s.when}
    for step in steps:
        # Of several sources one is enough.
        for source in step.takes.values():
            names = (source,) if isinstance(source, str) else source
            assert have.intersection(names), f"{step.gives} lacks {names}"
        have.update(step.gives)
    assert {"crank.power", "wheel.power", "rod.compression", "head.clamp_ratio"} <= have


@pytest.mark.parametrize("kind", INDUCTIONS)
def test_an_engine_has_the_quantities_of_its_induction_and_no_others(kind):
    steps = chosen(STEPS, {"forced_induction.kind": kind, "engine.injection": "port",
                           "fuel_system.regulator": "fixed", "goal.correction": "none", "goal.at": "crank",
                           TIMING: "open", TURBINE: TURBINE_CLASS, BLOWER: TURBINE_CLASS,
                           "forced_induction.control.holds": "gauge", "forced_induction.control.kind": "closed-loop"})
    given = {id_ for step in steps for id_ in step.gives}
    assert ("compressor.pressure_ratio" in given) is (kind != "none")
    assert ("turbine.drive_pressure_ratio" in given) is (kind == "turbocharger")
    assert ("supercharger.drive_power" in given) is (kind in ("centrifugal", "positive-displacement"))
    assert {"air.boost", "air.manifold_pressure", "exhaust.pressure", "brake.mean_effective_pressure"} <= given
