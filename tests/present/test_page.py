"""Pages for their readers: what is escaped, rounded, left blank and counted.

Conversions are checked against the definitions of the units: 1 in = 25.4 mm, 1 lbf = 4.4482216152605 N and so 1 lb-ft =
1.3558179483314 N*m exactly (NIST SP 811, appendix B).
"""

from __future__ import annotations

import csv
import importlib.util
import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from judged_by_hand import finding

from enginelimits.decisions.check import check_build
from enginelimits.decisions.verdict import Because, Finding, Judgement, LimitShown, RemedyShown
from enginelimits.present.page import drawings
from enginelimits.present.page.calibrator import in_one_unit, speeds_csv
from enginelimits.present.page.document import html_of, laid_out, page_of, pdf_of
from enginelimits.present.page.html import nodes_html
from enginelimits.present.page.parts import READERS, Matter
from enginelimits.present.page.trade_words import trade_words
from enginelimits.present.page.wording import (
    boost_words,
    nearness,
    plain_path,
    power_range,
    power_words,
    temperature_words,
    torque_words,
)
from enginelimits.present.tree import Heading, Item, Notice, Run, Table, line, table
from enginelimits.rules.catalogue import load_catalogue

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800" / "build.yaml"
EVIL = "<script>alert(1)</script>"


@cache
def judged() -> Judgement:
    return check_build(CASE, samples=0)


def matter(judgement: Judgement, **changes: object) -> Matter:
    return replace(Matter(judgement, load_catalogue(), "metric", "build.yaml", ""), **changes)  # type: ignore[arg-type]


def page(reader: str, given: Matter) -> str:
    return html_of(page_of(reader, given), given)


@pytest.mark.parametrize("reader", READERS)
def test_what_a_user_wrote_is_never_markup(reader: str) -> None:
    bad = finding(title=EVIL, message=EVIL, why=f"{EVIL}. More.", settled_by=EVIL, caveats=(f'"><img src=x {EVIL}',))
    judgement = replace(judged(), name=f"{EVIL} & co", findings=(bad, *judged().findings), notices=(EVIL,),
                        shop_values=(f"by {EVIL}",))
    made = page(reader, matter(judgement, build_file=f"{EVIL}.yaml"))
    assert "<script>alert" not in made and "<img src=x" not in made
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &amp; co</h1>" in made
    assert made.count("<script") == 1 and made.count("</script") == 1


def test_nodes_keep_their_order_and_their_roles() -> None:
    made = nodes_html([
        Heading("First"), line("Plain and ", Run("assumed", "assumed"), "."),
        Item("1.", (Run("CAUTION", "caution"), Run(" Thing (ROD003)")), (line("See ROD003 and ABC999."),)),
        Item("2.", (Run("Other"),)), Notice("Mind it."), Notice("Which?", "question"),
    ], anchors=frozenset({"ROD003"}))
    assert made.index("<h2>First</h2>") < made.index('<span class="assumed">assumed</span>') < made.index("<ol>")
    assert '<li id="rule-ROD003" class="finding grade-caution">' in made
    assert made.count("<li") == 2 and made.count("<ol") == 1
    assert "ABC999" in made and 'href="#rule-ABC999"' not in made
    assert "<strong>Notice:</strong> Mind it." in made and "<strong>To settle:</strong> Which?" in made


def test_a_rule_is_a_link_where_the_page_explains_it() -> None:
    made = nodes_html([line("See ROD003.")], anchors=frozenset({"ROD003"}))
    assert made == '<p>See <a href="#rule-ROD003">ROD003</a>.</p>'


def test_tables_name_their_columns_rows_and_lists() -> None:
    rows = [["needed", "these:\nrods\npistons"], ["price", "_" * 12]]
    one: Table = table(("", "as asked"), rows, wide=1, caption="Ways")
    made = nodes_html([one])
    assert "<caption>Ways</caption>" in made
    assert '<th scope="col" role="columnheader">as asked</th>' in made
    assert '<th scope="row" role="rowheader">needed</th>' in made
    assert "<p>these:</p><ul><li>rods</li><li>pistons</li></ul>" in made
    assert 'class="blank middle"' in made and "_" not in re.sub(r"<[^>]*>", "", made)


def test_a_customer_reads_figures_as_the_trade_rounds_them() -> None:
    """Power to 5, boost to 0.5 psi, temperature to 5 degrees: common practice, no source."""
    assert power_words(149_140.0, "us") == "200 hp (150 kW)"
    assert power_words(158_800.0, "metric") == "160 kW (215 hp)"
    assert power_range(140_900.0, 166_200.0, "metric") == "140 to 165 kW"
    assert power_range(150_000.0, 150_100.0, "metric") == ""
    assert torque_words(244.0, "metric") == "240 N*m"
    assert torque_words(1.3558179483314 * 184.0, "us") == "180 lb-ft"
    assert boost_words(6894.757293168 * 7.3, "us") == "7.5 psi"
    assert boost_words(52_000.0, "metric") == "0.50 bar"
    assert temperature_words(273.15 + 58.0, "metric") == "60 degC"
    assert temperature_words(273.15 + 35.0, "us") == "95 degF"


