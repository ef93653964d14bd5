"""Plots of one case: that each is drawn, that what is drawn are the quantities, and what the sheet itself promises."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from enginelimits.decisions.bench import bench_of
from enginelimits.decisions.check import check_build
from enginelimits.decisions.ladder import ladder
from enginelimits.decisions.measure import measure
from enginelimits.decisions.verdict import Judgement
from enginelimits.errors import InputError
from enginelimits.measured.csv_log import read_log
from enginelimits.measured.find import found_in
from enginelimits.measured.names import read_names
from enginelimits.measured.read_back import read_back
from enginelimits.present.plots import plot
from enginelimits.present.plots.element import FIRST, LIMIT, SECOND
from enginelimits.present.plots.plot import Plot

CASE = Path(__file__).parents[3] / "cases" / "small-turbo-1800"
SVG = "{http://www.w3.org/2000/svg}"
NAMES = ("torque-and-power", "cylinder-pressure", "rod-force", "margins", "ladder", "sensitivity", "log-against-model")


@pytest.fixture(scope="module")
def judgement() -> Judgement:
    return check_build(CASE / "build.yaml", samples=16)


@pytest.fixture(scope="module")
def found() -> dict[str, Any]:
    """What the searches and the log give."""
    bench = bench_of(CASE / "build.yaml", samples=0)
    names = read_names(CASE / "logs.yaml", None)
    pulls = found_in(read_log(CASE / "pull.csv", names)).pulls
    return {
        "ladder": ladder(bench, steps=3),
        "measured": measure(bench_of(CASE / "build.yaml", samples=32)),
        "read": read_back(pulls[-1], bench.build, bench.catalogue, dyno=names.dyno, samples=4, beside=pulls),
    }


@pytest.fixture(scope="module")
def plots(judgement: Judgement, found: dict[str, Any]) -> dict[str, Plot]:
    made = (
        plot.torque_and_power(judgement), plot.cylinder_pressure(judgement), plot.rod_force(judgement),
        plot.margins(judgement), plot.ladder(found["ladder"]), plot.sensitivity(found["measured"]),
        plot.log_against_model(found["read"]),
    )
    return {one.name: one for one in made}


def column(judgement: Judgement, id_: str) -> Any:
    """A column at the site over draws and speeds."""
    return np.asarray(judgement.assessment.columns[id_].si, dtype=float)[0]


def test_there_is_every_plot(plots: dict[str, Plot]) -> None:
    assert tuple(plots) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_it_is_one_element_that_needs_nothing_else(plots: dict[str, Plot], name: str) -> None:
    for svg in (plots[name].svg, plots[name].printed):
        root = ElementTree.fromstring(svg)
        assert root.tag == f"{SVG}svg"
        tags = {node.tag.removeprefix(SVG) for node in root.iter()}
        assert not tags & {"script", "image", "style", "foreignObject", "metadata", "a", "animate", "iframe"}
        for node in root.iter():
            for key, value in node.attrib.items():
                assert not key.lower().startswith("on")
                if key.endswith("href"):
                    assert value.startswith("#")
                assert all(place.startswith("#") for place in re.findall(r"url\(([^)]*)\)", value))
        outside = svg.replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert "http" not in outside
        assert "@import" not in outside


def test_ids_are_unique_on_a_page_and_every_reference_leads_somewhere(plots: dict[str, Plot]) -> None:
    page = ElementTree.fromstring(f"<page>{''.join(one.svg for one in plots.values())}</page>")
    ids = [node.attrib["id"] for node in page.iter() if "id" in node.attrib]
    assert len(ids) == len(set(ids))
    asked = {value.removeprefix("#") for node in page.iter() for key, value in node.attrib.items()
             if key.endswith("href")}
    asked |= {place for node in page.iter() for value in node.attrib.values()
              for place in re.findall(r"url\(#([^)]+)\)", value)}
    asked |= {word for node in page.iter() for word in node.attrib.get("aria-labelledby", "").split()}
    assert asked
    assert asked <= set(ids)


def test_the_same_plot_twice_on_a_page_takes_another_name(judgement: Judgement) -> None:
    one, other = (plot.rod_force(judgement, name=name) for name in ("rod-a", "rod-b"))
    ids = re.findall(r' id="([^"]+)"', one.svg + other.svg)
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("name", NAMES)
def test_colours_follow_the_page(plots: dict[str, Plot], name: str) -> None:
    """No colour of its own stands anywhere but as the fallback of a variable, and ink is the page's."""
    svg = plots[name].svg
    assert "currentColor" in svg
    without = re.sub(r"var\(--plot-[a-z]+, [^)]+\)", "", svg)
    assert not re.search(r"(fill|stroke)[:=]\s*\"?#", without)
    assert not re.search(r"#[0-9a-fA-F]{6}\b", without)
    printed = plots[name].printed
    assert "var(" not in printed
    assert "currentColor" not in printed


