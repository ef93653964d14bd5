"""Logs as text: RFC 4180 and what loggers really write, typed by hand."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from enginelimits.errors import InputError, Problem
from enginelimits.measured import csv_text
from enginelimits.measured.columns import without_unit
from enginelimits.measured.csv_log import parse_log, read_log
from enginelimits.measured.log import Log
from enginelimits.measured.names import as_spelled, parse_names

NAMES = parse_names("""
names:
  RPM: {is: engine_speed, unit: rpm}
  Boost: {is: boost}
  Zeit: {is: time, unit: s}
""")
HEADER = "Zeit,RPM,Boost (psi),Odd"


def rows(count: int = 20, form: str = "{0:.2f},{1},{2:.2f},{3}") -> list[str]:
    return [form.format(0.05 * n, 2000 + 40 * n, 3.25 + 0.1 * n, n) for n in range(count)]


def text(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def read(raw: bytes) -> Log:
    return parse_log(raw, "pull.csv", NAMES)


def refused(raw: bytes, names: object = NAMES) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        parse_log(raw, "pull.csv", names)  # type: ignore[arg-type]
    return caught.value.problems


def test_a_plain_log() -> None:
    log = read(text(HEADER, *rows()))
    assert log.time[:2].tolist() == [0.0, 0.05]
    assert log.channels["engine_speed"].si[0] == pytest.approx(2000 * math.pi / 30)
    assert log.channels["boost"].si[0] == pytest.approx(3.25 * 6894.757, rel=1e-6)
    assert (log.channels["boost"].header, log.channels["boost"].written_unit) == ("Boost (psi)", "psi")
    assert log.not_mapped == ("Odd",)
    assert "commas, decimal point" in log.remarks[0]
    assert len(log.digest) == 64


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_delimiter_gives_the_same(delimiter: str) -> None:
    log = read(text(HEADER, *rows()).replace(b",", delimiter.encode()))
    assert np.array_equal(log.channels["boost"].si, read(text(HEADER, *rows())).channels["boost"].si)


@pytest.mark.parametrize(
    "wrap",
    [
        lambda t: b"\xef\xbb\xbf" + t,
        lambda t: t.decode().encode("utf-16"),
        lambda t: t.decode().encode("utf-16-le"),
        lambda t: t.decode().encode("utf-16-be"),
        lambda t: b"Wagen: K\xe4fer\n\n" + t,  # Latin-1
        lambda t: t.replace(b"\n", b"\r\n"),
        lambda t: t + b"\x00" * 64,
        lambda t: b"# logger 3\n# car: invented\n\n" + t + b"\n\nend of log\n",
        lambda t: t.replace(b"\n", b",\n"),  # a delimiter at the end of each line
        lambda t: t.replace(b"Odd", b'"Odd, quoted"'),
    ],
)
def test_any_dress_gives_the_same(wrap: Callable[[bytes], bytes]) -> None:
    plain = text(HEADER, *rows(40))
    assert np.array_equal(read(wrap(plain)).channels["boost"].si, read(plain).channels["boost"].si)


def test_decimal_commas() -> None:
    body = [line.replace(",", ";").replace(".", ",") for line in (HEADER, *rows())]
    log = read(text(*body))
    assert log.channels["boost"].si[1] == pytest.approx(3.35 * 6894.757, rel=1e-6)
    assert "decimal comma" in log.remarks[0]
    quoted = [HEADER, *['"{}"'.format('","'.join(c.replace(".", ",") for c in r.split(","))) for r in rows()]]
    assert read(text(*quoted)).channels["boost"].si[1] == pytest.approx(3.35 * 6894.757, rel=1e-6)


def test_thousands_are_told_from_decimals_or_asked_for() -> None:
    lines = ["Zeit;RPM", *(f"{n};{n % 9 + 1},{250 + n}" for n in range(20))]
    assert refused(text(*lines))[0].key == "decimal"
    comma = parse_names("decimal: comma\nnames: {RPM: {is: engine_speed, unit: rpm}, Zeit: {is: time, unit: s}}")
    point = parse_names("decimal: point\nnames: {RPM: {is: engine_speed, unit: rpm}, Zeit: {is: time, unit: s}}")
    as_decimals = parse_log(text(*lines), "x", comma).channels["engine_speed"].si[0]
    as_thousands = parse_log(text(*lines), "x", point).channels["engine_speed"].si[0]
    assert (as_decimals * 30 / math.pi, as_thousands * 30 / math.pi) == pytest.approx((1.25, 1250.0))


def test_a_row_of_units_under_the_header() -> None:
    log = read(text("Zeit,RPM,Boost,Charge temperature", "s,1/min,psi,°C", *rows()))
    assert log.channels["boost"].written_unit == "psi"
    assert log.channels["charge_temperature"].si[3] == pytest.approx(276.15)


def test_our_own_names_need_no_file() -> None:
    log = parse_log(text("time [s],engine speed (rpm),Lambda,wheel_torque [lb-ft]",
                         *rows(20, "{0},{1},0.85,{1}")), "x")
    assert set(log.channels) == {"engine_speed", "lambda", "wheel_torque"}
    # 2000 lb-ft is 2711.6 N*m
    assert log.channels["wheel_torque"].si[0] == pytest.approx(2711.6, abs=0.1)


def test_units_that_disagree_or_lack_are_refused() -> None:
    names = parse_names("names: {Boost: {is: boost, unit: kPa}, RPM: {is: engine_speed}, Zeit: {is: time, unit: s}}")
    found = {p.key: p for p in refused(text(HEADER, *rows()), names)}
    assert "`kPa` in the names and `psi` in the log" in found["Boost (psi)"].got
    assert "unit of engine_speed" in found["RPM"].wanted
    assert found["Boost (psi)"].column == 3


def test_two_columns_of_one_name() -> None:
    assert "2 of that name" in refused(text("Zeit,RPM,RPM,Odd", *rows()))[0].got
    names = parse_names("names: {Boost: {is: boost}, Odd: {is: boost, unit: psi}, "
                        "RPM: {is: engine_speed, unit: rpm}, Zeit: {is: time, unit: s}}")
    assert "one column for boost" in refused(text(HEADER, *rows()), names)[0].wanted
    assert read(text("Zeit,RPM,Odd,Odd", *rows())).not_mapped == ("Odd",)


def test_words_in_cells() -> None:
    body = rows(200)
    body[7] = body[7].replace(body[7].split(",")[2], "ERR")
    body[9] = body[9].replace(body[9].split(",")[2], "")
    log = read(text(HEADER, *body))
    assert np.isnan(log.channels["boost"].si[[7, 9]]).all() and np.isfinite(log.channels["boost"].si[[6, 8, 10]]).all()
    assert any("9:3 `ERR`" in r for r in log.remarks)  # the ninth line of the file
    many = [line.replace(line.split(",")[2], "ERR") if n % 3 == 0 else line for n, line in enumerate(body)]
    problem = refused(text(HEADER, *many))[0]
    assert (problem.line, problem.column, problem.key) == (2, 3, "Boost (psi)")


def test_rows_of_another_length() -> None:
    body = rows(100)
    body[5] += ",7,8"
    body[50] = "1,2"
    log = read(text(HEADER, *body))
    assert log.time.size == 98 and any("line 7, 52" in r for r in log.remarks)
    assert refused(text(HEADER, *[b + ",1" if n % 2 else b for n, b in enumerate(body)]))


def test_time_that_repeats_is_spread() -> None:
    body = [f"{0.1 * (n // 4):.1f},{2000 + n},3.0,1" for n in range(40)]
    log = read(text(HEADER, *body))
    assert np.allclose(np.diff(log.time), 0.025)
    assert any("30 rows repeat" in r for r in log.remarks)


def test_time_that_begins_again_is_a_second_recording() -> None:
    log = read(text(HEADER, *rows(30), *rows(30)))
    assert (np.diff(log.time) > 0).all() and log.time[30] - log.time[29] > 30
    assert any("begins again" in r and "line 32" in r for r in log.remarks)


def test_time_that_runs_backwards_is_refused() -> None:
    assert "rises" in refused(text(HEADER, *reversed(rows(60))))[0].wanted
    jumpy = [line if n % 2 else f"{9 - 0.01 * n},2000,3,1" for n, line in enumerate(rows(200))]
    assert "rises" in refused(text(HEADER, *jumpy))[0].wanted


def test_one_row_out_of_order_is_put_between_its_neighbours() -> None:
    body = rows(60)
    body[20] = "0.01" + body[20][body[20].index(","):]
    log = read(text(HEADER, *body))
    assert log.time[20] == pytest.approx(1.0)
    assert any("out of order" in r for r in log.remarks)


def test_time_of_day_and_interval() -> None:
    clock = parse_names("clock: Uhr\nnames: {RPM: {is: engine_speed, unit: rpm}}")
    body = [f"{(86395 + n) // 3600 % 24:02d}:{(86395 + n) // 60 % 60:02d}:{(86395 + n) % 60:02d}.500,{2000 + n}"
            for n in range(20)]
    log = parse_log(text("Uhr,RPM", *body), "x", clock)
    assert body[0].startswith("23:59:55") and np.allclose(np.diff(log.time), 1.0)  # past midnight
    every = parse_names("interval: 20 ms\nnames: {RPM: {is: engine_speed, unit: rpm}}")
    assert parse_log(text("RPM,x", *(f"{n},1" for n in range(20))), "x", every).time[-1] == pytest.approx(0.38)


@pytest.mark.parametrize(
    ("raw", "wanted"),
    [
        (b"", "a log with a header and rows"),
        (b"\x00\x01\x02\x03" * 50, "a text file"),
        (b"a,b\n", "a table of numbers"),
        (b"\xff\xfeabc", "text"),
        (b"1,2,3,4\n" * 30, "a header line"),
        (b"A,B\n" + b"x,y\n" * 30, "a table of numbers"),
        (HEADER.encode() + b"\n0,1,2,3\n", "a log of at least"),
        (b"A,B\n" + b"1,2\n" * 30, "a column with engine speed"),
        (b"RPM,B\n" + b"1000,2\n" * 30, "the time of each row"),
        (text(HEADER, *rows(4)), "a log of at least"),
        (text(HEADER, *rows(40)).replace(b"2400", b"24\x0000"), "a text file"),
    ],
)
def test_what_is_no_log_is_refused_with_the_reason(raw: bytes, wanted: str) -> None:
    assert wanted in refused(raw)[0].wanted


def test_a_huge_file_is_refused(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(text(HEADER, *rows(500)))
    monkeypatch.setattr("enginelimits.measured.csv_log.MOST_ROWS", 400)
    with pytest.raises(InputError, match="at most 400 rows"):
        read_log(path, NAMES)
    monkeypatch.setattr(csv_text, "MOST_BYTES", 1000)
    with pytest.raises(InputError, match="at most 0 MB"):
        read_log(path, NAMES)
    for place in (tmp_path, tmp_path / "none.csv"):
        with pytest.raises(InputError):
            read_log(place, NAMES)


def test_headers_and_units_as_loggers_print_them() -> None:
    assert without_unit("Boost (psi)") == ("Boost", "psi") and without_unit("(psi)") == ("(psi)", "")
    assert [as_spelled(u) for u in ("[°C]", "U/min", "kPa", "Nm", "furlong")] == ["degC", "rpm", "kPa", "Nm", "furlong"]


@pytest.mark.parametrize("above", ["", "Logger 3, invented\n"])
def test_columns_of_words_do_not_hide_the_header(above: str) -> None:
    # Most columns hold words, as notes and states of a logger do: the header is still the line over the numbers.
    rows = "".join(f"{i / 10:.1f},{3000 + 10 * i},on,ready,closed,pump 1\n" for i in range(40))
    log = parse_log(f"{above}time [s],engine_speed [rpm],fan,state,loop,pump\n{rows}".encode(), "l.csv")
    assert log.time.size == 40
    np.testing.assert_allclose(log.channels["engine_speed"].si, (3000 + 10 * np.arange(40)) * np.pi / 30)
