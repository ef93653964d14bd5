"""The customer's page: the goal restated, the answer in words, the ways to go, the cautions, the duties, signatures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.decisions.influence import weightiest, weightiest_beneath
from enginelimits.decisions.measure import leading
from enginelimits.decisions.measurements import measurement_of
from enginelimits.decisions.plan import power_of
from enginelimits.decisions.stacking import counts
from enginelimits.description.values import Curve
from enginelimits.present.page.duties import duties
from enginelimits.present.page.parts import BLANK, LONG_BLANK, Matter, Page, Part, of_parts
from enginelimits.present.page.trade_words import in_trade_words
from enginelimits.present.page.wording import (
    GRADE_MEANINGS,
    OPEN,
    VERDICTS,
    boost_words,
    chance_words,
    counted,
    joined,
    nearness,
    plain_path,
    power_range,
    power_words,
    temperature_words,
    torque_words,
)
from enginelimits.present.tree import Item, Line, Node, Notice, Run, line, table
from enginelimits.present.values import value_text
from enginelimits.present.verdict import GRADE_ROLES, by_lack, first_sentence, lowered, spoken
from enginelimits.rules.grades import severity

if TYPE_CHECKING:
    from enginelimits.decisions.plan import Plan, RemedySet, Tier
    from enginelimits.decisions.verdict import Finding, Judgement
    from enginelimits.units.display import System

STRONGEST = 5
MEASURED = 5
NEEDED = 6
OPTIONAL = 3
HANGS_ON = 3
# What a customer says of a goal, in the order in which it is said.
SAID = (
    ("goal.power", "power"), ("goal.torque", "torque"), ("goal.at", "counted at"), ("goal.dyno", "kind of dyno"),
    ("goal.correction", "correction"), ("goal.use", "use"), ("forced_induction.kind", "charged by"),
    ("forced_induction.boost", "boost"), ("fuel.octane", "octane of the fuel"), ("fuel.ethanol", "ethanol in the tank"),
)
STATES = {
    "nothing needed": "as asked is enough",
    "reaches the goal": "reaches the goal",
    "nearest goal": "comes nearest to the goal",
    "waits for inspection": "only after an inspection",
    "no plan": "no way found; not quoted",
    "small margins alone": "no single cause; several small margins",
    "interrupted": "not worked out to the end",
    "not looked for": "not worked out",
}
# Where no goal is stated, or not where it counts, a way is held against the power as asked.
WITHOUT_GOAL = {"reaches the goal": "keeps the power", "nearest goal": "costs power"}


def customer_page(matter: Matter) -> Page:
    """What the customer reads, and signs."""
    judgement = matter.judgement
    parts = (
        Part("goal", "What you asked for", tuple(_goal(judgement, matter.system)), "half"),
        Part("answer", "Our answer", tuple(_answer(judgement, matter.system)), "half"),
        Part("ways", "Ways to go", tuple(ways(matter))),
        Part("cautions", "The strongest cautions", tuple(_cautions(judgement, matter.system))),
        Part("measure", "What we need to know or measure", tuple(_to_measure(judgement)), "half"),
        Part("duties", "Fuel and service from then on",
             tuple(duties(judgement, matter.system, quoted(matter.plan))), "half"),
        Part("notices", "Notices", tuple(_notices(judgement))),
        Part("signatures", "Read, understood and agreed", tuple(_signatures(matter))),
    )
    subtitle = "What this goal asks of this engine"
    return Page("customer", judgement.name, subtitle, "en", judgement.as_of, of_parts(parts))


def _goal(judgement: Judgement, system: System) -> Iterable[Node]:
    from enginelimits.description.paths import flattened

    stated = flattened(judgement.filled.build)
    rows: list[list[Run | str]] = []
    for path, label in SAID:
        given = judgement.filled.get(path)
        if given is None or (given.value is None and given.curve is None):
            continue
        written = stated.get(path)
        meant = _meant(path, judgement, system)
        if written is None:
            rows.append([label, Run("not said", "muted"), Run(meant, "assumed")])
        else:
            rows.append([label, _said(written), meant])
    if not any(path.startswith("goal.") and judgement.filled.get(path) for path, _ in SAID[:2]):
        yield line(Run("No power or torque was asked for.", "strong"))
    yield table(("", "as said", "as understood"), rows, wide=2, caption="The goal, restated")


def _said(written: object) -> str:
    """What stands in the build file; of a curve its ends."""
    if isinstance(written, Curve):
        low, high = (end(written.values, key=lambda value: value.si).written for end in (min, max))
        return f"{low} to {high}, by engine speed" if low != high else low
    return str(getattr(written, "written", written))


def _meant(path: str, judgement: Judgement, system: System) -> str:
    """A stated value as the customer's page rounds it."""
    given = judgement.filled.get(path)
    assert given is not None
    if given.curve is not None:
        ends = [y for _, y in given.curve]
        low, high = (boost_words(end, system) for end in (min(ends), max(ends)))
        return f"{low} to {high}, by engine speed" if low != high else low
    value = given.value
    if isinstance(value, float):
        if path == "goal.power":
            return power_words(value, system)
        if path == "goal.torque":
            return torque_words(value, system)
        if path == "forced_induction.boost":
            return boost_words(value, system)
        if given.unit == "1" and path == "fuel.ethanol":
            return f"about {100 * value:.0f} %" + (_spread(given.low, given.high))
    words = value_text(value, given.unit, system, kind=given.kind, hint=path)
    return {"crank": "the crank (the engine itself)", "wheels": "the wheels, on a roller or hub dyno",
            "none": "none"}.get(words, words)