@pytest.mark.parametrize(
    ("value", "edge", "sense", "unit", "said"),
    [
        (0.997, 1.0, "below", "1", "right at its limit"),
        (0.9, 1.0, "below", "1", "about 10 % past its limit"),
        (1.5, 1.7, "above", "1", "about 10 % inside its limit"),
        (3.9, 1.7, "above", "1", "far past its limit"),
        (331.15, 333.15, "above", "K", "within 5 degC of its limit"),
        (343.15, 333.15, "above", "K", "about 10 degC past its limit"),
        ("yes", 1.0, "is", "1", ""),
    ],
)
def test_how_near_a_limit_is_in_round_words(value: object, edge: float, sense: str, unit: str, said: str) -> None:
    limit = LimitShown("edge", edge, unit, sense, "shipped", edge)
    assert nearness(Because("quantity", "a.b", value, unit, None, limit)) == said  # type: ignore[arg-type]


@pytest.mark.parametrize(("kelvin", "said"), [(331.15, "within 10 degF of"), (343.15, "about 20 degF past"),
                                              (321.0, "about 20 degF inside")])
def test_how_near_a_temperature_is_in_fahrenheit_degrees(kelvin: float, said: str) -> None:
    """A kelvin is 1.8 Fahrenheit degrees (NIST SP 811, appendix B): 2 K are 3.6, 10 K are 18, 12.15 K are 21.9."""
    limit = LimitShown("edge", 333.15, "K", "above", "shipped", 333.15)
    assert nearness(Because("quantity", "a.b", kelvin, "K", None, limit), "us") == f"{said} its limit"


def test_paths_are_told_in_words() -> None:
    assert plain_path("internals.pistons.top_ring_gap") == "top ring gap (pistons)"
    assert plain_path("driveline.clutch_capacity") == "clutch capacity (driveline)"
    assert plain_path("build") == "build"


def test_the_customer_reads_no_finer_power_than_5() -> None:
    given = matter(judged(), without=(("ways", "left out"),))
    parts = {part.name: part for part in page_of("customer", given).parts}
    said = " ".join(run.text for node in parts["answer"].nodes for run in node.runs)  # type: ignore[union-attr]
    figures = re.findall(r"(\d+) (?:kW|hp)", said)
    assert figures and all(int(figure) % 5 == 0 for figure in figures)
    assert {"goal", "answer", "ways", "cautions", "measure", "duties", "notices", "signatures"} == parts.keys()
    cautions = [node for node in parts["cautions"].nodes if isinstance(node, Item)]
    assert 1 <= len(cautions) <= 5
    for caution in cautions:
        labels = [under.runs[0].text for under in caution.under]
        assert labels[0] == "How sure: " and labels[1] == "On what: " and labels[-1] == "What we do: "


def test_what_a_caution_hangs_on_is_its_own_and_in_words_of_the_trade() -> None:
    """By the formulas themselves: reserve is clutch capacity over torque, a gap ratio gap over bore."""
    def assumed(quantity: str) -> str:
        about = finding(because=(Because("quantity", quantity, 1.0, "1", None, None),))
        parts = {p.name: p for p in page_of("customer", matter(replace(judged(), findings=(about,)))).parts}
        (caution,) = (node for node in parts["cautions"].nodes if isinstance(node, Item))
        (said,) = ("".join(r.text for r in under.runs) for under in caution.under if under.runs[0].text == "On what: ")
        return said.partition("assumed, not measured: ")[2].partition(";")[0]

    assert assumed("clutch.reserve").startswith("what the clutch holds, ")
    assert assumed("clutch.reserve").count(", ") == 2
    assert assumed("ring.top_gap_ratio") == "gaps of the top rings"
    assert trade_words("class.piston.land_notch_factor") == "what the ring lands bear"
    assert trade_words("ignition.plug_gap") == "plug gap (ignition)"


def test_an_open_verdict_never_reads_as_yes() -> None:
    verdict = replace(judged().verdict, grade="clear", complete=False, open=("ROD001",), limiting=None)
    made = page("customer", matter(replace(judged(), verdict=verdict)))
    assert "INCOMPLETE</p>" in made and "Not answered yet" in made and "Yes, as described" not in made


