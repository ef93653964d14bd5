"""The review: what is counted, what is left out, and when a threshold is spoken of at all."""

from __future__ import annotations

import random
import re
import textwrap
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from record_by_hand import draft, in_file, kept, margin

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.errors import RuleError
from enginelimits.measured.record import Record
from enginelimits.measured.record_model import PART_FAMILIES, KeptFinding, KeptMargin, QuoteDraft
from enginelimits.measured.record_parts import OWN_PARTS
from enginelimits.measured.record_quote import limit_name
from enginelimits.measured.record_review import Group, LimitReview, Review, override_text, review
from enginelimits.present.record_review import review_data, review_tree
from enginelimits.present.text import report
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.model import Amount, Compare, LimitName, leaves

KM = 1000.0


shipped = cache(load_catalogue)


def reviewed(record: Record, **options: Any) -> Review:
    return review(record.quotes(), record.margins(), day=date(2026, 11, 25), **options)


@pytest.fixture
def record(tmp_path: Path) -> Record:
    return Record(in_file(tmp_path))


def counts(group: Group, grade: str) -> tuple[int, int, int, int, int]:
    tally = next(t for t in group.tallies if t.grade == grade)
    return tally.held, tally.knocked, tally.broke, tally.elsewhere, tally.open


def test_a_break_counts_against_its_own_family_and_ends_the_others(record: Record) -> None:
    both = (KeptFinding("ROD003", "Torque on light rods", "rods", "caution", None),
            KeptFinding("DRV001", "Clutch reserve", "driveline", "reinforce", None))
    for outcome, part in (("broke", "rod_bolts"), ("broke", "clutch"), ("held", ""), ("knocked", ""), ("", "")):
        kept(record, draft("reinforce", findings=both), outcome, part=part) if outcome else kept(
            record, draft("reinforce", findings=both))
    found = reviewed(record)
    (whole,) = found.grades
    assert (whole.held, whole.knocked, whole.broke, whole.open) == (1, 1, 2, 1)
    families = {g.name: g for g in found.families}
    # Knock that was no break says of rods and driveline that they held.
    assert counts(families["rods"], "caution") == (2, 0, 1, 1, 1)
    assert counts(families["driveline"], "reinforce") == (2, 0, 1, 1, 1)
    assert counts(next(g for g in found.rules if g.name == "DRV001"), "reinforce") == (2, 0, 1, 1, 1)


@pytest.mark.parametrize(("broken", "against"), [
    ("clutch", {"DRV001"}), ("gearbox", {"DRV002"}), ("brakes", {"DRV004"}),
    ("driveline", {"DRV001", "DRV002"}),  # nobody said which part it was; brakes are named where they fail
    ("rod_bolts", {"ROD005", "ROD001"}),  # a rod is broken by its bolt as often as by itself
    ("head_gasket", {"HED001"}), ("valves", {"HED003"}),
])
def test_a_break_counts_against_the_rules_on_its_own_part(record: Record, broken: str, against: set[str]) -> None:
    """Common practice, no source: a clutch that slips says nothing of brakes, nor a gasket of valve springs."""
    spoke = ("DRV001", "DRV002", "DRV004", "ROD001", "ROD005", "HED001", "HED003")
    rules = shipped().rules
    findings = tuple(KeptFinding(id_, rules[id_].title, rules[id_].family, "caution", None) for id_ in spoke)
    margins = tuple(margin(50.0, rule=id_, family=rules[id_].family) for id_ in spoke)
    kept(record, draft("caution", *margins, findings=findings), "broke", part=broken)
    found = reviewed(record, parts={id_: rule.part for id_, rule in rules.items()})
    assert {g.name for g in found.rules if counts(g, "caution")[2] == 1} == against
    assert all(counts(g, "caution")[3] == 1 for g in found.rules if g.name not in against)
    assert {limit.rule for limit in found.limits if limit.left_aside == 0} == against
    # a family's own name still gathers all of it
    assert sum(counts(g, "caution")[2] for g in found.families) == 1


