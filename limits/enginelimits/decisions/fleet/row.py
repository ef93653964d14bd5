"""One case judged, as one flat row of SI numbers and words; and what each column holds."""

from __future__ import annotations

import traceback
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from threading import Lock
from typing import Any, Literal

from enginelimits.decisions.fleet.case import Case, build_of
from enginelimits.decisions.fleet.setting import Setting, WorkersDifferError, held
from enginelimits.decisions.judge import judged_and_evaluated
from enginelimits.decisions.margins import Margin, margins
from enginelimits.decisions.stacking import counts
from enginelimits.decisions.verdict import Finding, Judgement
from enginelimits.errors import EngineLimitsError, InputError, RuleError
from enginelimits.rules.grades import CAUTION, GRADES, severity

Kind = Literal["text", "number", "whole", "yes-no", "texts"]
Row = Mapping[str, Any]
# What became of a case.  What is lost is tried again by the next run; the rest would only end the same way.
JUDGED, REFUSED, FAILED, LOST = "judged", "refused", "failed", "lost"
GRADED = GRADES[1:]
# Column, quantity, unit as it ends the column's name
QUANTITIES = (
    ("crank_power", "crank.power", "w"),
    ("wheel_power", "wheel.power", "w"),
    ("crank_torque", "crank.torque", "nm"),
    ("boost", "air.boost", "pa"),
    ("peak_pressure", "cylinder.peak_pressure", "pa"),
    ("exhaust_temperature", "exhaust.temperature", "k"),
    ("knock_margin", "knock.margin", ""),
    ("power_reach", "goal.power_reach", ""),
)
INPUTS = (
    ("goal_power_w", "goal.power", "W", "power asked for"),
    ("boost_asked_pa", "forced_induction.boost", "Pa", "boost asked for, gauge; of a curve the greatest"),
    ("octane", "fuel.octane", "1", "research octane number"),
    ("ethanol", "fuel.ethanol", "1", "share of ethanol"),
    ("lambda_target", "fuel.lambda_target", "1", "air over fuel, over the same where both are used up"),
)
UNITS = {"w": "W", "nm": "N*m", "pa": "Pa", "k": "K", "": "1"}
_ONE_AT_A_TIME = Lock()


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, what it holds, its SI unit ("1" for a bare number, empty for words) and what it means."""

    name: str
    kind: Kind
    unit: str
    says: str


def columns(families: tuple[str, ...]) -> tuple[Column, ...]:
    """The columns of a sweep's rows, those of the families of rules last."""
    return tuple(_columns(families))


def _columns(families: tuple[str, ...]) -> Iterator[Column]:
    yield Column("key", "text", "", "all that the row hangs on, in one word")
    yield Column("case", "text", "", "the build's name and what was changed")
    yield Column("build", "text", "", "the build's name")
    yield Column("file", "text", "", "the build file")
    yield Column("edits", "text", "", "what was changed on it, as JSON")
    yield Column("status", "text", "", "judged; refused: the build; failed: the computation; lost: the worker")
    yield Column("error", "text", "", "why there is no verdict")
    yield Column("verdict", "text", "", "grade of the whole build")
    yield Column("complete", "yes-no", "", "whether every rule could be judged")
    yield Column("sentence", "text", "", "the verdict in words")
    yield Column("limit_rule", "text", "", "rule that governs the verdict")
    yield Column("limit_title", "text", "", "its title")
    yield Column("limit_family", "text", "", "its family: the part of the car that it speaks of")
    yield Column("limit_quantity", "text", "", "the quantity that it speaks of")
    yield Column("limit_chance", "number", "1", "chance that it is crossed, given what is known; not of breakage")
    yield Column("margin_rule", "text", "", "rule that is nearest to caution, or furthest beyond, without draws")
    yield Column("margin_quantity", "text", "", "its quantity")
    yield Column("margin_ratio", "number", "1", "its value over its limit; 1 where caution begins")
    for name, path, unit, says in INPUTS:
        yield Column(name, "number", unit, f"{says} ({path})")
    for name, id_, unit in QUANTITIES:
        for end, says in (("", "worst over the range"), ("_low", "5th percentile of draws"), ("_high", "95th")):
            yield Column(_with_unit(f"{name}{end}", unit), "number", UNITS[unit], f"{id_}, {says}")
    for grade in GRADED:
        yield Column(f"chance_{grade}", "number", "1", f"greatest chance of one finding to reach {grade} or worse")
    for grade in GRADED:
        yield Column(f"findings_{grade}", "whole", "1", f"findings of the grade {grade}")
    for name in ("not_judged", "out_of_range", "not_applicable"):
        yield Column(name, "whole", "1", f"rules {name.replace('_', ' ')}")
    yield Column("assumed", "whole", "1", "inputs that the build file leaves out")
    yield Column("open", "texts", "", "rules that could still worsen the verdict")
    yield Column("warnings", "texts", "", "safety notices and open questions")
    yield Column("shop_values", "texts", "", "limits that the shop's rules changed")
    for name in ("samples_asked", "samples_valid", "seed"):
        yield Column(name, "whole", "1", name.replace("_", " "))
    yield Column("as_of", "text", "", "the day judged on")
    yield Column("inference", "text", "", "engine that worked the rules out")
    yield Column("version", "text", "", "version of engine-limits")
    yield Column("code", "text", "", "digest of its code and data")
    yield Column("catalogue", "text", "", "digest of the layers of rules")
    for family in families:
        yield Column(f"grade_{_word(family)}", "text", "", f"worst grade in the family {family}")
    for family in families:
        yield Column(f"margin_{_word(family)}", "number", "1", f"nearest margin of {family}, value over limit")