@pytest.mark.parametrize("name", NAMES)
def test_letters_are_text_that_a_phone_can_show(plots: dict[str, Plot], name: str) -> None:
    """The sheet is as wide as a phone in CSS pixels, so that a size is what is read there; 8 px is the least."""
    root = ElementTree.fromstring(plots[name].svg)
    assert root.attrib["viewBox"].split()[2] == "360"
    assert "width" not in root.attrib
    assert "width:100%" in root.attrib["style"]
    texts = list(root.iter(f"{SVG}text"))
    assert len(texts) > 8
    for text in texts:
        size = re.search(r"font-size: ([\d.]+)px", text.attrib["style"])
        assert size is not None
        assert float(size[1]) >= 8.0
        assert "sans-serif" in text.attrib["style"]


@pytest.mark.parametrize("name", NAMES)
def test_it_is_told_in_words(plots: dict[str, Plot], name: str) -> None:
    one = plots[name]
    root = ElementTree.fromstring(one.svg)
    assert root.attrib["role"] == "img"
    assert root.findtext(f"{SVG}title") == one.title
    assert root.findtext(f"{SVG}desc") == one.alt
    assert len(re.findall(r"\d", one.alt)) > 5
    assert one.alt.endswith(".")
    assert "None" not in one.alt
    assert "nan" not in one.alt


@pytest.mark.parametrize("name", NAMES)
def test_its_numbers_are_json(plots: dict[str, Plot], name: str) -> None:
    def refuse(word: str) -> float:
        raise ValueError(word)

    data = json.loads(plots[name].json, parse_constant=refuse)
    assert data["plot"] == name
    assert data["build"] == "1.8 with a small turbo on pump fuel"


def test_torque_and_power_are_the_quantities(judgement: Judgement, plots: dict[str, Plot]) -> None:
    data = plots["torque-and-power"].data
    lines = {line["quantity"]: line for line in data["lines"]}
    assert set(lines) == {"crank.torque", "crank.power", "air.boost", "fuel.lambda_target"}
    for id_ in ("crank.torque", "crank.power", "air.boost"):
        rows = column(judgement, id_)
        assert lines[id_]["values"] == pytest.approx(rows[0])
        assert lines[id_]["low"] == pytest.approx(np.percentile(rows[1:], 5, axis=0))
        assert lines[id_]["high"] == pytest.approx(np.percentile(rows[1:], 95, axis=0))
    torque, power = (np.array(lines[id_]["values"]) for id_ in ("crank.torque", "crank.power"))
    assert torque * np.array(data["speeds"]["values"]) == pytest.approx(power)


def test_lowest_of_the_limits_is_the_torque_cap(judgement: Judgement, plots: dict[str, Plot]) -> None:
    data = plots["torque-and-power"].data
    limits = np.array([[np.inf if v is None else v for v in one["values"]] for one in data["limits"]])
    assert limits.min(axis=0) == pytest.approx(column(judgement, "engine.torque_cap")[0])
    first = data["first_limit"]
    torque = np.array(data["lines"][0]["values"])
    passed = np.flatnonzero(torque > limits.min(axis=0))
    assert first["reached"]
    assert first["engine_speed"] == pytest.approx(data["speeds"]["values"][passed[0]])
    assert first["is"] == data["limits"][int(np.argmin(limits[:, passed[0]]))]["is"]
    assert first["is"] in plots["torque-and-power"].alt