def test_parts_of_rules_and_of_records_are_known() -> None:
    assert {name for own in OWN_PARTS.values() for name in own} <= PART_FAMILIES.keys()
    assert OWN_PARTS.keys() <= {rule.part for rule in shipped().rules.values()}


def test_an_engine_where_the_rule_was_silent_counts_as_clear(record: Record) -> None:
    kept(record, draft("caution"), "broke", part="rods")
    kept(record, draft("clear", findings=()), "held")
    (rods,) = reviewed(record).families
    assert counts(rods, "clear") == (1, 0, 0, 0, 0) and counts(rods, "caution") == (0, 0, 1, 0, 0)


def test_shares_and_rates_of_the_tally(record: Record) -> None:
    for _ in range(19):
        kept(record, draft("note"), "held", distance_m=1000 * KM)
    kept(record, draft("note"), "broke", part="rods", distance_m=1000 * KM)
    (tally,) = reviewed(record).grades
    # Wilson for 1 in 20 at 95 %: 0.0089 to 0.2361 (Newcombe's method 3, worked by hand: centre 0.1225, half 0.1136).
    assert tally.share_broke == pytest.approx((0.0089, 0.2361), abs=0.0001)
    # One event in 20 000 km: Garwood's 0.0253 to 5.572 events, over 2 ten-thousands.
    assert tally.rate == pytest.approx((0.01266, 2.786), rel=1e-3)


def _history(
    record: Record, held: list[float], broke: list[float], distance_km: float | None = None, **more: Any
) -> None:
    run = None if distance_km is None else distance_km * KM
    for value in held:
        kept(record, draft("note", margin(value, **more)), "held", distance_m=run)
    for value in broke:
        kept(record, draft("note", margin(value, **more)), "broke", part="rods", distance_m=run)


def limit_of(found: Review, rule: str = "ROD003") -> LimitReview:
    return next(limit for limit in found.limits if limit.rule == rule)


@pytest.mark.parametrize(("held", "broke"), [(4, 30), (30, 2), (5, 0), (1, 1)])
def test_few_cases_say_nothing_of_a_threshold(record: Record, held: int, broke: int) -> None:
    _history(record, [10.0 + n for n in range(held)], [80.0 + n * 0.1 for n in range(broke)])
    limit = limit_of(reviewed(record))
    assert limit.proposal is None and limit.ranked is None and "too few" in limit.reason


def test_breaks_within_the_limit_propose_a_stricter_one(record: Record) -> None:
    _history(record, [40.0, 50.0, 55.0, 60.0, 62.0, 64.0, 66.0, 90.0], [80.0, 85.0, 88.0, 95.0, 97.0])
    limit = limit_of(reviewed(record))
    assert limit.proposal is not None and limit.proposal.direction == "stricter"
    # Between the strongest strain that held below all breaks, 66, and the mildest that broke, 80.
    assert limit.proposal.value == pytest.approx(73.0)
    # From 80 to the limit of 100 there are five that broke and the one at 90 that held.
    assert (limit.proposal.cases, limit.proposal.broke) == (6, 5)
    # Clopper-Pearson, one-sided 95 %, 5 of 6: 0.418 (printed tables of Beyer; scipy.stats.beta.ppf(0.05, 5, 2)).
    assert limit.proposal.bound == pytest.approx(0.418, abs=0.0005)


def test_breaks_that_strain_does_not_tell_apart_move_nothing(record: Record) -> None:
    _history(record, [50.0, 60.0, 70.0, 80.0, 90.0, 95.0], [52.0, 63.0, 71.0, 79.0])
    limit = limit_of(reviewed(record))
    assert limit.proposal is None and limit.ranked is not None and limit.ranked.p_above > 0.05


def test_what_breaks_at_any_strain_alike_moves_nothing(record: Record) -> None:
    """A fifth breaks wherever one looks; strain tells nothing, and no stricter limit would leave a tenth."""
    _history(record, [40.0 + n for n in range(50) if n % 5], [40.0 + n for n in range(50) if not n % 5])
    assert limit_of(reviewed(record)).proposal is None


