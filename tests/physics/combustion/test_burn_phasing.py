"""From spark to half-burned angle and back, the timing run, and what it costs: worked by hand, and behaviour."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.combustion.phasing import (
    half_burned_angle_run,
    half_burned_of_spark,
    pressure_scatter,
    retarded_half_burned,
    spark_advance,
    spark_retard,
    torque_lost,
)
from enginelimits.physics.combustion.wiebe import start_of_combustion

RAD = np.pi / 180.0
angles = st.floats(-0.1, 0.5)


def test_half_burned_by_hand():
    # Spark 20 deg before the top, 6 deg of delay, 52 deg of burn, half of it burned at 0.51755 of 52 (a = 5, m = 2:
    # (ln 2 / 5)^(1/3)): 6 - 20 + 26.913 = 12.913 deg
    assert half_burned_of_spark(20.0 * RAD, 6.0 * RAD, 52.0 * RAD, 5.0, 2.0) / RAD == pytest.approx(12.913, abs=5e-4)
    # a spark after the top is a negative advance
    assert half_burned_of_spark(-3.0 * RAD, 6.0 * RAD, 52.0 * RAD, 5.0, 2.0) / RAD == pytest.approx(35.913, abs=5e-4)


@given(st.floats(-0.3, 0.8), st.floats(0.02, 0.4), st.floats(0.5, 1.6), st.floats(1.6, 3.0))
def test_spark_there_and_back(advance, delay, duration, form):
    half = half_burned_of_spark(advance, delay, duration, 5.0, form)
    begins = start_of_combustion(half, duration, 5.0, form)
    assert spark_advance(begins, delay) == pytest.approx(advance, abs=1e-12)


def test_advance_by_hand():
    # burning begins 15 deg before the top, 8 deg after the spark
    assert spark_advance(-15.0 * RAD, 8.0 * RAD) / RAD == pytest.approx(23.0)


@pytest.mark.parametrize(
    ("best", "limited", "run"),
    # in degrees, 2 of reserve and 35 the latest; worked by hand
    [(8.0, -4.0, 8.0), (8.0, 5.9, 8.0), (8.0, 6.5, 8.5), (8.0, 20.0, 22.0), (8.0, 33.0, 35.0), (8.0, 46.0, 35.0)],
)
def test_the_timing_run_is_best_torque_or_clear_of_knock(best, limited, run):
    found = half_burned_angle_run(best * RAD, limited * RAD, 2.0 * RAD, 35.0 * RAD)
    assert found / RAD == pytest.approx(run, abs=1e-9)


@given(angles, angles, st.floats(0.0, 0.1), st.floats(0.2, 0.7))
def test_nobody_runs_earlier_than_best_or_later_than_the_latest(best, limited, reserve, latest):
    found = half_burned_angle_run(best, limited, reserve, latest)
    assert best <= found <= max(latest, best)
    # a later limit, or a wider reserve, never brings the burn forward
    assert half_burned_angle_run(best, limited + 0.05, reserve, latest) >= found
    assert half_burned_angle_run(best, limited, reserve + 0.02, latest) >= found


def test_retard_is_the_difference_from_best_torque():
    assert spark_retard(20.0 * RAD, 8.0 * RAD) / RAD == pytest.approx(12.0)
    assert retarded_half_burned(8.0 * RAD, 10.0 * RAD) / RAD == pytest.approx(18.0)
    assert spark_retard(retarded_half_burned(0.14, 0.17), 0.14) == pytest.approx(0.17)


def test_torque_lost_by_hand():
    # 20.0 bar gross at 90 bar falls to 19.0 at 70 bar; friction of 0.005 of the peak gives 0.1 bar of it back, so 0.9
    # bar of brake pressure is lost where 17.1 is left: 0.9 / 18.0 = 5 %
    assert torque_lost(20e5, 90e5, 19e5, 70e5, 0.005, 17.1e5) == pytest.approx(0.05, rel=1e-9)
    assert torque_lost(20e5, 90e5, 20e5, 90e5, 0.005, 17e5) == 0.0


def test_late_cycles_scatter_more_by_hand():
    # 1.11 at best, 0.35 more a radian: 10 deg are 0.1745 rad, 0.0611
    assert pressure_scatter(1.11, 0.35, 10.0 * RAD) == pytest.approx(1.1711, abs=5e-5)
    # earlier than best is no worse than best
    assert pressure_scatter(1.11, 0.35, -10.0 * RAD) == 1.11
