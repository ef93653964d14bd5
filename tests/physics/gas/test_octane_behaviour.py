"""How octane behaves: what must stay as sold, never fall, or end where the scale does."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enginelimits.physics.gas import fuel, octane


def test_octane_as_sold_stays_when_nothing_is_added() -> None:
    held = np.array([0.0, 0.05, 0.10])
    for sold in (91.0, 98.0, 104.0, 108.0):
        assert octane.blend_research_octane(held, held, sold, 745.0, 0.108) == pytest.approx([sold] * 3, abs=1e-12)
    for sold in (81.0, 85.0, 92.0):
        assert octane.blend_motor_octane(held, held, sold, 745.0, 0.108) == pytest.approx([sold] * 3, abs=1e-12)


@pytest.mark.parametrize("sold", [85.0, 95.0, 102.0, 107.0])
def test_adding_alcohol_never_lowers_research_octane(sold: float) -> None:
    grid = np.linspace(0.0, 1.0, 91)
    ethanol = octane.blend_research_octane(0.1 + 0.9 * grid, 0.1, sold, 745.0, 0.108)
    assert np.all(np.diff(ethanol) >= -1e-9)
    # Methanol in gasoline that holds a tenth of ethanol: it thins the ethanol as it does the hydrocarbons.
    methanol = octane.blend_research_octane(0.1 * (1.0 - grid), 0.1, sold, 745.0, 0.108, grid)
    assert methanol[0] == pytest.approx(sold) and np.all(np.diff(methanol) >= -1e-9)


def test_ethanol_already_held_leaves_less_to_gain() -> None:
    # two fuels sold as 95: the one that reached it with ethanol has the poorer hydrocarbons
    gained = [octane.blend_research_octane(0.3, held, 95.0, 745.0, 0.108) for held in (0.10, 0.0)]
    assert gained[0] < gained[1]


@given(sold=st.floats(70.0, 95.0), ethanol=st.floats(0.1, 1.0), of_the_rest=st.floats(0.0, 1.0))
def test_motor_octane_without_synergy_lies_between_its_parts(sold: float, ethanol: float, of_the_rest: float) -> None:
    methanol = (1.0 - ethanol) * of_the_rest
    # Gasoline sold without ethanol, so that every share is possible.
    told = octane.blend_motor_octane(ethanol, 0.0, sold, 745.0, 0.108, methanol, synergy=0.0)
    assert min(sold, 89.0) - 1e-9 <= told <= max(sold, 90.0) + 1e-9


def test_sensitivity_grows_with_ethanol() -> None:
    # Chupka et al., SAE 2015-01-0763, abstract: research less motor octane rises as ethanol is blended in
    ethanol = np.linspace(0.0, 0.5, 11)
    research = octane.blend_research_octane(ethanol, 0.0, 92.0, 745.0, 0.108)
    motor = octane.blend_motor_octane(ethanol, 0.0, 83.0, 745.0, 0.108)
    assert np.all(np.diff(research - motor) > 0.0)


def test_one_law_goes_by_two_names() -> None:
    assert fuel.blend_octane is octane.blend_research_octane


@given(index=st.floats(60.0, 150.0), factor=st.floats(0.0, 3.0))
def test_only_what_lies_beyond_the_scale_is_stretched(index: float, factor: float) -> None:
    worth = octane.extrapolated_octane(index, factor)
    if index <= 100.0:
        assert worth == index and octane.octane_beyond_scale(index) == 0.0
    else:
        assert worth - 100.0 == pytest.approx(factor * (index - 100.0))


def test_pump_octane_goes_both_ways() -> None:
    for research, sensitivity in ((95.0, 10.0), (91.5, 8.0)):
        motor = octane.motor_octane_of_gasoline(research, sensitivity)
        pump = octane.anti_knock_index(research, motor)
        assert octane.research_from_anti_knock_index(pump, sensitivity) == pytest.approx(research)


def test_humidity_counts_from_where_the_want_is_known() -> None:
    dry, same, humid = octane.humidity_octane(np.array([0.004, 0.010, 0.018]), 0.010, -300.0)
    assert dry > 0.0 and same == 0.0 and humid == pytest.approx(-2.4)
