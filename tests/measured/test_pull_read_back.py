"""A pull read back to an engine whose truth is known."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
import synthetic_logs as made_up
from test_pull_find import names_of

from enginelimits.description.load import parse_build
from enginelimits.errors import InputError
from enginelimits.measured.csv_log import parse_log
from enginelimits.measured.find import pulls_in
from enginelimits.measured.read_back import ReadBack, at_site, read_back
from enginelimits.rules.catalogue import Catalogue, load_catalogue

LOSS = {"fixed": "5 kW", "proportional": "10 %"}
TRUTH = made_up.Truth(filling=((2000.0, 0.92), (4500.0, 1.0), (7000.0, 1.06)), loss_fixed=5e3, loss_proportional=0.10)


@cache
def catalogue() -> Catalogue:
    return load_catalogue()


def read(truth: made_up.Truth = TRUTH, samples: int = 0, case: str = "small-turbo-1800", **given: Any) -> tuple[
    ReadBack, made_up.Synthetic
]:
    text = made_up.build_text(case, driveline__loss=LOSS)
    made = made_up.synthetic_log(truth=truth, text=text, **given)
    names = names_of(made)
    pull = pulls_in(parse_log(made.text.encode(), "made.csv", names))[0]
    return read_back(pull, parse_build(text), catalogue(), dyno=names.dyno, samples=samples), made


@cache
def plain() -> tuple[ReadBack, made_up.Synthetic]:
    return read()


def true(made: made_up.Synthetic, id_: str, speeds: np.ndarray) -> np.ndarray:
    si = np.asarray(made.assessment.columns[id_].si, dtype=float)
    return np.interp(speeds, made_up.GRID, np.broadcast_to(si, (*si.shape[:-1], made_up.GRID.size))[0, 0])


def test_the_true_engine_comes_back() -> None:
    got, made = plain()
    assert got.crank is not None and got.filling is not None
    assert got.crank[0] == pytest.approx(true(made, "crank.power", got.speeds), rel=0.02)
    wanted = np.interp(got.speeds * 30 / np.pi, *zip(*TRUTH.filling, strict=True))
    assert got.filling.factor[0] == pytest.approx(wanted, abs=0.03)
    assert not got.filling.disagrees


@pytest.mark.parametrize(
    ("id_", "within"),
    [("brake.mean_effective_pressure", 0.02), ("air.mass_flow", 0.03), ("cylinder.peak_pressure", 0.04),
     ("exhaust.temperature", 0.02)],
)
def test_what_follows_from_it_is_that_of_the_true_engine(id_: str, within: float) -> None:
    got, made = plain()
    found = at_site(got.judgement.assessment, id_)
    assert found is not None
    assert found[0] == pytest.approx(true(made, id_, got.speeds), rel=within)


def test_the_crank_gives_the_measured_torque_in_every_draw() -> None:
    got, _ = read(samples=12)
    torque = at_site(got.judgement.assessment, "crank.torque")
    assert torque is not None and got.crank is not None and got.filling is not None
    assert torque == pytest.approx(got.crank / got.speeds, rel=1e-3)
    assert torque.shape == (13, got.speeds.size)
    assert np.ptp(got.filling.factor[:, 5]) > 0.02  # what is not known of the engine is in the filling's range


def test_measured_channels_take_the_place_of_predicted_ones() -> None:
    got, made = plain()
    assert {"boost", "lambda", "charge_temperature", "ignition_angle", "exhaust_pressure"} <= set(got.used)
    boost = at_site(got.judgement.assessment, "air.boost")
    assert boost is not None
    assert boost[0] == pytest.approx(true(made, "air.boost", got.speeds), abs=1.2e3)
    assert got.lacking == ()


def test_a_log_without_power_keeps_the_builds_own_filling() -> None:
    got, _ = read(channels=("boost", "lambda", "throttle"))
    assert got.wheel is None and got.crank is None and got.filling is None
    assert any(said.startswith("power") for said in got.lacking) and "boost" in got.used
    assert got.judgement.findings


def test_a_log_of_another_engine_says_so() -> None:
    """Half as much torque again, of one and the same boost: no filling of such an engine gives it."""
    got, _ = read(form={"wheel_torque": ("Wheel torque", "N*m", 1.5, 0.0, 1.5)},
                  channels=("wheel_torque", "boost", "lambda", "throttle"))
    assert got.filling is not None and got.filling.disagrees
    assert any("figures and log disagree" in said for said in got.remarks)


def test_a_clipped_boost_is_not_read_back() -> None:
    got, _ = read(faults=made_up.Faults(clipped={"boost": 45e3}))
    assert got.speeds.max() * 30 / np.pi < 3400
    assert any("boost is not known there" in said for said in got.remarks)
    with pytest.raises(InputError, match="speeds of pull 1 to read back"):
        read(faults=made_up.Faults(clipped={"boost": 2e3}))


def test_an_engine_without_boost_is_read_back_too() -> None:
    got, made = read(case="factory-na-1800", channels=("wheel_torque", "lambda", "throttle", "ignition_angle"))
    assert got.filling is not None and "boost" not in got.used
    assert got.crank is not None
    assert got.crank[0] == pytest.approx(true(made, "crank.power", got.speeds), rel=0.02)


def test_worse_logs_are_judged_worse() -> None:
    """Lambda leaned out by an eighth under boost is nothing that a run goes on with."""
    lean = {"lambda": ("Lambda", "", 1.35, 0.0, 0.004)}
    got, _ = read(form=lean)
    assert got.grade == "stop" and got.findings[0].grade == "stop"
    assert got.log.verdict.grade == "stop"
    assert plain()[0].grade != "stop"
