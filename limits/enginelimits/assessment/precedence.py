"""An order in which everything comes after what it needs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from graphlib import TopologicalSorter
from typing import TypeVar

Name = TypeVar("Name", int, str)


def in_order(needs: Mapping[Name, Iterable[Name]]) -> list[Name]:
    """The names with what each needs before it, else in the order given; CycleError when one needs itself.

    The order is that of the standard library's sorter, which is asked for the circle only where there is one: it
    looks for circles first, and at that takes most of its time.
    """
    waits: dict[Name, int] = {}
    feeds: dict[Name, list[Name]] = {}
    for name, before in needs.items():
        waits.setdefault(name, 0)
        for need in before:
            waits.setdefault(need, 0)
            feeds.setdefault(need, []).append(name)
            waits[name] += 1
    order = [name for name, number in waits.items() if not number]
    for name in order:  # grows as it is gone through
        for fed in feeds.get(name, ()):
            waits[fed] -= 1
            if not waits[fed]:
                order.append(fed)
    if len(order) < len(waits):
        return list(TopologicalSorter(needs).static_order())
    return order
