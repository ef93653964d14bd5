"""The answer of ``plan``: the ways to go side by side, then each remedy with what it does."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.decisions.plan import Chosen, Moved, Plan, RemedySet, Tier, power_of
from enginelimits.decisions.remedy_trials import REACHED
from enginelimits.decisions.verdict import Finding, Judgement, Verdict
from enginelimits.present.tree import Heading, Item, Node, Run, Tree, line, table
from enginelimits.present.values import finite, value_text
from enginelimits.present.verdict import GRADE_ROLES
from enginelimits.present.warnings import short_warnings
from enginelimits.rules.grades import CAUTION, severity

if TYPE_CHECKING:
    from enginelimits.units.display import System

SCHEMA = "enginelimits.plan/1"
AS_ASKED = "as asked"
SHOWN = 3
SIZES = "Sizes of parts are of the order needed, not a choice of part."


def plan_tree(plan: Plan, system: System = "metric") -> Tree:
    """The plan in words."""
    nodes: list[Node] = [line(*_headline(plan)), _tiers(plan, system)]
    if plan.interrupted:
        nodes.append(line(Run("INTERRUPTED: what follows is only what was known by then.", "unknown")))
    seen: set[tuple[str, ...]] = set()
    for tier in reversed(plan.tiers):
        nodes += _tier(plan, tier, seen, system)
        nodes += _wider(plan, tier, seen, system)
    nodes += _find_out(plan)
    nodes += short_warnings(_warnings(plan), more=f". {SIZES[:-1]}")
    nodes.append(line(Run(_footing(plan), "muted")))
    return Tree(f"{plan.name}: plan to stay under {plan.grade}", tuple(nodes))


def _warnings(plan: Plan) -> tuple[str, ...]:
    """Of the build as asked and of every set: a fuel or a part that a remedy brings has its own."""
    judged = [plan.asked, *(found.judgement for tier in plan.tiers for found in (*tier.sets, tier.wider) if found)]
    return tuple(dict.fromkeys(words for one in judged for words in one.notices))


def _headline(plan: Plan) -> list[Run | str]:
    verdict = plan.asked.verdict
    graded = [f for f in plan.blocking if f.grade != "clear"]
    parts: list[Run | str] = []
    if graded:
        parts += [f"As asked, {_counted(len(graded), 'finding')} to be mended: ", *_named(graded, 6), "."]
    elif not plan.waiting:
        parts += [f"No single finding reaches {plan.grade} as asked."]
    if plan.waiting:
        parts += [" " if parts else "", "Only an inspection answers ", *_named(plan.waiting, 6), "."]
    if not graded and severity(verdict.grade) >= severity(plan.grade) and not plan.waiting:
        parts += [" The verdict is ", Run(verdict.grade, GRADE_ROLES[verdict.grade]),
                  " all the same: small margins of several causes add up."]
    if not verdict.complete:
        parts.append(f" {_counted(len(verdict.open), 'rule')} could not be judged, so no plan can speak of them.")
    return parts


def _named(findings: Sequence[Finding], most: int) -> list[Run | str]:
    parts: list[Run | str] = []
    for place, finding in enumerate(findings[:most]):
        parts += [", " if place else "", Run(finding.grade, GRADE_ROLES[finding.grade]),
                  f" {_lowered(finding.title)} ({finding.rule})"]
    if len(findings) > most:
        parts.append(f" and {len(findings) - most} more: {', '.join(f.rule for f in findings[most:])}")
    return parts


def _tiers(plan: Plan, system: System) -> Node:
    rows: list[list[Run | str]] = [[AS_ASKED, "-", _power(plan.asked, system), _reach(plan.reach),
                                    _graded(plan.asked), _still(plan.blocking, plan.waiting)]]
    for tier in plan.tiers:
        best = tier.sets[0] if tier.sets else None
        if best is None:
            same = tier.state != "not looked for"
            rows.append([tier.name, _said(plan, tier), _power(plan.asked, system) if same else "-",
                         _reach(plan.reach) if same else "-", _graded(plan.asked) if same else "-",
                         _still((), plan.waiting)])
            continue
        rows.append([tier.name, _said(plan, tier), _power(best.judgement, system), _reach(best.reach),
                     _verdict(best), _still(best.left, best.waiting) if best.left or best.waiting or not tier.causes
                     else f"{len(tier.causes)} small margins"])
        if tier.wider is not None and best.chosen:
            wide = tier.wider
            rows.append(["  and for those", "under it", _power(wide.judgement, system), _reach(wide.reach),
                         _verdict(wide), _still(wide.left, wide.waiting)])
        elif tier.wider is not None:
            wide = tier.wider
            rows[-1] = [tier.name, _said(plan, tier), _power(wide.judgement, system), _reach(wide.reach),
                        _verdict(wide), _still(wide.left, wide.waiting)]
    share = "of goal" if plan.goal_stated else "of as asked"
    return table(("way", "answer", "power", share, "verdict", f"at {plan.grade} still"), rows, wide=5)


def _verdict(found: RemedySet) -> Run:
    return _grade(found.verdict)


def _grade(verdict: Verdict) -> Run:
    """A verdict's grade; one that is clear only as far as anything could be judged is none."""
    if verdict.grade == "clear" and not verdict.complete:
        return Run("incomplete", "unknown")
    return Run(verdict.grade, GRADE_ROLES[verdict.grade])


