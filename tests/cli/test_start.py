"""The starter build file: it must load as printed, and with every optional line taken in."""

from __future__ import annotations

import re

from enginelimits.cli.start import STARTER
from enginelimits.description.load import parse_build

# An optional line has its # right before a key, or before at least two spaces; prose has exactly one space.
OPTIONAL = re.compile(r"^#(?! [^ ])(?=.)")


def test_it_loads_as_printed() -> None:
    build = parse_build(STARTER.read_text(encoding="utf-8"), "starter")
    assert build.build == "name of this build"


def test_every_optional_line_is_valid_too() -> None:
    lines = STARTER.read_text(encoding="utf-8").splitlines()
    whole = "\n".join(OPTIONAL.sub("", line) for line in lines)
    assert sum(bool(OPTIONAL.match(line)) for line in lines) > 30
    build = parse_build(whole, "starter with every line")
    assert build.internals is not None
    assert build.fuel_system is not None
