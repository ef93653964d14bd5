"""What every test runs under."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from enginelimits.rules import catalogue

# How long an example takes hangs on what else the machine does: it is no property of the code.
UNTIMED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("untimed", **UNTIMED)
# Many builds, other ones each time: `--hypothesis-profile=long`, with the long checks.
# ``max_examples`` is how many times the few of the default run, for tests that set their own.
settings.register_profile("long", max_examples=25, print_blob=True, **UNTIMED)
settings.load_profile("untimed")

SHIPPED = Path(__file__).parents[1] / "rulesets"
_read = catalogue._layer


@cache
def _shipped(default: str) -> tuple[Any, Any, tuple[Any, ...]]:
    problems: list[Any] = []
    layer, held = _read(SHIPPED, default, (), problems)
    return layer, held, tuple(problems)


@pytest.fixture(autouse=True, scope="session")
def _shipped_rules_read_once() -> None:
    """The shipped rules do not change between tests, and reading them is a third of a second of each command."""

    def layer(folder: Path, default: str, before: Any, problems: list[Any]) -> tuple[Any, Any]:
        if before or Path(folder).absolute() != SHIPPED:
            return _read(folder, default, before, problems)
        made, held, wrong = _shipped(default)
        problems.extend(wrong)
        return made, held

    catalogue._layer = layer
