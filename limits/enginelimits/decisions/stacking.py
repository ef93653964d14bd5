"""From findings to one verdict, small margins added up by their causes."""

from __future__ import annotations

from collections.abc import Sequence

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.roots import Setting, root_cause
from enginelimits.decisions.verdict import Finding, Limiting, NotJudged, Verdict
from enginelimits.rules.grades import CAUTION, CLEAR, LOG_GRADES, REINFORCE, severity

# As many independent small margins as raise a verdict by one grade.
STACKED = 3


def governing_quantity(finding: Finding) -> str | None:
    """The quantity that a finding speaks of: the first comparison of one."""
    return next((b.name for b in finding.because if b.kind == "quantity"), None)


def counts(finding: Finding) -> bool:
    """Whether a finding takes part in the verdict: those of one knock event never do."""
    quantities = [QUANTITIES[b.name] for b in finding.because if b.kind == "quantity" and b.name in QUANTITIES]
    return not any(q.event for q in quantities)


def small_margins(findings: Sequence[Finding], setting: Setting) -> tuple[str, ...]:
    """The causes under which cautions stand, each once; those that rest on memory alone are left out."""
    return tuple(small_findings(findings, setting))


def small_findings(findings: Sequence[Finding], setting: Setting) -> dict[str, tuple[Finding, ...]]:
    """The same cautions by their cause."""
    causes: dict[str, tuple[Finding, ...]] = {}
    for finding in findings:
        if finding.grade != LOG_GRADES[CAUTION] or _memory_alone(finding):
            continue
        quantity = governing_quantity(finding)
        cause = root_cause(setting, quantity) if quantity else f"rule {finding.rule}"
        causes[cause] = (*causes.get(cause, ()), finding)
    return dict(sorted(causes.items()))


def _memory_alone(finding: Finding) -> bool:
    return finding.evidence == "memory" and set(finding.evidences) <= {"memory"}


def verdict_of(findings: Sequence[Finding], setting: Setting, unjudged: Sequence[NotJudged]) -> Verdict:
    """The grade of the whole build, what limits it, and whether everything could be judged."""
    counted = [f for f in findings if counts(f)]
    events = [f for f in findings if not counts(f) and f.grade != "clear"]
    grade = max((severity(f.grade) for f in counted), default=CLEAR)
    causes = small_margins(counted, setting)
    raised = len(causes) >= STACKED and CAUTION <= grade < REINFORCE
    if raised:
        grade += 1
    worse_open = [f.rule for f in counted if f.could_be is not None and severity(f.could_be) > grade]
    open_rules = tuple(sorted({*worse_open, *(n.rule for n in unjudged)}))
    first = counted[0] if counted and counted[0].grade != "clear" else None
    limiting = Limiting(first.rule, governing_quantity(first)) if first else None
    return Verdict(
        grade=LOG_GRADES[grade],
        complete=not open_rules,
        open=open_rules,
        limiting=limiting,
        sentence=_sentence(LOG_GRADES[grade], first, causes if raised else (), bool(open_rules), bool(events)),
    )


MILD = ("note", "caution")
MEANING = {
    "clear": "No rule found anything to tell.",
    "note": "Nothing beyond what the customer should be told.",
    "caution": "Needs a mitigation or a measured check before it is quoted.",
    "reinforce": "Not to be run as described without the remedies named.",
    "decline": "Not to be quoted as asked.",
    "stop": "The run ends here: no further pull before the cause is found.",
}


def _sentence(
    grade: str, first: Finding | None, causes: tuple[str, ...], incomplete: bool, events: bool
) -> str:
    if first is None and events and not incomplete:
        return "Nothing found but what one knock event could do, which the verdict leaves out."
    if first is None:
        return "Nothing found so far; some rules could not be judged." if incomplete else MEANING[grade]
    # What is known does not speak for what is not: a mild grade with gaps is only what was found so far.
    mild = incomplete and grade in MILD
    parts = [f"Nothing worse than a {grade} found so far." if mild else MEANING[grade]]
    if causes:
        parts.append(f"Raised by one grade: {len(causes)} independent small margins ({', '.join(causes)}).")
    if incomplete:
        parts.append("Some rules could not be judged.")
    return " ".join(parts)