def _spread(low: float | None, high: float | None) -> str:
    return f", between {100 * low:.0f} and {100 * high:.0f} %" if low is not None and high is not None else ""


def _answer(judgement: Judgement, system: System) -> Iterable[Node]:
    verdict = judgement.verdict
    if verdict.grade == "clear" and not verdict.complete:
        yield line(Run(OPEN, "unknown"))
    else:
        yield line(Run(VERDICTS[verdict.grade], GRADE_ROLES[verdict.grade]))
        if not verdict.complete:
            yield line(f"{counted(len(verdict.open), 'question')} could not be judged yet, and could make this worse.")
    limiting = next((f for f in judgement.findings if verdict.limiting and f.rule == verdict.limiting.rule), None)
    told: list[Run | str] = []
    power = power_of(judgement)
    if power is not None and power.status == "ok" and power.value is not None:
        spread = power_range(power.low, power.high, system)
        where = "at the wheels" if power.id == "wheel.power" else "at the crank"
        told += ["As asked the engine comes to about ", Run(f"{power_words(power.value, system)} {where}", "strong"),
                 f", nine times in ten between {spread.replace(' to ', ' and ')}." if spread else "."]
    if limiting is not None and verdict.grade != "clear":
        told += [" What decides is ", Run(lowered(limiting.title, 1), "strong"), f" ({limiting.rule})."]
    if told:
        yield line(*told)
    hottest = judgement.assessment.quantities.get("charge.temperature_end_of_pull")
    given = judgement.filled.get("site.hot_day_temperature")
    if hottest is not None and given is not None and isinstance(given.value, float):
        hot = temperature_words(given.value, system)
        yield line(Run(f"Judged for an ordinary day and for a hot day of {hot}.", "muted"))