def _said(plan: Plan, tier: Tier) -> str:
    """What became of a way; where no goal can be held against it, that power is kept or not."""
    if plan.goal_stated:
        return tier.state
    return {"reaches the goal": "keeps the power", "nearest goal": "costs power"}.get(tier.state, tier.state)


def _still(left: Sequence[Finding], waiting: Sequence[Finding]) -> str:
    rules = [f.rule for f in (*left, *waiting)]
    return ", ".join(rules[:SHOWN]) + (f" +{len(rules) - SHOWN}" if len(rules) > SHOWN else "") if rules else "none"


def _graded(judgement: Judgement) -> Run:
    return _grade(judgement.verdict)


def _power(judgement: Judgement, system: System) -> str:
    power = power_of(judgement)
    return "-" if power is None or power.value is None else value_text(power.value, power.unit, system, hint=power.id)


def _reach(reach: float) -> str:
    return f"{100.0 * reach:.0f} %"


def _tier(plan: Plan, tier: Tier, seen: set[tuple[str, ...]], system: System) -> list[Node]:
    if not tier.sets:
        return []
    nodes: list[Node] = []
    heading = Heading(f"{tier.name[:1].upper()}{tier.name[1:]}: {_said(plan, tier)}")
    best = tier.sets[0]
    if not best.chosen and tier.causes:
        return [heading]
    key = tuple(f"{c.remedy.id} {c.step}" for c in best.chosen)
    if key in seen:
        return [heading, line("The same set as above.")]
    seen.add(key)
    nodes += [heading, line(*_set_line(plan, tier, best, system))]
    if not best.chosen:
        nodes.append(line("None of the remedies that were tried brings the build nearer."))
    if tier.state in ("no plan", "interrupted"):
        said = "; ".join(f"{_lowered(c.remedy.say.rstrip('.'))} [{_edits(c)}]" for c in best.chosen)
        return [*nodes, line(Run("Tried in it: ", "muted"), f"{said}.")] if best.chosen else nodes
    nodes += [_item(number, chosen, plan) for number, chosen in enumerate(best.chosen, 1)]
    worse = [m for m in best.raised if severity(m.after) >= CAUTION]
    if worse:
        nodes.append(line(Run("Newly raised by the set: ", "muted"), *_moved(worse), "."))
    for other in tier.sets[1:]:
        said = "; ".join(_lowered(c.remedy.say.rstrip(".")) + f" [{_edits(c)}]" for c in other.chosen)
        nodes.append(line(Run("Or instead: ", "muted"), f"{said}. Power {_power(other.judgement, system)}, ",
                          f"{_reach(other.reach)}; verdict ", _verdict(other), f".{_priced(plan, other)}"))
    return nodes