def test_redline_and_limiter_are_those_of_the_build(plots: dict[str, Plot]) -> None:
    """6800 and 7000 rpm, as the build file states them."""
    marks = {mark["input"]: mark["value"] * 30.0 / np.pi for mark in plots["torque-and-power"].data["marks"]}
    assert marks == {"engine.redline": pytest.approx(6800.0), "engine.limiter": pytest.approx(7000.0)}


def test_cylinder_volume_is_that_of_bore_stroke_and_ratio(plots: dict[str, Plot]) -> None:
    """82 x 85 mm at 10.5 to 1: swept pi/4 * 0.082**2 * 0.085 = 448.9 cc; clearance is that over 9.5, 47.25 cc."""
    volume = np.array(plots["cylinder-pressure"].data["volume"]["values"])
    assert volume.min() * 1e6 == pytest.approx(47.25, abs=0.01)
    assert volume.max() * 1e6 == pytest.approx(448.9 + 47.25, abs=0.1)


def test_cylinder_pressure_peaks_where_it_is_marked(judgement: Judgement, plots: dict[str, Plot]) -> None:
    data = plots["cylinder-pressure"].data
    pressure, angle = np.array(data["pressure"]["values"]), np.array(data["angle"]["values"])
    marks = {mark["is"]: mark["value"] for mark in data["marks"]}
    assert pressure.max() == pytest.approx(data["peak"]["value"], rel=2e-3)
    assert angle[pressure.argmax()] == pytest.approx(marks["peak"], abs=np.radians(2.0))
    assert 0.0 < marks["half burned"] < marks["peak"]
    assert data["peak"]["value"] == pytest.approx(column(judgement, "cylinder.peak_pressure")[0].max())
    assert data["peak"]["low"] <= data["peak"]["value"] <= data["high_cycle"]["value"]


def test_rod_force_reaches_what_the_quantities_say(plots: dict[str, Plot]) -> None:
    for cycle in plots["rod-force"].data["cycles"]:
        force = np.array(cycle["values"])
        assert force.max() == pytest.approx(cycle["compression"]["value"], rel=1e-9)
        assert -force.min() == pytest.approx(cycle["tension"]["value"], rel=1e-9)


def test_rod_is_pulled_at_gas_exchange_by_mass_times_acceleration(judgement: Judgement, plots: dict[str, Plot]) -> None:
    """At the top of gas exchange m * r * w**2 * (1 + r / l) pulls (Khurmi and Gupta, ch. 15), by hand for 42.5 mm of
    radius and 140 mm of rod; gas there is within two bar of outside, on 52.8 cm^2."""
    high = plots["rod-force"].data["cycles"][1]
    mass = sum(float(column(judgement, id_)[0, 0]) for id_ in ("piston.assembly_mass", "rod.mass_above_section"))
    pull = mass * 0.0425 * (7000.0 * np.pi / 30.0) ** 2 * (1.0 + 0.0425 / 0.140)
    assert high["tension"]["value"] == pytest.approx(pull, abs=2e5 * np.pi / 4.0 * 0.082**2)
    angle = np.degrees(plots["rod-force"].data["angle"]["values"])
    at = angle[int(np.argmin(high["values"]))]
    assert abs(abs(at) - 360.0) < 10.0


def test_margins_are_value_over_limit(plots: dict[str, Plot]) -> None:
    data = plots["margins"].data
    assert len(data["subsystems"]) > 8
    shares = [row["share"] for row in data["subsystems"]]
    assert shares == sorted(shares, reverse=True)
    for row in data["subsystems"]:
        value, limit = row["value"], row["limit"]
        if row["unit"] == "K" and limit > 290.0:
            value, limit = value - 273.15, limit - 273.15
        assert row["share"] in (pytest.approx(value / limit), pytest.approx(limit / value))
        if row["low"] is not None:
            assert row["low"] <= row["high"]
    clutch = next(row for row in data["subsystems"] if row["family"] == "driveline")
    assert clutch["share"] > 1.0
    assert clutch["grade"] == "reinforce"


