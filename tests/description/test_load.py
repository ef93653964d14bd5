"""A build file that holds every key, and what becomes of each way to write a value.

The engine and the car are invented.
"""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pytest
from pydantic import ValidationError

from enginelimits import nodes
from enginelimits.description.load import load_build, parse_build
from enginelimits.description.paths import containers, field, flattened, known_paths, near_paths, place
from enginelimits.description.values import Chance, Curve, Thread, Value, thread
from enginelimits.errors import InputError
from enginelimits.units.spellings import spelling

FULL = Path(__file__).parent / "builds" / "full.yaml"
LEAST = """\
build: least
engine:
  cylinders: 4
  bore: 83 mm
  stroke: 85 mm
  compression_ratio: 11.0
  redline: 7200 rpm
"""


def test_every_key_is_in_the_full_build_and_loads() -> None:
    stated = flattened(load_build(FULL))
    # A list of mappings stands under numbered paths; a part that may be `none` is a mapping here.
    assert set(known_paths()) - set(stated) == {"anchors.knock", "forced_induction.intercooler"}
    assert {p for p in stated if p.startswith("anchors.knock.0.")} == {
        f"anchors.knock.0.{key}" for key in ("speed", "boost", "charge_temperature", "lambda", "timing")
    }


@pytest.mark.parametrize(
    ("path", "si", "unit", "kind"),
    [
        # By hand: printed factors of NIST SP 811 (hp 745.6999 W, psi 6894.757 Pa), the rest powers of ten.
        ("goal.power", 180 * 745.6999, "W", ""),
        ("goal.torque", 210.0, "N*m", ""),
        ("site.relative_humidity", 0.45, "1", ""),
        ("site.hot_day_temperature", 308.15, "K", ""),
        ("engine.bore", 0.083, "m", ""),
        ("engine.compression_ratio", 11.0, "1", ""),
        ("engine.intake_closing", 0.8726646, "rad", ""),
        ("engine.redline", 753.9822, "rad/s", ""),
        ("engine.standard_output.power.at", 712.0943, "rad/s", ""),
        ("engine.standard_output.fuel.octane", 95.0, "1", "RON"),
        ("internals.rods.second_moments.plane", 4.2e-9, "m^4", ""),
        ("internals.rod_bolts.preload", 3e4, "N", ""),
        ("internals.valves.intake_seat_load", 190.0, "N", ""),
        ("internals.condition.distance", 8.4e7, "m", ""),
        ("forced_induction.turbine.swallowing", 0.14, "kg/s", ""),
        ("forced_induction.wastegate.spring", 7 * 6894.757, "Pa", "gauge"),
        ("forced_induction.supercharger.displacement_per_rev", 9e-4, "m^3", ""),
        ("forced_induction.intercooler.pressure_drop", 0.8 * 6894.757, "Pa", "difference"),
        ("fuel.motor_octane", 87.0, "1", "MON"),
        ("fuel_system.port_injectors.flow", 630e-6 / 60, "m^3/s", ""),
        ("fuel_system.port_injectors.rated_at", 3e5, "Pa", "difference"),
        ("fuel_system.lift_pump.flow", 0.255 / 3600, "m^3/s", ""),
        ("fuel_system.lift_pump.voltage", 13.5, "V", ""),
        ("sensors.manifold_pressure_range", 2.5e5, "Pa", "absolute"),
        ("cooling.radiator_capacity.at_difference", 60.0, "K", ""),
        ("cooling.radiator_capacity.road_speed", 27.77778, "m/s", ""),
        ("driveline.loss.proportional", 0.09, "1", ""),
        ("vehicle.lateral_acceleration", 9.80665, "m/s^2", ""),
        ("vehicle.mass", 1240.0, "kg", ""),
        ("anchors.knock.0.charge_temperature", 318.15, "K", ""),
    ],
)
def test_values_in_si(path: str, si: float, unit: str, kind: str) -> None:
    value = flattened(load_build(FULL))[path]
    assert isinstance(value, Value)
    # 1e-6: seven printed digits of the factors.
    assert value.si == pytest.approx(si, rel=1e-6)
    assert (value.unit, value.kind) == (unit, kind)


