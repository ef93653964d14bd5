"""Ranges as people read them.  Expected texts are worked by hand: 1 bar = 100 kPa, 1 kN = 1000 N, exactly."""

from __future__ import annotations

import pytest

from enginelimits.present.values import range_text
from enginelimits.units.display import System


@pytest.mark.parametrize(
    ("low", "high", "unit", "system", "told"),
    [
        # A small end keeps two digits in the unit of the large one
        (7000.0, 26000.0, "Pa", "metric", "0.070 to 0.26 bar"),
        (3447.0, 21000.0, "Pa", "metric", "0.034 to 0.21 bar"),
        (800.0, 3000.0, "Pa", "metric", "0.8 to 3.0 kPa"),
        (980.0, 12000.0, "N", "metric", "0.98 to 12.0 kN"),
        (9_500.0, 12_000.0, "N", "metric", "9.50 to 12.0 kN"),
        (900.0, 25_000.0, "W", "metric", "0.90 to 25 kW"),
        (0.0, 26000.0, "Pa", "metric", "0 to 0.26 bar"),
        (-5000.0, 26000.0, "Pa", "metric", "-0.050 to 0.26 bar"),
    ],
)
def test_both_ends_of_a_range_stand_in_one_unit(low: float, high: float, unit: str, system: System, told: str) -> None:
    assert range_text(low, high, unit, system) == told
