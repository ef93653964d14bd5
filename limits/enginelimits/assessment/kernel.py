"""Whether an assessment runs compiled: it gives the same to rounding, and starting costs half a second."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from importlib.util import find_spec

from enginelimits.errors import InputError, Problem
from enginelimits.physics.numerics.compiling import COMPILED

# Lanes (ambients x rows x speeds) from which the gain repays the start, three times over: each is solved about a dozen
# times
REPAYS_FROM = 10_000
VARIABLE, CHOICES = "ENGINELIMITS_FAST", ("auto", "on", "off")
# How many assessments of a like size are about to follow each other
_ASSESSMENTS: ContextVar[int] = ContextVar("assessments", default=1)


@contextmanager
def assessed_often(times: int) -> Iterator[None]:
    """What is within assesses some ``times``: the start is repaid by all of them together.  Also a decorator."""
    token = _ASSESSMENTS.set(times)
    try:
        yield
    finally:
        _ASSESSMENTS.reset(token)


def compiled_for(lanes: int) -> bool:
    """Whether to run compiled for so many lanes.  Raises InputError where that is asked for and cannot be had."""
    choice = os.environ.get(VARIABLE, "auto") or "auto"
    if choice not in CHOICES:
        raise InputError([Problem(" or ".join(CHOICES), f"`{choice[:20]}`", key=VARIABLE, file="environment")])
    if choice == "off" or (choice == "auto" and lanes * _ASSESSMENTS.get() < REPAYS_FROM):
        return False
    there = find_spec("numba") is not None
    if choice == "on" and not there:
        mend = "Install the extra: pip install 'engine-limits[fast]', or leave the variable unset."
        raise InputError([Problem("numba", "not installed", mend, key=VARIABLE, file="environment")])
    return there


@contextmanager
def kernel_for(lanes: int) -> Iterator[bool]:
    """Run what is within with the compiled cycles where they repay; the answer says which."""
    compiled = compiled_for(lanes)
    token = COMPILED.set(compiled)
    try:
        yield compiled
    finally:
        COMPILED.reset(token)
