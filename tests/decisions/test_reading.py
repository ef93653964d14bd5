"""One power figure in all its meanings: what the trade and the standards say of it, and that the way back returns."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.decisions.reading import DYNOS, OPTIONS, Restated, restated
from enginelimits.errors import InputError
from enginelimits.shop import read_shop

HP = 745.6999
CORRECTIONS = ("none", "SAE J1349", "J607", "DIN 70020", "ISO 1585")
# One weather, typed by hand, in which every correction may be used
DAY = {"site.altitude": "100 m", "site.air_temperature": "22 degC", "site.relative_humidity": "40 %"}
places = st.sampled_from([("crank", None), *(("wheels", kind) for kind in DYNOS)])


def read(power: str, at: str | None, dyno: str | None = None, correction: str = "none", **more: str) -> Restated:
    stated = {"goal.power": power, "goal.at": at, "goal.dyno": dyno, "goal.correction": correction}
    own = {path.replace("__", "."): text for path, text in more.items()}
    return restated({**stated, **own})


def horsepower(found: Restated, at: str, dyno: str = "", correction: str = "none") -> float:
    value = found.row(at, dyno, correction).value
    assert value is not None
    return value / HP


def keys(error: InputError) -> list[str]:
    return [problem.key for problem in error.problems]


def test_load_controlled_reading_of_298_is_some_340_on_an_inertia_dyno() -> None:
    # Common practice, no source: about 14 % below, so that 298 hp is 340 to 345 there.
    found = read("298 hp", "wheels", "load-controlled")
    assert 340.0 <= horsepower(found, "wheels", "inertia") <= 345.0


def test_load_controlled_reads_ten_to_fifteen_percent_below_inertia() -> None:
    # Common practice, no source: 10 to 15 %, 7 to 18 % seen.
    row = read("300 hp", "wheels", "inertia").row("wheels", "load-controlled")
    assert row.value is not None and row.low is not None and row.high is not None
    assert 0.85 <= row.value / (300 * HP) <= 0.90
    assert row.low / (300 * HP) >= 0.82 - 0.02 and row.high / (300 * HP) <= 0.93 + 0.02


def test_ratio_of_two_dynos_asks_nothing_of_the_driveline() -> None:
    # The trade's ratio is one of the two displays; whatever the loss, it stays.
    found = [
        horsepower(read("298 hp", "wheels", "load-controlled", driveline__loss__fixed=fixed,
                        driveline__loss__proportional=share), "wheels", "inertia")
        for fixed, share in (("0 kW", "0 %"), ("6 kW", "9 %"), ("14 kW", "18 %"))
    ]
    assert found[1] == pytest.approx(found[0], rel=1e-12)
    assert found[2] == pytest.approx(found[0], rel=1e-12)


@pytest.mark.parametrize(
    ("drive", "gearbox", "least", "most"),
    # Common practice, no source: loss as an inertia dyno shows it: rear and manual 13 to 17 %, automatic 3 to 5 points
    # more, front 10 to 14 %, all wheels 17 to 25 %; at 200 hp of the crank
    [("rear", "manual", 0.13, 0.17), ("rear", "automatic", 0.16, 0.22), ("front", "manual", 0.10, 0.14),
     ("all", "manual", 0.17, 0.25)],
)
def test_loss_that_the_trade_reads(drive: str, gearbox: str, least: float, most: float) -> None:
    found = read("200 hp", "crank", driveline__drive=drive, driveline__gearbox=gearbox)
    assert least <= 1.0 - horsepower(found, "wheels", "inertia") / 200.0 <= most


def test_three_hundred_at_the_crank_on_two_dynos() -> None:
    # Common practice, no source: 249 to 261 hp on an inertia dyno, 217 to 230 on a load-controlled one
    found = read("300 hp", "crank", driveline__drive="rear", driveline__gearbox="manual")
    assert 249.0 <= horsepower(found, "wheels", "inertia") <= 261.0
    assert 217.0 <= horsepower(found, "wheels", "load-controlled") <= 230.0


def test_older_standard_reads_three_to_five_percent_above_j1349() -> None:
    # Common practice, no source: J607 over J1349 for one run
    found = read("300 hp", "crank", **{k.replace(".", "__"): v for k, v in DAY.items()})
    ratio = horsepower(found, "crank", correction="J607") / horsepower(found, "crank", correction="SAE J1349")
    assert 1.03 <= ratio <= 1.05


def test_row_under_iso_1585_of_a_day_from_a_textbook() -> None:
    # Mathur & Sharma, Internal Combustion Engine, ex. 27.5: 98 kPa, 303 K, humidity 0.8: its factor, to 99.04 kPa dry,
    # is 1.0666; to the standard's own 99 kPa 1.2 x 0.04 / 99 less.  98 kPa is 280 m (ISO 2533: 98.0 kPa at 280.5 m),
    # and water is 4.243 kPa at 30 degC in the steam tables where the book has 4.2.
    found = read("640 kW", "crank", site__altitude="280 m", site__air_temperature="30 degC",
                 site__relative_humidity="80 %")
    row = found.row("crank", "", "ISO 1585")
    assert row.value is not None
    assert row.value == pytest.approx(683e3, rel=1.5e-3)


@given(places, places, st.sampled_from(CORRECTIONS), st.sampled_from(CORRECTIONS), st.floats(60.0, 1200.0))
@settings(max_examples=40, deadline=None, derandomize=True)
def test_way_there_and_back_returns(one, other, first, second, power) -> None:
    def meaning(place, correction):
        return {"goal.at": place[0], "goal.dyno": place[1], "goal.correction": correction, **DAY}

    there = restated({"goal.power": f"{power!r} hp", **meaning(one, first)}, samples=0)
    value = there.row(other[0], other[1] or "", second).value
    assert value is not None
    back = restated({"goal.power": f"{value / 1e3!r} kW", **meaning(other, second)}, samples=0)
    assert back.row(one[0], one[1] or "", first).value == pytest.approx(there.figure.power, rel=1e-9)


def test_units_of_the_figure_change_nothing() -> None:
    # 298 hp is 222.2186 kW (a horsepower of 550 ft lbf/s is 745.69987 W, NIST SP 811)
    one = read("298 hp", "wheels", "hub").row("crank")
    other = read("222.21856 kW", "wheels", "hub").row("crank")
    assert one.value == pytest.approx(other.value, rel=1e-6)
    assert one.low == pytest.approx(other.low, rel=1e-6)


def test_rows_share_one_loss() -> None:
    # From a crank figure all three dynos lie behind the same loss: with dynos of one factor they would be one number.
    # So what differs from row to row is the dyno alone: an inertia row as wide as its factor lets it be.
    found = read("300 hp", "wheels", "inertia")
    hub, crank = found.row("wheels", "hub"), found.row("crank")
    assert hub.value is not None and hub.low is not None and hub.high is not None
    assert crank.value is not None and crank.low is not None and crank.high is not None
    # Factors of 1.01 to 1.07 over 0.98 to 1.03: at most so far apart, and no loss in it.
    assert hub.low / (300 * HP) >= 1.01 / 1.03 and hub.high / (300 * HP) <= 1.07 / 0.98
    assert (crank.high - crank.low) / crank.value > (hub.high - hub.low) / hub.value


def test_figure_as_given_stays_as_it_was() -> None:
    found = read("290 to 306 hp", "wheels", "hub", "SAE J1349", **{k.replace(".", "__"): v for k, v in DAY.items()})
    row = found.row("wheels", "hub", "SAE J1349")
    assert row.given and row.low == pytest.approx(290 * HP, rel=1e-6) and row.high == pytest.approx(306 * HP, rel=1e-6)
    assert [r for r in found.rows if r.given] == [row]
    assert len(found.rows) == 4 * 5


@pytest.mark.parametrize(
    ("altitude", "celsius", "refused"),
    [
        # Dry pressures by the standard atmosphere (ISO 2533), factors by the standards' formulas worked by hand:
        # 89.9 kPa at 1000 m: 1.118 by J1349, 1.122 by ISO 1585, 1.145 by J607, 1.136 by DIN 70020
        ("1000 m", "25 degC", {"SAE J1349", "ISO 1585", "J607", "DIN 70020"}),
        # 101.3 kPa, 25 degC: 0.973, 0.973, 1.016, 1.009
        ("0 m", "25 degC", set()),
        # 101.3 kPa at -10 degC: 0.903 by J1349, 0.903 by ISO 1585 are too low; 0.955 and 0.948 are not
        ("0 m", "-10 degC", {"SAE J1349", "ISO 1585"}),
    ],
)
def test_correction_beyond_its_range_is_refused_for_its_rows(altitude: str, celsius: str, refused: set[str]) -> None:
    found = read("300 hp", "crank", site__altitude=altitude, site__air_temperature=celsius,
                 site__relative_humidity="0 %")
    for row in found.rows:
        assert (row.value is None) is (row.correction in refused), row
        assert ("beyond" in row.reason) is (row.correction in refused)


def test_figure_with_a_factor_that_is_refused_still_gives_what_was_measured() -> None:
    # 300 hp under a factor of 1.118 was 268.4 hp on the dyno (89.9 kPa dry, J1349: 1.180 x 99 / 89.88 - 0.180 = 1.1198)
    found = read("300 hp", "crank", None, "SAE J1349", site__altitude="1000 m", site__air_temperature="25 degC",
                 site__relative_humidity="0 %")
    assert found.row("crank", "", "SAE J1349").value is None
    assert horsepower(found, "crank") == pytest.approx(300 / 1.1198, rel=1e-3)


@pytest.mark.parametrize(
    ("at", "dyno", "asked"),
    [(None, None, ["--at"]), (None, "hub", ["--at"]), ("wheels", None, ["--dyno"]), ("crank", "hub", ["--dyno"])],
)
def test_open_figure_gets_the_question(at: str | None, dyno: str | None, asked: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        read("298 hp", at, dyno)
    assert keys(caught.value) == asked


def test_questions_name_the_choices() -> None:
    with pytest.raises(InputError, match="crank or wheels"):
        read("298 hp", None)
    with pytest.raises(InputError, match="load-controlled, inertia or hub"):
        read("298 hp", "wheels")


@pytest.mark.parametrize(
    ("path", "text"),
    [("goal.power", "298"), ("goal.power", "298 N*m"), ("goal.at", "wheel"), ("goal.dyno", "roller"),
     ("goal.correction", "SAE"), ("site.altitude", "high"), ("site.air_temperature", "25"),
     ("site.relative_humidity", "0.4"), ("driveline.drive", "awd"), ("driveline.loss.proportional", "15"),
     ("driveline.loss.fixed", "6 %")],
)
def test_bad_words_are_refused_by_the_name_of_their_option(path: str, text: str) -> None:
    with pytest.raises(InputError) as caught:
        restated({"goal.power": "298 hp", "goal.at": "wheels", "goal.dyno": "hub", path: text})
    assert OPTIONS[path] in keys(caught.value)


def test_half_of_a_loss_is_asked_about() -> None:
    with pytest.raises(InputError) as caught:
        read("298 hp", "wheels", "hub", driveline__loss__proportional="15 %")
    assert keys(caught.value) == ["--loss-fixed"]
    with pytest.raises(InputError) as caught:
        read("298 hp", "wheels", "hub", driveline__loss__fixed="6 kW")
    assert keys(caught.value) == ["--loss-proportional"]


def test_bare_percentage_by_the_convention() -> None:
    # common practice, no source: 300 / 0.85 = 352.9
    found = read("300 hp", "wheels", "inertia", driveline__loss__fixed="0 kW", driveline__loss__proportional="15 %")
    assert horsepower(found, "crank") == pytest.approx(352.9, abs=0.05)


def test_shop_gives_weather_and_loss_and_no_dyno(tmp_path: Path) -> None:
    words = "site: {altitude: 700 m}\nloss: {fixed: 8 kW, proportional: 10 %}\ndyno: inertia\n"
    (tmp_path / "shop.yaml").write_text(words)
    shop = read_shop(tmp_path)
    found = restated({"goal.power": "200 kW", "goal.at": "crank"}, shop=shop)
    assert found.inputs["site.altitude"].value == 700.0
    # by hand: 200 - 8 - 20 kW
    assert horsepower(found, "wheels", "inertia") == pytest.approx(172e3 / HP)
    with pytest.raises(InputError, match="--dyno inertia"):
        restated({"goal.power": "200 kW", "goal.at": "wheels"}, shop=shop)


def test_less_than_the_driveline_takes_is_no_reading() -> None:
    found = read("4 kW", "crank", driveline__loss__fixed="6 kW", driveline__loss__proportional="9 %")
    assert found.row("crank").value is not None
    assert "less than the driveline" in found.row("wheels", "hub").reason
