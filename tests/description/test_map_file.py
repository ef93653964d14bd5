"""A compressor map's file: what is read out of it, and all that is wrong with it told at once.  Wheels are invented."""

from __future__ import annotations

import math
import os
from pathlib import Path

import pytest

from enginelimits.description.map_file import MOST_BYTES, MOST_ROWS, load_map, parse_map
from enginelimits.errors import InputError

HEADER = "corrected_speed [m/s], corrected_flow [kg/s], pressure_ratio [1], efficiency [1]"
ROWS = """
250, 0.050, 1.42, 0.66
250, 0.080, 1.40, 0.73
250, 0.120, 1.25, 0.60
350, 0.090, 1.95, 0.67
350, 0.140, 1.90, 0.75
350, 0.190, 1.55, 0.60
450, 0.160, 2.75, 0.66
450, 0.210, 2.65, 0.73
450, 0.250, 2.30, 0.68
450, 0.255, 2.05, 0.60
"""
GOOD = HEADER + ROWS


def problems(text):
    with pytest.raises(InputError) as caught:
        parse_map(text, "wheel.csv")
    for problem in caught.value.problems:
        assert problem.wanted
        assert str(problem).isprintable() and len(str(problem)) < 1000
    return caught.value.problems


def told(text, *words):
    """The one problem of a text, which must speak of all the words."""
    found = problems(text)
    assert len(found) == 1, [str(p) for p in found]
    for word in words:
        assert word in str(found[0]), str(found[0])
    assert found[0].file == "wheel.csv"
    return found[0]


def test_lines_points_and_reference_are_read():
    comments = "# own flow bench\n# reference_temperature: 15 degC\n# reference_pressure: 101.325 kPa\n\n"
    table = parse_map(comments + GOOD)
    assert [line.speed for line in table.lines] == [250.0, 350.0, 450.0]
    assert table.lines[1].flow == (0.09, 0.14, 0.19)
    assert table.lines[2].pressure_ratio == (2.75, 2.65, 2.3, 2.05)
    assert table.lines[2].efficiency == (0.66, 0.73, 0.68, 0.60)
    assert table.speed_is == "tip"
    assert table.reference_temperature_k == pytest.approx(288.15)
    assert table.reference_pressure_pa == pytest.approx(101325.0)


def test_reference_is_that_of_the_trade_unless_named():
    table = parse_map(GOOD)
    assert (table.reference_temperature_k, table.reference_pressure_pa) == (298.15, 100e3)


@pytest.mark.parametrize(
    ("header", "row", "flow", "speed", "speed_is", "efficiency"),
    # NIST SP 811: 1 lb = 0.45359237 kg; 1 rpm = pi/30 rad/s
    [
        (
            "corrected_speed [rpm],corrected_flow [lb/min],pressure_ratio [1],efficiency [%]",
            "{rpm},{lb},{ratio},{percent}",
            0.45359237 / 60.0, math.pi / 30.0, "shaft", 0.01,
        ),
        (
            "corrected_speed [ft/s] , corrected_flow [g/s] , pressure_ratio [1] , efficiency [%]",
            " {rpm}, {lb} ,{ratio}, {percent} ",
            1e-3, 0.3048, "tip", 0.01,
        ),
    ],
)  # fmt: skip
def test_units_of_the_header_hold(header, row, flow, speed, speed_is, efficiency):
    scale = 100.0 if speed_is == "shaft" else 1.0
    lines = [header]
    for step, (rpm, surge) in enumerate(((900 * scale, 10), (1100 * scale, 14), (1300 * scale, 20))):
        for more, ratio, percent in ((0, 1.5, 66), (6, 1.45, 74), (12, 1.2, 60)):
            lines.append(row.format(rpm=rpm, lb=surge + more, ratio=ratio + 0.4 * step, percent=percent))
    table = parse_map("\n".join(lines))
    assert table.speed_is == speed_is
    assert table.lines[0].speed == pytest.approx(900 * scale * speed)
    assert table.lines[1].flow == pytest.approx((14 * flow, 20 * flow, 26 * flow))
    assert table.lines[1].efficiency == pytest.approx((66 * efficiency, 74 * efficiency, 60 * efficiency))


