"""What the rules about logs found in measured pulls, graded up to ``stop``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from enginelimits.decisions.findings import Spoken, finding_of, spoken
from enginelimits.decisions.offered import without_moot
from enginelimits.decisions.stacking import verdict_of
from enginelimits.decisions.verdict import Finding, NotJudged, Verdict
from enginelimits.measured.log_ground import LogGround
from enginelimits.rules.catalogue import Catalogue
from enginelimits.rules.evaluate import Evaluation, RuleOutcome, evaluate
from enginelimits.rules.grades import CLEAR, severity


@dataclass(frozen=True)
class LogSetting:
    """Where a finding on a log stands: the pulls take the place of ambients."""

    speeds: Sequence[float]
    ambients: Sequence[str]
    columns: Mapping[str, Any]


@dataclass(frozen=True)
class LogJudgement:
    """Everything that the rules about logs said of some pulls, the worst finding first.

    ``not_judged`` names under ``missing`` the channels that the log lacks, as ``log.channel.lambda``.
    """

    pulls: tuple[str, ...]
    findings: tuple[Finding, ...]
    not_judged: tuple[NotJudged, ...]
    not_applicable: tuple[NotJudged, ...]
    verdict: Verdict
    inference: str


def log_judgement(ground: LogGround, catalogue: Catalogue, *, engine: str = "auto") -> LogJudgement:
    """Judge pulls by the rules about logs."""
    evaluation = evaluate(catalogue, ground, engine=engine, about="log")
    silent = [o for _, o in sorted(evaluation.outcomes.items()) if not _spoke(o)]
    findings = log_findings(evaluation, ground, catalogue)
    open_ones = tuple(_silent(o) for o in silent if (o.applies != 0).any())
    verdict = verdict_of(findings, setting_of(ground), open_ones)
    idle = tuple(_silent(o) for o in silent if not (o.applies != 0).any())
    return LogJudgement(ground.names, findings, open_ones, idle, verdict, evaluation.engine)


def log_findings(evaluation: Evaluation, ground: LogGround, catalogue: Catalogue) -> tuple[Finding, ...]:
    """The findings of an evaluation of pulls, capped as those on a build are, the worst first."""
    setting = setting_of(ground)
    heard = [spoken(o, setting) for _, o in sorted(evaluation.outcomes.items()) if _spoke(o)]
    heard = [said for said in heard if said.uncapped > CLEAR or said.could_be > CLEAR]
    found = [_with_pulls(finding_of(said, heard, setting, catalogue), said, ground.names) for said in heard]
    found = without_moot(found, ground, catalogue)
    return tuple(sorted(found, key=lambda f: (-severity(f.grade), -severity(f.uncapped), f.rule)))


def setting_of(ground: LogGround) -> LogSetting:
    """The places that the findings speak of."""
    return LogSetting(tuple(float(speed) for speed in ground.speeds), ground.names, {})


def _spoke(outcome: RuleOutcome) -> bool:
    """Whether the rule gave a grade, or judged every pull that it applies to."""
    applies, judged = outcome.applies[:, 0], outcome.judged[:, 0]
    if (applies == 0).all():
        return False
    return bool(outcome.grade[:, 0].max() > CLEAR or (judged & (applies >= 0)).all())


def _silent(outcome: RuleOutcome) -> NotJudged:
    return NotJudged(outcome.rule.id, outcome.rule.title, outcome.missing)


def _with_pulls(finding: Finding, said: Spoken, names: Sequence[str]) -> Finding:
    """Of several pulls, in which ones the rule gave its worst grade."""
    if len(names) < 2 or said.uncapped == CLEAR:
        return finding
    reached = [name for name, grade in zip(names, said.outcome.grade[:, 0], strict=True) if grade == said.uncapped]
    where = f"Seen in {', '.join(reached)}; {len(reached)} of {len(names)} pulls."
    return replace(finding, message=f"{finding.message} {where}", message_us=f"{finding.message_us} {where}")
