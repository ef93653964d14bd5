"""What a power target asks of an engine that was not designed for boost.

Names are fetched when first used, so that importing the package costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_HOMES = {
    "load_build": "enginelimits.description.load",
    "parse_build": "enginelimits.description.load",
    "edited": "enginelimits.description.edits",
    "filled": "enginelimits.description.fill",
    "assess": "enginelimits.assessment.collect",
    "judge": "enginelimits.decisions.judge",
}
__all__ = ["__version__", "assess", "edited", "filled", "judge", "load_build", "parse_build"]

if TYPE_CHECKING:
    from enginelimits.assessment.collect import assess
    from enginelimits.decisions.judge import judge
    from enginelimits.description.edits import edited
    from enginelimits.description.fill import filled
    from enginelimits.description.load import load_build, parse_build


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
