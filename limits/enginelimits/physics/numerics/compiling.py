"""Whether what is compiled is used in the place of arrays; it gives the same to rounding."""

from __future__ import annotations

from collections.abc import Iterable
from contextvars import ContextVar
from pathlib import Path
from types import ModuleType

# Set for an assessment; nothing imports the compiler where it is not
COMPILED: ContextVar[bool] = ContextVar("compiled", default=False)


def source_stamp(modules: Iterable[ModuleType]) -> int:
    """Changes with any file that compiled code is made from; numba itself looks at the file it is written in alone."""
    import hashlib

    digest = hashlib.sha256(b"".join(Path(str(module.__file__)).read_bytes() for module in modules)).digest()
    return int.from_bytes(digest[:7], "big")
