"""How flame speed must answer to state, mixture, burned gas and alcohol."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.combustion.flame_speed import (
    ethanol_speed_factor,
    flame_speed,
    gasoline_flame_speed,
    residual_slowing,
)
from enginelimits.physics.numerics.validity import outside


@given(
    kelvin=st.floats(298.0, 1000.0),
    pressure=st.floats(4e4, 1e7),
    mixture=st.floats(0.67, 1.43),
    residual=st.floats(0.0, 0.3),
    ethanol=st.floats(0.0, 1.0),
)
def test_there_is_a_speed_everywhere_in_the_range(kelvin, pressure, mixture, residual, ethanol):
    speed = flame_speed(kelvin, pressure, mixture, residual, ethanol)
    # above 10 m/s there is no laminar flame of such fuels in air: common practice, no source
    assert 0.0 < speed < 10.0


@given(kelvin=st.floats(298.0, 990.0), mixture=st.floats(0.7, 1.43), hotter=st.floats(1.0, 10.0))
def test_a_hotter_charge_burns_faster(kelvin, mixture, hotter):
    assert flame_speed(kelvin + hotter, 2e6, mixture, 0.05) > flame_speed(kelvin, 2e6, mixture, 0.05)


def test_pressure_slows_the_flame_of_ordinary_mixtures():
    pressure = np.linspace(1e5, 8e6, 80)
    for mixture in (0.8, 0.9, 1.0, 1.1):
        assert np.all(np.diff(gasoline_flame_speed(700.0, pressure, mixture)) < 0.0)


def test_rich_of_stoichiometric_is_fastest():
    # common practice, no source: greatest between lambda 0.8 and 0.95, and slower lean than stoichiometric
    mixture = np.linspace(0.68, 1.4, 289)
    assert 0.8 < mixture[np.argmax(gasoline_flame_speed(298.0, 101325.0, mixture))] < 0.95
    for kelvin, pressure in ((298.0, 101325.0), (600.0, 1e6), (700.0, 2e6), (750.0, 4e6)):
        speed = gasoline_flame_speed(kelvin, pressure, mixture)
        # the fit drifts richer as it gets hot and dense, by no more than costs a tenth at the usual mixture
        assert mixture[np.argmax(speed)] < 0.95
        assert gasoline_flame_speed(kelvin, pressure, 0.85) > 0.9 * speed.max()
        lean, stoichiometric = gasoline_flame_speed(kelvin, pressure, np.array([1.2, 1.0]))
        assert lean < stoichiometric < speed.max()


def test_burned_gas_slows_the_flame_steadily_and_never_stops_it_in_the_range():
    left = residual_slowing(np.linspace(0.0, 0.3, 61))
    assert left[0] == 1.0
    assert np.all(np.diff(left) < 0.0)
    assert left[-1] > 0.1
    slowed = flame_speed(700.0, 2e6, 1.0, 0.12) / flame_speed(700.0, 2e6, 1.0, 0.0)
    assert slowed == pytest.approx(residual_slowing(0.12))


def test_ethanol_burns_faster_where_engines_run():
    for mixture in (0.75, 0.8, 0.85, 0.9, 1.0, 1.1):
        assert 1.0 < ethanol_speed_factor(700.0, 2e6, mixture) < 1.6


@given(share=st.floats(0.0, 1.0))
def test_a_blend_lies_between_its_parts(share):
    none, blend, pure = (flame_speed(700.0, 2e6, 0.9, 0.05, s) for s in (0.0, share, 1.0))
    assert none <= blend * (1 + 1e-12) and blend <= pure * (1 + 1e-12)
    assert blend == pytest.approx(none + share * (pure - none), rel=1e-12)


def test_methanol_by_mass_share():
    plain, half, pure = (flame_speed(700.0, 2e6, 0.9, 0.05, 0.0, s) for s in (0.0, 0.5, 1.0))
    assert plain < half < pure
    assert half == pytest.approx(0.5 * (plain + pure))


def test_arrays_broadcast():
    speed = flame_speed(np.full((2, 1, 1), 700.0), np.full((3, 1), 2e6), np.linspace(0.8, 1.1, 4), 0.05, 0.1)
    assert speed.shape == (2, 3, 4)


def test_beyond_the_range_is_told():
    arguments = {"lambda_ratio": np.array([0.6, 0.9, 1.5]), "residual_mole_fraction": 0.05}
    assert outside(flame_speed, arguments).tolist() == [True, False, True]
