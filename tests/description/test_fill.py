"""What filling does to a build: gaps get a class, stated values stay, health is left alone."""

from __future__ import annotations

import math

import pytest

from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.load import parse_build
from enginelimits.errors import InputError
from enginelimits.shop import Setting, Shop
from enginelimits.units.sources import SOURCES

BARE = """
build: bare
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 11.0, redline: 7000 rpm}
"""


def filled_with(text: str = "", *, shop: Shop | None = None, engine: str = "") -> Filled:
    bare = BARE.replace("redline: 7000 rpm}", f"redline: 7000 rpm{engine}}}")
    return filled(parse_build(bare + text), shop=shop)


def test_health_history_and_goal_are_never_filled() -> None:
    inputs = filled_with().inputs
    for path in inputs:
        assert not path.startswith(("internals.condition", "history", "goal", "baseline", "approvals"))


def test_stated_health_is_passed_on() -> None:
    made = filled_with("internals: {condition: {leak_down: [4 %, 6 %, 5 %, 21 %]}}")
    given = made.inputs["internals.condition.leak_down"]
    assert given.value == pytest.approx((0.04, 0.06, 0.05, 0.21))
    assert "internals.condition.compression" not in made.inputs


def test_a_stated_value_wins_over_the_class_with_its_range_and_basis() -> None:
    made = filled_with(
        "internals: {rods: {class: cracked-steel, shank_area: {value: 151 mm^2, low: 149 mm^2, "
        "high: 154 mm^2, basis: measured}}}"
    )
    area = made.inputs["internals.rods.shank_area"]
    assert (area.value, area.low, area.high) == pytest.approx((151e-6, 149e-6, 154e-6))
    assert area.basis == "measured"
    assert area.from_class == ""


def test_a_stated_value_without_a_basis_is_documented() -> None:
    assert filled_with().inputs["engine.bore"].basis == "documented"


def test_the_class_fills_what_is_left_out_and_is_marked() -> None:
    mass = filled_with("internals: {rods: {class: cracked-steel, shank_area: 151 mm^2}}").inputs[
        "internals.rods.mass"
    ]
    assert mass.basis == "assumed"
    assert mass.from_class == "cracked-steel"
    assert mass.source in SOURCES
    assert mass.low is not None and mass.high is not None and mass.low < mass.value < mass.high  # type: ignore[operator]


@pytest.mark.parametrize(
    ("engine", "expected"),
    [("", "light-forged-steel"), (", built_for_boost: true", "forged-steel-boosted")],
)
def test_the_default_class_is_an_assumption_of_its_own(engine: str, expected: str) -> None:
    given = filled_with(engine=engine).inputs["internals.rods.class"]
    assert (given.value, given.basis) == (expected, "assumed")


@pytest.mark.parametrize(("valves", "diameter_m"), [(4, 0.034), (2, 0.042)])
def test_standard_springs_bear_the_boost_that_an_engine_was_built_for(valves: int, diameter_m: float) -> None:
    # Common practice, no source: makers boost to 1 bar on standard springs, and a third to half of the seat load taken
    # away is where valves begin to bounce. Springs of an engine without boost lose more than 40 % to it.
    engine = f", valves_per_cylinder: {valves}"
    bare = filled_with(engine=engine).inputs["internals.valves.intake_seat_load"]
    boosted = filled_with(engine=f"{engine}, built_for_boost: true").inputs["internals.valves.intake_seat_load"]
    taken = 100e3 * math.pi / 4 * diameter_m**2
    assert taken / bare.value > 0.4  # type: ignore[operator]
    assert 0.25 < taken / boosted.value < 0.37  # type: ignore[operator]
    assert (boosted.basis, boosted.source) == ("assumed", "memory")
    assert taken / boosted.low < 0.45  # type: ignore[operator]


def test_a_stated_class_is_no_assumption() -> None:
    assert (
        filled_with("internals: {rods: {class: cracked-steel}}").inputs["internals.rods.class"].basis
        == "documented"
    )


def test_mass_of_pistons_grows_with_the_bore() -> None:
    wide = (
        filled(parse_build(BARE.replace("bore: 86 mm", "bore: 95 mm"))).inputs["internals.pistons.mass"].value
    )
    usual = filled_with().inputs["internals.pistons.mass"].value
    # The class holds 335 g at 86 mm, from memory, and a power of 2.5.
    assert usual == pytest.approx(0.335)
    assert wide == pytest.approx(0.335 * (95 / 86) ** 2.5)


