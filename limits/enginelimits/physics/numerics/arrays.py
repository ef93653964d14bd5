"""The one array type of the physics."""

from __future__ import annotations

from typing import Any, TypeAlias

# A float or a float array of any leading shape; functions broadcast and return the broadcast shape.
Array: TypeAlias = Any
