"""Logs made to hang, bloat or mislead, as text and as recordings.  Every log is invented."""

from __future__ import annotations

import csv
import io
import random
import resource
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest

from enginelimits.errors import InputError
from enginelimits.measured import csv_log
from enginelimits.measured.csv_log import parse_log, read_log
from enginelimits.measured.find import found_in
from enginelimits.measured.names import parse_names

HEAD = "time [s],engine_speed [rpm],throttle [%]"


def rows(count: int = 80, speed=lambda i: 2000 + 50 * i, sign: str = "."):
    return [f"{i / 10:.1f},{speed(i)},100".replace(".", sign) for i in range(count)]


def log_of(lines, head: str = HEAD):
    return parse_log("\n".join([head, *lines]).encode(), "l.csv")


def test_a_line_without_end_is_refused_before_it_is_taken_apart() -> None:
    with pytest.raises(InputError, match="lines of at most"):
        log_of([*rows(), "1," * 60_000])


def test_more_cells_than_memory_should_hold_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(csv_log, "MOST_CELLS", 200)
    with pytest.raises(InputError, match="80 rows of 3 columns"):
        log_of(rows())


@pytest.mark.parametrize("leap", [1e6, -1e6, 1e300, -1e300, 1.7e308])
def test_a_speed_that_leaps_is_no_pull(leap: float) -> None:
    # 30 000 rpm and more is no car's engine; a grid of 100 rpm up to 1e300 would have no end
    log = log_of(rows(speed=lambda i: leap if i == 40 else 2000 + 50 * i))
    found = found_in(log)
    assert all(pull.speeds.max() < 3200.0 for pull in found.pulls)


def test_a_stretch_without_speed_is_no_pull_and_no_warning() -> None:
    speeds = [("", "nan")[i % 2] if i < 30 else str(1000 + 60 * (i - 30)) for i in range(100)]
    found = found_in(log_of([f"{i / 10:.1f},{speed},100" for i, speed in enumerate(speeds)]))
    assert len(found.pulls) == 1


@pytest.mark.parametrize("leap", [1e6, pytest.param(1e15, marks=pytest.mark.slow)])
def test_a_leap_of_time_costs_nothing(leap: float) -> None:
    """Sixty thousand rows in which the clock runs on for eleven days, or for thirty million years."""
    time = [i / 100.0 + (leap if i > 30_000 else 0.0) for i in range(60_000)]
    lines = [f"{at:.2f},{2000 + 5000 * (i % 2000) / 2000:.0f},100" for i, at in enumerate(time)]
    lines = [line for i, line in enumerate(lines) if leap < 1e12 or i <= 30_000 or i % 100 == 0]
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    try:
        found = found_in(log_of(lines))
    except InputError:
        assert leap > 1e12  # hundredths of a second are lost in such a number
    else:
        assert len(found.pulls) > 20
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 300_000


def test_numbers_read_a_block_at_a_time_are_those_of_the_standard_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Python's csv and float are the measure, for lines of every kind and in every order."""
    monkeypatch.setattr(csv_log, "BLOCK", 7)
    chance = random.Random(5)
    kinds = ["{}", "{}", "{}", "{}", "", "+{}", "-{}", "{}e-2", ".5", "7.", '"{}"', " {} ", "nan", "0{}"]
    cells = [[f"{i / 10:.1f}", f"{1500 + i}"] + [chance.choice(kinds).format(chance.randrange(9999)) for _ in range(3)]
             for i in range(300)]
    lines = [",".join(row) for row in cells]
    names = parse_names("names: {a: {is: lambda}, b: {is: gear}, c: {is: lambda_second}}")
    log = parse_log("\n".join(["time [s],engine_speed [rpm],a,b,c", *lines]).encode(), "l.csv", names)
    for place, channel in ((2, "lambda"), (3, "gear"), (4, "lambda_second")):
        wanted = [float(row[place].strip() or "nan") for row in csv.reader(io.StringIO("\n".join(lines)))]
        np.testing.assert_array_equal(log.channels[channel].si, wanted)