def test_second_moments_follow_a_measured_section() -> None:
    made = filled_with("internals: {rods: {class: light-forged-steel, shank_area: 70 mm^2}}")
    # Half the section at the same shape bends with a quarter of the stiffness.
    assert made.inputs["internals.rods.second_moments.plane"].value == pytest.approx(4200e-12 / 4)


def test_thread_and_property_class_give_diameter_pitch_and_proof_stress() -> None:
    made = filled_with(
        "internals: {rod_bolts: {thread: M9x1.0, property_class: '12.9'}, head: {thread: 7/16-20}}"
    )
    bolt = {k: made.inputs[f"class.rod_bolt.{k}"].value for k in ("diameter", "pitch", "proof_stress")}
    assert bolt == pytest.approx({"diameter": 0.009, "pitch": 0.001, "proof_stress": 970e6})
    # 7/16 inch and 20 threads an inch: 11.1125 mm and 1.27 mm.
    assert made.inputs["class.head.diameter"].value == pytest.approx(0.0111125)
    assert made.inputs["class.head.pitch"].value == pytest.approx(0.00127)
    # ISO 898-1, and ASME B1.1: 0.7854 (D - 0.9743 / n)^2
    assert made.inputs["class.rod_bolt.thread_depth"].value == pytest.approx(0.9382, abs=5e-5)
    assert made.inputs["class.head.thread_depth"].value == pytest.approx(0.9743, abs=5e-5)


def test_the_head_has_two_fasteners_a_cylinder_and_two_more() -> None:
    # Common practice, no source: ten in a four; sixteen in a vee six with two heads.
    assert filled_with().inputs["internals.head.fasteners"].value == 10
    vee = filled(parse_build(BARE.replace("cylinders: 4", "layout: vee, cylinders: 6")))
    assert vee.inputs["internals.head.fasteners"].value == 16
    # A single stands on four, and eight in each row of a vee sixteen have eighteen.
    single = filled(parse_build(BARE.replace("cylinders: 4", "cylinders: 1")))
    assert single.inputs["internals.head.fasteners"].value == 4
    sixteen = filled(parse_build(BARE.replace("cylinders: 4", "cylinders: 16")))
    assert sixteen.inputs["engine.layout"].value == "vee"
    assert sixteen.inputs["internals.head.fasteners"].value == 36


def test_a_pin_of_stated_size_weighs_what_such_a_tube_does() -> None:
    # By hand: pi/4 (21^2 - 9^2) mm^2 * 58 mm * 7.85 g/cm^3 = 128.7 g for a plain tube
    sized = "internals: {pins: {outer_diameter: 21 mm, inner_diameter: 9 mm, length: 58 mm%s}}"
    thick = filled_with(sized % "").inputs["internals.pins.mass"]
    assert 0.9 * 0.1287 <= thick.low < thick.value < thick.high <= 0.1288
    assert filled_with(sized % ", mass: 119 g").inputs["internals.pins.mass"].value == pytest.approx(0.119)
    # of a size that is known in part the class tells
    part = filled_with("internals: {pins: {outer_diameter: 20 mm, length: 55 mm}}").inputs["internals.pins.mass"]
    assert part.value == pytest.approx(0.087)


def test_a_gate_whose_diameter_is_left_out_is_one_of_its_kind() -> None:
    # From memory: flaps of 21 to 35 mm in turbine housings; external gates are sold from 35 mm up, mostly 38 to 46.
    path, machine = "class.turbine.gate_diameter", "forced_induction: {kind: turbocharger, boost: 8 psi%s}"
    flap, valve, either = (
        filled_with(machine % wastegate).inputs[path]
        for wastegate in (", wastegate: {kind: internal}", ", wastegate: {kind: external}", "")
    )
    assert 0.021 <= flap.value <= 0.035 <= valve.low and 0.038 <= valve.value <= 0.046
    assert either.low < flap.value and either.high > valve.value


def test_no_ordinary_day_is_hotter_than_the_hot_day() -> None:
    kept = filled_with("site: {air_temperature: 30 degC}").inputs["site.hot_day_temperature"]
    assert kept.value == pytest.approx(308.15)
    desert = filled_with("site: {air_temperature: 41 degC}").inputs["site.hot_day_temperature"]
    assert desert.value == pytest.approx(314.15)
    assert desert.drawn_with == ("site.air_temperature",)
    north = filled_with("site: {hot_day_temperature: 18 degC}").inputs["site.air_temperature"]
    assert north.value == pytest.approx(291.15)
    # what is stated stands, whatever it is
    both = filled_with("site: {air_temperature: 30 degC, hot_day_temperature: 20 degC}").inputs
    assert both["site.hot_day_temperature"].value == pytest.approx(293.15)


