"""The file of names: what a shop maps once, and everything that can be wrong with it at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.errors import InputError
from enginelimits.measured.channels import CHANNELS
from enginelimits.measured.names import near_channels, parse_names, read_names, unit_for
from enginelimits.shop import Shop
from enginelimits.units.grammar import GrammarError


def test_a_name_is_a_channel_with_its_unit() -> None:
    found = parse_names("""
delimiter: semicolon
decimal: comma
interval: 50 ms
names:
  RPM: {is: engine_speed, unit: rpm}
  Lade Temp: {is: charge_temperature, unit: degC}
  WB: {is: lambda, unit: AFR, stoichiometric: 14.7}
  G: gear
dyno: {kind: inertia, inertia: 12 kg*m^2, ratio: 3.5, correction: SAE J1349}
""")
    speed, charge, lambda_ = (found.names[n].unit for n in ("RPM", "Lade Temp", "WB"))
    assert speed is not None and charge is not None and lambda_ is not None
    # 6000 rpm is 628.319 rad/s; 40 degC is 313.15 K; an air-fuel ratio of 12.495 on a scale of 14.7 is lambda 0.85
    assert speed.scale * 6000 + speed.offset == pytest.approx(628.319, abs=1e-3)
    assert charge.scale * 40 + charge.offset == pytest.approx(313.15)
    assert lambda_.scale * 12.495 + lambda_.offset == pytest.approx(0.85)
    assert found.names["G"].channel == "gear"
    assert (found.delimiter, found.decimal, found.interval) == (";", ",", 0.05)
    assert (found.dyno.kind, found.dyno.inertia, found.dyno.ratio) == ("inertia", 12.0, 3.5)
    assert found.dyno.correction == "SAE J1349"


def test_everything_wrong_is_told_at_once_with_its_line() -> None:
    with pytest.raises(InputError) as caught:
        parse_names(
            "delimitor: x\ndecimal: dot\nnames:\n  RPM: {is: engine_sped, unit: rpm}\n"
            "  MAP: {is: manifold_pressure, unit: psig}\n  B: {is: boost, unit: furlong}\n  TQ: {unit: kW}\n"
            "  WB: {is: lambda, unit: AFR}\ndyno: {kind: inertial, inertia: 12 kg, correction: nope}\n",
            "logs.yaml",
        )
    by_key = {p.key: p for p in caught.value.problems}
    assert by_key["delimitor"].near == ("delimiter",)
    assert by_key["names.RPM.is"].near[0] == "engine_speed" and by_key["names.RPM.is"].line == 4
    assert "gauge" in by_key["names.MAP.unit"].got and "`boost`" in by_key["names.MAP.unit"].mend
    assert "kPa" in by_key["names.B.unit"].mend
    assert "wheel_torque" not in by_key["names.TQ"].got and by_key["names.TQ"].line == 7
    assert "14.7" in by_key["names.WB.unit"].mend
    assert by_key["dyno.kind"].near == ("inertia",)
    assert {"decimal", "dyno.inertia", "dyno.correction"} <= by_key.keys()
    assert all(p.file == "logs.yaml" for p in caught.value.problems)


@pytest.mark.parametrize("text", ["- a\n- b\n", "names: 3\n", "names: {RPM: [a]}\n", "dyno: inertia\n", "{", ""])
def test_other_shapes_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_names(text)


def test_names_come_from_the_option_else_from_the_shop(tmp_path: Path) -> None:
    (tmp_path / "logs.yaml").write_text("names: {A: {is: engine_speed, unit: rpm}}\n", encoding="utf-8")
    other = tmp_path / "other.yaml"
    other.write_text("names: {B: {is: engine_speed, unit: rpm}}\n", encoding="utf-8")
    assert set(read_names(None, Shop(tmp_path)).names) == {"A"}
    assert set(read_names(other, Shop(tmp_path)).names) == {"B"}
    assert read_names(None, Shop(None)).names == {}
    with pytest.raises(InputError, match="no such file"):
        read_names(tmp_path / "none.yaml")


def test_gauge_and_absolute_are_never_exchanged() -> None:
    assert unit_for(CHANNELS["boost"], "psig").scale == pytest.approx(6894.757, abs=1e-3)
    assert unit_for(CHANNELS["manifold_pressure"], "kPa_a").scale == 1000.0
    for channel, unit in (("boost", "bar_a"), ("manifold_pressure", "psig"), ("boost", "degC")):
        with pytest.raises(GrammarError):
            unit_for(CHANNELS[channel], unit)


def test_a_header_has_near_channels() -> None:
    assert near_channels("Eng RPM") == ("engine_speed",)
    assert "wheel_torque" in near_channels("Torque")
    assert "boost" in near_channels("boost pressure") or near_channels("Boost")[0] == "boost"
    assert near_channels("qwxz") == ()
