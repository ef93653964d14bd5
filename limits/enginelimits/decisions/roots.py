"""Which cause a finding stands on, read off the graph of steps: small margins on one cause count once."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from typing import Any, Protocol

from enginelimits.assessment.vocabulary import QUANTITIES


class Setting(Protocol):
    """What findings stand in: an assessment, or measured pulls.

    ``speeds`` [rad/s] and ``ambients`` name the places of an outcome; ``columns`` say what a quantity was made from.
    """

    @property
    def speeds(self) -> Sequence[float]: ...
    @property
    def ambients(self) -> Sequence[str]: ...
    @property
    def columns(self) -> Mapping[str, Any]: ...


def ancestors(setting: Setting, id: str) -> frozenset[str]:
    """Every quantity that ``id`` was made from, itself included."""
    seen, queue = {id}, deque((id,))
    while queue:
        column = setting.columns.get(queue.popleft())
        for taken in column.takes.values() if column is not None else ():
            if taken in QUANTITIES and taken not in seen:
                seen.add(taken)
                queue.append(taken)
    return frozenset(seen)


def root_cause(setting: Setting, id: str) -> str:
    """The nearest declared cause upstream of a quantity; the quantity itself when there is none."""
    seen, queue = {id}, deque((id,))
    while queue:
        name = queue.popleft()
        kind = QUANTITIES.get(name)
        if kind is not None and kind.root:
            return kind.root
        column = setting.columns.get(name)
        for taken in sorted(column.takes.values()) if column is not None else ():
            if taken not in seen:
                seen.add(taken)
                queue.append(taken)
    return id


def independent(setting: Setting, one: frozenset[str], other: frozenset[str]) -> bool:
    """Whether two sets of quantities were come by in different ways: none of one was made from the other."""
    return bool(one and other) and not any(
        a in ancestors(setting, b) or b in ancestors(setting, a) for a in one for b in other
    )