def test_stated_material_governs_strength() -> None:
    made = filled_with(
        "internals: {rods: {class: forged-i-section, material: alloy-steel-ultra-high-strength}}"
    )
    # AMS 6417: at least 1586 MPa.
    assert made.inputs["class.rod.yield_strength"].low == pytest.approx(1586e6)


@pytest.mark.parametrize(
    ("text", "key", "near"),
    [
        ("internals: {rods: {class: crakced-steel}}", "internals.rods.class", "cracked-steel"),
        (
            "internals: {rods: {material: powder-forged-stee}}",
            "internals.rods.material",
            "powder-forged-steel",
        ),
    ],
)
def test_an_unknown_name_is_an_error_with_near_matches(text: str, key: str, near: str) -> None:
    with pytest.raises(InputError) as caught:
        filled_with(text)
    (problem,) = caught.value.problems
    assert problem.key == key
    assert near in problem.near


def test_a_material_of_the_wrong_part_is_refused() -> None:
    with pytest.raises(InputError, match="a material for rods"):
        filled_with("internals: {rods: {material: forged-aluminium-2618}}")


def test_without_forced_induction_there_is_none_and_nothing_of_it_is_made_up() -> None:
    inputs = filled_with().inputs
    assert inputs["forced_induction.kind"].value == "none"
    for path in (
        "forced_induction.compressor.efficiency",
        "forced_induction.boost",
        "class.turbine.drive_ratio",
    ):
        assert path not in inputs


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("forced_induction: {boost: 8 psi, turbine: {efficiency: 0.7}}", "turbocharger"),
        ("forced_induction: {boost: 8 psi, supercharger: {drive_ratio: 7}}", "centrifugal"),
        ("forced_induction: {supercharger: {displacement_per_rev: 0.9 L}}", "positive-displacement"),
    ],
)
def test_the_kind_of_induction_follows_from_the_parts(text: str, expected: str) -> None:
    given = filled_with(text).inputs["forced_induction.kind"]
    assert (given.value, given.basis) == (expected, "assumed")


def test_no_intercooler_cools_nothing_and_costs_nothing() -> None:
    inputs = filled_with("forced_induction: {kind: turbocharger, intercooler: none}").inputs
    assert inputs["forced_induction.intercooler"].value == "none"
    for name in ("effectiveness", "pressure_drop"):
        given = inputs[f"forced_induction.intercooler.{name}"]
        assert (given.value, given.low, given.high) == (0.0, None, None)


def test_asked_boost_is_never_filled() -> None:
    assert "forced_induction.boost" not in filled_with("forced_induction: {kind: turbocharger}").inputs


@pytest.mark.parametrize(("pump", "research"), [(91, 95), (93, 98)])
def test_pump_octane_becomes_research_octane(pump: int, research: int) -> None:
    # Common practice, no source: 91 goes with 95 RON and 93 with 98, within 0.7.
    given = filled_with(f"fuel: {{octane: {pump} AKI}}").inputs["fuel.octane"]
    assert given.low is not None and given.high is not None
    assert given.low <= research <= given.high
    assert given.high - given.low == pytest.approx(1.4)
    # The number is of the research scale now, and says so.
    assert (given.kind, given.basis) == ("RON", "documented")


def test_the_makers_pump_octane_is_converted_once_where_the_tank_is_not_stated() -> None:
    inputs = filled_with(engine=", standard_output: {fuel: {octane: 91 AKI, is: minimum}}").inputs
    # Common practice, no source: 91 AKI is about 95 RON, 95.5 by the usual distance; twice converted it is 100.
    for path in ("engine.standard_output.fuel.octane", "fuel.octane", "class.fuel.gasoline_octane"):
        assert inputs[path].value == pytest.approx(95.5), path


def test_motor_octane_makes_the_conversion_exact() -> None:
    # AKI is the mean of RON and MON by definition: 91 AKI with 86 MON is 96 RON.
    given = filled_with("fuel: {octane: 91 AKI, motor_octane: 86 MON}").inputs["fuel.octane"]
    assert given.value == pytest.approx(96.0)
    assert given.shape == "point"