def test_margins_know_the_grade_of_each_finding(judgement: Judgement, plots: dict[str, Plot]) -> None:
    grades = {f.rule: f.grade for f in judgement.findings}
    for row in plots["margins"].data["subsystems"]:
        assert row["grade"] == grades.get(row["rule"], "clear")
        if row["worst"] is not None:
            assert grades[row["worst"]["rule"]] == row["worst"]["grade"]


def test_margins_of_another_catalogue_are_not_drawn(judgement: Judgement) -> None:
    with pytest.raises(InputError, match="catalogue that judged"):
        plot.margins(replace(judgement, layers=()))


def test_ladder_names_what_each_step_reaches(found: dict[str, Any], plots: dict[str, Plot]) -> None:
    steps = plots["ladder"].data["steps"]
    assert len(steps) == len(found["ladder"].rungs)
    for step, rung in zip(steps, found["ladder"].rungs, strict=True):
        assert step["power"]["value"] == rung.trial.power.value
        assert step["grade"] == rung.verdict.grade
    assert plots["ladder"].data["asked"]["power"]["value"] == pytest.approx(149_140.0, abs=1.0)  # 200 hp
    shown = " ".join(ElementTree.fromstring(plots["ladder"].svg).itertext())
    assert all(step["first"]["title"][:20] in shown for step in steps if step["first"])


def test_sensitivity_tells_the_measurements_in_their_order(found: dict[str, Any], plots: dict[str, Plot]) -> None:
    told = plots["sensitivity"].data["measurements"]
    order = list(dict.fromkeys(u.measurement.how for u in found["measured"].unknowns))
    assert [one["how"] for one in told] == order[: len(told)]


def test_log_is_held_against_the_model(found: dict[str, Any], plots: dict[str, Plot]) -> None:
    read = found["read"]
    pairs = {pair["channel"]: pair for pair in plots["log-against-model"].data["pairs"]}
    assert {"wheel_torque", "boost", "lambda", "charge_temperature"} <= set(pairs)
    torque = pairs["wheel_torque"]
    seen = np.interp(read.speeds, read.wheel.speeds, read.wheel.torque)
    assert torque["measured"] == pytest.approx(seen)
    assert torque["predicted"] == pytest.approx(read.predicted_wheel[0] / read.speeds)
    for pair in pairs.values():
        assert np.array(pair["measured"]) - np.array(pair["predicted"]) == pytest.approx(pair["residual"])


def test_log_without_power_is_held_by_its_boost(found: dict[str, Any]) -> None:
    made = plot.log_against_model(replace(found["read"], wheel=None, predicted_wheel=None))
    assert made.data["pairs"][0]["channel"] == "boost"
    assert "inf" not in made.svg
    assert "measured less model, bar" in " ".join(ElementTree.fromstring(made.svg).itertext())


def test_nothing_to_measure_is_said(found: dict[str, Any]) -> None:
    made = plot.sensitivity(replace(found["measured"], unknowns=(), blocking=()))
    assert "No single unknown stands out" in made.alt
    assert "No single unknown stands out" in " ".join(ElementTree.fromstring(made.svg).itertext())


def test_what_could_not_be_computed_is_no_plot(judgement: Judgement) -> None:
    columns = {id_: column._replace(si=None) if id_.startswith(("crank.", "cylinder.", "rod.")) else column
               for id_, column in judgement.assessment.columns.items()}
    lost = replace(judgement, assessment=replace(judgement.assessment, columns=columns))
    for draw in (plot.torque_and_power, plot.cylinder_pressure, plot.rod_force):
        with pytest.raises(InputError, match="could not be computed"):
            draw(lost)


