"""The screen that ``check`` prints, read as the person who has to quote it reads it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from judged_by_hand import finding

from enginelimits.assessment.columns import Column
from enginelimits.decisions.verdict import Because, Judgement, LimitShown, Verdict
from enginelimits.description.filled import Input
from enginelimits.present.text import report
from enginelimits.present.verdict import taken_for_granted, verdict_tree


def screen(judgement: Judgement, width: int = 100, system: str = "metric", *, full: bool = False) -> str:
    return report(verdict_tree(judgement, system, full=full), width=width)  # type: ignore[arg-type]


def flat(text: str) -> str:
    return " ".join(text.split())


def test_name_grade_and_limiting_item_come_first(judgement: Judgement) -> None:
    rows = screen(judgement).splitlines()
    assert rows[0] == "weekend coupe, stage two"
    assert flat(" ".join(rows[1:3])).startswith(
        "REINFORCE, limited by low-speed torque on light rods (ROD003) at 2500 rpm, on the hot day. Not to"
    )


def test_a_full_verdict_fits_one_screen(judgement: Judgement) -> None:
    assert 20 <= len(screen(judgement, 100).splitlines()) <= 38
    assert len(screen(judgement, 80).splitlines()) <= 45


def test_five_strongest_are_told_in_full_and_the_rest_by_title(judgement: Judgement) -> None:
    text = screen(judgement)
    assert "Cautions, the 5 strongest of 7" in text
    assert text.count("Remedy: ") == 5
    assert "Also note: PLG001 plug gap, OIL001 oil grade." in text


def test_notes_are_told_in_full_only_where_nothing_is_worse(judgement: Judgement) -> None:
    caution = finding("PST001", title="Power on cast pistons", grade="caution", uncapped="caution")
    note = finding("OIL001", title="Oil grade", grade="note", uncapped="note")
    both = flat(screen(replace(judgement, findings=(caution, note))))
    assert "Cautions, the strongest of 2 1. CAUTION Power on cast pistons" in both
    assert "Also note: OIL001 oil grade." in both
    assert "1. NOTE Oil grade" in flat(screen(replace(judgement, findings=(note,))))


def test_no_finding_is_left_out_however_many_there_are(judgement: Judgement) -> None:
    many = tuple(
        finding(f"ZZZ{n:03}", title=f"Thing {n}", grade=grade, uncapped=grade)
        for n, grade in enumerate(["caution"] * 12 + ["note"] * 20)
    )
    text = flat(screen(replace(judgement, findings=many)))
    assert all(f.rule in text for f in many)
    # Grades are told of those without a title as well.
    assert text.index("Also caution: ZZZ005") < text.index("; note: ZZZ012") < text.index("ZZZ031")
    assert "(all titles: --full)" in text


def test_full_report_leaves_out_nothing_that_the_short_one_does(judgement: Judgement) -> None:
    long = finding(
        why="Nothing relieves the rod at 1.5 bar. No standard gives a limit.",
        message="Pressure is 21.9 bar; the limit is 21.5 bar. The number is memory.",
        brief="Pressure is 21.9 bar; the limit is 21.5 bar.",
    )
    whole = replace(judgement, findings=(long,), notices=("Mind the tool.", "Mind the dyno."))
    short, full = flat(screen(whole)), flat(screen(whole, full=True))
    for part in (
        "The number is memory.",
        "No standard gives a limit.",
        "or fit forged rods with new bolts.",
        "Bands from two-litre fours.",
        "class.rod.yield_strength",
    ):
        assert part not in short
        assert part in full
    assert "Mind the tool. Mind: Mind the dyno (in full: --full)." in short and "Mind the dyno." in full
    assert "--full" not in full


def test_one_sentence_of_the_reason_is_told(judgement: Judgement) -> None:
    long = finding(why="Nothing relieves the rod at 1.5 bar. No standard gives a limit.")
    text = flat(screen(replace(judgement, findings=(long,))))
    assert "Nothing relieves the rod at 1.5 bar. Remedy:" in text
    assert "No standard" not in text


def test_the_brief_message_takes_the_place_of_a_long_one(judgement: Judgement) -> None:
    long = finding(message="It is 21.9 bar. More is said here.", brief="It is 21.9 bar. A tail of 23 %.")
    text = flat(screen(replace(judgement, findings=(long,))))
    assert "It is 21.9 bar. A tail of 23 %. Down here" in text
    assert "More is said" not in text


def test_a_caution_carries_number_limit_reason_remedy_and_chance(judgement: Judgement) -> None:
    text = flat(screen(judgement))
    start = text.index("1. REINFORCE")
    told = text[start : text.index("2. CAUTION")]
    for part in (
        "21.9 bar",
        "21.5 bar",
        "inertia hardly relieves the rod",
        "Remedy: hold boost back below 3500 rpm.",
        "chance even 52 %",
        "low confidence",
        "Settled by: smallest shank section, by calliper.",
    ):
        assert part in told


def test_no_chance_is_shown_without_draws(judgement: Judgement) -> None:
    without = replace(
        judgement,
        samples_asked=0,
        samples_valid=0,
        findings=tuple(replace(f, chance=None, chances={}, chance_word="") for f in judgement.findings),
    )
    text = flat(screen(without))
    assert "chance even" not in text
    assert "No draws were made, so there are no ranges and no chances." in text


def test_capped_grade_shows_what_it_would_be(judgement: Judgement) -> None:
    capped = replace(judgement, findings=(finding(grade="caution", uncapped="decline"),))
    assert "decline by the numbers, low confidence" in flat(screen(capped))


def test_open_worse_grade_names_what_is_missing(judgement: Judgement) -> None:
    open_ = finding(could_be="decline", missing=("combustion.spark_retard",))
    told = flat(screen(replace(judgement, findings=(open_,))))
    assert "could be decline without combustion.spark_retard" in told


def test_gaps_are_grouped_by_what_is_missing(judgement: Judgement) -> None:
    text = screen(judgement)
    lack = "needs vehicle.tyre: Oil control in corners (OIL004), Sump for track use (OIL005)"
    assert f"Could not be judged, 4 rules: {lack};" in flat(text)
    full = screen(judgement, full=True)
    assert "Could not be judged: 4 rules" in full
    assert f"- {lack}" in full


@pytest.mark.parametrize(
    "sentence", ["Nothing found so far; some rules could not be judged.", "All is well."]
)
def test_an_incomplete_verdict_is_never_shown_as_clear(judgement: Judgement, sentence: str) -> None:
    verdict = Verdict("clear", False, ("OIL004",), None, sentence)
    text = screen(replace(judgement, findings=(), verdict=verdict))
    assert "nothing found so far" in text.lower()
    assert "could not be judged" in text
    assert "CLEAR" not in text


def test_a_complete_clear_verdict_says_so(judgement: Judgement) -> None:
    verdict = Verdict("clear", True, (), None, "No rule found anything to tell.")
    text = screen(replace(judgement, findings=(), not_judged=(), out_of_range=(), verdict=verdict))
    assert "CLEAR. No rule found anything to tell." in text
    assert "Could not be judged" not in text


def test_a_silent_finding_that_could_be_worse_is_told(judgement: Judgement) -> None:
    silent = finding("ROD009", title="Rod bolts", grade="clear", uncapped="clear", could_be="caution")
    assert "Open: Rod bolts (ROD009, could be caution)." in screen(replace(judgement, findings=(silent,)))


def test_us_units_reach_every_number_that_is_put_in_here(judgement: Judgement) -> None:
    text = flat(screen(judgement, system="us"))
    # 134.226 kW / 0.745700 = 180.0 hp; 2.19 MPa / 6894.757 Pa = 317.6 psi; 2.15 MPa = 311.8 psi
    assert "asked 180 hp at the wheels" in text
    assert "Mean effective pressure is 318 psi at 2500 rpm; the limit for light rods is 312 psi." in text
    assert "21.9 bar" not in text


def test_no_boost_is_not_told_as_a_figure(judgement: Judgement) -> None:
    none = replace(judgement.assessment.quantities["air.boost"], value=0.0)
    quantities = {**judgement.assessment.quantities, "air.boost": none}
    without = replace(judgement, assessment=replace(judgement.assessment, quantities=quantities))
    assert "boost 0.69 bar" in flat(screen(judgement))
    assert "; boost" not in flat(screen(without))


def test_assumed_inputs_are_told_with_their_range_and_the_classes_counted(judgement: Judgement) -> None:
    told = flat(screen(judgement))
    assert "Assumed: internals.rods.shank_area 140 mm^2 (115 to 165);" in told
    assert "; and 1 more." in told
    assert "class.rod.yield_strength" not in told


def test_notices_and_questions_are_told_apart(judgement: Judgement) -> None:
    rows = screen(judgement).splitlines()
    assert "! Decision support for trained people; not a measurement, a certificate or an inspection." in rows
    assert "? Which power is meant, and on which dyno?" in rows


@pytest.mark.parametrize("width", [40, 57, 80, 100])
def test_every_width_from_forty_up_holds(judgement: Judgement, width: int) -> None:
    assert max(map(len, screen(judgement, width).splitlines())) <= width


def test_grade_is_a_word_without_colour(judgement: Judgement) -> None:
    text = screen(judgement)
    assert "1. REINFORCE" in text
    assert "2. CAUTION" in text


def test_a_finding_says_which_part_nobody_stated(judgement: Judgement) -> None:
    # The class of the rods is assumed in this judgement's filled build; what the file states is not told again.
    about = finding("ROD003", reads=("internals.rods.class", "engine.bore"))
    assumed = Input("internals.rods.class", "light-forged-steel", "", basis="assumed")
    inputs = {**judgement.filled.inputs, "internals.rods.class": assumed}
    guessed = replace(judgement, findings=(about,), filled=replace(judgement.filled, inputs=inputs))
    assert "Assumed: internals.rods.class light-forged-steel. Down here" in flat(screen(guessed))
    stated = {**inputs, "internals.rods.class": replace(assumed, basis="documented")}
    known = replace(guessed, filled=replace(judgement.filled, inputs=stated))
    assert "Assumed: internals" not in flat(screen(known)).partition("Could not")[0]


def test_a_finding_says_which_number_of_its_part_nobody_stated(judgement: Judgement) -> None:
    """1 lb-ft is 1.3558179483314 N*m (NIST SP 811, appendix B), so that 250 N*m are 184 lb-ft."""
    path = "driveline.clutch_capacity"
    held = Input(path, 250.0, "N*m", 225.0, 275.0, "split-normal", "assumed")
    limit = LimitShown("reserve", 1.2, "1", "below", "base", 1.2)
    about = finding("DRV001", because=(Because("quantity", "clutch.reserve", 1.1, "1", None, limit),))

    def guessed(given: Input) -> Judgement:
        reserve = Column(None, rests=frozenset((path,)), takes={"capacity_nm": path})
        columns = {**judgement.assessment.columns, "clutch.reserve": reserve}
        filled = replace(judgement.filled, inputs={**judgement.filled.inputs, path: given})
        return replace(judgement, findings=(about, finding("ROD003")), filled=filled,
                       assessment=replace(judgement.assessment, columns=columns))

    assert flat(screen(guessed(held))).count(f"Assumed: {path} 250 N*m. Down here") == 1
    assert taken_for_granted(guessed(held), about, "us") == f"{path} 184 lb-ft"
    assert taken_for_granted(guessed(replace(held, basis="measured")), about, "us") == ""
    # That of another part is said where all assumptions stand, not at each finding.
    assert path not in taken_for_granted(guessed(held), finding("ROD003"), "metric")
