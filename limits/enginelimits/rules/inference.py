"""Which engine fires the clauses: one interface, two engines behind it."""

from __future__ import annotations

from functools import cache
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import Problem, RuleError, SolveError
from enginelimits.rules.clauses import Program
from enginelimits.rules.plain import Plain

Held = NDArray[np.bool_]
ENGINES: Final = ("auto", "durable-rules", "plain")
PLAIN: Final = Plain()


class Engine(Protocol):
    """Fires clauses."""

    name: str

    def firings(self, program: Program, held: Held) -> Held:
        """(clauses, instants): which clause fires where, given (base literals, instants)."""
        ...


@cache
def engine_named(name: str) -> Engine:
    """The engine of that name; ``auto`` is durable-rules wherever it can be imported."""
    if name not in ENGINES:
        raise RuleError([Problem(f"an engine: {', '.join(ENGINES)}", f"`{name[:40]}`", key="engine")])
    if name != "plain":
        from enginelimits.rules.durable import Durable, native

        if native() is not None:
            return Durable()
        if name != "auto":
            mend = "It needs Python 3.11 or 3.12 and a C compiler at installation; `plain` needs neither."
            raise RuleError([Problem("the durable-rules engine", "none that can be imported", mend, "engine")])
    return PLAIN


def derived(engine: Engine, program: Program, held: Held, typical: Held) -> Held:
    """(derived literals, instants) of everything told in ``held``.

    On ``typical``, the instants of the build as described, the engine and the plain one must fire the very
    same clauses; SolveError when they do not, since then neither can be trusted.
    """
    if engine is not PLAIN:
        ours, theirs = PLAIN.firings(program, typical), engine.firings(program, typical)
        if not np.array_equal(ours, theirs):
            number = int(np.argwhere((ours != theirs).any(axis=1))[0, 0])
            head = program.clauses[number].head
            raise SolveError(f"the engines {PLAIN.name} and {engine.name} disagree on `{head}`")
    return PLAIN.derived(program, held)