def ways(matter: Matter) -> Iterable[Node]:
    """The ways to go side by side, or why there are none."""
    plan = matter.plan
    if plan is None:
        yield line(Run(f"The ways were not worked out: {matter.why_without('ways') or 'not asked for'}.", "muted"))
        return
    if plan.interrupted:
        yield line(Run("The search for ways was interrupted; these are what was known by then.", "unknown"))
    if all(tier.state == "nothing needed" for tier in plan.tiers):
        yield line("Nothing needs to be done for this goal: the build as described is enough, at ",
                   Run(_power(plan.asked, matter.system).partition("\n")[0], "strong"), ". Price: ", BLANK)
        return
    columns = ["", "as asked", *(tier.name for tier in plan.tiers)]
    found = [_best(tier) for tier in plan.tiers]
    answers = [_state(plan, tier) for tier in plan.tiers]
    if len(found) == 2 and found[0] is not None and found[1] is not None and found[0].edits == found[1].edits:
        answers[1] += f"; the same way as {plan.tiers[0].name}"
    rows: list[list[Run | str]] = [
        ["answer", "the build as described", *answers],
        ["graded", _meaning(plan.asked.verdict.grade), *(_graded(plan, tier) for tier in plan.tiers)],
        ["power", _power(plan.asked, matter.system), *(_tier_power(plan, tier, matter.system) for tier in plan.tiers)],
        ["needed", _standing(plan), *(_needed(plan, tier) for tier in plan.tiers)],
        ["optional", "-", *(_optional(best) for best in found)],
        ["what changes", "-", *(_changes(best) for best in found)],
        ["price", "-", *(_price(plan, tier, best) for tier, best in zip(plan.tiers, found, strict=True))],
        ["how sure", _sure(plan.asked), *(_sure(best.judgement) if best is not None else "-" for best in found)],
    ]
    yield table(columns, rows, wide=3, caption="The ways to go, side by side")
    if plan.find_out:
        yield line(Run("Before any of them: ", "strong"),
                   " ".join(f.remedy.say.rstrip(".") + "." for f in plan.find_out[:3]))


def _best(tier: Tier) -> RemedySet | None:
    """The set that a way is quoted by: the wider one where small margins ask for it."""
    if tier.wider is not None:
        return tier.wider
    return tier.sets[0] if tier.sets else None


def quoted(plan: Plan | None) -> list[tuple[str, Judgement]]:
    """The ways that can be chosen instead of the build as asked, each as it is judged."""
    tiers = () if plan is None else plan.tiers
    found = ((tier, _best(tier)) for tier in tiers if tier.state not in ("no plan", "not looked for"))
    return [(tier.name, best.judgement) for tier, best in found if best is not None]


def _state(plan: Plan, tier: Tier) -> str:
    if tier.state == "no plan" and tier.cut_short:
        return "none found within the bound of the search; not quoted"
    return (STATES if plan.goal_stated else STATES | WITHOUT_GOAL)[tier.state]


def _graded(plan: Plan, tier: Tier) -> Run | str:
    best = _best(tier)
    if best is None:
        return _meaning(plan.asked.verdict.grade) if tier.state == "nothing needed" else "-"
    if tier.causes and tier.wider is None:
        causes = f"no single cause, but small margins of {len(tier.causes)} add up; measure them, or quote with them"
        return Run(f"{best.verdict.grade}: {causes}", GRADE_ROLES[best.verdict.grade])
    return _meaning(best.verdict.grade)


def _meaning(grade: str) -> Run:
    return Run(f"{grade}: {GRADE_MEANINGS[grade]}", GRADE_ROLES[grade])


def _tier_power(plan: Plan, tier: Tier, system: System) -> str:
    best = _best(tier)
    if best is not None:
        return _power(best.judgement, system)
    return _power(plan.asked, system) if tier.state == "nothing needed" else "-"


def _power(judgement: Judgement, system: System) -> str:
    power = power_of(judgement)
    if power is None or power.value is None:
        return "-"
    spread = power_range(power.low, power.high, system)
    return f"about {power_words(power.value, system)}" + (f"\n{spread}" if spread else "")


def _standing(plan: Plan) -> str:
    graded = [*plan.blocking, *plan.waiting]
    if not graded:
        return "nothing" if severity(plan.asked.verdict.grade) < severity(plan.grade) else "several small margins"
    return "not quoted with:\n" + "\n".join(_titles(graded))


