"""What can go wrong, as types.  Exit codes live in the command, not here."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a file, in the words its writer needs.

    Every part but ``wanted`` may be empty; ``line`` and ``column`` count from 1.
    """

    wanted: str
    got: str = ""
    mend: str = ""
    key: str = ""
    file: str = ""
    line: int | None = None
    column: int | None = None
    near: tuple[str, ...] = ()

    def __str__(self) -> str:
        where = self.file or "input"
        if self.line is not None:
            where += f":{self.line}"
            if self.column is not None:
                where += f":{self.column}"
        parts = [f"{where}: {self.key}: " if self.key else f"{where}: "]
        parts.append(f"wanted {self.wanted}")
        if self.got:
            parts.append(f", got {self.got}")
        if self.near:
            parts.append(f". Near: {', '.join(self.near)}")
        if self.mend:
            parts.append(f". {self.mend}")
        return "".join(parts)


class EngineLimitsError(Exception):
    """Anything this library raises on purpose."""


# More of them at once are read by nobody, and a file made for it could fill a screen or a disk with them.
MOST_TOLD = 200


class _Problems(EngineLimitsError):
    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = tuple(problems)
        told = [str(p) for p in self.problems[:MOST_TOLD]]
        left = len(self.problems) - len(told)
        super().__init__("\n".join([*told, *([f"and {left} more"] if left else [])]))


class InputError(_Problems):
    """A build, shop or log file, or an argument, that cannot be used; holds every problem found."""


class RuleError(_Problems):
    """A rule, fact, remedy or test file that cannot be used; holds every problem found."""


class OutOfRange(EngineLimitsError):
    """A formula was asked beyond the range in which it holds."""


class SolveError(EngineLimitsError):
    """A computation did not end in a usable number, or two engines of inference disagreed."""
