"""JSON Schemas of files and outputs, by jsonschema, a general library: what ships is valid, what is wrong is refused.

Files are read as an editor's plug-in reads them, by the core schema of YAML 1.2: numbers and true or false are such,
everything else is text.
"""

from __future__ import annotations

import copy
import json
import re
from functools import cache
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from enginelimits.cli.main import exit_code
from enginelimits.present.file_schemas import FILE_SCHEMAS
from enginelimits.present.output_schemas import OUTPUT_SCHEMAS

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "small-turbo-1800"
EVERY = {**FILE_SCHEMAS, **OUTPUT_SCHEMAS}


class Core(yaml.SafeLoader):
    """YAML 1.2's core schema, from its specification (chapter 10.3)."""


Core.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("bool", r"true|True|TRUE|false|False|FALSE", "tTfF"),
    ("int", r"[-+]?[0-9]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+0123456789."),
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
):
    Core.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(rf"^(?:{pattern})$"), list(first))


def read(text):
    return yaml.load(text, Loader=Core)


@cache
def validator(name):
    return Draft202012Validator(EVERY[name]())


def wrong(name, data):
    return [f"{'.'.join(map(str, e.absolute_path))}: {e.message[:160]}" for e in validator(name).iter_errors(data)]


@pytest.mark.parametrize("name", EVERY)
def test_each_is_a_schema(name):
    Draft202012Validator.check_schema(EVERY[name]())


BUILDS = [*sorted(ROOT.glob("cases/*/build.yaml")), ROOT / "tests" / "description" / "builds" / "full.yaml",
          ROOT / "limits" / "enginelimits" / "cli" / "starter.yaml"]


@pytest.mark.parametrize("path", BUILDS, ids=lambda p: f"{p.parent.name}-{p.stem}")
def test_every_shipped_build_is_valid(path):
    assert wrong("build.schema.json", read(path.read_text("utf-8"))) == []


def test_lines_of_the_starter_are_valid_once_used():
    text = (ROOT / "limits" / "enginelimits" / "cli" / "starter.yaml").read_text("utf-8")
    used = re.sub(r"^#(?=\s*[a-z_]+:)", "", text, flags=re.MULTILINE)
    assert used != text and wrong("build.schema.json", read(used)) == []


BUILD = "build: x\nengine: {cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 11.0, redline: 7200 rpm}\n"


@pytest.mark.parametrize("added", [
    "forced_induction: {kind: turbocharger, boost: {3000 rpm: 8 psi, 6000 rpm: 10 +/- 1 psi}, intercooler: none}",
    "internals: {rods: {mass: {value: 480 g, low: 470 g, high: 500 g, basis: measured, note: scale}}}",
    "internals: {rods: {shank_area: 120 to 160 mm^2}, rod_bolts: {property_class: 10.9, reused: {probability: 0.3}}}",
    "anchors: {knock: [{speed: 3500 rpm, boost: 8 psi, charge_temperature: 45 degC, lambda: 0.8, timing: 12 deg}]}",
    "protections: [overboost, knock]",
    "protections: none",
    "protections: []",
])
def test_forms_of_a_value_are_valid(added):
    assert wrong("build.schema.json", read(BUILD + added)) == []


@pytest.mark.parametrize("added", [
    "forced_induction: {kind: turbine}",
    "forced_induction: {boost: 10}",  # no unit
    "forced_induction: {boost: about ten}",
    "internals: {rod: {mass: 480 g}}",
    "internals: {rods: {mass: {low: 480 g}}}",
    "internals: {rods: {mass: {value: 480 g, basis: guessed}}}",
    "engine: {cylinders: 4}",
    "protections: [overboost, luck]",
    "protections: overboost",
    "internals: {condition: {leak_down: []}}",
])
def test_what_is_wrong_is_refused(added):
    assert wrong("build.schema.json", {**read(BUILD), **read(added)})