def _titles(findings: Sequence[Finding]) -> list[str]:
    told = [f"{lowered(f.title, 1)} ({f.rule})" for f in findings[:NEEDED]]
    return [*told, *([f"and {len(findings) - NEEDED} more"] if len(findings) > NEEDED else [])]


def _needed(plan: Plan, tier: Tier) -> str:
    best = _best(tier)
    if best is None:
        return "nothing" if tier.state == "nothing needed" else "-"
    if tier.state == "no plan":
        return "still in the way:\n" + "\n".join(_titles((*best.left, *best.waiting)))
    told = [_shortened(chosen.remedy.say) for chosen in best.chosen]
    waiting = [f"inspection first: {title}" for title in _titles(best.waiting)]
    return "\n".join([*waiting, *told]) or "nothing"


def _shortened(say: str) -> str:
    return lowered(say.rstrip("."), 1)


def _optional(best: RemedySet | None) -> str:
    """The mildest remedies of what is left at caution, that the way does not hold already."""
    if best is None:
        return "-"
    chosen = {c.remedy.id for c in best.chosen}
    told: dict[str, None] = {}
    for finding in best.judgement.findings:
        if finding.grade == "caution" and counts(finding):
            remedy = next((r for r in finding.remedies if r.id not in chosen), None)
            if remedy is not None:
                told[_shortened(remedy.say)] = None
    return "\n".join(list(told)[:OPTIONAL]) or "nothing"


def _changes(best: RemedySet | None) -> str:
    if best is None or not best.chosen:
        return "-"
    told = dict.fromkeys(_shortened(c.remedy.shifts) for c in best.chosen
                         if c.remedy.shifts and not c.remedy.shifts.lower().startswith("none"))
    return "\n".join(list(told)[:4]) or "nothing"


def _price(plan: Plan, tier: Tier, best: RemedySet | None) -> str:
    """From the shop's own list; a blank for the shop where there is none."""
    if tier.state in ("no plan", "not looked for") or best is None:
        return "-" if tier.state != "nothing needed" else BLANK
    if plan.prices is None:
        return BLANK
    lacking = len(best.unpriced)
    more = f"\nwithout {counted(lacking, 'item')} that the list does not hold" if lacking else ""
    return f"{best.price:g} {plan.prices.currency}{more}"


def _sure(judgement: Judgement) -> str:
    told = []
    if judgement.samples_asked:
        told.append(f"{judgement.samples_valid} draws over what is not known")
    else:
        told.append("the typical build only")
    told.append(f"{counted(len(judgement.filled.assumed), 'value')} assumed")
    silent = len(judgement.not_judged) + len(judgement.out_of_range)
    if silent:
        told.append(f"{counted(silent, 'question')} not judged")
    return "\n".join(told)


def _cautions(judgement: Judgement, system: System) -> Iterable[Node]:
    graded = spoken(judgement.findings)
    if not graded:
        yield line("Nothing was found that needs a caution." if judgement.verdict.complete else
                   "Nothing was found so far that needs a caution.")
        return
    for number, finding in enumerate(graded[:STRONGEST], 1):
        yield _caution(number, finding, judgement, system)
    rest = graded[STRONGEST:]
    if rest:
        told: list[Run | str] = []
        for grade in ("decline", "reinforce", "caution"):
            alike = [f"{lowered(f.title, 1)} ({f.rule})" for f in rest if f.grade == grade]
            if alike:
                told += [f"{'; ' if told else ''}", Run(grade, GRADE_ROLES[grade]), f": {', '.join(alike)}"]
        notes = sum(f.grade == "note" for f in rest)
        told += [f"{'; ' if told else ''}{counted(notes, 'note')}"] if notes else []
        yield line(Run("Besides, explained in the workshop's own report: ", "muted"), *told, ".")


