"""What an error is called, in words and as an exit code."""

from __future__ import annotations

import os
import traceback
from enum import IntEnum
from pathlib import Path

from enginelimits.errors import EngineLimitsError, InputError, RuleError

TRACE = "ENGINELIMITS_TRACE"


class Code(IntEnum):
    """Exit codes; ``worst`` says which one stands when several things happened."""

    clean = 0
    findings = 1
    bad_input = 2
    not_judged = 3
    failed = 4
    interrupted = 130
    closed_pipe = 141


ORDER = (Code.bad_input, Code.failed, Code.findings, Code.not_judged)


def worst(codes: set[int]) -> int:
    """The first that occurred of bad input, failure, findings, not judged."""
    return next((int(code) for code in ORDER if code in codes), int(Code.clean))


def code_of(error: BaseException) -> int:
    """The exit code that an error stands for."""
    if isinstance(error, InputError | RuleError | OSError):
        return Code.bad_input
    return Code.failed


def words_of(error: BaseException) -> str:
    """An error as its reader needs it, without a traceback."""
    if isinstance(error, InputError | RuleError):
        return str(error)
    if isinstance(error, EngineLimitsError):
        return f"the computation failed: {error}"
    if isinstance(error, OSError):
        name = f"{error.filename}: " if error.filename else ""
        return f"{name}{error.strerror or error}"
    return _fault(error)


def _fault(error: BaseException) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    place = f" ({Path(frames[-1].filename).name}:{frames[-1].lineno})" if frames else ""
    what = " ".join(str(error).split())[:200]
    words = (
        f"a fault of the program, not of your file: {type(error).__name__}: {what}{place}. Please report it "
        f"to its maintainers with this line, the command and the build file; {TRACE}=1 shows where it arose."
    )
    if os.environ.get(TRACE):
        words += "\n" + "".join(traceback.format_exception(error))
    return words
