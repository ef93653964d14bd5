"""Whatever is wrong with a build file comes back as one InputError that names every problem and its place.

Builds are invented.
"""

from __future__ import annotations

import pytest

from enginelimits.description.load import parse_build
from enginelimits.errors import InputError, Problem

LEAST = """\
build: least
engine:
  cylinders: 4
  bore: 83 mm
  stroke: 85 mm
  compression_ratio: 11.0
  redline: 7200 rpm
"""
# Where what follows LEAST begins.
NEXT = 8


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        parse_build(text, "b.yaml")
    for problem in caught.value.problems:
        assert problem.file == "b.yaml"
        assert problem.wanted
        assert str(problem).isprintable()
        assert len(str(problem)) < 1000
    return caught.value.problems


def only(text: str) -> Problem:
    found = problems(text)
    assert len(found) == 1, [str(p) for p in found]
    return found[0]


def test_the_least_build_loads() -> None:
    assert parse_build(LEAST).build == "least"


def test_an_unknown_key() -> None:
    problem = only(LEAST + "internals: {rods: {shank_aera: 140 mm^2}}\n")
    assert (problem.key, problem.line, problem.column) == ("internals.rods.shank_aera", NEXT, 20)
    assert problem.got == "`shank_aera`"
    assert "shank_area" in problem.near
    assert "shank_area" in problem.wanted


def test_a_known_key_in_the_wrong_place() -> None:
    problem = only(LEAST + "limiter: 7400 rpm\n")
    assert "engine.limiter" in problem.near
    assert problem.mend == "It belongs under `engine`."


