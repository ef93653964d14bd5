"""Conditions as Horn clauses over two rails, so that what is unknown is never taken for false.

Each proposition has two literals: ``x+``, certainly true, and ``x-``, certainly false; neither holds while
it is unknown.  ``all`` gives the head's ``+`` one clause of every part's ``+`` and its ``-`` a clause of
each part's ``-``; ``any`` the other way round; ``not`` swaps the rails; ``count`` runs along its parts with
one proposition for each number reached.  The result is what Kleene's strong three-valued logic gives,
without any negation.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError
from typing import Final, NamedTuple

from enginelimits.assessment import precedence
from enginelimits.errors import Problem, RuleError
from enginelimits.rules.model import Condition, Count, Every, Leaf, Not, Some

LONGEST_BODY: Final = 15  # the durable engine takes 16 conditions a rule; one is kept back
MOST_USES: Final = 255  # 257 rules on one condition crash it


class Rails(NamedTuple):
    """The two literals of a proposition."""

    true: str
    false: str

    def __invert__(self) -> Rails:
        return Rails(self.false, self.true)


class Clause(NamedTuple):
    """The head holds where every literal of the body holds."""

    head: str
    body: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Program:
    """Clauses in an order in which every body is settled before it is read.

    ``base`` are the literals told from outside; ``derived`` those that the clauses give.  ``joints`` are
    derived literals that others lean on: the program may be cut there, the part before a joint settled first.
    """

    base: tuple[str, ...]
    derived: tuple[str, ...]
    clauses: tuple[Clause, ...]
    joints: frozenset[str] = frozenset()


def rails(name: str) -> Rails:
    """Both literals of a named proposition."""
    return Rails(name + "+", name + "-")


class Writer:
    """Collects the clauses of named conditions; equal parts of one scope are written once."""

    def __init__(self, atom: Callable[[str, Leaf], str]) -> None:
        """``atom`` names the proposition of a leaf within a scope: a rule's id, or a fact."""
        self._atom = atom
        self._clauses: list[Clause] = []
        self._known: dict[tuple[str, Condition], Rails] = {}
        self._joints: set[str] = set()

    def define(self, name: str, condition: Condition, scope: str, *, joint: bool = False) -> Rails:
        """Make ``name`` the head of the condition and return its rails.

        ``joint``: conditions of other scopes read it.
        """
        head, inner = rails(name), self._rails(condition, scope, name)
        if inner != head:
            self._put(head.true, (inner.true,))
            self._put(head.false, (inner.false,))
        if joint:
            self._joints.update(head)
        return head

    def program(self) -> Program:
        """Everything defined so far, with bodies and uses within what both engines take."""
        short = shortened(self._clauses)
        wide = spread(short)
        stand_ins = {c.head for c in wide} - {c.head for c in short}
        return arranged(wide, frozenset(self._joints | stand_ins))

    def _put(self, head: str, body: Iterable[str]) -> None:
        self._clauses.append(Clause(head, tuple(dict.fromkeys(body))))

    def _rails(self, condition: Condition, scope: str, name: str) -> Rails:
        if isinstance(condition, Not):
            return ~self._rails(condition.of, scope, f"{name}!")
        if (scope, condition) in self._known:
            return self._known[scope, condition]
        if isinstance(condition, Every | Some | Count):
            if not condition.of:
                raise ValueError(f"{name}: a condition without parts")
            parts = [self._rails(c, scope, f"{name}.{i}") for i, c in enumerate(condition.of)]
            made = self._joined(condition, parts, name)
        else:
            made = rails(self._atom(scope, condition))
        self._known[scope, condition] = made
        return made

    def _joined(self, condition: Every | Some | Count, parts: list[Rails], name: str) -> Rails:
        if isinstance(condition, Count):
            need = condition.at_least
            if not 1 <= need <= len(parts):
                raise ValueError(f"{name}: a count that is always or never reached")
            enough = self._counted([p.true for p in parts], need, f"{name}#")
            never = self._counted([p.false for p in parts], len(parts) - need + 1, f"{name}#not")
            return Rails(enough, never)
        if len(parts) == 1:
            return parts[0]
        made = rails(name)
        true, false = [p.true for p in parts], [p.false for p in parts]
        together, each = ((made.true, true), (made.false, false))
        if isinstance(condition, Some):
            together, each = (made.false, false), (made.true, true)
        self._put(*together)
        for literal in each[1]:
            self._put(each[0], (literal,))
        return made

    def _counted(self, literals: list[str], need: int, name: str) -> str:
        """A literal that holds where at least ``need`` of the literals do, told apart by place."""
        reached: dict[int, str] = {}  # number reached among the literals so far -> literal
        for place, literal in enumerate(literals):
            after: dict[int, str] = {}
            for number in range(max(1, need - (len(literals) - place - 1)), min(place + 1, need) + 1):
                after[number] = f"{name}{number}of{place + 1}"
                if number in reached:
                    self._put(after[number], (reached[number],))
                if number == 1:
                    self._put(after[number], (literal,))
                elif number - 1 in reached:
                    self._put(after[number], (reached[number - 1], literal))
            reached = after
        return reached[need]


