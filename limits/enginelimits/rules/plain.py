"""The clauses over boolean arrays: every instant of every sample at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from enginelimits.rules.clauses import Program

Held = NDArray[np.bool_]


class Plain:
    """Engine of inference in numpy.  It runs everywhere, and beside the other engine wherever that runs."""

    name = "plain"

    def firings(self, program: Program, held: Held) -> Held:
        """(clauses, instants): which clause fires where, given (base literals, instants)."""
        fired = np.zeros((len(program.clauses), held.shape[1]), dtype=bool)
        self._run(program, held, fired)
        return fired

    def derived(self, program: Program, held: Held) -> Held:
        """(derived literals, instants): which derived literal holds where."""
        return self._run(program, held, None)

    def _run(self, program: Program, held: Held, fired: Held | None) -> Held:
        out = np.zeros((len(program.derived), held.shape[1]), dtype=bool)
        row: dict[str, Held] = dict(zip(program.base, held, strict=True))
        row.update(zip(program.derived, out, strict=True))
        for number, (head, body) in enumerate(program.clauses):
            holds = row[body[0]]
            for literal in body[1:]:
                holds = holds & row[literal]
            row[head] |= holds
            if fired is not None:
                fired[number] = holds
        return out