@pytest.mark.parametrize(
    ("line", "key", "wanted", "got", "mend"),
    [
        ("goal: {power: 180 KW}", "goal.power", "a power such as `180 hp`", "`180 KW`", "kW"),
        (
            "goal: {torque: 210 J}",
            "goal.torque",
            "a torque such as `210 N*m`",
            "an energy",
            "Torque is written",
        ),
        ("goal: {torque: 210 furlong}", "goal.torque", "a torque", "not accepted", "N*m, Nm, lb-ft"),
        (
            "goal: {power: 180}",
            "goal.power",
            "a power",
            "`180` without a unit",
            "Add the unit: W, kW, hp or PS",
        ),
        ("goal: {power: nan hp}", "goal.power", "a power", "`nan hp`", "Begin with the number"),
        ("goal: {power: 1e999 hp}", "goal.power", "a power", "`1e999 hp`", "check the exponent"),
        ("goal: {power: -180 hp}", "goal.power", "to 4023 hp", "`-180 hp`", ""),
        ("goal: {power: 9**9**9 hp}", "goal.power", "a power", "`9**9**9 hp`", "one number"),
        ("goal: {power: '1,180 hp'}", "goal.power", "a power", "`1,180 hp`", "no comma"),
        ("goal: {power: 170-190 hp}", "goal.power", "a power", "`170-190 hp`", "`170 to 190 hp`"),
        ("goal: {power: [180 hp]}", "goal.power", "a power", "a list", ""),
        ("goal: {power: }", "goal.power", "a power", "nothing", "Leave the key out"),
        ("goal: {at: wheel}", "goal.at", "one of wheels, crank", "`wheel`", ""),
        ("fuel: {octane: 98}", "fuel.octane", "octane number in RON or AKI", "without a unit", "RON or AKI"),
        ("fuel: {octane: 87 MON}", "fuel.octane", "RON or AKI", "which is MON", "Write it in RON or AKI"),
        ("fuel: {motor_octane: 98 RON}", "fuel.motor_octane", "in MON", "which is RON", "Write it in MON"),
        ("fuel: {ethanol: 0.3}", "fuel.ethanol", "a share such as `30 %`", "without a unit", "%"),
        ("fuel: {lambda_target: 0.8 bar}", "fuel.lambda_target", "a plain number", "a pressure", "no unit"),
        (
            "forced_induction: {boost: 24 psia}",
            "forced_induction.boost",
            "a gauge pressure such as `10 psi`",
            "`24 psia`, which is absolute",
            "subtract the barometric pressure",
        ),
        (
            "sensors: {manifold_pressure_range: 20 psig}",
            "sensors.manifold_pressure_range",
            "an absolute pressure",
            "`20 psig`, which is gauge",
            "add the barometric pressure",
        ),
        (
            "fuel_system: {base_pressure: 3 bar_g}",
            "fuel_system.base_pressure",
            "a pressure difference",
            "which is gauge",
            "no reference",
        ),
        (
            "cooling: {radiator_capacity: {at_difference: 60 degC}}",
            "cooling.radiator_capacity.at_difference",
            "a temperature difference",
            "which is a temperature",
            "written in K",
        ),
        ("site: {air_temperature: 25 C}", "site.air_temperature", "a temperature", "not accepted", "degC"),
        (
            "site: {air_temperature: 25 deg}",
            "site.air_temperature",
            "a temperature",
            "which is an angle",
            "degC",
        ),
        # A height at which no quantity of boost could be computed.
        ("site: {altitude: 5100 m}", "site.altitude", "from -500 m to 5000 m", "`5100 m`", "one that was meant"),
        (
            "site: {calibrated_altitude: 17000 ft}",
            "site.calibrated_altitude",
            " ft to 16400 ft",
            "`17000 ft`",
            "one that was meant",
        ),
        ("vehicle: {mass: 1240 N}", "vehicle.mass", "a mass", "which is a force", "kg"),
        (
            "vehicle: {lateral_acceleration: 1.0 kg}",
            "vehicle.lateral_acceleration",
            "acceleration",
            "mass",
            "g",
        ),
        ("internals: {head: {preload: 45 kg}}", "internals.head.preload", "a force", "a mass", "kN"),
        ("internals: {rod_bolts: {thread: M9}}", "internals.rod_bolts.thread", "`M9x1.0`", "`M9`", "both"),
        (
            "internals: {rod_bolts: {reused: maybe}}",
            "internals.rod_bolts.reused",
            "`true` or `false`",
            "maybe",
            "",
        ),
        (
            "internals: {rod_bolts: {reused: {probability: 3}}}",
            "internals.rod_bolts.reused",
            "from 0 to 1",
            "`3`",
            "",
        ),
        ("internals: {rod_bolts: {count: 2.5}}", "internals.rod_bolts.count", "a whole number", "`2.5`", ""),
        (
            "internals: {rods: {second_moments: {plane: 0 mm^4}}}",
            "internals.rods.second_moments.plane",
            "1 mm^4",
            "0",
            "",
        ),
        (
            "internals: {condition: {leak_down: 5 %}}",
            "internals.condition.leak_down",
            "a list",
            "`5 %`",
            "brackets",
        ),
        (
            "internals: {condition: {leak_down: []}}",
            "internals.condition.leak_down",
            "1 to",
            "a list of 0",
            "",
        ),
        ("internals: {rods: 5}", "internals.rods", "a mapping of keys", "`5`", "indented"),
        (
            "forced_induction: {intercooler: front}",
            "forced_induction.intercooler",
            "or `none`",
            "`front`",
            "",
        ),
        ("anchors: {knock: 4}", "anchors.knock", "a list of mappings", "`4`", ""),
        ("protections: [overboost, overboost]", "protections.1", "each name once", "again", ""),
        ("protections: overboost", "protections", "a list such as `[a, b]`, or `none`", "`overboost`", "square"),
        ("protections: [none]", "protections.0", "one of overboost", "`none`", ""),
        ("internals: {condition: {leak_down: []}}", "internals.condition.leak_down", "a list of 1", "of 0", "Leave"),
        (
            "forced_induction: {boost: {2500: 4 psi}}",
            "forced_induction.boost.2500",
            "a speed of rotation",
            "`2500` without a unit",
            "rad/s or rpm",
        ),
        (
            "forced_induction: {boost: {3000 rpm: 4 psi, 3e3 rpm: 5 psi}}",
            "forced_induction.boost.3e3 rpm",
            "once",
            "again",
            "",
        ),
        ("forced_induction: {boost: {}}", "forced_induction.boost", "by speed", "an empty mapping", ""),
        (
            "internals: {rods: {mass: {value: 480 g, low: 490 g, high: 500 g}}}",
            "internals.rods.mass.value",
            "from `low` to `high`",
            "`480 g`",
            "",
        ),
        (
            "internals: {rods: {mass: {value: 480 g, low: 470 g}}}",
            "internals.rods.mass",
            "both or neither",
            "one",
            "",
        ),
        (
            "internals: {rods: {mass: {low: 490 g, high: 480 g}}}",
            "internals.rods.mass.low",
            "below",
            "490",
            "",
        ),
        (
            "internals: {rods: {mass: {basis: measured}}}",
            "internals.rods.mass",
            "under `value`",
            "neither",
            "",
        ),
        (
            "internals: {rods: {mass: {value: 480 g, basis: guess}}}",
            "internals.rods.mass.basis",
            "measured",
            "guess",
            "",
        ),
        (
            "internals: {rods: {mass: {valu: 480 g}}}",
            "internals.rods.mass.valu",
            "one of value",
            "`valu`",
            "",
        ),
    ],
)
def test_one_thing_wrong(line: str, key: str, wanted: str, got: str, mend: str) -> None:
    problem = only(f"{LEAST}{line}\n")
    assert problem.key == key
    assert problem.line == NEXT
    assert problem.column is not None
    assert wanted in problem.wanted
    assert got in problem.got
    assert mend in " ".join((problem.mend, *problem.near))


