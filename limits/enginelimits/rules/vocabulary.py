"""The words that rules may use: quantities with their units, inputs with their units or kinds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

# What a temperature's name holds when it is a difference, where degrees Celsius would mislead.
_DIFFERENCES: Final = ("margin", "difference", "rise", "soak")


@dataclass(frozen=True)
class Words:
    """The vocabulary.

    ``quantities``: SI unit by id.  ``inputs``: SI unit by path, or text, choice, yes-no or points.
    ``choices``: the words that a choice may be.  ``differences``: quantities and inputs in K that are
    differences. ``classes``: names of the shipped classes, by the path that takes one; a shop may add its
    own.  ``measured``: quantities that only a log gives.
    """

    quantities: Mapping[str, str]
    inputs: Mapping[str, str]
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    differences: frozenset[str] = frozenset()
    classes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    measured: frozenset[str] = frozenset()


def known_words() -> Words:
    """The vocabulary of the assessment, of build files, and of what classes supply."""
    from enginelimits.assessment.vocabulary import QUANTITIES
    from enginelimits.description.fields import Choice
    from enginelimits.description.models import PROTECTIONS
    from enginelimits.description.paths import fields, known_paths

    # A list of protections is filled as a yes or no for each of them.
    listed = {f"protections.{name}": "yes-no" for name in PROTECTIONS}
    inputs = {**known_paths(), **listed, **_of_classes()}
    choices = {path: kind.names for path, kind in fields().items() if isinstance(kind, Choice)}
    kelvin = [q.id for q in QUANTITIES.values() if q.unit == "K"] + [p for p, u in inputs.items() if u == "K"]
    return Words(
        {q.id: q.unit for q in QUANTITIES.values()},
        inputs,
        choices,
        frozenset(name for name in kelvin if any(word in name for word in _DIFFERENCES)),
        _class_names(),
        frozenset(q.id for q in QUANTITIES.values() if q.measured),
    )


def _of_classes() -> dict[str, str]:
    """Unit of what each kind of class supplies, a material's values among them."""
    from enginelimits.reference.catalogue import kind, kinds

    found: dict[str, str] = {}
    # A part inside the engine takes its material's values, its fasteners' and its thread's from what is stated.
    inside = {"factory": "yes-no", "diameter": "m", "pitch": "m"}
    for shared in ("materials", "fasteners"):
        inside.update({key: e.unit for one in kind(shared).classes.values() for key, e in one.gives.items()})
    for of in map(kind, kinds()):
        if of.gives:
            supplied = dict(inside) if of.part.startswith("internals.") else {}
            supplied.update({key: e.unit for one in of.classes.values() for key, e in one.gives.items()})
            found.update({f"{of.gives}.{key}": unit for key, unit in supplied.items()})
    return found


def _class_names() -> dict[str, tuple[str, ...]]:
    """The shipped classes by the path that names one."""
    from enginelimits.reference.catalogue import kind, kinds

    return {of.named_by: tuple(of.classes) for of in map(kind, kinds()) if of.named_by}