def test_the_sheet_of_the_builder_has_both_units_and_the_volume_that_gives_the_ratio() -> None:
    """82 by 85 mm sweeps pi/4 * 8.2^2 * 8.5 = 448.9 cc; at 10.5 that leaves 448.9 / 9.5 = 47.3 cc, 2.88 in^3.

    The definition of compression ratio: Heywood 1988, eq. 2.1.
    """
    made = page("builder", matter(judged()))
    assert "47.3 cc" in made and "2.88 in^3" in made
    assert "82.00 mm" in made and "3.228 in" in made
    assert made.count('class="blank') > 60
    assert '<span class="assumed">ASSUMED' in made
    # The goal that the parts are for: 200 hp = 149.1 kW.
    assert "asked 149 kW at the crank" in made


def test_parts_that_contradict_each_other_stand_in_one_line_of_the_builders_sheet() -> None:
    """What a finding of choking gas asks for undoes what one of late boost asks for: common practice, no source."""
    def asking(rule: str, grade: str, *ids: str) -> Finding:
        known = load_catalogue().remedies
        asked = tuple(RemedyShown(id_, "part", known[id_].say, (), "") for id_ in ids)
        return finding(rule, title=f"Matter of {rule}", grade=grade, uncapped=grade, remedies=asked)

    def rows(*findings: Finding) -> list[tuple[str, ...]]:
        parts = {p.name: p for p in page_of("builder", matter(replace(judged(), findings=findings))).parts}
        (asked,) = (node for node in parts["parts"].nodes if isinstance(node, Table))
        return [tuple(cell.text for cell in row) for row in asked.rows]

    more, less = asking("AIR002", "reinforce", "larger-turbine"), asking("AIR015", "caution", "smaller-turbine")
    clutch = asking("DRV001", "caution", "stronger-clutch")
    said = rows(more, clutch, less)
    assert [row[0] for row in said] == [
        "Either fit a turbine housing or wheel that passes more exhaust; or fit a turbine housing or wheel that passes "
        "less exhaust", "Fit a clutch of larger capacity"]
    assert said[0][1] == "reinforce"
    first, other = "the first is for matter of AIR002 (AIR002)", "the other for matter of AIR015 (AIR015)"
    assert said[0][2] == f"they contradict: {first}\n{other}"
    assert [row[0] for row in rows(less, clutch)] == [
        "Fit a turbine housing or wheel that passes less exhaust", "Fit a clutch of larger capacity"]


def test_tables_by_speed_leave_as_csv() -> None:
    name, text = speeds_csv(judged(), "us")
    rows = list(csv.reader(io.StringIO(text)))
    assert name.endswith(".csv")
    assert rows[0] == ["Torque and its cap, ordinary day"]
    heads, first = rows[1], rows[2]
    assert heads[:4] == ["rpm", "boost asked [psi]", "boost [psi]", "torque [lb-ft]"]
    assert len(first) == len(heads) and float(first[0]) >= 500.0
    named = ("torque [lb-ft]", "torque cap [lb-ft]", "room under it [lb-ft]")
    torque, cap, room = (float(first[heads.index(name)]) for name in named)
    assert room == cap - torque
    # What caps torque stands beside the cap, and says that nobody stated it: this case names neither part.
    parts = ("rods allow [lb-ft]", "lands allow [lb-ft]", "pre-ignition allows [lb-ft]",
             "clutch holds, assumed [lb-ft]", "gearbox rated, assumed [lb-ft]")
    assert cap == min(float(first[heads.index(name)]) for name in parts)
    assert any(row and row[0] == "Worst day, hot day" for row in rows)


def test_a_column_has_one_unit() -> None:
    assert in_one_unit([0.1e5, None, 2.0e6], "Pa", "metric", "x.y") == ("bar", ["0.1", "", "20.0"])
    assert in_one_unit([298.15, 308.15], "K", "metric", "x.temperature") == ("degC", ["25", "35"])


def test_without_matplotlib_a_page_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    real = importlib.util.find_spec
    monkeypatch.setattr(drawings, "find_spec", lambda name: None if name == "matplotlib" else real(name))
    plots, why = drawings.drawings("calibrator", judged(), None, "metric")
    assert plots == () and "matplotlib" in why
    made = page("calibrator", matter(judged(), without=(("plots", why),)))
    assert "Not drawn: matplotlib is not installed" in made and "<figure" not in made


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_customers_pdf_has_two_pages_at_most(paper: str, caplog: pytest.LogCaptureFixture) -> None:
    pytest.importorskip("weasyprint")
    given = matter(judged(), without=(("ways", "left out by --no-tiers"),))
    sheets = laid_out(page_of("customer", given), given, paper=paper)
    assert 1 <= len(sheets.pages) <= 2
    width, height = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}[paper]  # ISO 216; ANSI/ASME Y14.1, 8.5 by 11 in
    assert sheets.pages[0].width == pytest.approx(width / 25.4 * 96.0, abs=0.1)
    assert sheets.pages[0].height == pytest.approx(height / 25.4 * 96.0, abs=0.1)
    assert caplog.records == []