@pytest.mark.parametrize(
    ("old", "new", "key", "wanted"),
    [
        ("compression_ratio: 11.0", "compression_ratio: 1", "engine.compression_ratio", "from 4 to 20"),
        ("compression_ratio: 11.0", "compression_ratio: 11:1", "engine.compression_ratio", "a plain number"),
        ("bore: 83 mm", "bore: 83", "engine.bore", "a length such as `83 mm`"),
        ("bore: 83 mm", "bore: 83 in", "engine.bore", "11.81 in"),
        ("bore: 83 mm", "bore: -83 mm", "engine.bore", "30 mm"),
        ("bore: 83 mm", "bore: 1e999 mm", "engine.bore", "a length"),
        ("bore: 83 mm", "bore: .inf", "engine.bore", "a length"),
        ("bore: 83 mm", "bore: unknown", "engine.bore", "a length"),
        ("  bore: 83 mm\n", "", "engine.bore", "a length"),
        ("build: least\n", "", "build", "a name"),
        ("build: least", "build: [a]", "build", "a name"),
        ("cylinders: 4", "cylinders: four", "engine.cylinders", "a whole number from 1 to 16"),
        ("redline: 7200 rpm", "redline: 7200 1/min", "engine.redline", "a speed of rotation"),
    ],
)
def test_required_keys(old: str, new: str, key: str, wanted: str) -> None:
    problem = only(LEAST.replace(old, new))
    assert problem.key == key
    assert wanted in problem.wanted


@pytest.mark.parametrize(
    ("lines", "key", "wanted"),
    [
        ("  rod_length: 40 mm\n", "engine.rod_length", "longer than half the stroke"),
        ("  rod_length: 90 mm\n", "engine.rod_length", "1.2 to 3 times the stroke"),
        ("  rod_length: 300 mm\n", "engine.rod_length", "1.2 to 3 times the stroke"),
        ("  limiter: 7000 rpm\n", "engine.limiter", "at or above the redline"),
        ("  limiter: 12000 rpm\n", "engine.limiter", "at or above the redline"),
        ("fuel: {gasoline_ethanol: 10 %, ethanol: 5 %}\n", "fuel.gasoline_ethanol", "at most the `ethanol`"),
        ("fuel: {octane: 87 RON, motor_octane: 98 MON}\n", "fuel.motor_octane", "at most the research"),
        # 91 AKI with 95 MON would be 87 RON: the mean of the two lies above neither.
        ("fuel: {octane: 91 AKI, motor_octane: 95 MON}\n", "fuel.motor_octane", "at most the mean"),
        ("fuel: {ethanol: 30 %, methanol: 75 %}\n", "fuel.methanol", "no more than the rest of the tank"),
        ("fuel: {gasoline_ethanol: 10 %, methanol: 95 %}\n", "fuel.methanol", "no more than the rest of the tank"),
        ("forced_induction: {kind: none, boost: 5 psi}\n", "forced_induction.boost", "no boost"),
        (
            "internals: {condition: {compression: [13 bar, 12 bar]}}\n",
            "internals.condition.compression",
            "each of 4 cylinders",
        ),
        (
            "internals: {rods: {mass: 480 g, big_end_mass: 490 g}}\n",
            "internals.rods.big_end_mass",
            "less than",
        ),
        (
            "internals: {pins: {inner_diameter: 20 mm, outer_diameter: 20 mm}}\n",
            "internals.pins.inner_diameter",
            "less than",
        ),
        (
            "forced_induction: {kind: positive-displacement, supercharger: {class: centrifugal}}\n",
            "forced_induction.supercharger.class",
            "`positive-displacement`",
        ),
        (
            "forced_induction: {kind: centrifugal, supercharger: {class: positive-displacement}}\n",
            "forced_induction.supercharger.class",
            "`centrifugal`",
        ),
        (
            "forced_induction: {compressor: {inducer: 62 mm, exducer: 48 mm}}\n",
            "forced_induction.compressor.inducer",
            "less than",
        ),
        (
            # 150 kW at 6800 rpm needs 150000/(6800 pi/30) = 211 N*m.
            "  standard_output: {power: {value: 150 kW, at: 6800 rpm},\n"
            "    torque: {value: 175 N*m, at: 4800 rpm}}\n",
            "engine.standard_output.torque.value",
            "at least 211 N*m",
        ),
    ],
)
def test_contradictions(lines: str, key: str, wanted: str) -> None:
    problem = only(LEAST + lines)
    assert problem.key == key
    assert wanted in problem.wanted
    assert problem.line is not None and problem.line >= NEXT


def test_every_problem_at_once_in_the_order_of_the_file() -> None:
    text = LEAST.replace("83 mm", "83").replace("7200 rpm", "7200 hp") + (
        "  rod_length: 90 mm\n"
        "  bore: 84 mm\n"
        "goal: {power: 180 hp, power_at: wheels}\n"
        "fuel: {octane: 98, ethanol: 5 %, gasoline_ethanol: 10 %}\n"
    )
    found = problems(text)
    assert [p.key for p in found] == [
        "engine.bore",
        "engine.redline",
        "engine.rod_length",
        "engine.bore",
        "goal.power_at",
        "fuel.octane",
        "fuel.gasoline_ethanol",
    ]
    assert [p.line for p in found] == [4, 7, 8, 9, 10, 11, 11]
