"""Which cause a finding stands on, read off the graph of steps: small margins on one cause count once."""

from __future__ import annotations

from collections import deque

from enginelimits.assessment.results import Assessment
from enginelimits.assessment.vocabulary import QUANTITIES


def ancestors(assessment: Assessment, id: str) -> frozenset[str]:
    """Every quantity that ``id`` was made from, itself included."""
    seen, queue = {id}, deque((id,))
    while queue:
        column = assessment.columns.get(queue.popleft())
        for taken in column.takes.values() if column is not None else ():
            if taken in QUANTITIES and taken not in seen:
                seen.add(taken)
                queue.append(taken)
    return frozenset(seen)


def root_cause(assessment: Assessment, id: str) -> str:
    """The nearest declared cause upstream of a quantity; the quantity itself when there is none."""
    seen, queue = {id}, deque((id,))
    while queue:
        name = queue.popleft()
        kind = QUANTITIES.get(name)
        if kind is not None and kind.root:
            return kind.root
        column = assessment.columns.get(name)
        for taken in sorted(column.takes.values()) if column is not None else ():
            if taken not in seen:
                seen.add(taken)
                queue.append(taken)
    return id


def independent(assessment: Assessment, one: frozenset[str], other: frozenset[str]) -> bool:
    """Whether two sets of quantities were come by in different ways: none of one was made from the other."""
    return bool(one and other) and not any(
        a in ancestors(assessment, b) or b in ancestors(assessment, a) for a in one for b in other
    )