def test_a_word_of_the_customers_goal_is_broken_at_its_hyphen_alone() -> None:
    pytest.importorskip("weasyprint")
    kind = replace(judged().filled.inputs["forced_induction.kind"], value="positive-displacement")
    filled = replace(judged().filled, inputs={**judged().filled.inputs, "forced_induction.kind": kind})
    given = matter(replace(judged(), filled=filled))
    whole = page_of("customer", given)
    alone = replace(whole, parts=whole.parts[:1])
    for width in ("215px", "280px"):
        sheet = laid_out(alone, given, paper=f"{width} 900px").pages[0]
        words = {word for box in sheet._page_box.descendants() if hasattr(box, "text") for word in box.text.split()}
        assert words >= {"positive-", "displacement", "correction", "understood"}, width


def test_a_pdf_is_one() -> None:
    pytest.importorskip("weasyprint")
    given = matter(judged())
    assert pdf_of(page_of("builder", given), given).startswith(b"%PDF-")


def test_the_fuel_is_named_on_the_scale_of_the_pumps_it_was_written_in() -> None:
    from enginelimits.description.fill import filled
    from enginelimits.description.load import parse_build
    from enginelimits.present.page.duties import duties

    text = CASE.read_text(encoding="utf-8").replace("octane: 98 RON, gasoline", "octane: 93 AKI, gasoline")
    told = nodes_html(tuple(duties(replace(judged(), filled=filled(parse_build(text))), "us")))
    assert "gasoline of at least 93 AKI, ethanol 5 % in the tank" in re.sub(r"<[^>]*>", "", told)
    assert "97.5" not in told


def test_the_fuel_of_each_way_is_told_where_it_is_another() -> None:
    from enginelimits.decisions.plan import Plan, RemedySet, Tier
    from enginelimits.description.fill import filled
    from enginelimits.description.load import parse_build

    text = CASE.read_text(encoding="utf-8")
    on_ethanol = replace(judged(), filled=filled(parse_build(text.replace(", ethanol: 5 %", ", ethanol: 70 to 80 %"))))
    assert on_ethanol.filled.inputs["fuel.ethanol"].high == 0.8

    def fuels(standard: Judgement, reinforced: Judgement, state: str = "reaches the goal") -> dict[str, str]:
        def tier(name: str, each: Judgement) -> Tier:
            found = RemedySet((), (), each, (), (), (), 1.0, 1, True, each.verdict, True)
            return Tier(name, state, (found,), False)  # type: ignore[arg-type]

        tiers = (tier("on standard parts", standard), tier("reinforced", reinforced))
        found = Plan("a build", "reinforce", "effect", None, judged(), (), (), 1.0, True, (), tiers, 0, 2, False)
        parts = {p.name: p for p in page_of("customer", matter(judged(), plan=found)).parts}
        told = [node.head for node in parts["duties"].nodes if isinstance(node, Item)]
        return {label.text: "".join(run.text for run in how) for label, *how in told
                if label.text.startswith(("Fuel", "Ethanol", "Oil"))}

    every = fuels(judged(), judged())
    assert list(every) == ["Fuel: ", "Oil: "] and "ethanol 5 %" in every["Fuel: "]
    mixed = fuels(on_ethanol, judged())
    assert list(mixed) == ["Fuel, as asked and reinforced: ", "Fuel, on standard parts: ",
                           "Ethanol, on standard parts: ", "Oil: "]
    assert "ethanol 5 %" in mixed["Fuel, as asked and reinforced: "]
    assert "ethanol 70 to 80 %" in mixed["Fuel, on standard parts: "]
    # What is not quoted cannot be chosen.
    assert list(fuels(on_ethanol, on_ethanol, "no plan")) == ["Fuel: ", "Oil: "]


def test_a_way_that_reinforces_nothing_says_that_it_is_the_other() -> None:
    from enginelimits.decisions.plan import Plan, RemedySet, Tier
    from enginelimits.present.page.customer import ways

    def tier(name: str, *edits: dict[str, str]) -> Tier:
        found = RemedySet((), edits, judged(), (), (), (), 1.0, 1, True, judged().verdict, True)
        return Tier(name, "reaches the goal", (found,), False)

    def told(*reinforced: dict[str, str]) -> str:
        both = (tier("on standard parts", {"set": "fuel.octane"}), tier("reinforced", *reinforced))
        found = Plan("a build", "reinforce", "effect", None, judged(), (), (), 1.0, True, (), both, 0, 2, False)
        return nodes_html(tuple(ways(matter(judged(), plan=found))))

    assert "the same way as on standard parts" in told({"set": "fuel.octane"})
    assert "the same way" not in told({"set": "internals.rods.class"})
