"""The review of the shop's record as words and as data."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.measured.record_statistics import Interval
from enginelimits.present.tree import Heading, Item, Node, Notice, Run, Tree, line, table
from enginelimits.present.values import finite, value_text
from enginelimits.present.verdict import GRADE_ROLES

if TYPE_CHECKING:
    from enginelimits.measured.record_review import Group, LimitReview, Review, Spread, Tally
    from enginelimits.units.display import System

REVIEW = "enginelimits.record.review/1"
COUNTS = ("held", "knocked", "broke", "open", "broke, share", "per 10 000 km")
OPEN = 3  # the column that says little of one family or rule
SHOWN_RULES = 12
SHOWN_LIMITS = 8


def review_tree(found: Review, system: System, *, full: bool = False) -> Tree:
    """Counts by grade, family and rule, then what the history says of thresholds, then what to bear in mind."""
    nodes: list[Node] = [
        line(f"{_counted(found.quotes, 'quote')}, {found.known} with an outcome; "
             f"{_counted(found.catalogues, 'catalogue')}, {_counted(len(found.tools), 'version')} of the program. "
             "Intervals are 95 %.")
    ]
    if found.grades:
        nodes += [Heading("By grade of the verdict"), table(("grade", *COUNTS), [_row(t) for t in found.grades])]
    nodes += _groups("By family, its own parts", found.families, full, named="family")
    nodes += _groups("By rule, its own parts", found.rules, full, named="rule")
    nodes += _limits(found, system, full)
    nodes += [Heading("Bear in mind"), *(Notice(words) for words in found.mind)]
    return Tree("What became of what was quoted", tuple(nodes))


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def _row(tally: Tally) -> list[Run | str]:
    aside = f" (+{tally.elsewhere})" if tally.elsewhere else ""
    share = tally.broke / tally.known if tally.known else None
    return [
        Run(tally.grade, GRADE_ROLES[tally.grade]), f"{tally.held}", f"{tally.knocked}", f"{tally.broke}{aside}",
        f"{tally.open}", "-" if share is None else f"{share * 100:.0f} % ({_share(tally.share_broke)})",
        "-" if tally.rate is None else _rate(tally),
    ]  # fmt: skip


def _share(interval: Interval) -> str:
    return f"{interval.low * 100:.0f} to {interval.high * 100:.0f}"


def _rate(tally: Tally) -> str:
    rate = tally.rate
    return "-" if rate is None else f"{rate.low:.2g} to {rate.high:.2g}"


def _groups(title: str, groups: Sequence[Group], full: bool, *, named: str) -> Iterable[Node]:
    known = [g for g in groups if any(t.known for t in g.tallies)]
    # What broke or knocked comes first; of the others there may be many.
    known.sort(key=lambda g: (-sum(t.broke + t.knocked for t in g.tallies), g.name))
    told = known if full else known[:SHOWN_RULES]
    if not told:
        return
    more = f", {len(told)} of {len(known)} (--full)" if len(told) < len(known) else ""
    yield Heading(f"{title}{more}; (+n): ended by another part")
    rows = []
    for group in told:
        counted = [t for t in group.tallies if t.known]
        rows += [[group.name if place == 0 else "", *_without(_row(t))] for place, t in enumerate(counted)]
    columns = (named, "grade", *(name for place, name in enumerate(COUNTS) if place != OPEN))
    yield table(columns, rows)


def _without(cells: Sequence[Run | str]) -> list[Run | str]:
    return [cell for place, cell in enumerate(cells) if place != OPEN + 1]


def _limits(found: Review, system: System, full: bool) -> Iterable[Node]:
    proposed = [limit for limit in found.limits if limit.proposal is not None]
    compared = [limit for limit in found.limits if limit.proposal is None and limit.ranked is not None]
    others = len(found.limits) - len(proposed) - len(compared)
    yield Heading("What this history would say of thresholds")
    if not proposed:
        yield line("It would move none.")
    for limit in proposed:
        yield from _proposed(limit, system)
    told = compared if full else compared[:SHOWN_LIMITS]
    for limit in told:
        yield Item("-", (*_head(limit, system), Run(limit.reason)))
    left = len(compared) - len(told)
    words = [f"{left} more were compared (--full)"] if left else []
    words += [f"{_counted(others, 'limit')} had too few cases to compare"] if others else []
    if words:
        yield line(f"{'; '.join(words)}.")


def _head(limit: LimitReview, system: System) -> tuple[Run, ...]:
    def value(si: float) -> str:
        return value_text(si, limit.unit, system, hint=limit.quantity)

    def side(what: str, spread: Spread | None) -> str:
        if spread is None:
            return f"{what} none"
        return f"{what} {spread.count}, {value(spread.low)} to {value(spread.high)}, middle {value(spread.middle)}"

    sides = f"{side('held', limit.held)}; {side('broke', limit.broke)}"
    name = f"{limit.rule} {limit.grade} {limit.title}: {limit.quantity}, limit {value(limit.limit)}. {sides}. "
    rank = limit.ranked
    if rank is None:
        return (Run(name),)
    how = "" if rank.exact else ", by the normal approximation"
    said = f"One that broke was strained more than one that held with a chance of {rank.chance * 100:.0f} %"
    return (Run(name), Run(f"{said} (p {rank.p_above:.2g}{how}). "))


def _proposed(limit: LimitReview, system: System) -> Iterable[Node]:
    proposal = limit.proposal
    assert proposal is not None
    value = value_text(proposal.value, limit.unit, system, hint=limit.quantity)
    bound = f"at {'least' if proposal.direction == 'stricter' else 'most'} {proposal.bound * 100:.0f} %"
    words = (
        f"{proposal.direction} to {value}: {proposal.broke} of {proposal.cases} broke between the two, {bound} at "
        f"{proposal.confidence * 100:.4g} % confidence."
    )
    under = [line(row) for row in proposal.text.splitlines()]
    if not proposal.text:
        under = [line("The limit has no name of its own in the rule: no override can be written for it.")]
    yield Item("-", (*_head(limit, system), Run(f"It would make it {words}", "strong")), tuple(under))


def review_data(found: Review) -> dict[str, Any]:
    """All of it, SI; shares and rates with their intervals."""
    return {
        "schema": REVIEW,
        "version": __version__,
        "quotes": found.quotes,
        "known": found.known,
        "tools": list(found.tools),
        "catalogues": found.catalogues,
        "grades": [_tally(t) for t in found.grades],
        "families": [_group(g) for g in found.families],
        "rules": [_group(g) for g in found.rules],
        "limits": [_limit(limit) for limit in found.limits],
        "limits_with_enough_cases": found.looked_at,
        "tolerated": found.tolerated,
        "proven": found.proven_m,
        "mind": list(found.mind),
    }


def _tally(tally: Tally) -> dict[str, Any]:
    rate = tally.rate
    return {
        "grade": tally.grade, "held": tally.held, "knocked": tally.knocked, "broke": tally.broke,
        "elsewhere": tally.elsewhere, "open": tally.open,
        "share_broke": tally.share_broke._asdict() if tally.known else None,
        "share_knocked_or_broke": tally.share_troubled._asdict() if tally.known else None,
        "distance": tally.exposure_m,
        "broke_per_10000_km": None if rate is None else rate._asdict(),
    }  # fmt: skip


def _group(group: Group) -> dict[str, Any]:
    return {"name": group.name, "title": group.title, "family": group.family,
            "grades": [_tally(t) for t in group.tallies]}


def _limit(limit: LimitReview) -> dict[str, Any]:
    data = {name: getattr(limit, name) for name in ("rule", "title", "family", "grade", "quantity", "unit",
                                                    "limit_name", "limit", "left_aside", "reason")}
    return {
        **data,
        "sense": "at least" if limit.lower else "at most",
        "held": None if limit.held is None else asdict(limit.held),
        "broke": None if limit.broke is None else asdict(limit.broke),
        "ranked": None if limit.ranked is None else finite(limit.ranked._asdict()),
        "proposal": None if limit.proposal is None else asdict(limit.proposal),
    }
