"""From one rule's outcome to the finding that a reader gets."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypedDict

import numpy as np

from enginelimits.assessment.results import At
from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.grading import Graded, capped, chance_word, graded, share_error
from enginelimits.decisions.roots import Setting, independent
from enginelimits.decisions.verdict import Because, Finding, LimitShown, RemedyShown
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import RuleOutcome, Witness, reads
from enginelimits.rules.grades import CLEAR, LOG_GRADES, NOTE, REINFORCE, severity
from enginelimits.rules.messages import message_text
from enginelimits.rules.model import EVIDENCE, Limit
from enginelimits.units.display import System

_SENTENCE_END = re.compile(r"(?<=\.)\s+(?=[A-Z])")

# Evidence from the weakest up: the order in which a finding reports what it rests on.
WEAKEST_FIRST = ("memory", "common practice", "shop", "computed", "published")


@dataclass(frozen=True)
class Spoken:
    """What one rule said, before the caps."""

    outcome: RuleOutcome
    grading: Graded
    witness: Witness
    uncapped: int
    could_be: int
    limits: tuple[Limit, ...]
    quantities: frozenset[str]
    open: bool = False  # the typical build is graded milder, and is not known where it might reach this grade
    shown: int = CLEAR  # a milder grade that speaks in the place of the uncapped one

    @property
    def low_confidence(self) -> bool:
        return any(limit.confidence == "low" for limit in self.limits)

    @property
    def part(self) -> str:
        return self.outcome.rule.part or self.outcome.rule.family


def spoken(outcome: RuleOutcome, setting: Setting) -> Spoken:
    """The grade of one outcome and the comparison that decides it."""
    grading = graded(outcome)
    could_be = int(outcome.could_be[:, 0].max())
    beyond = CLEAR < grading.row0 < grading.uncapped <= could_be
    could_be = could_be if could_be > grading.uncapped else CLEAR
    lowest = next((severity(g.grade) for g in reversed(outcome.rule.grades)), NOTE)
    # The witness is of the typical build: where that is not known, what it is known to do speaks.
    witness = outcome.witness(grading.row0 if beyond else grading.uncapped or lowest)
    return Spoken(outcome, grading, witness, grading.uncapped, could_be, open=beyond, **_names_of(outcome, witness))


class _Names(TypedDict):
    limits: tuple[Limit, ...]
    quantities: frozenset[str]


def _names_of(outcome: RuleOutcome, witness: Witness) -> _Names:
    """The limits and quantities that a witness speaks of."""
    names = {c.limit.name for c in witness.causes if c.limit is not None}
    return {"limits": tuple(limit for name, limit in outcome.rule.limits.items() if name in names),
            "quantities": frozenset(c.name for c in witness.causes if c.kind == "quantity")}


def finding_of(
    said: Spoken, heard: Sequence[Spoken], setting: Setting, catalogue: Catalogue
) -> Finding:
    """The finding of one rule, capped, with its numbers put in."""
    rule, grading = said.outcome.rule, said.grading
    grade, said = _held(said, heard, setting)
    chance = grading.chance(grade) if grade > CLEAR else grading.chance(NOTE)
    because = tuple(_because(said, setting))
    return Finding(
        rule=rule.id,
        title=rule.title,
        family=rule.family,
        grade=LOG_GRADES[grade],
        uncapped=LOG_GRADES[said.uncapped],
        could_be=LOG_GRADES[said.could_be] if said.could_be > grade else None,
        missing=said.outcome.missing if said.could_be > grade else (),
        chance=chance,
        chances=grading.chances(),
        chance_word=chance_word(chance),
        borderline=grading.borderline(grade),
        message=" ".join(_message(said, grade, chance, setting, "metric")),
        message_us=" ".join(_message(said, grade, chance, setting, "us")),
        why=rule.why,
        because=because,
        remedies=tuple(_remedies(rule.remedies, catalogue)),
        caveats=rule.caveats,
        sources=rule.sources,
        evidence=_weakest((limit.evidence for limit in said.limits), rule.evidence),
        evidences=tuple(sorted({limit.evidence for limit in said.limits if limit.evidence in EVIDENCE})),
        confidence=_least_sure((limit.confidence for limit in said.limits), rule.confidence),
        settled_by=rule.settled_by,
        brief=" ".join(_brief(said, grade, chance, setting, "metric")),
        brief_us=" ".join(_brief(said, grade, chance, setting, "us")),
        reads=tuple(sorted(name for kind, name in reads(catalogue, rule) if kind == "input")),
        chance_error=None if chance is None else share_error(chance, grading.judged),
    )


def _held(said: Spoken, heard: Sequence[Spoken], setting: Setting) -> tuple[int, Spoken]:
    """The grade after the caps, and what speaks for it.

    Weak evidence for a graver grade takes nothing from a milder one that the typical build reaches on better evidence.
    """
    grade, speaker = _after_caps(said, heard, setting), said
    for milder in range(said.uncapped - 1, grade, -1):
        lesser = _at(said, milder)
        if lesser is not None and (found := _after_caps(lesser, heard, setting)) > grade:
            grade, speaker = found, lesser
    return grade, speaker


def _after_caps(said: Spoken, heard: Iterable[Spoken], setting: Setting) -> int:
    shown = said.shown or said.uncapped
    return capped(shown, low_confidence=said.low_confidence, seconded=_seconded(said, heard, setting),
                  bound=_bound(said))


def _at(said: Spoken, grade: int) -> Spoken | None:
    """The same rule by the condition of a milder grade; None where the typical build does not meet it."""
    if grade > said.grading.row0 or grade not in {severity(g.grade) for g in said.outcome.rule.grades}:
        return None
    witness = said.outcome.witness(grade)
    if not witness.met:
        return None
    return replace(said, witness=witness, shown=grade, **_names_of(said.outcome, witness))


def _seconded(said: Spoken, heard: Iterable[Spoken], setting: Setting) -> bool:
    """Whether a rule of independent method on the same part also reaches reinforce.

    A bound or a knock event says too little of how the part is run to agree with anything.
    """
    return any(
        other.outcome is not said.outcome and other.part == said.part and other.uncapped >= REINFORCE
        and not _same_method(said, other) and not _bound(other) and not _event(other)
        and independent(setting, said.quantities, other.quantities)
        for other in heard
    )


def _same_method(one: Spoken, other: Spoken) -> bool:
    return one.outcome.rule.method != "" and one.outcome.rule.method == other.outcome.rule.method


def _bound(said: Spoken) -> bool:
    return said.outcome.rule.bound or any(
        QUANTITIES[name].bound for name in said.quantities if name in QUANTITIES
    )


def _event(said: Spoken) -> bool:
    return any(QUANTITIES[name].event for name in said.quantities if name in QUANTITIES)


def _because(said: Spoken, setting: Setting) -> Iterable[Because]:
    witness = said.witness
    for cause in witness.causes:
        limit = cause.limit and LimitShown(
            cause.limit.name, cause.limit.value, cause.limit.unit, cause.limit.sense, cause.limit.layer,
            cause.limit.shipped_value, cause.limit.low, cause.limit.high,
        )
        at = None
        if cause.kind == "quantity":
            varies = cause.name in QUANTITIES and QUANTITIES[cause.name].varies
            at = At(setting.speeds[witness.speed] if varies else None, setting.ambients[witness.ambient])
        yield Because(cause.kind, cause.name, cause.value, cause.unit, at, limit or None)


def _message(
    said: Spoken, grade: int, chance: float | None, setting: Setting, system: System
) -> Iterable[str]:
    rule = said.outcome.rule
    yield message_text(rule, said.witness, speed=setting.speeds[said.witness.speed], chance=chance, system=system)
    if grade > said.grading.row0 and chance is not None:
        if said.open:
            yield f"The typical build is not known everywhere; {chance:.0%} of the draws reach {LOG_GRADES[grade]}."
        else:
            yield f"The typical build stays within it; {chance:.0%} of the draws do not."
    reached = said.grading.reached
    if reached is not None and _could_reinforce(said, grade):
        settles = f" What settles it: {rule.settled_by}" if rule.settled_by else ""
        yield f"In {reached[REINFORCE]:.0%} of the draws it would be reinforce.{settles}"
    if said.uncapped > grade:
        limit = f"the limit of {LOG_GRADES[said.uncapped]}" if said.shown else "the limit"
        yield f"By the numbers alone this is {LOG_GRADES[said.uncapped]}; {limit} rests on too little to say so."


def _brief(said: Spoken, grade: int, chance: float | None, setting: Setting, system: System) -> Iterable[str]:
    """The first sentence, with its number and limit, and what the draws add to it."""
    rule = said.outcome.rule
    whole = message_text(rule, said.witness, speed=setting.speeds[said.witness.speed], chance=chance, system=system)
    yield _SENTENCE_END.split(whole, maxsplit=1)[0]
    if grade > said.grading.row0 and chance is not None:
        tail = f"reaches {LOG_GRADES[grade]}" if said.open else "crosses it"
        yield f"A tail of {100 * chance:.0f} % {tail}."
    reached = said.grading.reached
    if reached is not None and _could_reinforce(said, grade):
        first = rule.settled_by.partition(";")[0].rstrip(".")
        settles = f"; settled by: {_going_on(first)}." if first else "."
        yield f"In {100 * reached[REINFORCE]:.0f} % it would be reinforce{settles}"


def _could_reinforce(said: Spoken, grade: int) -> bool:
    """Whether some draws reach reinforce where the finding does not."""
    reached = said.grading.reached
    return bool(
        reached is not None and grade < REINFORCE and reached[REINFORCE] > 0 and said.uncapped < REINFORCE
        and not is_unsure(said.outcome, REINFORCE)
    )


def is_unsure(outcome: RuleOutcome, grade: int) -> bool:
    """Whether the limit that draws of a grade cross is of low confidence, so that the rule alone never says that."""
    rows = np.flatnonzero((outcome.grade >= grade).any(axis=0))
    if not rows.size:
        return False
    causes = outcome.witness(grade, int(rows[0])).causes
    names = {cause.limit.name for cause in causes if cause.limit is not None}
    return any(outcome.rule.limits[name].confidence == "low" for name in names if name in outcome.rule.limits)


def _going_on(sentence: str) -> str:
    """A sentence that goes on after a colon."""
    return sentence[:1].lower() + sentence[1:] if sentence[1:2].islower() else sentence


def _remedies(ids: Iterable[str], catalogue: Catalogue) -> Iterable[RemedyShown]:
    for id_ in ids:
        remedy = catalogue.remedies[id_]
        yield RemedyShown(id_, remedy.kind, remedy.say, remedy.steps, remedy.shifts)


def _weakest(found: Iterable[str], otherwise: str) -> str:
    words = [word for word in found if word in EVIDENCE]
    return min(words, key=WEAKEST_FIRST.index, default=otherwise)


def _least_sure(found: Iterable[str], otherwise: str) -> str:
    words = [word for word in found if word]
    return min(words, key=("low", "medium", "high").index, default=otherwise)
