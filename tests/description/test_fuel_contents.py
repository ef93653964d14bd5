"""What is in a tank whose file does not say all of it.  Builds are invented."""

from __future__ import annotations

import pytest

from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build

LEAST = """\
build: least
engine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, compression_ratio: 11.0, redline: 7000 rpm}
fuel: {%s}
"""


@pytest.mark.parametrize("methanol", ["100 %", "95 %", "90 to 100 %"])
def test_methanol_leaves_no_more_ethanol_than_the_rest_of_the_tank(methanol: str) -> None:
    inputs = filled(parse_build(LEAST % f"methanol: {methanol}")).inputs
    most = inputs["fuel.methanol"]
    for path in ("fuel.ethanol", "fuel.gasoline_ethanol"):
        given = inputs[path]
        assert isinstance(given.value, float) and isinstance(most.value, float)
        highest = given.value if given.high is None else given.high
        assert 0.0 <= highest + (most.value if most.high is None else most.high) <= 1.0 + 1e-12, path


def test_what_is_open_of_the_mean_is_open_twice_of_the_research_octane_number() -> None:
    # AKI is the mean of RON and MON by definition, so that RON is twice AKI less MON: 2 x 91 - 86, to 2 x 0.5 and
    # with MON open by 0.75 to sqrt(1^2 + 0.75^2).
    for motor, apart in (("86 MON", 1.0), ("86 +/- 0.75 MON", 1.25)):
        given = filled(parse_build(LEAST % f"octane: 91 +/- 0.5 AKI, motor_octane: {motor}")).inputs["fuel.octane"]
        assert (given.value, given.low, given.high) == pytest.approx((96.0, 96.0 - apart, 96.0 + apart))


def test_a_little_methanol_leaves_the_class_as_it_is() -> None:
    little, none = (filled(parse_build(LEAST % f"methanol: {m} %")).inputs for m in (5, 0))
    assert little["fuel.ethanol"] == none["fuel.ethanol"]
    assert little["fuel.gasoline_ethanol"] == none["fuel.gasoline_ethanol"]