def test_ways_to_write_a_value() -> None:
    stated = flattened(load_build(FULL))
    area = stated["internals.rods.shank_area"]
    assert isinstance(area, Value)
    assert (area.shape, area.low, area.high) == (
        "split-normal",
        pytest.approx(125e-6),
        pytest.approx(155e-6),
    )
    crown = stated["internals.pistons.crown_thickness"]
    assert isinstance(crown, Value)
    assert (crown.shape, crown.si, crown.low, crown.high) == (
        "uniform",
        pytest.approx(6e-3),
        pytest.approx(5e-3),
        pytest.approx(7e-3),
    )
    mass = stated["internals.pistons.mass"]
    assert isinstance(mass, Value)
    assert (mass.basis, mass.note, mass.shape) == ("measured", "two of the four weighed", "split-normal")
    assert (mass.low, mass.si, mass.high) == (0.3, 0.31, 0.325)
    assert stated["internals.rod_bolts.reused"] == Chance(0.3)
    assert stated["internals.head.reused"] is False
    assert stated["protections"] == (
        "overboost",
        "lambda",
        "fuel_pressure",
        "oil_pressure",
        "charge_temperature",
    )
    leaks = stated["internals.condition.leak_down"]
    assert isinstance(leaks, tuple)
    assert [v.si for v in leaks if isinstance(v, Value)] == pytest.approx([0.04, 0.05, 0.04, 0.06])
    boost = stated["forced_induction.boost"]
    assert isinstance(boost, Curve)
    assert [p[0] for p in boost.points] == pytest.approx([261.7994, 366.5191, 753.9822], rel=1e-6)
    assert [p[1] for p in boost.points] == pytest.approx(
        [4 * 6894.757, 10 * 6894.757, 9 * 6894.757], rel=1e-6
    )
    assert all(v.kind == "gauge" for v in boost.values)


def test_a_curve_is_put_in_order() -> None:
    build = parse_build(LEAST + "forced_induction: {boost: {3000 rpm: 5 psi, 2000 rpm: 4 psi}}\n")
    boost = flattened(build)["forced_induction.boost"]
    assert isinstance(boost, Curve)
    assert [s.written for s in boost.speeds] == ["2000 rpm", "3000 rpm"]


def test_stated_without_a_basis_is_documented() -> None:
    value = flattened(parse_build(LEAST))["engine.bore"]
    assert isinstance(value, Value)
    assert value.basis == "documented"


def test_unknown_is_as_good_as_left_out() -> None:
    build = parse_build(LEAST + "  rod_length: unknown\nhistory: {deposits: unknown, overheated: unknown}\n")
    assert not {"engine.rod_length", "history.deposits", "history.overheated"} & set(flattened(build))


def test_no_intercooler() -> None:
    build = parse_build(LEAST + "forced_induction: {intercooler: none}\n")
    assert flattened(build)["forced_induction.intercooler"] == "none"


def test_pounds_an_hour_are_read_by_the_trades_figure() -> None:
    # Common practice, no source: 1 lb/h = 10.5 cc/min; a rating of 60 lb/h is sold as 630 cc/min.
    build = parse_build(LEAST + "fuel_system: {port_injectors: {flow: 60 lb/h}}\n")
    flow = flattened(build)["fuel_system.port_injectors.flow"]
    assert isinstance(flow, Value)
    assert flow.si == pytest.approx(630e-6 / 60, rel=1e-9)
    assert flow.low is not None and flow.high is not None
    assert flow.low < flow.si < flow.high
    assert "10.5 cc/min" in flow.note


def test_what_the_maker_built_is_copied_where_left_out() -> None:
    text = LEAST + "internals: {pistons: {mass: 310 +/- 10 g}, pins: {mass: 90 g}}\n"
    stated = flattened(parse_build(text))
    for key in ("compression_ratio", "redline"):
        assert stated[f"engine.standard.{key}"] == stated[f"engine.{key}"]
    # Whether these pistons are the maker's is for their class to say.
    assert "engine.standard.piston_and_pin_mass" not in stated
    assert "engine.standard.limiter" not in stated
    assert "engine.standard.intake_closing" not in stated


