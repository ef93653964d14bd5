"""A shop's own numbers for the limits of rules: which of them stands on a build."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import combinations
from typing import TYPE_CHECKING

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.atoms import InForce, Typed
from enginelimits.rules.doubt import streams
from enginelimits.rules.model import Matches, Override, Place, Rule

if TYPE_CHECKING:
    from enginelimits.rules.catalogue import Catalogue


def in_date(override: Override, day: date) -> bool:
    """Whether an override stands on a day: from its date until the day it expires, that day included."""
    return not to_come(override, day) and (override.expires is None or day <= override.expires)


def to_come(override: Override, day: date) -> bool:
    """Whether an override is dated later than a day."""
    return override.date is not None and day < override.date


def limits_in_force(catalogue: Catalogue, rule: Rule, typed: Typed) -> dict[str, InForce]:
    """The numbers of a rule's limits on this ground.

    Of several overrides the one with the narrowest scope stands, then that of the last layer; RuleError
    when two are left.  A shop's number is in doubt by the confidence of the limit that it replaces.
    """
    shipped = catalogue.shipped.get(rule.id, {})
    fits = [o for o in catalogue.overrides if o.rule == rule.id and _in_scope(o, typed)]
    found, drawn = {}, streams(rule)
    for name, limit in rule.limits.items():
        doubt = (limit, limit.confidence or rule.confidence, drawn.get(name, ""))
        said = [o for o in fits if name in o.limits]
        if not said:
            found[name] = InForce(name, limit.value, rule.layer, shipped.get(name), *doubt)
            continue
        order = {layer.name: i for i, layer in enumerate(catalogue.layers)}
        rank = max((o.narrowness, order.get(o.layer, -1)) for o in said)
        best = [o for o in said if (o.narrowness, order.get(o.layer, -1)) == rank]
        if len(best) > 1:
            raise RuleError([_tie(best[0], best[1], name)])
        found[name] = InForce(name, best[0].limits[name], best[0].layer, shipped.get(name), *doubt)
    return found


def override_problems(catalogue: Catalogue) -> Iterator[Problem]:
    """Overrides of nothing, of no build that there could be, in another dimension than the rule's, or always tied."""
    every = (*catalogue.overrides, *catalogue.expired, *catalogue.to_come)
    yield from _scopes_of_nothing(every)
    for override in every:
        rule = catalogue.rules.get(override.rule)
        if rule is None:
            near = tuple(difflib.get_close_matches(override.rule, list(catalogue.rules), n=3))
            yield _problem(override.place, "the id of a rule to override", override.rule, "override", "", near)
            continue
        for name, amount in override.limits.items():
            place = override.places.get(name, override.place)
            limit = rule.limits.get(name)
            if limit is None:
                near = tuple(difflib.get_close_matches(name, list(rule.limits), n=3))
                mend = "" if near else f"Its limits: {', '.join(rule.limits) or 'none'}."
                yield _problem(place, f"a limit of {rule.id}", name, name, mend, near)
            elif amount.si_unit != limit.value.si_unit:
                mend = "This limit has no unit." if limit.value.si_unit == "1" else ""
                yield _problem(place, f"a value like `{limit.value}`", f"`{amount}`", name, mend)
    for one, other in combinations(catalogue.overrides, 2):
        shared = [n for n in one.limits if n in other.limits]
        same = one.rule == other.rule and one.layer == other.layer and one.narrowness == other.narrowness
        if same and shared and _always_meet(one, other):
            yield _tie(one, other, shared[0])


def _scopes_of_nothing(overrides: Sequence[Override]) -> Iterator[Problem]:
    """Scopes that a slip of the pen keeps from every build, so that their numbers would never stand."""
    if not any(override.scope for override in overrides):
        return
    from enginelimits.rules.vocabulary import known_words

    known = known_words()
    for override in overrides:
        for path, words in override.scope.items():
            choices = known.choices.get(path, words)
            if path not in known.inputs:
                near = tuple(difflib.get_close_matches(path, list(known.inputs), n=3))
                yield _problem(override.place, "the path of an input", path, "scope", "", near)
            for word in (w for w in words if w not in choices):
                yield _problem(override.place, f"for {path} one of {', '.join(choices)}", f"`{word}`", "scope")


def _always_meet(one: Override, other: Override) -> bool:
    """Whether two scopes name the same inputs and share a word for each."""
    return one.scope.keys() == other.scope.keys() and all(set(one.scope[k]) & set(other.scope[k]) for k in one.scope)


def _in_scope(override: Override, typed: Typed) -> bool:
    """Whether the build as described is certainly within the scope; what is not known is not."""
    return all(
        bool(typed.look(Matches(path, "in", words, override.place), {}).true[:, :1, :].all())
        for path, words in override.scope.items()
    )


def _tie(one: Override, other: Override, name: str) -> Problem:
    first = f"{one.place.file}:{one.place.line}"
    got = f"two of equal scope in one layer (the other at {first})"
    mend = "Narrow one of them, or take one out."
    return _problem(other.place, f"one override that sets {name} of {other.rule}", got, "override", mend)


def _problem(place: Place, wanted: str, got: str, key: str = "", mend: str = "", near: tuple[str, ...] = ()) -> Problem:
    return Problem(wanted, got, mend, key, place.file, place.line, place.column, near)