def test_of_limits_on_noise_alone_hardly_one_is_proposed(record: Record) -> None:
    draws = random.Random(6)
    for n in range(30):
        values = tuple(margin(draws.uniform(40.0, 99.0), rule=f"ROD{place:03d}") for place in range(100, 200))
        outcome = "broke" if n % 5 == 0 else "held"
        kept(record, draft("note", *values), outcome, part="rods" if n % 5 == 0 else "")
    found = reviewed(record)
    # Of a hundred one-sided tests at 5 % about five would find something here.
    assert found.looked_at == 100
    assert sum(limit.ranked is not None and limit.ranked.p_above < 0.05 for limit in found.limits) >= 2
    assert sum(limit.proposal is not None for limit in found.limits) == 0


def test_breaks_beyond_the_limit_are_what_it_warned_of(record: Record) -> None:
    _history(record, [50.0, 60.0, 70.0, 80.0, 90.0], [120.0, 130.0, 140.0])
    limit = limit_of(reviewed(record))
    assert limit.proposal is None and limit.ranked is not None and limit.ranked.chance == 1.0


@pytest.mark.parametrize(("count", "distance_km", "direction"), [
    (40, 12_000, "milder"), (40, 900, ""), (40, None, ""), (24, 12_000, ""), (12, 12_000, ""),
])  # fmt: skip
def test_a_milder_one_asks_for_many_that_held_beyond_it_for_long(
    record: Record, count: int, distance_km: float | None, direction: str
) -> None:
    _history(record, [101.0 + n for n in range(count)], [], distance_km)
    limit = limit_of(reviewed(record))
    assert (limit.proposal.direction if limit.proposal else "") == direction
    if limit.proposal:
        # None of 36 broke: at most 1 - 0.05^(1/36), 8 %.  The four most strained are left out.
        assert limit.proposal.value == 101.0 + count - 5
        assert limit.proposal.bound == pytest.approx(1 - 0.05 ** (1 / 36), rel=1e-9)


def test_a_milder_one_is_harder_to_earn_where_more_limits_were_looked_at(record: Record) -> None:
    for n in range(40):
        more = tuple(margin(101.0 + n, rule=f"ROD{place:03d}") for place in range(100, 120))
        kept(record, draft("note", margin(101.0 + n), *more), "held", distance_m=12_000 * KM)
    found = reviewed(record)
    assert found.looked_at == 21
    assert all(limit.proposal is None for limit in found.limits)


def test_a_lower_limit_is_read_the_other_way_round(record: Record) -> None:
    def low(value: float) -> KeptMargin:
        return margin(value, rule="DRV001", family="driveline", quantity="clutch.reserve", unit="1", limit=1.0,
                      limit_name="none", ratio=1.0 / value)

    for value in (2.0, 1.9, 1.8, 1.7, 1.65, 1.6):
        kept(record, draft("note", low(value)), "held")
    for value in (1.4, 1.3, 1.2, 1.1):
        kept(record, draft("note", low(value)), "broke", part="clutch")
    limit = limit_of(reviewed(record), "DRV001")
    assert limit.lower and limit.proposal is not None
    assert (limit.proposal.direction, limit.proposal.value) == ("stricter", pytest.approx(1.5))


def test_engines_held_against_another_number_or_ended_elsewhere_are_left_aside(record: Record) -> None:
    _history(record, [50.0] * 3, [], limit=90.0)
    kept(record, draft("note", margin(60.0)), "broke", part="clutch")
    _history(record, [50.0], [])
    limit = limit_of(reviewed(record))
    assert (limit.limit, limit.left_aside) == (100.0, 4) and limit.held is not None and limit.held.count == 1


def _filled_in(text: str) -> str:
    return text.replace("author:\n", "author: A. Builder\n")


