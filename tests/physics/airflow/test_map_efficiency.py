"""The efficiency that the map of a class gives an engine's flow."""

from __future__ import annotations

import numpy as np
import pytest

from enginelimits.physics.airflow.map_efficiency import efficiency_on_class_map

# An invented class: peak efficiency 0.76, 0.60 at choke, 0.67 at surge.
HILL = (0.81, 0.9, 0.79, 0.18, 0.76, 0.6, 0.67, 0.47)


def found(inducer_m):
    """A two-litre engine at 7000 rpm and 1.6 bar on one wheel or another."""
    return efficiency_on_class_map(1.7, 298.0, 98e3, 298.0, 0.7, 1.6e5, 0.95, 2e-3, 733.0, 1.0, inducer_m, *HILL)


def test_beyond_its_ends_the_map_stands_for_them():
    """Too small a wheel chokes; too large a one surges, and one still larger is no worse than the end of the map."""
    small, large, larger = found(np.array([0.036, 0.08, 0.10])).efficiency
    assert small == pytest.approx(0.60, abs=0.005)
    # 0.67 holds where the class surges; its factor of 0.9 moves the line a little down the hill
    assert large == pytest.approx(0.67, abs=0.01)
    assert larger == pytest.approx(large, rel=1e-6)


def test_three_passes_meet():
    """An efficiency told to three figures needs passes that agree to a fourth."""
    assert (np.abs(found(np.linspace(0.034, 0.1, 30)).change) < 1e-4).all()