def shortened(clauses: Sequence[Clause], longest: int = LONGEST_BODY) -> list[Clause]:
    """The same clauses with no body longer than ``longest``; long ones go through further literals."""
    out: list[Clause] = []
    for number, (head, body) in enumerate(clauses):
        level = 0
        while len(body) > longest:
            groups = [body[i : i + longest] for i in range(0, len(body), longest)]
            made = []
            for i, group in enumerate(groups):
                name = group[0] if len(group) == 1 else f"{head}~{number}.{level}.{i}"
                made.append(name)
                if len(group) > 1:
                    out.append(Clause(name, group))
            body, level = tuple(made), level + 1
        out.append(Clause(head, body))
    return out


def spread(clauses: Sequence[Clause], most: int = MOST_USES) -> list[Clause]:
    """The same clauses with no literal used in more than ``most`` bodies; others go through stand-ins."""
    out, level = list(clauses), 0
    while True:
        uses = Counter(literal for clause in out for literal in clause.body)
        often = {literal for literal, n in uses.items() if n > most}
        if not often:
            return out
        seen: Counter[str] = Counter()
        made: dict[str, str] = {}
        again: list[Clause] = []
        for head, body in out:
            changed = []
            for literal in body:
                if literal in often:
                    alias = f"{literal}={level}.{seen[literal] // most}"
                    made.setdefault(alias, literal)
                    seen[literal] += 1
                    changed.append(alias)
                else:
                    changed.append(literal)
            again.append(Clause(head, tuple(changed)))
        out = [*(Clause(alias, (literal,)) for alias, literal in made.items()), *again]
        level += 1


def arranged(clauses: Sequence[Clause], joints: frozenset[str] = frozenset()) -> Program:
    """A program of the clauses in order of need; RuleError when one needs itself."""
    heads = dict.fromkeys(c.head for c in clauses)
    needs: dict[str, dict[str, None]] = {h: {} for h in heads}
    by_head: dict[str, list[Clause]] = {h: [] for h in heads}
    for clause in clauses:
        by_head[clause.head].append(clause)
        needs[clause.head].update(dict.fromkeys(b for b in clause.body if b in heads))
    order = list(in_order(needs))
    base = dict.fromkeys(b for c in clauses for b in c.body if b not in heads)
    return Program(tuple(base), tuple(order), tuple(c for h in order for c in by_head[h]), joints)


def in_order(needs: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """The names with what each needs before it, else in the order given; RuleError when one needs itself."""
    try:
        return tuple(precedence.in_order(needs))
    except CycleError as error:
        loop: Sequence[str] = error.args[1]
        raise RuleError(
            [Problem("conditions that do not need themselves", " needs ".join(loop), "Break the circle.")]
        ) from None
