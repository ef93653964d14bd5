"""Fuel supply, plugs and cuts through the whole chain: which way each must move, and what is missing said so."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import load_build

CASE = Path(__file__).parents[2] / "cases" / "port-and-direct-2000" / "build.yaml"


@cache
def assessed(*changes: tuple[str, str]) -> Assessment:
    edits = [{"drop": path} if to == "" else {"set": path, "to": to} for path, to in changes]
    build = load_build(CASE)
    speeds = np.array([3500.0, 6500.0]) * np.pi / 30.0
    return assess(filled(edited(build, edits) if edits else build), samples=0, speeds=speeds)


def value(id_: str, *changes: tuple[str, str]) -> float:
    found = assessed(*changes).quantities[id_].value
    assert found is not None, id_
    return found


SHARE = "fuel_system.direct_injection.share"


def test_fuel_goes_through_one_side_or_the_other():
    half = (SHARE, "50 %")
    assert value("injector.direct_window_use", half) == pytest.approx(
        value("injector.direct_window_use") * 50 / 97, rel=0.02  # less direct fuel cools less and fills a little less
    )
    assert value("injector.port_duty", half) > value("injector.port_duty")
    assert value("injector.direct_end_angle", half) > value("injector.direct_end_angle")
    # what both can carry does not hang on how it is split, but for that same filling
    assert value("injector.both_capacity", half) == pytest.approx(value("injector.both_capacity"), rel=0.02)


def test_rail_pressure_needed_is_what_the_window_needs_squared():
    assert value("rail.pressure_use") == pytest.approx(value("injector.direct_window_use") ** 2, rel=0.01)


@pytest.mark.parametrize("id_", ["fuel.volume_flow", "pump.lift_use", "injector.direct_window_use", "rail.pump_use"])
def test_more_ethanol_never_asks_less_of_the_supply(id_):
    use = [value(id_, ("fuel.ethanol", content)) for content in ("10 %", "45 %", "80 %")]
    assert use == sorted(use)


def test_less_voltage_and_more_boost_take_reserve_from_the_lift_pump():
    assert value("pump.lift_use", ("fuel_system.system_voltage", "12.5 V")) > value("pump.lift_use")
    assert value("pump.lift_use", ("forced_induction.boost", "16 psi")) > value("pump.lift_use")
    # a fixed regulator spares the pump what it takes from the injectors
    fixed = ("fuel_system.regulator", "fixed")
    assert value("pump.lift_use", fixed) < value("pump.lift_use")
    assert value("fuel.pressure_difference", fixed) < value("fuel.pressure_difference")


def test_a_stated_delivery_goes_before_that_of_the_class():
    delivery = "fuel_system.direct_injection.pump_delivery"
    small, large = (value("rail.pump_use", (delivery, f"{size} mm^3")) for size in (200, 400))
    assert small == pytest.approx(2.0 * large, rel=1e-9)


def test_denser_charge_and_a_wider_gap_are_harder_to_fire():
    assert value("plug.gap_use", ("forced_induction.boost", "16 psi")) > value("plug.gap_use")
    wide = value("plug.gap_use", ("ignition.plug_gap", "1.3 mm"))
    assert wide == pytest.approx(2.0 * value("plug.gap_use"), rel=1e-9)  # twice 0.65 mm


def test_faster_use_lays_more_of_the_tank_bare():
    levels = [value("tank.uncovered_level", ("goal.use", use)) for use in ("street", "spirited")]
    assert levels[0] < levels[1] < value("tank.uncovered_level")


def test_the_next_tank_lies_on_both_sides_of_the_map():
    assert value("fuel.drift_lambda_rich") < 0.82 < value("fuel.drift_lambda_lean")
    assert value("fuel.drift_octane_lost") > 0.0
    assert value("fuel.drift_knock_margin") < value("knock.margin")
    assert value("pump.lift_use_highest_ethanol") > value("pump.lift_use")


@pytest.mark.parametrize(
    ("path", "id_"),
    [
        ("fuel_system.direct_injection.flow", "injector.direct_window_use"),
        ("fuel_system.direct_injection.rail_pressure", "rail.pressure_use"),
        ("fuel_system.port_injectors.flow", "injector.port_duty"),
        ("sensors.manifold_pressure_range", "protection.boost_cut_sensor_use"),
        ("goal.use", "tank.uncovered_level"),
        ("vehicle.tyre", "tank.uncovered_level"),
    ],
)
def test_what_nobody_said_and_no_class_knows_is_asked_for(path, id_):
    found = assessed((path, "")).quantities[id_]
    assert found.status == "cannot compute"
    asked = "vehicle.lateral_acceleration" if path == "vehicle.tyre" else path
    assert asked in found.reason