def test_octane_follows_the_maker_where_the_fuel_is_not_stated() -> None:
    text = ", standard_output: {fuel: {octane: 98 RON}}"
    given = filled_with(engine=text).inputs["fuel.octane"]
    assert (given.value, given.basis) == (98.0, "assumed")


def test_a_tank_never_holds_more_ethanol_than_stated() -> None:
    inputs = filled_with("fuel: {ethanol: 5 %}").inputs
    inside = inputs["fuel.gasoline_ethanol"]
    assert inside.value == pytest.approx(0.05)
    assert inside.high is None or inside.high <= 0.05 + 1e-12


def test_unstated_ethanol_is_that_of_the_gasoline_and_marked_as_a_copy() -> None:
    given = filled_with("fuel: {gasoline_ethanol: 5 %}").inputs["fuel.ethanol"]
    assert given.value == pytest.approx(0.05)
    assert (given.basis, given.note) == ("assumed", "copied from fuel.gasoline_ethanol")


def test_blend_octane_is_never_filled() -> None:
    assert "fuel.blend_octane" not in filled_with("fuel: {ethanol: 30 %}").inputs


def test_volumetric_efficiency_peaks_where_four_valve_engines_fill_best() -> None:
    curve = filled_with().inputs["class.volumetric_efficiency"].curve
    assert curve is not None
    best = max(curve, key=lambda point: point[1])
    redline = 7000 * math.pi / 30
    # Trade text: four-valve engines peak at 0.95 to 0.99; common practice: at 0.6 to 0.75 of the redline.
    assert 0.95 <= best[1] <= 0.99
    assert 0.6 <= best[0] / redline <= 0.75
    assert [p[0] for p in curve] == sorted(p[0] for p in curve)


def test_clutch_follows_the_stated_torque() -> None:
    text = ", standard_output: {torque: {value: 200 N*m, at: 4500 rpm}}"
    given = filled_with(engine=text).inputs["driveline.clutch_capacity"]
    # Common practice, no source: a standard clutch holds 1.3 to 1.6 times standard torque.
    assert 1.3 * 200 <= given.value <= 1.6 * 200  # type: ignore[operator]


@pytest.mark.parametrize(("dyno", "low", "high"), [("load-controlled", 0.85, 0.90), ("inertia", 0.99, 1.01)])
def test_a_dyno_reads_as_its_kind(dyno: str, low: float, high: float) -> None:
    # Common practice, no source: load-controlled reads 0.85 to 0.90 of inertia.
    made = filled_with(f"goal: {{power: 200 hp, at: wheels, dyno: {dyno}}}")
    assert low <= made.inputs["class.dyno.factor"].value <= high  # type: ignore[operator]


def test_a_rear_driven_car_loses_what_the_trade_says() -> None:
    # Common practice, no source: 13 to 17 % of about 150 kW with rear drive and a manual gearbox.
    inputs = filled_with("driveline: {drive: rear, gearbox: manual}").inputs
    fixed, share = (inputs[f"driveline.loss.{k}"].value for k in ("fixed", "proportional"))
    assert 0.13 <= (fixed + share * 150e3) / 150e3 <= 0.17  # type: ignore[operator]


def test_a_chance_replaces_a_yes_or_no_that_nobody_stated() -> None:
    jets = filled_with().inputs["internals.pistons.oil_jets"]
    assert jets.value is False
    assert jets.probability is not None and 0.0 < jets.probability < 0.5


def test_the_standard_engine_is_the_file_as_read() -> None:
    build = parse_build(BARE)
    raised = filled(edited(build, [{"set": "engine.redline", "to": "7700 rpm"}]))
    assert raised.inputs["engine.redline"].value == pytest.approx(7700 * math.pi / 30)
    assert raised.inputs["engine.standard.redline"].value == pytest.approx(7000 * math.pi / 30)
    # The assumed limiter moves with the redline; the standard one stays where it was.
    before = filled(build).inputs["engine.standard.limiter"].value
    assert raised.inputs["engine.standard.limiter"].value == pytest.approx(before)
    assert raised.inputs["engine.limiter"].value > before  # type: ignore[operator]


def test_replacing_pistons_leaves_the_standard_mass() -> None:
    build = parse_build(BARE)
    standard = filled(build).inputs["engine.standard.piston_and_pin_mass"]
    forged = filled(edited(build, [{"replace": "internals.pistons", "with": {"class": "forged-2618"}}]))
    assert forged.inputs["engine.standard.piston_and_pin_mass"].value == pytest.approx(standard.value)
    assert forged.inputs["internals.pistons.mass"].value > 0.335  # type: ignore[operator]