def _caution(number: int, finding: Finding, judgement: Judgement, system: System) -> Item:
    """One caution in the pattern: what, how sure, on what, what would change it, what we do."""
    head = (Run(finding.grade.upper(), GRADE_ROLES[finding.grade]), Run(f" {finding.title} ", "strong"),
            Run(f"({finding.rule})", "muted"), Run(f" {first_sentence(finding.why)}"))
    under: list[Line] = [
        line(Run("How sure: ", "strong"), f"{chance_words(finding)}."),
        line(Run("On what: ", "strong"), *_on_what(finding, judgement, system)),
    ]
    if finding.settled_by:
        under.append(line(Run("What would change it: ", "strong"), lowered(first_sentence(finding.settled_by), 1)))
    said = "; or ".join(lowered(r.say.rstrip("."), 1) for r in finding.remedies[:2])
    done = Run(f"{said}." if said else "none on record; ask for less, or measure first.", "remedy")
    under.append(line(Run("What we do: ", "strong"), done))
    return Item(f"{number}.", head, tuple(under))


def _on_what(finding: Finding, judgement: Judgement, system: System) -> list[Run | str]:
    because = leading(finding)
    told: list[Run | str] = []
    if because is not None:
        near = nearness(because, system)
        computed = because.name in QUANTITIES
        what = because.name.replace(".", " ").replace("_", " ") if computed else plain_path(because.name)
        told.append(f"{what}, {'computed, ' if computed else ''}{near}".rstrip(", "))
        assumed = in_trade_words((given.path for given in weightiest_beneath(judgement, because)), HANGS_ON)
        if assumed:
            told += ["; ", Run(f"assumed, not measured: {', '.join(assumed)}", "assumed")]
    limits = finding.evidence or "practice"
    told.append(f"{'; ' if told else ''}the limit rests on {limits}.")
    return told


def _to_measure(judgement: Judgement) -> Iterable[Node]:
    told: list[Item] = []
    for lack, rules in by_lack(judgement)[:MEASURED]:
        names = lack.removeprefix("needs ").split(" and ")
        what = " and ".join(plain_path(name) for name in names) if lack.startswith("needs ") else lack
        titles = joined([lowered(r.title, 1) for r in rules], 2)
        told.append(Item("-", (Run("[ ] "), Run(what, "strong"), Run(f", to judge {titles}"))))
    seen: set[str] = set()
    for given in weightiest(judgement):
        how = measurement_of(given.path).how
        if how and how not in seen and len(seen) < MEASURED:
            seen.add(how)
            told.append(Item("-", (Run("[ ] "), Run(how.rstrip(".")), Run(" (assumed so far)", "assumed"))))
    yield from (Notice(words, "question") for words in judgement.questions)
    yield from told


def _notices(judgement: Judgement) -> Iterable[Node]:
    yield from (Notice(words) for words in judgement.notices)
    yield from (line(Run(f"Shop value: {said}", "strong")) for said in judgement.shop_values)


def _signatures(matter: Matter) -> Iterable[Node]:
    yield line("I have read the answer, the cautions and the notices. The way chosen: [ ] as asked  "
               "[ ] on standard parts  [ ] reinforced  [ ] none. Cautions that I accept without their remedy: ",
               LONG_BLANK)
    yield table(
        ("", "name", "date", "signature"),
        [["customer", BLANK, BLANK, LONG_BLANK], ["for the workshop", BLANK, BLANK, LONG_BLANK]],
        wide=3, caption="Signatures",
    )
    yield line(Run(provenance(matter), "muted"))


def provenance(matter: Matter) -> str:
    """What a page was made from, so that it can be made again."""
    judgement = matter.judgement
    layers = ", ".join(f"{layer.name} {layer.version} {layer.digest[:12]}".strip() for layer in judgement.layers)
    drawn = f"{judgement.samples_valid} draws, seed {judgement.seed}" if judgement.samples_asked else "no draws"
    digest = f", SHA-256 {matter.digest[:16]}" if matter.digest else ""
    return f"Made from {matter.build_file}{digest}; rules {layers}; {drawn}; judged as of {judgement.as_of}."
