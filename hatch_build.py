"""Build hook: standard wheels carry the rule catalogue and the worked cases.

Both lie outside the package for the people who edit them.  An editable install runs from the checkout and
finds them there; a copy in it would grow stale, so it gets none.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

CARRIED = {"rulesets": "enginelimits/_rulesets", "cases": "enginelimits/_cases"}


class CarryData(BuildHookInterface):
    """Maps the folders of data into the wheel."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Add the folders to a standard wheel."""
        if self.target_name != "wheel" or version != "standard":
            return
        for folder, place in CARRIED.items():
            source = Path(self.root) / folder
            if not source.is_dir():
                raise FileNotFoundError(
                    f"{source}: a wheel is built from a checkout or an sdist, which hold it"
                )
            build_data["force_include"][str(source)] = place