def _wider(plan: Plan, tier: Tier, seen: set[tuple[str, ...]], system: System) -> list[Node]:
    """What brings down small margins that raise the verdict to the grade, or that nothing found does."""
    if not tier.sets or not tier.causes:
        return []
    begun = "As asked" if not tier.sets[0].chosen else "With that"
    causes = (f"{begun} no finding reaches {plan.grade}, but small margins of {len(tier.causes)} causes raise the "
              f"verdict to it ({', '.join(tier.causes)}).")
    if tier.wider is None:
        why = "No remedies of this way leave fewer than three of them."
        if plan.interrupted or tier.wider_cut_short:
            ended = "was interrupted" if plan.interrupted else "ended at its bound (--budget)"
            why = f"The search for what leaves fewer than three {ended}."
        return [line(f"{causes} {why} Settle them by measurement (`measure` says which), or quote with them.")]
    key = ("wider", *(f"{c.remedy.id} {c.step}" for c in tier.wider.chosen))
    if key in seen:
        return [line(f"{causes} The same set as above brings it under.")]
    seen.add(key)
    before = {(c.remedy.id, c.step) for c in tier.sets[0].chosen}
    added = [c for c in tier.wider.chosen if (c.remedy.id, c.step) not in before]
    gone = [c.remedy.id for c in tier.sets[0].chosen if c.remedy.id not in {w.remedy.id for w in tier.wider.chosen}]
    wide = tier.wider
    parts: list[Run | str] = [f"{causes} With these{' as well' if before else ''} it is ", _verdict(wide)]
    parts += [f", without {', '.join(gone)}"] if gone else []
    parts += [f", at {_power(wide.judgement, system)}"] if wide.reach < tier.sets[0].reach - 0.005 else []
    parts += ["" if wide.drawn else ", its draws not judged", f".{_priced(plan, wide)}"]
    nodes: list[Node] = [line(*parts)]
    nodes += [_item(number, chosen, plan) for number, chosen in enumerate(added, len(before) - len(gone) + 1)]
    worse = [m for m in tier.wider.raised if severity(m.after) >= CAUTION]
    if worse:
        nodes.append(line(Run("Newly raised by the whole: ", "muted"), *_moved(worse), "."))
    return nodes


def _set_line(plan: Plan, tier: Tier, found: RemedySet, system: System) -> list[Run | str]:
    drawn = f"{plan.samples} draws" if plan.samples else "the typical build, no draws"
    if plan.samples and not found.drawn:
        drawn = "the typical build only; its draws are not judged"
    count = _counted(len(found.chosen), "remedy", "remedies")
    if tier.state in ("no plan", "interrupted"):
        least = f"No set was found that brings everything under {plan.grade}"
        ended = ", and the search ended at its bound (--budget)" if tier.cut_short and not plan.interrupted else ""
        parts: list[Run | str] = [f"{least}{ended}. The nearest, {count}, leaves ", *_named(found.left, SHOWN), "."]
    else:
        parts = [f"{count}; nothing at {plan.grade} or worse is left but what waits, judged with {drawn}."
                 if found.waiting else f"{count}; nothing reaches {plan.grade}, judged with {drawn}."]
        if found.needed:
            fails = ("", " Without it that fails.", " Without any one of them that fails.")
            parts.append(fails[min(len(found.chosen), 2)])
        if tier.cut_short:
            by = "an interruption" if plan.interrupted else "its bound (--budget)"
            parts.append(f" The search ended at {by}, so a smaller set may exist.")
    if found.waiting:
        parts += [" Waits for inspection: ", *_named(found.waiting, SHOWN), "."]
    short = min(1.0, plan.reach) - 0.005 if tier.state != "nearest goal" else REACHED
    if tier.state != "no plan" and found.reach < short:
        of = "what is asked" if plan.goal_stated else "the build as asked"
        more = "." if found.reach >= REACHED else "; no more can be quoted for it."
        parts.append(f" It reaches {_power(found.judgement, system)}, {_reach(found.reach)} of {of}{more}")
    return [*parts, _priced(plan, found)]