def test_columns_are_filled_up():
    columns = parse_map(GOOD).columns
    assert columns.speed == (250.0, 350.0, 450.0)
    assert {len(row) for row in (*columns.flow, *columns.pressure_ratio, *columns.efficiency)} == {4}
    assert math.isnan(columns.flow[0][3]) and columns.flow[2][3] == 0.255


def test_a_choked_line_may_lean_back_a_little():
    leaning = GOOD.replace("450, 0.255, 2.05", "450, 0.2495, 2.05")
    assert parse_map(leaning).lines[2].flow[-1] == 0.2495


def test_a_map_is_frozen():
    with pytest.raises(AttributeError):
        parse_map(GOOD).lines = ()


@pytest.mark.parametrize(
    ("text", "line", "key", "words"),
    [
        ("", None, "", ("a header", "none")),
        ("# nothing but a comment\n", None, "", ("a header",)),
        (GOOD.replace("[kg/s]", "[kg]"), 1, "corrected_flow", ("`kg`", "kg/s")),
        (GOOD.replace("[kg/s]", "[lbs/min]"), 1, "corrected_flow", ("`lbs/min`", "lb/min")),
        (GOOD.replace("[kg/s]", "[L/s]"), 1, "corrected_flow", ("`L/s`",)),
        (GOOD.replace("[m/s]", "[Hz]"), 1, "corrected_speed", ("`Hz`",)),
        (GOOD.replace("corrected_flow [kg/s]", "corrected_flow"), 1, "corrected_flow", ("unit in brackets",)),
        (GOOD.replace("efficiency", "eficiency"), 1, "", ("`eficiency`", "Near: efficiency")),
        (GOOD.replace(", efficiency [1]", ""), 1, "", ("4 columns", "got 3")),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, 1.40"), 3, "", ("4 values", "got 3")),
        (GOOD.replace("0.080, 1.40, 0.73", "0,080, 1.40, 0.73"), 3, "", ("4 values", "got 5", "point for decimals")),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, x, 0.73"), 3, "pressure_ratio", ("a number", "`x`")),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, , 0.73"), 3, "pressure_ratio", ("a number", "nothing")),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, nan, 0.73"), 3, "pressure_ratio", ("a number", "`nan`")),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, 0.40, 0.73"), 3, "pressure_ratio", ("boost over atmosphere",)),
        (GOOD.replace("0.080, 1.40, 0.73", "0.080, 1.40, 73"), 3, "efficiency", ("`efficiency [%]`",)),
        (GOOD.replace("0.080, 1.40", "80, 1.40"), 3, "corrected_flow", ("80 kg/s", "unit in the header")),
        (GOOD.replace("250, 0.080", "25, 0.080"), 3, "corrected_speed", ("25 m/s",)),
        ("# reference_temperature: 25\n" + GOOD, 1, "reference_temperature", ("temperature",)),
        ("# reference_temperature: 298 degC\n" + GOOD, 1, "reference_temperature", ("unit right",)),
        ("# reference_temperature: 290 to 300 K\n" + GOOD, 1, "reference_temperature", ("one number",)),
        ("# reference_pressure: 0 psig\n" + GOOD, 1, "reference_pressure", ("absolute pressure",)),
        ("# reference_pressure: 1 bar\n# reference_pressure: 1 bar\n" + GOOD, 2, "reference_pressure", ("once",)),
        ("# reference temperatur: 298 K\n" + GOOD, 1, "", ("Near: reference_temperature",)),
        (GOOD[: GOOD.index("450")], None, "", ("at least 3 lines", "got 2")),
        (GOOD.replace("350, 0.140, 1.90, 0.75\n", ""), 5, "line of 350 m/s", ("3 to 100 points", "got 2")),
        (GOOD.replace("0.140, 1.90", "0.085, 1.90"), 6, "line of 350 m/s", ("more flow", "less", "surge point")),
        (GOOD.replace("0.140, 1.90", "0.090, 1.95"), 6, "line of 350 m/s", ("the same point",)),
        (GOOD.replace("0.190, 1.55", "0.190, 1.97"), 7, "line of 350 m/s", ("choke end",)),
        (GOOD.replace("350, 0.090, 1.95", "350, 0.045, 1.95"), 5, "", ("surge point", "do not cross")),
        (GOOD.replace("350, 0.190, 1.55", "350, 0.145, 1.55").replace("250, 0.120", "250, 0.170"), 7, "",
         ("choke end right",)),
        (GOOD.replace("450", "340"), 8, "corrected_speed", ("higher speed", "Order the lines")),
    ],
)  # fmt: skip
def test_one_thing_wrong_is_told_with_its_place(text, line, key, words):
    found = told(text, *words)
    assert found.line == line
    assert found.key == key