@pytest.mark.slow
@pytest.mark.parametrize("words", [False, True], ids=["numbers", "words"])
def test_the_largest_log_stays_within_a_gigabyte(tmp_path: Path, words: bool) -> None:
    path = tmp_path / "large.csv"
    with path.open("w") as stream:
        stream.write(HEAD + "".join(f",c{i}" for i in range(17)) + "\n")
        tail = (",a word" if words else ",17.3") * 17
        stream.writelines(f"{i / 100:.2f},{1000 + i % 5000},100{tail}\n" for i in range(400_000 if words else 900_000))
    # Not getrusage: what it tells of a child begins with the memory of the process that it was forked from.
    code = (f"from enginelimits.measured.csv_log import read_log; from pathlib import Path; read_log({str(path)!r}); "
            "print(Path('/proc/self/status').read_text().partition('VmHWM:')[2].split()[0])")
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert int(said.stdout) < 1 << 20  # kB


@pytest.mark.parametrize(
    "text",
    ['{"schema": "enginelimits.pull/1", "x": NaN}', '{"schema": "enginelimits.pull/1", "x": -Infinity}',
     '{"a":' * 50_000, '{"a": ' + "[" * 100_000 + "]" * 100_000 + "}",
     '{"schema": ' + "9" * 10_000 + "}", "{" + "\x00" * 50],
    ids=["nan", "infinity", "open", "deep", "long", "zeros"],
)
def test_data_that_is_none_is_kept_by_its_digest_alone(text: str, tmp_path: Path) -> None:
    from enginelimits.measured.record import pull_draft

    path = tmp_path / "pull.json"
    path.write_text(text)
    assert pull_draft("Q-0001", path).data is None


# A block of an MDF 4 file: id, length, count of links, then what it holds (ASAM MDF 4.1, block DZ; from memory).
def zipped(data: bytes, declared: int) -> bytes:
    packed = zlib.compress(data, 9)
    held = struct.pack("<2sBBIQQ", b"DT", 0, 0, 0, declared, len(packed)) + packed
    return b"##DZ" + bytes(4) + struct.pack("<QQ", 24 + len(held), 0) + held


@pytest.mark.parametrize("declared", [20_000_000, 100])
def test_a_recording_that_swells_is_refused_before_it_does(
    tmp_path: Path, declared: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    from enginelimits.measured import mdf_log

    pytest.importorskip("asammdf")
    monkeypatch.setattr(mdf_log, "MOST_UNPACKED", 10_000_000)
    path = tmp_path / "bomb.mf4"
    path.write_bytes(b"MDF     4.10    ".ljust(64, b"\x00") + zipped(bytes(20_000_000), declared))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    with pytest.raises(InputError, match="unpacked"):
        read_log(path)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000


@pytest.mark.parametrize("cut", [64, 100, 200, 1000])
def test_a_broken_recording_is_told_in_words_alone(
    tmp_path: Path, cut: int, capfd: pytest.CaptureFixture[str]
) -> None:
    """What the library that reads it prints on its own way down is not for the user's eyes."""
    asammdf = pytest.importorskip("asammdf")
    time = np.arange(0.0, 2.0, 0.05)
    with asammdf.MDF(version="4.10") as made:
        made.append([asammdf.Signal(2000 + time, time, name="nEng", unit="rpm")])
        made.save(tmp_path / "whole.mf4")
    path = tmp_path / "broken.mf4"
    path.write_bytes((tmp_path / "whole.mf4").read_bytes()[:cut])
    with pytest.raises(InputError) as caught:
        read_log(path, parse_names("names: {nEng: {is: engine_speed}}"))
    del caught
    out, err = capfd.readouterr()
    assert (out, err) == ("", "")