def _priced(plan: Plan, found: RemedySet) -> str:
    if plan.prices is None:
        return ""
    unpriced = f"; unpriced: {', '.join(found.unpriced)}" if found.unpriced else ""
    return f" Prices known: {found.price:g} {plan.prices.currency}{unpriced}."


def _item(number: int, chosen: Chosen, plan: Plan) -> Item:
    remedy = chosen.remedy
    kind = "" if remedy.kind == "part" else f"{remedy.kind}; "
    price = f"; {chosen.price:g} {plan.prices.currency}" if chosen.price is not None and plan.prices is not None else ""
    head = (Run(remedy.say.rstrip("."), "strong"), Run(f" ({kind}{_edits(chosen)}{price}).", "muted"))
    parts: list[Run | str] = []
    raises = [m for m in chosen.raises if severity(m.after) >= CAUTION]
    for word, moves in (("Removes ", chosen.removes), ("Lowers ", chosen.lowers), ("Raises ", raises)):
        if moves:
            parts += [" " if parts else "", Run(word, "muted"), *_moved(moves), "."]
    left = [f for f in chosen.leaves if severity(f.grade) >= CAUTION]
    if left:
        kept = ", ".join(f"{f.rule} {f.grade}" for f in left[:SHOWN])
        parts += [" " if parts else "", Run("Leaves ", "muted"), f"{kept}."]
    if remedy.shifts and remedy.shifts.rstrip(".").lower() != "none":
        parts += [" " if parts else "", Run("Shifts: ", "muted"), _lowered(remedy.shifts)]
    return Item(f"{number}.", head, (line(*parts),) if parts else ())


def _moved(moves: Sequence[Moved]) -> list[Run | str]:
    parts: list[Run | str] = []
    for place, moved in enumerate(moves[:SHOWN]):
        parts += [", " if place else "", f"{_lowered(moved.title)} ({moved.rule}, {moved.before} to ",
                  Run(moved.after, GRADE_ROLES[moved.after]), ")"]
    if len(moves) > SHOWN:
        parts.append(f" and {len(moves) - SHOWN} more: {', '.join(m.rule for m in moves[SHOWN:])}")
    return parts


def _edits(chosen: Chosen) -> str:
    return "; ".join(edit_text(edit) for edit in chosen.edits)


def edit_text(edit: Mapping[str, object]) -> str:
    """One edit of a build in words."""
    if "replace" in edit:
        new = edit["with"]
        said = ", ".join(f"{k} {_plain(v)}" for k, v in new.items()) if isinstance(new, Mapping) else _plain(new)
        return f"{edit['replace']}: {said}"
    if "cap" in edit:
        span = next((f" {word} {edit[word]}" for word in ("below", "above") if word in edit), "")
        return f"{edit['cap']} at most {_plain(edit['to'])}{span}"
    if "drop" in edit:
        return f"{edit['drop']} as its class has it"
    return f"{edit['set']} {_plain(edit['to'])}"


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def _find_out(plan: Plan) -> list[Node]:
    if not plan.find_out:
        return []
    return [Heading("Find out first"), *(
        Item("-", (Run(found.remedy.say, "strong"), Run(f" For {', '.join(f.rule for f in found.findings)}.", "muted")))
        for found in plan.find_out
    )]


