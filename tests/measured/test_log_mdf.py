"""ASAM MDF 4, written by a general-purpose library and read back."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from enginelimits.errors import InputError
from enginelimits.measured.csv_log import read_log
from enginelimits.measured.names import parse_names

NAMES = parse_names("names: {nEng: {is: engine_speed}, pMan: {is: manifold_pressure, unit: kPa}}")


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two groups of other rates; `lambda` twice a second, engine speed twenty times."""
    asammdf = pytest.importorskip("asammdf")
    fast, slow = np.arange(0.0, 10.0, 0.05), np.arange(0.0, 10.0, 0.5)
    path = tmp_path_factory.mktemp("mdf") / "pull.mf4"
    with asammdf.MDF(version="4.10") as made:
        signal = asammdf.Signal
        made.append([signal(2000 + 400 * fast, fast, name="nEng", unit="rpm"),
                     signal(100 + 5 * fast, fast, name="pMan", unit="kPa")], acq_name="ECU")
        made.append([signal(0.8 + 0.01 * slow, slow, name="lambda", unit=""),
                     signal(0 * slow, slow, name="spare", unit="V")], acq_name="wideband")
        made.append([signal(1.0 + 0 * slow, slow, name="spare", unit="V")], acq_name="other")
        made.save(path)
    return path


def test_channels_by_name_with_the_units_of_the_file(recording: Path) -> None:
    log = read_log(recording, NAMES)
    assert log.time.size == 200 and log.time[0] == 0.0
    # 4000 rpm after five seconds is 418.879 rad/s; 125 kPa
    assert log.channels["engine_speed"].si[100] == pytest.approx(418.879, abs=1e-3)
    assert log.channels["manifold_pressure"].si[100] == pytest.approx(125e3)
    assert log.channels["engine_speed"].written_unit == "rpm"
    assert log.not_mapped == ("spare",)


def test_a_slow_channel_is_put_on_engine_speeds_time(recording: Path) -> None:
    lambda_ = read_log(recording, NAMES).channels["lambda"].si
    assert lambda_[[0, 5, 100]] == pytest.approx([0.8, 0.8025, 0.85])
    assert np.isnan(lambda_[-1])  # nothing was recorded after 9.5 s


def test_a_name_in_two_groups_is_asked_for(recording: Path) -> None:
    names = parse_names("names: {nEng: {is: engine_speed}, spare: {is: voltage}}")
    with pytest.raises(InputError, match="wideband/spare"):
        read_log(recording, names)
    names = parse_names("names: {nEng: {is: engine_speed}, other/spare: {is: voltage}}")
    assert read_log(recording, names).channels["voltage"].si[0] == 1.0


def test_no_speed_and_no_name_are_told(recording: Path) -> None:
    with pytest.raises(InputError, match="a column with engine speed"):
        read_log(recording)


def test_without_the_extra_its_name_is_told(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "asammdf", None)
    with pytest.raises(InputError, match=r"engine-limits\[mdf\]"):
        read_log(recording, NAMES)


def test_another_version_is_refused(tmp_path: Path) -> None:
    pytest.importorskip("asammdf")
    path = tmp_path / "old.mdf"
    path.write_bytes(b"MDF     3.30    " + bytes(200))
    with pytest.raises(InputError, match=r"ASAM MDF 4, got version 3\.30"):
        read_log(path, NAMES)