STANDARD_MASS = "engine.standard.piston_and_pin_mass"
WEIGHED = "internals: {pistons: {%smass: 300 g}, pins: {%smass: 90 g}}"


def test_weighed_pistons_of_the_maker_are_the_standard() -> None:
    # without a class they are taken for the maker's, like the open ones
    for piston in ("", "class: cast, "):
        assert filled_with(WEIGHED % (piston, "")).inputs[STANDARD_MASS].value == pytest.approx(0.390)


def test_weighed_replacements_say_nothing_of_the_standard() -> None:
    """By hand: a standard engine of 86 mm has the class's 335 g piston and an 83 mm class's pin of 87 g.

    The pin's diameter and length go with the bore, its mass with the square of the one and the other: with its cube.
    """
    forged = WEIGHED % ("class: forged-2618, ", "")
    standard = 0.335 + 0.087 * (86 / 83) ** 3
    assert filled_with(forged).inputs[STANDARD_MASS].value == pytest.approx(standard)
    lighter = filled_with(forged.replace("300 g", "290 g")).inputs
    assert lighter[STANDARD_MASS].value == pytest.approx(standard)
    told = filled_with(forged, engine=", standard: {piston_and_pin_mass: 410 g}").inputs
    assert told[STANDARD_MASS].value == pytest.approx(0.410)


def test_a_replaced_pin_says_nothing_of_the_standard_pin_and_leaves_the_piston() -> None:
    inputs = filled_with(WEIGHED % ("", "class: replacement-thick, ")).inputs
    assert inputs[STANDARD_MASS].value == pytest.approx(0.300 + 0.087 * (86 / 83) ** 3)


def test_weighed_replacements_put_in_by_an_edit_leave_the_weighed_standard() -> None:
    build = parse_build(BARE + WEIGHED % ("", ""))
    forged = edited(build, [{"replace": "internals.pistons", "with": {"class": "forged-2618", "mass": "330 g"}}])
    assert filled(forged).inputs[STANDARD_MASS].value == pytest.approx(0.390)


def test_factory_parts_are_told_from_replacements() -> None:
    made = filled_with("internals: {pistons: {class: forged-2618}}").inputs
    assert made["class.rod.factory"].value is True
    assert made["class.piston.factory"].value is False


def test_the_shop_fills_before_the_classes_and_never_over_the_file() -> None:
    shop = Shop(
        settings={
            "site.altitude": Setting(820.0, None, None, "point", "m"),
            "site.air_temperature": Setting(290.0, None, None, "point", "K"),
        },
        dyno="hub",
    )
    made = filled_with("site: {air_temperature: 30 degC}", shop=shop)
    altitude = made.inputs["site.altitude"]
    assert (altitude.value, altitude.basis, altitude.source) == (820.0, "documented", "shop")
    assert made.inputs["site.air_temperature"].value == pytest.approx(303.15)
    assert made.inputs["class.dyno.factor"].value > 1.0  # type: ignore[operator]


def test_no_assumption_lacks_a_source() -> None:
    made = filled_with("forced_induction: {kind: turbocharger, boost: 7 psi}")
    assert made.assumed
    for given in made.assumed:
        assert given.source in SOURCES or given.source in ("build file", "shop"), given


def test_draws_of_positive_sizes_are_cut_above_zero() -> None:
    for given in filled_with().inputs.values():
        if given.low is not None and given.low > 0.0 and given.unit not in ("K", "1"):
            # the least that a standard allows is floor and low in one
            assert given.floor is not None and 0.0 <= given.floor <= given.low


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("internals:\n  rods:\n    class: forgd\n", "internals.rods.class"),
        ("internals:\n  rods:\n    material: cheese\n", "internals.rods.material"),
        ("internals:\n  rods:\n    material: cast-eutectic-aluminium\n", "internals.rods.material"),
    ],
)
def test_a_name_that_no_class_has_is_told_with_file_line_and_key(said: str, key: str) -> None:
    engine = "engine: {cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 11, redline: 7200 rpm}\n"
    with pytest.raises(InputError) as caught:
        filled(parse_build(f"build: x\n{engine}{said}", "b.yaml"))
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.key) == ("b.yaml", 5, key)
    assert problem.mend.startswith("Known: ")