def _footing(plan: Plan) -> str:
    order = {"effect": "by what removes most, causes before parts", "count": "by the fewest remedies",
             "price": f"by the prices in {plan.prices.file if plan.prices else ''}"}[plan.by]
    drawn = f"verified with {plan.samples} draws" if plan.samples else "no draws, so there are no chances"
    layers = ", ".join(f"{layer.name} {layer.version}" for layer in plan.asked.layers)
    goal = "The goal counts as reached" if plan.goal_stated else "The power as asked counts as kept"
    goal += f" from {100.0 * REACHED:.0f} % on, as predicted for the typical build; verdicts of sets leave that aside."
    return (f"{goal} Ordered {order}; {_counted(plan.judgements, 'judgement')}; {drawn}. "
            f"Rules: {layers}; {plan.asked.as_of}. What each remedy does is told against the set without it.")


def _counted(count: int, noun: str, many: str = "") -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {many or noun + 's'}"


def _lowered(sentence: str) -> str:
    return sentence[0].lower() + sentence[1:] if sentence[1:2].islower() else sentence


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as plain data, SI."""
    return {
        "schema": SCHEMA,
        "version": __version__,
        "catalogue": {"layers": [{"name": la.name, "version": la.version, "digest": la.digest}
                                 for la in plan.asked.layers]},
        "as_of": plan.asked.as_of,
        "build": {"name": plan.name},
        "samples": {"asked": plan.samples, "valid": plan.asked.samples_valid, "seed": plan.asked.seed},
        "grade": plan.grade,
        "notices": [*_warnings(plan), SIZES],
        "by": plan.by,
        "prices": None if plan.prices is None else {"file": plan.prices.file, "currency": plan.prices.currency},
        "judgements": plan.judgements,
        "interrupted": plan.interrupted,
        "reached": plan.reached,
        "goal_stated": plan.goal_stated,
        "as_asked": {**_state(plan.asked, plan.reach), "blocking": _briefly(plan.blocking),
                     "waiting": _briefly(plan.waiting)},
        "find_out_first": [{"id": f.remedy.id, "say": f.remedy.say, "shifts": f.remedy.shifts,
                            "rules": [x.rule for x in f.findings]} for f in plan.find_out],
        "tiers": [{"name": t.name, "state": t.state, "cut_short": t.cut_short,
                   "sets": [_set_data(s) for s in t.sets], "small_margins_of": list(t.causes),
                   "under_small_margins_too": None if t.wider is None else _set_data(t.wider)} for t in plan.tiers],
    }


def _state(judgement: Judgement, reach: float, aside: Verdict | None = None) -> dict[str, Any]:
    power = power_of(judgement)
    verdict = aside or judgement.verdict
    return {
        "power": None if power is None else {"quantity": power.id, "value": finite(power.value), "unit": power.unit,
                                             "low": finite(power.low), "high": finite(power.high)},
        "reach": finite(reach),
        "verdict": {"grade": verdict.grade, "complete": verdict.complete, "open": list(verdict.open),
                    "sentence": verdict.sentence},
    }


def _set_data(found: RemedySet) -> dict[str, Any]:
    return {
        **_state(found.judgement, found.reach, found.verdict),
        "judged_with_draws": found.drawn,
        "remedies": [{
            "id": c.remedy.id, "kind": c.remedy.kind, "say": c.remedy.say, "shifts": c.remedy.shifts, "step": c.step,
            "edits": [dict(e) for e in c.edits], "removes": _moves(c.removes), "lowers": _moves(c.lowers),
            "raises": _moves(c.raises), "leaves": _briefly(c.leaves), "price": c.price,
        } for c in found.chosen],
        "edits": [dict(e) for e in found.edits],
        "left": _briefly(found.left),
        "waiting": _briefly(found.waiting),
        "raised": _moves(found.raised),
        "removed_weight": found.removed_weight,
        "each_needed": found.needed,
        "price": found.price,
        "unpriced": list(found.unpriced),
    }


def _moves(moves: Iterable[Moved]) -> list[dict[str, str]]:
    return [{"rule": m.rule, "title": m.title, "before": m.before, "after": m.after} for m in moves]


def _briefly(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [{"rule": f.rule, "title": f.title, "grade": f.grade, "chance": finite(f.chance)} for f in findings]