def test_lines_under_wrong_speeds_are_told():
    swapped = GOOD.replace("350", "x").replace("450", "350").replace("x", "450")
    assert "corrected_speed" in {p.key for p in problems(swapped)}


def test_everything_wrong_is_told_at_once():
    text = GOOD.replace("0.050, 1.42, 0.66", "0.050, 0.42, 66").replace("0.140, 1.90", "0.140, 19")
    found = problems("# reference_pressure: 1 psi\n" + text)
    assert [(p.line, p.key) for p in found] == [
        (1, "reference_pressure"), (3, "pressure_ratio"), (3, "efficiency"), (7, "pressure_ratio")
    ]  # fmt: skip


def test_semicolons_are_named():
    assert told(GOOD.replace(",", ";"), "semicolons")


def test_odd_characters_do_not_reach_the_screen():
    assert told(GOOD.replace("0.080, 1.40", "0.080, \x1b[31m1.40"), "?[31m1.40")


def test_the_example_of_the_documentation_is_read():
    text = (Path(__file__).parents[2] / "docs" / "compressor-map.md").read_text(encoding="utf-8")
    table = parse_map(text.split("```csv\n")[1].split("```")[0])
    assert [len(line.flow) for line in table.lines] == [4, 5, 5, 4]
    assert table.speed_is == "tip"
    # 26.5 lb/min, by hand
    assert table.lines[-1].flow[0] == pytest.approx(26.5 * 0.45359237 / 60.0)


def test_no_flood_of_problems():
    found = problems(HEADER + "\n" + "x, x, x, x\n" * 500)
    assert len(found) <= 60
    assert "more than are shown" in str(found[-1])


def test_sizes_are_bounded(tmp_path):
    assert told(HEADER + "\n" + "250, 0.05, 1.42, 0.66\n" * (MOST_ROWS + 1), f"at most {MOST_ROWS} rows")
    big = tmp_path / "wheel.csv"
    big.write_text("#" * (MOST_BYTES + 1))
    with pytest.raises(InputError, match=f"at most {MOST_BYTES} bytes"):
        load_map(big)
    many = "".join(
        f"{s}, {s / 1e4}, {1 + s / 200}, 0.7\n{s}, {s / 5e3}, {1 + s / 210}, 0.7\n{s}, {s / 4e3}, {1 + s / 400}, 0.6\n"
        for s in range(100, 145)
    )
    assert told(HEADER + "\n" + many, "at most 40 lines", "got 45")


def test_a_file_is_read(tmp_path):
    path = tmp_path / "wheel.csv"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    table = load_map(path)
    assert table.file == str(path)
    assert len(table.lines) == 3


def test_files_that_cannot_be_read(tmp_path):
    (tmp_path / "wheel.csv").write_text(GOOD)
    with pytest.raises(InputError, match=r"no such file.*Near: wheel\.csv"):
        load_map(tmp_path / "wheels.csv")
    with pytest.raises(InputError, match="a folder"):
        load_map(tmp_path)
    for raw, said in ((b"\xff\xfea", "UTF-16"), (b"a\x00b", "binary"), (b"# ok\n\xff", "0xff")):
        path = tmp_path / "odd.csv"
        path.write_bytes(raw)
        with pytest.raises(InputError, match=said):
            load_map(path)
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match="device or pipe"):
        load_map(pipe)
    with pytest.raises(InputError):
        load_map("a\x00b")