def test_the_proposal_is_refused_until_somebody_signs_it(tmp_path: Path) -> None:
    """The override as a shop would lay it over: without an author no catalogue takes it; signed, it stands."""
    shipped = load_catalogue()
    rule, limit = next(
        (rule, leaf.against.name) for rule in shipped.rules.values() for grade in rule.grades
        for leaf in leaves(grade.when)
        if rule.id == "ROD003" and isinstance(leaf, Compare) and isinstance(leaf.against, LimitName)
    )
    si = rule.limits[limit].value.si_unit
    given = margin(1.9e6, limit=2.0e6, limit_name=limit, unit=si)
    text = override_text(given, 1.8e6, "3 of 4 broke: \"bad\" & <odd>; at least 25 %", date(2026, 11, 25))
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "own.yaml").write_text(text)
    with pytest.raises(RuleError, match="author"):
        load_catalogue(overlays=[folder])
    (folder / "own.yaml").write_text(_filled_in(text))
    (override,) = load_catalogue(overlays=[folder]).overrides
    assert override.limits[limit].si(si) == pytest.approx(1.8e6) and override.author == "A. Builder"


def test_every_limit_of_the_catalogue_can_be_written_as_an_override() -> None:
    """A value in the SI unit of its quantity is of the dimension that the shipped limit has."""
    tried = 0
    for rule in load_catalogue().rules.values():
        for grade in rule.grades:
            for leaf in leaves(grade.when):
                if isinstance(leaf, Compare) and leaf.kind == "quantity" and isinstance(leaf.against, LimitName):
                    unit = QUANTITIES[leaf.name].unit
                    # What the shipped limit is in the quantity's unit; an error here would be one of dimension.
                    rule.limits[leaf.against.name].value.si(unit)
                    assert unit == "1" or Amount(2.5, unit).si(unit) == 2.5
                    named = limit_name(rule, grade.grade, leaf.name)
                    assert named in ("", leaf.against.name)
                    tried += bool(named)
    assert tried > 100


def test_the_words_tell_counts_doubts_and_a_file_to_sign(record: Record) -> None:
    _history(record, [40.0, 50.0, 55.0, 60.0, 62.0, 64.0, 66.0, 90.0], [80.0, 85.0, 88.0, 95.0, 97.0])
    kept(record, draft("decline"))
    found = reviewed(record)
    for full in (False, True):
        words = report(review_tree(found, "metric", full=full))
        assert max(map(len, words.splitlines())) <= 80
        text = " ".join(words.split())
        told = ("14 quotes, 13 with an outcome", "stricter to", "override: ROD003", "1 of 14 quotes have no outcome",
                "only held so far", "Nothing changes by itself", "author:")  # fmt: skip
        assert [part for part in told if part not in text] == []
        assert not re.search(r"\bsafe\b|guarantee", text, re.IGNORECASE)
    rows = report(review_tree(found, "metric")).splitlines()
    start = next(place for place, row in enumerate(rows) if "# From the shop" in row)
    file = textwrap.dedent("\n".join(rows[start : start + 7]) + "\n")
    proposal = found.limits[0].proposal
    assert proposal is not None and file == proposal.text
    data = review_data(found)
    assert data["schema"] == "enginelimits.record.review/1"
    assert data["limits"][0]["proposal"]["direction"] == "stricter"
    assert data["grades"][0]["share_broke"] is None


def test_an_empty_record_reviews_to_nothing() -> None:
    words = report(review_tree(review((), {}), "metric"))
    assert "0 quotes" in words and "It would move none." in words


def _quote(findings: tuple[KeptFinding, ...]) -> QuoteDraft:
    return draft("note", findings=findings)


def test_family_and_rule_narrow_the_tables(record: Record) -> None:
    both = (KeptFinding("ROD003", "a", "rods", "note", None), KeptFinding("DRV001", "b", "driveline", "note", None))
    kept(record, _quote(both), "held")
    assert [g.name for g in reviewed(record, family="rods").families] == ["rods"]
    assert [g.name for g in reviewed(record, rule="DRV001").rules] == ["DRV001"]
