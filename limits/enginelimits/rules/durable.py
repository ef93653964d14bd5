"""The clauses on the rules engine of the durable-rules distribution, used only in ways that were tested.

The engine sees no text and no number of a user's: a literal is a fact of two small integers, and a state
lives for one evaluation.  Its own negation, its host with its threads, and its timers stay unused; the
first two give wrong answers or swallow errors.  It is imported late, because it is absent on Python 3.13
and later.
"""

from __future__ import annotations

import queue
import re
import weakref
from collections.abc import Sequence
from functools import cache
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from enginelimits.errors import SolveError
from enginelimits.rules.clauses import Program
from enginelimits.rules.islands import BUCKET, START, STATE_NAMES, Island, fact_id, islands

Held = NDArray[np.bool_]
LONGEST_WAIT: Final = 60.0
_ACTION: Final = re.compile(r'\{"c(\d+)":')


@cache
def native() -> Any | None:
    """The engine's extension module, or None where it cannot be imported."""
    try:
        import durable_rules_engine
    except ImportError:
        return None
    return durable_rules_engine


class Ruleset:
    """One island compiled into the engine; says which of its clauses fire."""

    def __init__(self, program: Program, island: Island) -> None:
        engine = native()
        if engine is None:
            raise SolveError("the durable rules engine cannot be imported here")
        self._engine = engine
        self._clauses = [program.clauses[n] for n in island.clauses]
        number = {literal: i for i, literal in enumerate(island.literals)}
        # A literal is found by two equality tests, bucket then place, so that neither test has many outcomes.
        self._fact = {
            literal: f'","id":"{fact_id(i)}","g":{i // BUCKET},"a":{i % BUCKET}}}' for literal, i in number.items()
        }
        bodies = [(START,), *(clause.body for clause in self._clauses)]
        rules = ",".join(f'"c{i}":{{"all":[{_tests(body, number)}]}}' for i, body in enumerate(bodies))
        self._handle = engine.create_ruleset("clauses", f"{{{rules}}}")
        weakref.finalize(self, engine.delete_ruleset, self._handle)
        self._states: queue.SimpleQueue[str] = queue.SimpleQueue()
        for name in STATE_NAMES:
            self._states.put(name)

    def fired(self, literals: Sequence[str]) -> tuple[int, ...]:
        """Numbers within the island, ascending, of the clauses that fire when these literals are told."""
        try:
            state = self._states.get(timeout=LONGEST_WAIT)
        except queue.Empty:
            raise SolveError("no state of the durable rules engine is free") from None
        found = self._run(state, literals)
        self._states.put(state)  # after an error the name is given up: facts may hang on it
        return found

    def _run(self, state: str, literals: Sequence[str]) -> tuple[int, ...]:
        engine, handle = self._engine, self._handle
        offset = self._tell(state, (START,))
        begun = engine.start_action_for_state(handle, offset)
        if begun is None or _number(begun[1]) != 0:
            raise SolveError("the durable rules engine did not start")
        told = set(literals)
        fired: list[int] = []
        try:
            if literals:
                self._tell(state, literals)
            while (message := engine.complete_and_start_action(handle, offset)) is not None:
                number = _number(message) - 1
                fired.append(number)
                if len(fired) > len(self._clauses):
                    raise SolveError("the durable rules engine fired a clause twice")
                head = self._clauses[number].head
                if head in self._fact and head not in told:
                    told.add(head)
                    self._tell(state, (head,))
        finally:
            engine.delete_state(handle, state)  # allowed, because the start rule has fired
        return tuple(sorted(fired))

    def _tell(self, state: str, literals: Sequence[str]) -> Any:
        facts = ",".join('{"sid":"' + state + self._fact[literal] for literal in literals)
        code, offset = self._engine.assert_facts(self._handle, f"[{facts}]")
        if code:
            raise SolveError(f"the durable rules engine refused facts with code {code}")
        return offset


class Durable:
    """Engine of inference on durable-rules.  Rulesets are made once a program and kept while it lives."""

    name = "durable-rules"

    def __init__(self) -> None:
        self._made: weakref.WeakKeyDictionary[Program, list[tuple[Island, Ruleset]]] = weakref.WeakKeyDictionary()

    def firings(self, program: Program, held: Held) -> Held:
        """(clauses, instants): which clause fires where, given (base literals, instants)."""
        fired = np.zeros((len(program.clauses), held.shape[1]), dtype=bool)
        known = dict(zip(program.base, held, strict=True))
        for island, ruleset in self._rulesets(program):
            told = np.array([known[literal] for literal in island.told]).T
            # Instants that are told the same fire the same: each such set of literals is asked about once.
            same: dict[bytes, list[int]] = {}
            raw, width = told.tobytes(), told.shape[1]
            for instant in range(len(told)):
                same.setdefault(raw[instant * width : (instant + 1) * width], []).append(instant)
            clauses = np.array(island.clauses)
            for instants in same.values():
                row = told[instants[0]]
                holds = [literal for literal, there in zip(island.told, row, strict=True) if there]
                found = list(ruleset.fired(holds))
                fired[np.ix_(clauses[found], np.array(instants))] = True
            for number in island.clauses:
                head = program.clauses[number].head
                if head in program.joints:
                    known[head] = known[head] | fired[number] if head in known else fired[number]
        return fired

    def _rulesets(self, program: Program) -> list[tuple[Island, Ruleset]]:
        made = self._made.get(program)
        if made is None:
            made = [(island, Ruleset(program, island)) for island in islands(program)]
            self._made[program] = made
        return made


def _tests(body: Sequence[str], number: dict[str, int]) -> str:
    """The body as the engine's own JSON; written out, because every value in it is a small integer."""
    places = [divmod(number[literal], BUCKET) for literal in body]
    return ",".join(f'{{"m{k}":{{"$and":[{{"g":{g}}},{{"a":{a}}}]}}}}' for k, (g, a) in enumerate(places))


def _number(message: str) -> int:
    found = _ACTION.match(message)
    if found is None:
        raise SolveError("the durable rules engine gave an answer that cannot be read")
    return int(found[1])
