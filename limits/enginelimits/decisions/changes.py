"""Two catalogues side by side: which rules differ, and which verdicts change with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from enginelimits.decisions.judge import DEFAULT_SAMPLES, judged_by_each
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.load import load_build
from enginelimits.rules.catalogue import ABOUT_LAYER, Catalogue, checkout_folder, load_catalogue
from enginelimits.rules.model import Override, Rule

if TYPE_CHECKING:
    from enginelimits.description.models import Build

SHIPPED = "shipped"
# What does not change what a rule says of a build
_BESIDE = frozenset({"layer", "place", "places", "limits", "grades", "applies", "span"})


@dataclass(frozen=True, slots=True)
class RuleChange:
    """One rule that differs: ``kind`` is added, removed, withdrawn, restored, changed or overridden."""

    rule: str
    title: str
    kind: str
    differs: tuple[tuple[str, str, str], ...] = ()  # what, before, after


@dataclass(frozen=True, slots=True)
class FindingChange:
    """A rule whose grade on a build changes; clear where it did not speak."""

    rule: str
    title: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class VerdictChange:
    """One build under both catalogues."""

    name: str
    before: str
    after: str
    findings: tuple[FindingChange, ...]

    @property
    def same(self) -> bool:
        return self.before == self.after and not self.findings


@dataclass(frozen=True, slots=True)
class Changes:
    """What differs, rule by rule and build by build."""

    rules: tuple[RuleChange, ...]
    verdicts: tuple[VerdictChange, ...]


def catalogue_of(name: Path, as_of: date | None = None) -> Catalogue:
    """The catalogue that a name stands for.

    The word ``shipped``; a folder that says what layer it is (`catalogue.yaml`) as a whole catalogue; any other folder
    laid over the shipped one.
    """
    if str(name) == SHIPPED and not name.exists():
        return load_catalogue(as_of=as_of)
    if (name / ABOUT_LAYER).is_file():
        return load_catalogue(name, as_of=as_of)
    return load_catalogue(overlays=[name], as_of=as_of)


def changes(
    old: Catalogue, new: Catalogue, builds: Sequence[Path] = (), *, samples: int = DEFAULT_SAMPLES
) -> Changes:
    """Which rules differ, and which verdicts of the worked cases and of the builds given change."""
    cases = sorted(checkout_folder("cases").glob("*/build.yaml"))
    paths = [*cases, *builds]
    verdicts = [_verdict(_name(path, path in cases), load_build(path), old, new, samples) for path in paths]
    return Changes(tuple(rule_changes(old, new)), tuple(verdicts))


def _name(path: Path, case: bool) -> str:
    return path.parent.name if case else str(path)


def rule_changes(old: Catalogue, new: Catalogue) -> Iterator[RuleChange]:
    """The rules that differ, by id; an override counts as a change of the rule it speaks of."""
    for id_ in sorted(old.rules.keys() | new.rules.keys()):
        before, after = old.rules.get(id_), new.rules.get(id_)
        if before is None or after is None:
            there = after or before
            assert there is not None
            yield RuleChange(id_, there.title, "added" if before is None else "removed")
            continue
        overridden = tuple(_overridden(id_, old, new))
        differs = tuple(_differs(before, after))
        withdrawn = [rule.status == "withdrawn" for rule in (before, after)]
        if withdrawn[0] != withdrawn[1]:
            yield RuleChange(id_, after.title, "withdrawn" if withdrawn[1] else "restored", differs)
        elif differs:
            yield RuleChange(id_, after.title, "changed", (*differs, *overridden))
        elif overridden:
            yield RuleChange(id_, after.title, "overridden", overridden)


def _differs(before: Rule, after: Rule) -> Iterator[tuple[str, str, str]]:
    """What of a rule differs: its numbers one by one, its conditions as words, the rest by name."""
    from enginelimits.rules.wording import condition_text

    for name in dict.fromkeys([*before.limits, *after.limits]):
        was, now = _limit(before, name), _limit(after, name)
        if was != now:
            yield f"limit {name}", was, now
    conditions = [
        {
            **({"applies": condition_text(rule.applies)} if rule.applies is not None else {}),
            **({"span": f"{_end(rule.span.above)} to {_end(rule.span.below)}"} if rule.span is not None else {}),
            **{grade.grade: condition_text(grade.when) for grade in rule.grades},
        }
        for rule in (before, after)
    ]
    for name in dict.fromkeys([*conditions[0], *conditions[1]]):
        was, now = conditions[0].get(name, "none"), conditions[1].get(name, "none")
        if was != now:
            yield name, was, now
    for field in fields(Rule):
        if field.name not in _BESIDE:
            was, now = _plain(getattr(before, field.name)), _plain(getattr(after, field.name))
            if was != now:
                yield field.name, was, now


def _limit(rule: Rule, name: str) -> str:
    """A limit with what it rests on."""
    limit = rule.limits.get(name)
    return "none" if limit is None else " ".join(filter(None, (str(limit.value), limit.evidence, limit.confidence)))


def _end(end: object) -> str:
    return "any" if end is None else getattr(end, "name", None) or str(end)


def _plain(value: object) -> str:
    if isinstance(value, tuple):
        return "; ".join(map(str, value))
    return str(value)


def _overridden(id_: str, old: Catalogue, new: Catalogue) -> Iterator[tuple[str, str, str]]:
    """Overrides of one rule that only one of the catalogues has in force."""
    before, after = ([_override(o) for o in of.overrides if o.rule == id_] for of in (old, new))
    for told in before:
        if told not in after:
            yield "override", told, "none"
    for told in after:
        if told not in before:
            yield "override", "none", told


def _override(override: Override) -> str:
    limits = ", ".join(f"{name} {amount}" for name, amount in override.limits.items())
    scope = "; ".join(f"{path} {', '.join(words)}" for path, words in override.scope.items())
    until = f", until {override.expires}" if override.expires else ""
    return f"{limits}{f' where {scope}' if scope else ''}{until}, by {override.author}: {override.reason}"


def _verdict(name: str, build: Build, old: Catalogue, new: Catalogue, samples: int) -> VerdictChange:
    before, after = judged_by_each(build, (old, new), samples=samples)
    return VerdictChange(name, before.verdict.grade, after.verdict.grade, tuple(_findings(before, after)))


def _findings(before: Judgement, after: Judgement) -> Iterator[FindingChange]:
    grades = [{f.rule: f.grade for f in judged.findings} for judged in (before, after)]
    silent = [{n.rule: "cannot judge" for n in judged.not_judged} for judged in (before, after)]
    titles = {f.rule: f.title for judged in (before, after) for f in judged.findings}
    titles |= {n.rule: n.title for judged in (before, after) for n in judged.not_judged}
    for id_ in sorted(titles):
        was, now = (grades[i].get(id_, silent[i].get(id_, "clear")) for i in (0, 1))
        if was != now:
            yield FindingChange(id_, titles[id_], was, now)
