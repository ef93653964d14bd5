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


def test_a_little_methanol_leaves_the_class_as_it_is() -> None:
    little, none = (filled(parse_build(LEAST % f"methanol: {m} %")).inputs for m in (5, 0))
    assert little["fuel.ethanol"] == none["fuel.ethanol"]
    assert little["fuel.gasoline_ethanol"] == none["fuel.gasoline_ethanol"]