def test_lines_differ_without_colour(plots: dict[str, Plot]) -> None:
    """Torque, power and limits are drawn with strokes of their own."""
    root = ElementTree.fromstring(plots["torque-and-power"].svg)
    strokes: dict[str, set[str]] = {}
    for node in root.iter(f"{SVG}path"):
        style = node.attrib.get("style", "")
        for colour in (FIRST, SECOND, LIMIT):
            if "stroke: var" in style and colour in style and "stroke-width: 0.5" not in style:
                dash = re.search(r"stroke-dasharray: ([^;]+)", style)
                strokes.setdefault(colour, set()).add("" if dash is None else dash[1])
    assert set(strokes) == {FIRST, SECOND, LIMIT}
    lines = [frozenset(strokes[colour]) for colour in (FIRST, SECOND, LIMIT)]
    assert len(set(lines)) == 3


@pytest.mark.parametrize("colour", [FIRST, SECOND, LIMIT])
def test_colours_are_seen_on_white_and_on_black(colour: str) -> None:
    """A contrast of 3 to 1 for what is drawn: WCAG 2.1, success criterion 1.4.11, relative luminance as defined
    there."""
    def luminance(text: str) -> float:
        parts = [int(text[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for ground in ("#ffffff", "#121212"):
        light, dark = sorted((luminance(colour), luminance(ground)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 3.0


DRAWINGS: tuple[Callable[..., Plot], ...] = (
    plot.torque_and_power, plot.cylinder_pressure, plot.rod_force, plot.margins
)


@pytest.mark.parametrize("draw", DRAWINGS)
def test_it_is_drawn_the_same_each_time(judgement: Judgement, draw: Callable[..., Plot]) -> None:
    first, again = draw(judgement), draw(judgement)
    assert first.svg == again.svg
    assert first.json == again.json


@pytest.mark.parametrize("draw", DRAWINGS)
def test_a_name_cannot_leave_its_place(judgement: Judgement, draw: Callable[..., Plot]) -> None:
    """Markup, formulas and control characters of a user's in a build's name and in titles."""
    hostile = "</svg><script>alert(1)</script> $x_1$ & \x07 \u4e2d"
    findings = tuple(replace(f, title=hostile) for f in judgement.findings)  # as a shop's own rule could have
    made = draw(replace(judgement, name=hostile, findings=findings))
    root = ElementTree.fromstring(made.svg)
    assert root.find(f".//{SVG}script") is None
    assert "<script" not in made.svg
    assert made.data["build"] == hostile


@pytest.mark.parametrize("draw", DRAWINGS[:3])
def test_us_units_are_on_the_axes(judgement: Judgement, draw: Callable[..., Plot]) -> None:
    made = {system: draw(judgement, system) for system in ("metric", "us")}
    shown = {system: " ".join(ElementTree.fromstring(one.svg).itertext()) for system, one in made.items()}
    units = {"torque-and-power": (("N*m", "kW", "bar"), ("lb-ft", "hp", "psi")),
             "cylinder-pressure": (("bar", "cc"), ("psi", "in^3")), "rod-force": (("kN",), ("lbf",))}
    ours, theirs = units[made["us"].name]
    assert all(unit in shown["metric"] for unit in ours)
    assert all(unit in shown["us"] for unit in theirs)
    assert made["us"].data == made["metric"].data


def test_without_draws_there_is_no_band(judgement: Judgement) -> None:
    bare = check_build(CASE / "build.yaml", samples=0)
    for draw in DRAWINGS:
        made = draw(bare)
        assert "5 to 95 %:" not in made.alt
    assert plot.torque_and_power(bare).data["lines"][0]["low"] is None


def test_engine_without_boost_has_neither_boost_nor_limits() -> None:
    natural = check_build(CASE.parent / "factory-na-1800" / "build.yaml", samples=0)
    data = plot.torque_and_power(natural).data
    assert "air.boost" not in {line["quantity"] for line in data["lines"]}
    assert data["first_limit"] is None
    assert plot.margins(natural).data["subsystems"]


def test_what_draws_is_named_where_it_is_missing(judgement: Judgement, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    with pytest.raises(InputError, match=r"engine-limits\[plots\]"):
        plot.rod_force(judgement)


def test_nothing_is_imported_before_a_plot_is_drawn() -> None:
    program = ("import sys, enginelimits.present.plots.plot, enginelimits.cli.check, enginelimits.present.notebook; "
               "sys.exit('matplotlib' in sys.modules)")
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