def row_of(setting: Setting, case: Case) -> Row:
    """The row of a case.  What is wrong with the case is in the row; raises only WorkersDifferError."""
    if case.error:
        return row_without(setting, case, REFUSED, case.error)
    # Worked in one thread at a time: the rule engine keeps one set of books a process.
    with _ONE_AT_A_TIME:
        try:
            kept = held(setting)
            judgement, evaluation = judged_and_evaluated(
                build_of(case), kept.catalogue, samples=setting.samples, seed=setting.seed, shop=kept.shop,
                as_of=date.fromisoformat(setting.as_of), mountain_m=setting.mountain_m,
            )
            nearest = margins(evaluation.outcomes, judgement.assessment, CAUTION)
        except WorkersDifferError:
            raise
        except (InputError, RuleError) as error:
            return row_without(setting, case, REFUSED, str(error))
        except EngineLimitsError as error:
            return row_without(setting, case, FAILED, f"the computation failed: {error}")
        except Exception as error:  # noqa: BLE001  (one build's fault must not end the others)
            return row_without(setting, case, FAILED, _fault(error))
    return _filled(setting, case, {
        "status": JUDGED, **_of_verdict(judgement), **_of_margins(nearest.values()), **_of_inputs(judgement),
        **_of_quantities(judgement), **_of_findings(judgement, setting.families),
        "samples_valid": judgement.samples_valid, "inference": judgement.inference,
    })


def row_without(setting: Setting, case: Case, status: str, error: str) -> Row:
    """The row of a case that could not be judged, with the reason."""
    return _filled(setting, case, {"status": status, "error": error})


def _filled(setting: Setting, case: Case, found: dict[str, Any]) -> Row:
    """A row with every column; None where nothing is known."""
    row: dict[str, Any] = {column.name: None for column in columns(setting.families)}
    row |= {
        "key": case.key, "case": case.name, "build": case.build, "file": case.file, "edits": case.edits,
        "samples_asked": setting.samples, "seed": setting.seed, "as_of": setting.as_of, "version": setting.version,
        "code": setting.code, "catalogue": setting.catalogue,
    }
    strange = found.keys() - row.keys()
    assert not strange, strange
    return row | found


def _of_verdict(judgement: Judgement) -> dict[str, Any]:
    verdict = judgement.verdict
    limiting = next((f for f in judgement.findings if verdict.limiting and f.rule == verdict.limiting.rule), None)
    return {
        "verdict": verdict.grade, "complete": verdict.complete, "sentence": verdict.sentence,
        "open": list(verdict.open), "warnings": [*judgement.notices, *judgement.questions],
        "shop_values": list(judgement.shop_values),
        "limit_rule": limiting and limiting.rule, "limit_title": limiting and limiting.title,
        "limit_family": limiting and limiting.family, "limit_chance": limiting and limiting.chance,
        "limit_quantity": verdict.limiting and verdict.limiting.quantity,
    }


def _of_margins(found: Any) -> dict[str, Any]:
    by_ratio: list[Margin] = sorted(found, key=lambda m: (-m.ratio, m.rule))
    leads: dict[str, Margin] = {}
    for margin in by_ratio:
        leads.setdefault(margin.family, margin)
    row: dict[str, Any] = {f"margin_{_word(family)}": margin.ratio for family, margin in leads.items()}
    if by_ratio:
        first = by_ratio[0]
        row |= {"margin_rule": first.rule, "margin_quantity": first.quantity, "margin_ratio": first.ratio}
    return row


def _of_inputs(judgement: Judgement) -> dict[str, Any]:
    row: dict[str, Any] = {"assumed": sum(given.basis == "assumed" for given in judgement.filled.inputs.values())}
    for name, path, _, _ in INPUTS:
        given = judgement.filled.get(path)
        if given is None:
            continue
        value = max(at for _, at in given.curve) if given.curve else given.value
        row[name] = float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
    return row


def _of_quantities(judgement: Judgement) -> dict[str, Any]:
    row = {}
    for name, id_, unit in QUANTITIES:
        result = judgement.assessment.quantities.get(id_)
        if result is not None:
            for end, value in (("", result.value), ("_low", result.low), ("_high", result.high)):
                row[_with_unit(f"{name}{end}", unit)] = None if value is None else float(value)
    return row


def _of_findings(judgement: Judgement, families: tuple[str, ...]) -> dict[str, Any]:
    found = judgement.findings
    row: dict[str, Any] = {f"findings_{grade}": sum(f.grade == grade for f in found) for grade in GRADED}
    row |= {f"chance_{grade}": _chance(found, grade) for grade in GRADED} if judgement.samples_asked else {}
    row |= {f"grade_{_word(family)}": max((f.grade for f in found if f.family == family), key=severity,
                                          default="clear") for family in families}
    silent = {"not_judged": judgement.not_judged, "out_of_range": judgement.out_of_range,
              "not_applicable": judgement.not_applicable}
    return row | {name: len(rules) for name, rules in silent.items()}


def _chance(findings: tuple[Finding, ...], grade: str) -> float:
    """The greatest share of draws in which one finding that counts is at the grade or worse."""
    shares = (sum(share for at, share in f.chances.items() if severity(at) >= severity(grade))
              for f in findings if counts(f))
    return max(shares, default=0.0)


def _with_unit(name: str, unit: str) -> str:
    return f"{name}_{unit}" if unit else name


def _word(family: str) -> str:
    return family.replace("-", "_")


def _fault(error: Exception) -> str:
    frames = traceback.extract_tb(error.__traceback__)
    place = f" ({Path(frames[-1].filename).name}:{frames[-1].lineno})" if frames else ""
    what = " ".join(str(error).split())[:300]
    return f"a fault of the program, not of the build: {type(error).__name__}: {what}{place}"
