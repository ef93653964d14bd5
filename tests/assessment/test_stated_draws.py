"""Draws of what a file states with a range: cut where no such thing could be.  Builds are invented."""

from __future__ import annotations

import pytest

from enginelimits.assessment.sample import drawn
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

LEAST = """\
build: least
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 11.0, redline: 7000 rpm}
%s
"""


@pytest.mark.parametrize(
    ("lines", "path", "least", "most"),
    [
        # no boost below none, whose low end is nil or beneath it
        ("forced_induction: {kind: turbocharger, boost: 2 +/- 2 psi}", "forced_induction.boost", 0.0, 5e5),
        ("forced_induction: {kind: turbocharger, boost: 1 +/- 3 psi}", "forced_induction.boost", 0.0, 5e5),
        ("driveline: {loss: {fixed: 3 +/- 3 kW}}", "driveline.loss.fixed", 0.0, 1e5),
        ("fuel: {ethanol: 3 +/- 3 %}", "fuel.ethanol", 0.0, 1.0),
        # no compressor beyond 0.95
        ("forced_induction: {kind: turbocharger, boost: 5 psi, compressor: {efficiency: 0.9 +/- 0.1}}",
         "forced_induction.compressor.efficiency", 0.2, 0.95),
        # temperatures and heights may lie below nil
        ("site: {altitude: 0 +/- 100 m}", "site.altitude", -500.0, 6000.0),
    ],
)
def test_draws_of_a_stated_range_are_cut_at_what_there_can_be(
    lines: str, path: str, least: float, most: float
) -> None:
    given = filled(parse_build(LEAST % lines)).inputs[path]
    draws = drawn(given, 400, seed=5)[1:]
    assert least <= draws.min() < given.value < draws.max() <= most
    if path == "site.altitude":
        assert draws.min() < -100.0
