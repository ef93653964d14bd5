"""The filter: against a general-purpose fit, and what it does to peaks, noise, ends and gaps."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enginelimits.measured.resample import BRIDGED, RPM, local_fit, on_speeds, speed_grid_of


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.6, 3.0))
def test_a_local_parabola_is_numpys_weighted_fit(seed: int, width: float) -> None:
    """numpy.polyfit minimises the sum of (w * residual)^2: its w is the root of the tricube (Cleveland 1979)."""
    random = np.random.default_rng(seed)
    x = np.sort(random.uniform(0.0, 10.0, 120))
    y = random.standard_normal(120)
    at = np.array([3.3, 5.0, 6.1])
    value, slope = local_fit(x, y, at, width)
    for place, here in enumerate(at):
        near = np.abs(x - here) < width
        if near.sum() < 8:
            continue
        weight = (1.0 - (np.abs(x[near] - here) / width) ** 3) ** 3
        u = x[near] - here
        if u.min() > -width / 3 or u.max() < width / 3:
            continue
        fit = np.polyfit(u, y[near], 2, w=np.sqrt(weight))
        assert value[place] == pytest.approx(fit[2], abs=1e-7)
        assert slope[place] == pytest.approx(fit[1], abs=1e-6)


def test_a_rounded_peak_keeps_its_height() -> None:
    x = np.sort(np.random.default_rng(3).uniform(2000.0, 7000.0, 300))
    value, slope = local_fit(x, 300.0 - 2e-5 * (x - 4500.0) ** 2, np.array([4500.0, 5000.0]), 250.0)
    assert value == pytest.approx([300.0, 295.0], abs=1e-6)
    assert slope == pytest.approx([0.0, -0.02], abs=1e-6)


@pytest.mark.parametrize(("length", "kept", "within"), [(250.0, 0.3, 0.02), (500.0, 0.9, 0.02), (1000.0, 1.0, 0.01)])
def test_of_a_ripple_the_stated_part_remains(length: float, kept: float, within: float) -> None:
    """Own sum: the transfer of the continuous filter, by 25,000 points to a window."""
    x = np.arange(-500.0, 500.0, 0.01)
    value, _ = local_fit(x, np.cos(2 * np.pi * x / length), np.array([0.0]), 250.0)
    assert value[0] == pytest.approx(kept, abs=within)


def test_noise_goes_down_with_the_rows_in_a_window() -> None:
    """White noise through weights that sum to one keeps the root of the sum of their squares."""
    x = np.arange(0.0, 10_000.0, 5.0)
    at = np.arange(1000.0, 9000.0, 300.0)
    random = np.random.default_rng(5)
    value, _ = local_fit(x, random.standard_normal(x.size), at, 250.0)
    weights = np.array([local_fit(x, (x == here).astype(float), at[10:11], 250.0)[0][0]
                        for here in x[(x > at[10] - 260) & (x < at[10] + 260)]])
    assert weights.sum() == pytest.approx(1.0, abs=1e-6)
    assert value.std() == pytest.approx(np.sqrt((weights**2).sum()), rel=0.3)


def test_gaps_are_bridged_only_when_short() -> None:
    speed = np.arange(2000.0, 6000.0, 20.0) * RPM
    values = 100.0 + 0.01 * speed
    short = np.where((speed > 3000 * RPM) & (speed < 3000 * RPM + 0.8 * BRIDGED), np.nan, values)
    long = np.where((speed > 3000 * RPM) & (speed < 3000 * RPM + 1.5 * BRIDGED), np.nan, values)
    at = speed_grid_of(speed)
    found, said = on_speeds(speed, {"boost": short, "lambda": long, "gear": np.full(speed.size, 4.0),
                                    "oil_pressure": np.full(speed.size, np.nan)}, at)
    assert found["boost"] == pytest.approx(100.0 + 0.01 * at, abs=1e-6)
    lost = at[np.isnan(found["lambda"])] / RPM
    assert lost.min() == pytest.approx(3100.0) and lost.max() == pytest.approx(3500.0)
    assert (found["gear"] == 4.0).all()
    assert "oil_pressure has no value in the pull" in said
    assert any("lambda is not known at 3100 to 3500 rpm" in s for s in said)


def test_the_grid_is_every_100_rpm_inside_the_pull() -> None:
    grid = speed_grid_of(np.array([2030.0, 6710.0]) * RPM) / RPM
    assert grid[0] == pytest.approx(2100.0) and grid[-1] == pytest.approx(6700.0)
    assert np.diff(grid) == pytest.approx(100.0)