def test_shipped_names_and_prices_are_valid():
    assert wrong("logs.schema.json", read((CASE / "logs.yaml").read_text("utf-8"))) == []
    assert wrong("prices.schema.json", read((ROOT / "docs" / "example-prices.yaml").read_text("utf-8"))) == []
    assert wrong("logs.schema.json", {"names": {"RPM": {"is": "revs"}}})
    assert wrong("prices.schema.json", {"forged-rods": {"price": 100, "currency": "euro"}})


def test_settings_of_a_shop_as_the_first_hour_writes_them():
    page = (ROOT / "docs" / "first-hour" / "shop.md").read_text("utf-8")
    text = re.search(r'title="shop/shop.yaml"\n(.*?)```', page, re.DOTALL)[1]
    assert wrong("shop.schema.json", read(text)) == []
    assert wrong("shop.schema.json", {"dyno": "roller"})


CALIBRATION = """
engine: {family: invented 1.8}
date: 2026-05-14
author: A. Fitter
taken_at: {speed: 2000 to 6800 rpm, boost: 0 to 0.6 bar_g, octane: 98 RON, ethanol: 5 %, dyno: inertia}
logs: [{file: pull.csv, sha256: "0123"}]
filling_of: four-valve
anchors: {filling: {2000 rpm: 0.97 +/- 0.03, 6000 rpm: 1.01 +/- 0.02}, driveline_loss_fixed: 5.2 +/- 1.1 kW}
moved: [filling]
correlation: [[], [0.2], [0.1, -0.3]]
"""


def test_a_calibration_that_the_reader_takes_is_valid():
    from enginelimits.description.calibration import parse_calibration

    parse_calibration(CALIBRATION)
    data = read(CALIBRATION)
    assert wrong("calibration.schema.json", data) == []
    assert wrong("calibration.schema.json", {**data, "anchors": {"luck": "1.0 +/- 0.1"}})
    assert wrong("calibration.schema.json", {k: v for k, v in data.items() if k != "engine"})


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("printed")
    asked = {
        "checks": ["check", str(CASE / "build.yaml"), str(ROOT / "cases/factory-na-1800/build.yaml"), "--samples", "4"],
        "pull": ["pull", str(CASE / "build.yaml"), str(CASE / "pull.csv"), "--names", str(CASE / "logs.yaml"),
                 "--samples", "0"],
    }
    for name, words in asked.items():
        assert exit_code([*words, "--format", "json", "--quiet", "-o", str(folder / f"{name}.json")]) in (0, 1)
    found = {name: json.loads((folder / f"{name}.json").read_text("utf-8")) for name in asked}
    return {**found, "check": found["checks"]["checks"][0]}


@pytest.mark.parametrize(("name", "schema"), [("check", "check"), ("checks", "check"), ("pull", "pull")])
def test_outputs_are_valid(printed, name, schema):
    assert wrong(f"{schema}.output.schema.json", printed[name]) == []


@pytest.mark.slow
def test_data_of_a_report_are_valid(tmp_path):
    pytest.importorskip("jinja2")
    pytest.importorskip("matplotlib")
    out = tmp_path / "report.json"
    words = ["report", str(CASE / "build.yaml"), "--for", "calibrator", "--format", "json"]
    assert exit_code([*words, "--samples", "0", "--no-tiers", "--quiet", "-o", str(out)]) in (0, 1)
    assert wrong("report.output.schema.json", json.loads(out.read_text("utf-8"))) == []


def test_an_output_with_a_name_more_or_less_is_refused(printed):
    for break_it in (
        lambda d: d.pop("verdict"), lambda d: d.update(colour="red"), lambda d: d["findings"][0].pop("message"),
        lambda d: d["quantities"].update({"no.such": {}}), lambda d: d["verdict"].update(grade="fine"),
    ):
        data = copy.deepcopy(printed["check"])
        break_it(data)
        assert wrong("check.output.schema.json", data)
