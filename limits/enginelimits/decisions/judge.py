"""The one path from a description to a verdict: fill, anchor, assess, evaluate the rules, grade."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from enginelimits.assessment.collect import assess
from enginelimits.assessment.results import Assessment
from enginelimits.decisions.belt import as_driven
from enginelimits.decisions.findings import Spoken, finding_of, spoken
from enginelimits.decisions.ground import AssessmentGround
from enginelimits.decisions.in_parts import DRAWS_A_PART, Judged, drawn_of, judged_in_parts
from enginelimits.decisions.notices import notices_for, questions_for
from enginelimits.decisions.offered import as_offered
from enginelimits.decisions.stacking import verdict_of
from enginelimits.decisions.strength import Kept, strength_anchor, with_strength
from enginelimits.decisions.verdict import Finding, Judgement, LayerUsed, NotJudged
from enginelimits.description.fill import filled
from enginelimits.description.filled import Filled
from enginelimits.description.models import Build
from enginelimits.rules.catalogue import Catalogue, load_catalogue
from enginelimits.rules.evaluate import Evaluation, RuleOutcome, evaluate, reads
from enginelimits.rules.grades import CLEAR, severity
from enginelimits.rules.model import Override

if TYPE_CHECKING:
    from enginelimits.shop import Shop

DEFAULT_SAMPLES = 64
DEFAULT_SEED = 1


class Evaluated(NamedTuple):
    """A build on the way to its verdict."""

    described: Filled
    assessment: Assessment
    evaluation: Evaluation


def evaluated(
    build: Build,
    catalogue: Catalogue,
    *,
    samples: int = DEFAULT_SAMPLES,
    seed: int = DEFAULT_SEED,
    shop: Shop | None = None,
    engine: str = "auto",
    mountain_m: float | None = None,
    anchor: tuple[Kept, ...] | None = None,
) -> Evaluated:
    """Fill, anchor and assess a description, and evaluate the rules on it.

    ``anchor`` is what :func:`strength_anchor` gave for the build before it was edited; found here without one.
    """
    if anchor is None:
        anchor = strength_anchor(build, catalogue, shop=shop)
    described = with_strength(filled(build, shop=shop), anchor)
    assessment = assess(described, samples=samples, seed=seed, shop=shop, mountain_m=mountain_m)
    ground = AssessmentGround(assessment)
    return Evaluated(described, assessment, evaluate(catalogue, ground, engine=engine, limit_seed=seed))


def judge(
    build: Build,
    catalogue: Catalogue | None = None,
    *,
    samples: int = DEFAULT_SAMPLES,
    seed: int = DEFAULT_SEED,
    shop: Shop | None = None,
    as_of: date | None = None,
    engine: str = "auto",
    mountain_m: float | None = None,
    anchor: tuple[Kept, ...] | None = None,
) -> Judgement:
    """Fill, assess and judge a description; ``anchor`` as :func:`evaluated` takes it."""
    catalogue = catalogue or load_catalogue(as_of=as_of)
    return judged_and_evaluated(build, catalogue, samples=samples, seed=seed, shop=shop, as_of=as_of, engine=engine,
                                mountain_m=mountain_m, anchor=anchor)[0]


def judged_by_each(
    build: Build, catalogues: Sequence[Catalogue], *, samples: int = DEFAULT_SAMPLES, seed: int = DEFAULT_SEED
) -> list[Judgement]:
    """The judgement by each of some catalogues; it is assessed once for all that leave it the same parts."""
    judged: list[Judgement] = []
    assessed: dict[tuple[Kept, ...], Assessment] = {}
    for catalogue in catalogues:
        anchor = strength_anchor(build, catalogue)
        judged.append(judged_and_evaluated(build, catalogue, samples=samples, seed=seed, anchor=anchor,
                                           found=assessed.get(anchor))[0])
        if samples <= DRAWS_A_PART:  # beyond it an assessment holds the first part's columns alone
            assessed[anchor] = judged[-1].assessment
    return judged


def judged_and_evaluated(
    build: Build,
    catalogue: Catalogue,
    *,
    samples: int = DEFAULT_SAMPLES,
    seed: int = DEFAULT_SEED,
    shop: Shop | None = None,
    as_of: date | None = None,
    engine: str = "auto",
    mountain_m: float | None = None,
    anchor: tuple[Kept, ...] | None = None,
    found: Assessment | None = None,
) -> tuple[Judgement, Evaluation]:
    """The same judgement with what the rules said, from which margins are read.

    ``found`` is the assessment where it is at hand: of the same build, draws and anchor.
    """
    if anchor is None:
        anchor = strength_anchor(build, catalogue, shop=shop)
    described = with_strength(filled(build, shop=shop), anchor)

    def part(draws: int) -> Judged:
        made = found or assess(described, samples=draws, seed=seed, shop=shop, mountain_m=mountain_m,
                               ranges=draws == samples)
        return Judged(made, evaluate(catalogue, AssessmentGround(made), engine=engine, limit_seed=seed))

    assessment, evaluation = judged_in_parts(samples, part) if samples > DRAWS_A_PART else part(samples)
    judged = judgement_of(assessment, described, catalogue, evaluation, as_of or date.today(), samples=samples)
    ended = tuple(_ended(catalogue))
    if not catalogue.overrides:
        return replace(judged, shop_values=ended), evaluation
    # by the shipped numbers on as many draws as are at hand
    shipped = replace(catalogue, overrides=(), _stages={})
    with drawn_of(samples):
        would_be = evaluate(shipped, AssessmentGround(assessment), engine="plain", limit_seed=seed)
    beside = judgement_of(assessment, described, shipped, would_be, as_of or date.today())
    return replace(judged, shop_values=(*_shop_values(judged, beside, catalogue, evaluation), *ended)), evaluation


def judgement_of(
    assessment: Assessment, described: Filled, catalogue: Catalogue, evaluation: Evaluation, as_of: date, *,
    samples: int | None = None,
) -> Judgement:
    """Grade what the rules said of an assessment; ``samples`` where its columns hold only the first of the draws."""
    heard: list[Spoken] = []
    not_judged, out_of_range, not_applicable = [], [], []
    for id_, outcome in sorted(evaluation.outcomes.items()):
        state = _state(outcome)
        silent = NotJudged(id_, outcome.rule.title, outcome.missing, "")
        if state == "not applicable":
            not_applicable.append(silent)
        elif state == "out of range":
            out_of_range.append(replace(silent, reason=_breach(catalogue, outcome, assessment)))
        elif state == "cannot judge":
            not_judged.append(silent)
        else:
            said = spoken(outcome, assessment)
            if said.uncapped > CLEAR or said.could_be > CLEAR:
                heard.append(said)
    driven = as_driven([finding_of(s, heard, assessment, catalogue) for s in heard], described, catalogue)
    findings = _worst_first(as_offered(driven, AssessmentGround(assessment), described, catalogue))
    verdict = verdict_of(findings, assessment, [*not_judged, *out_of_range])
    questions = questions_for(described)
    return Judgement(
        name=described.build.build,
        filled=described,
        assessment=assessment,
        findings=findings,
        not_judged=tuple(not_judged),
        out_of_range=tuple(out_of_range),
        not_applicable=tuple(not_applicable),
        verdict=verdict,
        notices=notices_for(described, findings),
        layers=tuple(LayerUsed(layer.name, layer.version, layer.digest) for layer in catalogue.layers),
        inference=evaluation.engine,
        samples_asked=assessment.samples if samples is None else samples,
        samples_valid=assessment.samples_valid,
        seed=assessment.seed,
        as_of=as_of.isoformat(),
        questions=questions,
        limits_drawn=evaluation.limits_drawn,
    )


def _state(outcome: RuleOutcome) -> str:
    """What became of a rule on the typical build, over all ambients."""
    if (outcome.applies[:, 0] == 0).all():
        return "not applicable"
    # In an ambient that it does not speak of, a rule leaves nothing open.
    if outcome.grade[:, 0].max() > CLEAR or outcome.judged[:, 0].all():
        return "judged"
    return "out of range" if outcome.outside else "cannot judge"


def _breach(catalogue: Catalogue, outcome: RuleOutcome, assessment: Assessment) -> str:
    """Which range was left, of what the rule reads."""
    columns = [assessment.columns.get(name) for kind, name in reads(catalogue, outcome.rule) if kind == "quantity"]
    found = sorted({reason for c in columns if c is not None for reason in c.reasons})
    return found[0] if found else "beyond the range of a formula"


def _shop_values(
    judged: Judgement, beside: Judgement, catalogue: Catalogue, evaluation: Evaluation
) -> tuple[str, ...]:
    """The overrides that stand on this build in words, each with the grade that shipped numbers would have given."""
    ours, theirs = ({f.rule: f.grade for f in of.findings} for of in (judged, beside))
    told = []
    for override in catalogue.overrides:
        outcome = evaluation.outcomes.get(override.rule)
        if outcome is None or not any(outcome.rule.limits[n].value is amount for n, amount in override.limits.items()):
            continue  # out of its scope, or behind a narrower one
        ours_is, theirs_is = (grades.get(override.rule, "clear") for grades in (ours, theirs))
        says = f"; {ours_is} here, by the shipped numbers {theirs_is}" if ours_is != theirs_is else "; the same grade"
        told.append(_shop_value(override, catalogue) + says)
    if judged.verdict.grade != beside.verdict.grade:
        told.append(f"By the shipped numbers alone the verdict would be {beside.verdict.grade}.")
    return tuple(told)


def _ended(catalogue: Catalogue) -> Iterable[str]:
    """Overrides past their day or before it: without a word the answer would change overnight."""
    renewed = {override.rule for override in catalogue.overrides}
    for override in catalogue.expired:
        if override.rule in catalogue.rules and override.rule not in renewed:
            limits = ", ".join(f"{name} {amount}" for name, amount in override.limits.items())
            yield f"{override.rule} {limits}, by {override.author}, ended on {override.expires} and no longer counts."
    for override in catalogue.to_come:
        if override.rule in catalogue.rules:
            limits = ", ".join(f"{name} {amount}" for name, amount in override.limits.items())
            yield f"{override.rule} {limits}, by {override.author}, is dated {override.date} and does not count before."


def _shop_value(override: Override, catalogue: Catalogue) -> str:
    """An override in words: what stands, what the shipped rule has, and who says so."""
    shipped = catalogue.shipped.get(override.rule, {})
    limits = ", ".join(
        f"{name} {amount} (shipped {shipped[name]})" if name in shipped else f"{name} {amount}"
        for name, amount in override.limits.items()
    )
    scope = "; ".join(f"{path} {', '.join(words)}" for path, words in override.scope.items())
    where = f" for {scope}" if scope else ""
    return f"{override.rule} {limits}{where}, by {override.author}, {override.date}: {override.reason.rstrip('.')}"


def _worst_first(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(sorted(
        (f for f in findings if f.grade != "clear" or f.could_be is not None),
        key=lambda f: (-severity(f.grade), -severity(f.uncapped), -(f.chance or 0.0), f.rule),
    ))