def test_what_the_maker_built_is_kept_where_stated() -> None:
    text = LEAST + "  limiter: 7400 rpm\n  standard: {redline: 7500 rpm, compression_ratio: 10.0}\n"
    stated = flattened(parse_build(text))
    ratio = stated["engine.standard.compression_ratio"]
    assert isinstance(ratio, Value)
    assert ratio.si == 10.0
    # The limiter of today stands below the maker's redline: it is not the maker's limiter.
    assert "engine.standard.limiter" not in stated


def test_builds_that_state_the_same_are_equal() -> None:
    other = LEAST.replace("83 mm", "8.3 cm").replace("least", "least ")
    assert parse_build(LEAST) == parse_build("# a remark\n" + other)
    assert parse_build(LEAST) != parse_build(LEAST.replace("83 mm", "84 mm"))
    assert hash(parse_build(LEAST)) == hash(parse_build(other))


def test_builds_are_frozen() -> None:
    build = parse_build(LEAST)
    with pytest.raises(ValidationError):
        build.build = "other"
    with pytest.raises(ValidationError):
        build.engine.bore = build.engine.stroke


def test_places() -> None:
    build = parse_build(LEAST)
    assert place(build, "engine.stroke") == nodes.Place(5, 11)
    assert place(build, "engine.rod_length") == nodes.Place(2, 1)


def test_paths_name_units_and_kinds() -> None:
    known = known_paths()
    assert known["engine.bore"] == "m"
    assert known["forced_induction.boost"] == "Pa"
    assert known["internals.condition.leak_down"] == "1"
    assert known["engine.block_deck"] == "choice"
    assert known["internals.rod_bolts.reused"] == "yes-no"
    assert known["engine.family"] == "text"
    assert known["anchors.knock"] == "points"
    for unit in set(known.values()) - {"choice", "yes-no", "text", "points"}:
        assert spelling(unit).si == unit
    assert "rod_length" in containers()["engine"]
    assert field("anchors.knock.0.boost") is not None
    assert field("engine.nothing") is None
    assert "internals.rods.shank_area" in near_paths("internals.rods.shank_aera")
    assert "engine.redline" in near_paths("redline")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # ISO 261 coarse and fine pitches, from memory; 3/8-24 is 9.525 mm with 25.4/24 mm of pitch.
        ("M9x1.0", Thread(0.009, 0.001)),
        ("M10x1.5", Thread(0.010, 0.0015)),
        ("M11x1.25", Thread(0.011, 0.00125)),
        ("3/8-24", Thread(pytest.approx(9.525e-3), pytest.approx(1.058333e-3, rel=1e-6), 0.974279)),  # type: ignore[arg-type]
        ("M9", None),
        ("M9x9", None),
        ("M0x1", None),
        ("3/0-24", None),
        ("3/8-0", None),
        ("m9x1", None),
        ("M999999x1", None),
    ],
)
def test_threads(text: str, expected: Thread | None) -> None:
    assert thread(text) == expected


def test_standard_input(monkeypatch: pytest.MonkeyPatch) -> None:
    class Stream:
        buffer = io.BytesIO(LEAST.replace("83 mm", "83").encode())

    monkeypatch.setattr(sys, "stdin", Stream())
    with pytest.raises(InputError) as caught:
        load_build("-")
    assert caught.value.problems[0].file == "<stdin>"
    assert caught.value.problems[0].line == 4


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "b.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode())
    assert load_build(path) == parse_build(LEAST)


def test_without_the_c_parser(monkeypatch: pytest.MonkeyPatch) -> None:
    import yaml

    monkeypatch.setattr(nodes, "_LOADER", yaml.BaseLoader)
    build = load_build(FULL)
    monkeypatch.undo()
    assert build == load_build(FULL)


def test_loading_imports_neither_pint_nor_numpy() -> None:
    code = (
        "import sys; from enginelimits.description.load import load_build; "
        f"load_build({str(FULL)!r}); print('pint' in sys.modules, 'numpy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]
