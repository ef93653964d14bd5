"""From pulls to a calibration file to a later check of the same engine family."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from synthetic_logs import RPM, Drive, Truth, build_text, synthetic_log

from enginelimits.assessment.collect import assess
from enginelimits.description.calibration import Z95, parse_calibration
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.errors import InputError
from enginelimits.measured.fit import calibration_text, fitted
from enginelimits.shop import Shop

FAMILY = "invented 1.8 four"
# The fit's own files are of this build; a shop that judges at its own rollers states the goal there.
TEXT = build_text(
    calibration=None, engine__family=FAMILY,
    goal={"power": "160 hp", "at": "wheels", "dyno": "inertia", "correction": "none"},
    forced_induction__intercooler=None,
)
TRUTH = Truth(
    filling=((2000.0, 0.93), (4500.0, 0.98), (7000.0, 1.01)), loss_fixed=5600.0, loss_proportional=0.09,
    effectiveness=0.62,
)
COARSE = np.arange(2000.0, 7001.0, 500.0) * RPM
# From where boost is there: on its way up the invented log follows a coarse line
SPEEDS = np.arange(3500.0, 6501.0, 500.0) * RPM


@pytest.fixture(scope="module")
def log():
    return synthetic_log(truth=TRUTH, text=TEXT, grid=COARSE, drive=Drive(pulls=2), seed=4)


@pytest.fixture(scope="module")
def found(log):
    return fitted(log.pulls, parse_build(TEXT))


def text_of(found, **more):
    return calibration_text(found, author="the workshop", on=date(2026, 5, 14), **more)


def site(assessment, id_):
    si = np.asarray(assessment.columns[id_].si, dtype=float)
    return np.broadcast_to(si, np.broadcast_shapes(si.shape, (1, 1, len(assessment.speeds))))[0, 0]


def test_the_file_holds_what_the_fit_found(found):
    read = parse_calibration(text_of(found), "x.yaml")
    assert (read.family, read.date, read.author, read.dyno) == (FAMILY, "2026-05-14", "the workshop", "inertia")
    assert read.logs[0][1] == found.logs[0][1] and len(read.logs[0][1]) == 64
    assert read.speed == pytest.approx(found.speed) and read.boost == pytest.approx(found.boost, abs=5.0)
    assert [a.name for a in read.anchors] == [a.name for a in found.anchors]
    for written, made in zip(read.anchors, found.anchors, strict=True):
        # digits to a hundredth of the reach and no fewer than two places
        assert written.value == pytest.approx(made.value, abs=0.006 * Z95 * made.error + 1e-9)
        assert written.error == pytest.approx(made.error, rel=0.01)
        assert written.moved == (made.name in found.moved)
    assert np.array(read.correlation) == pytest.approx(found.correlation, abs=1e-4)


def test_a_later_check_gives_what_was_measured_and_says_so(tmp_path, log, found):
    (tmp_path / "calibrations").mkdir()
    (tmp_path / "calibrations" / "first.yaml").write_text(text_of(found), encoding="utf-8")
    shop = Shop(tmp_path)
    build = parse_build(TEXT)
    before, after = (
        assess(filled(build, shop=s), samples=0, speeds=SPEEDS, shop=s) for s in (None, shop)
    )
    measured = np.mean([np.interp(SPEEDS, p.speeds, p.get("wheel_torque")) for p in log.pulls], axis=0)
    charge = np.mean([np.interp(SPEEDS, p.speeds, p.get("charge_temperature")) for p in log.pulls], axis=0)
    # 2 %: the pulls' own noise, the model's floor and the curve between the knots; without it some 6 % are off
    assert site(after, "wheel.torque") == pytest.approx(measured, rel=0.02)
    assert np.abs(site(before, "wheel.torque") / measured - 1.0).max() > 0.06
    assert site(after, "air.manifold_temperature") == pytest.approx(charge, abs=1.0)
    assert after.quantities["air.anchored_factor"].basis == "measured"
    assert before.quantities["air.anchored_factor"].basis != "measured"
    assert after.filled.get("forced_induction.intercooler.effectiveness").basis == "measured"
    # of the true air, which nobody told the fit
    true_air = np.interp(SPEEDS, COARSE, site(log.assessment, "air.mass_flow"))
    assert np.abs(site(after, "air.mass_flow") / true_air - 1.0).max() < 0.04


def test_a_fit_is_never_of_a_calibration_that_came_before(tmp_path, log, found):
    # the same pulls counted twice would be surer of themselves than they are
    (tmp_path / "calibrations").mkdir()
    (tmp_path / "calibrations" / "first.yaml").write_text(text_of(found), encoding="utf-8")
    again = fitted(log.pulls, parse_build(TEXT), shop=Shop(tmp_path))
    for one, other in zip(found.anchors, again.anchors, strict=True):
        assert other.prior == pytest.approx(one.prior)
        assert other.error == pytest.approx(one.error, rel=1e-6)


def test_without_a_family_there_is_no_file(found):
    from dataclasses import replace

    nameless = replace(found, family="")
    with pytest.raises(InputError, match="the engine's family"):
        text_of(nameless)
    assert parse_calibration(text_of(nameless, family="another"), "x.yaml").family == "another"
