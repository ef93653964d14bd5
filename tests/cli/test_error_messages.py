"""Sixty ways to get it wrong, and what is said: the place, what was wanted, what was got, how to mend it.

Each was read as a text by somebody who does not know the program; what is asked here is that the words which helped are
there, and no word of the machinery.
"""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from enginelimits.cli.main import exit_code
from enginelimits.cli.start import STARTER

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "small-turbo-1800"
MACHINERY = ("Traceback", "Error", "pydantic", "validation", "NoneType", "Input should", "dict", "str_", "[type=")


@pytest.fixture
def told(tmp_path, monkeypatch, capsys):
    """What is told of a command, run in a folder with the starter as b.yaml."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("ENGINELIMITS_SHOP", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    Path("b.yaml").write_text(STARTER.read_text("utf-8"), encoding="utf-8")
    Path("shop").mkdir()

    def tell(*words):
        code = exit_code(list(words))
        out, err = capsys.readouterr()
        assert code == 2, (out, err)
        assert not any(word in err for word in MACHINERY), err
        assert err.startswith("enginelimits") and max(map(len, err.splitlines())) < 600
        return err

    return tell


BUILDS = [
    ("bore: 83 mm", "bore: 83", "b.yaml:29:9: engine.bore", "`83` without a unit", "Add the unit: m, mm"),
    ("bore: 83 mm", "bore: 83 foot", "unit is not accepted", "Near: ft"),
    ("bore: 83 mm", "bore: 83 kg", "`83 kg`, which is a mass", "Accepted here: m, mm"),
    ("bore: 83 mm", "bore: 83 m", "from 0.03 m to 0.3 m", "Is the unit the one that was meant?"),
    ("bore: 83 mm", "boer: 83 mm", "engine.boer", "Near: bore", "engine.bore: wanted a length", "required"),
    ("boost: 10 psi", "boost: 10 psia", "gauge pressure", "absolute", "subtract the barometric pressure"),
    ("boost: 10 psi", "boost: 8-10 psi", "Write a range as `8 to 10 psi`"),
    ("boost: 10 psi", "boost: about 10 psi", "Begin with the number"),
    ("octane: 98 RON", "octane: 98", "Add the unit: RON or AKI"),
    ("kind: turbocharger", "kind: turbo", "one of none, turbocharger", "Write `turbocharger`, if that is meant"),
    ("cylinders: 4", "cylinders: four", "a whole number from 1 to 16", "`four`"),
    ("compression_ratio: 11.0", "compression_ratio: 11,0", "a point for decimals"),
    ("compression_ratio: 11.0", "compression_ratio: 110", "from 4 to 20", "`110`"),
    ("  ethanol: 5 %", "  ethanol: 0.05", "a share such as `30 %`", "Add the unit: %"),
    ("  ethanol: 5 %", "  ethanol: 120 %", "from 0 % to 100 %", "`120 %`"),
    ("goal:", "goal", "wanted YAML", "colon after each key"),
    ("goal:", "goal: [", "wanted YAML", "bracket, brace or comma"),
    ("  bore: 83 mm", "\tbore: 83 mm", "wanted YAML", "Indent with spaces, not tabs"),
    ("built_for_boost: false", "built_for_boost: maybe", "`true` or `false`", "{probability: 0.3}"),
    ("redline: 7200 rpm", "redline: 7200 rpm\n  redline: 7000 rpm", "first on line 38", "Keep one of them"),
    ("limiter: 7400 rpm", "limiter: 6000 rpm", "at or above the redline", "lower the redline with it"),
    ("\nengine:", "\ncalibration: mine\nengine:", "calibration", "write `none`"),
    ("kind: turbocharger", "kind: supercharger", "Write `centrifugal` or `positive-displacement`"),
    # no more than the air path's formulas judge: beyond them nothing but a note would be found
    ("boost: 10 psi", "boost: 70 psi", "from 0 psi to 58.02 psi", "Is the unit the one that was meant?"),
    ("boost: 10 psi", "boost: 10 PSI", "Near: psi, psig.", "mbar, bar, psi, psig, bar_g, kPa_g."),
    ("boost: 10 psi", "boost: 8 – 10 psi", "Write a range as `8 to 10 psi`"),
    ("boost: 10 psi", "boost: 10 +- 1 psi", "Write a spread as `140 +/- 15 mm^2`"),
    ("octane: 98 RON", "octane: 98 ron", "Near: RON. Accepted here: RON, AKI."),
    ("#fuel_system:\n#  port_injectors: {count: 4, flow: 630 cc/min",
     "fuel_system:\n  port_injectors: {count: 4, flow: 60 lb/hr",
     "Near: lb/h, L/h"),
    ("redline: 7200 rpm", "redline: 7 200 rpm", "no mark between thousands"),
    ("compression_ratio: 11.0", "compression_ratio: 11:1", "the number alone: `11`"),
    ("compression_ratio: 11.0", "compression_ratio: 11 to 1", "the number alone: `11`"),
    ("#fuel_system:\n#  port_injectors: {count: 4, flow: 630 cc/min",
     "fuel_system:\n  port_injectors: {count: 4, flow: 0,63 L/min",
     "fuel_system.port_injectors.flow: wanted a number without a comma, got `0,63 L/min`", "point for decimals"),
    ("boost: 10 psi", "boost: {2,500 rpm: 8 psi, 7000 rpm: 10 psi}", "number without a comma, got `2,`"),
]


@pytest.mark.parametrize(("was", "now", "words"), [(w, n, words) for w, n, *words in BUILDS], ids=lambda v: str(v)[:30])
def test_a_build_that_is_wrong(told, was, now, words):
    text = Path("b.yaml").read_text("utf-8")
    assert was in text
    Path("b.yaml").write_text(text.replace(was, now, 1), encoding="utf-8")
    said = told("check", "b.yaml", "--samples", "0")
    for word in words:
        assert word in said


COMMANDS = [
    ("check nofile.yaml", "no such file", "Check the name and the folder"),
    ("check .", "a folder", "Name the file inside it"),
    ("check b.yaml --samples many", "--samples", "wanted a whole number", "See `enginelimits check --help`"),
    ("check b.yaml --samples -4", "greater than or equal to 0"),
    ("check b.yaml --fail-on bad", "'bad' is not one of 'note', 'caution'"),
    ("check b.yaml --sample 4", "No such option: --sample", "--samples"),
    ("check b.yaml --mountain 2500", "`2500`", "Write it as 2500 m or 8000 ft"),
    ("check b.yaml --rules nowhere", "no folder `nowhere`", "leave --rules out"),
    ("check b.yaml --shop nowhere", "no folder `nowhere`", "leave --shop out"),
    ("check b.yaml --as-of tomorrow", "YYYY-MM-DD", "'tomorrow'", "Such as 2026-11-25"),
    ("check b.yaml -o b.yaml", "a file that is not an input", "nothing was written"),
    ("start -o b.yaml", "which is there already", "nothing was written"),
    ("why b.yaml rod.use", "Near: rod.", "See `enginelimits quantities`"),
    ("why b.yaml rod.column_use --at 3000", "one engine speed, got `3000`", "Write it as 4500 rpm"),
    ("chek b.yaml", "No such command 'chek'", "Did you mean 'check'?"),
    ("reading 298", "without a unit", "Add the unit: W, kW, hp or PS"),
    ("reading 298hp --at wheels", "load-controlled, inertia or hub", "Dynos differ by more than a tenth"),
    ("ceiling b.yaml --confidence 90", "a share such as `90 %`", "Add the unit: %"),
    ("plan b.yaml --by price", "a price list", "--prices"),
    ("rules explain DRV01", "Near: DRV001", "`rules list` shows them"),
    ("rules test DRV999", "DRV999", "`rules list` shows the rules"),
    ("rules new AAA001 --family rods --title x --into r", "a folder of rules that is there", "Make it first"),
    ("rules changes shiped r", "no folder `shiped`", "`shipped` stands for"),
    ("cases small-turbo", "the name of a case", "Near: small-turbo-1800"),
    ("record list --shop shop", "none there yet", "`record add BUILD` begins one"),
    ("record outcome Q-0001 exploded --shop shop", "held, knocked, broke", "'exploded'"),
    ("compare b.yaml", "two to six builds", "1"),
]


@pytest.mark.parametrize(("line", "words"), [(line, words) for line, *words in COMMANDS], ids=lambda v: str(v)[:30])
def test_a_command_that_is_wrong(told, line, words):
    said = told(*line.split())
    for word in words:
        assert word in said


@pytest.mark.parametrize("name", ["x.yml", "x.YAML", "x.yaml.txt"])
def test_a_rule_file_is_never_passed_over_for_its_name(told, name):
    Path("r").mkdir()
    Path("r", name).write_text(OVERRIDE, encoding="utf-8")
    said = told("check", "b.yaml", "--rules", "r", "--samples", "0")
    assert "a name that ends in .yaml" in said and name in said


def test_a_rule_without_a_test_is_told_where_the_test_belongs(told):
    Path("r").mkdir()
    told_of = "OWN001-own"
    rule = Path(ROOT, "rulesets/driveline/DRV001-clutch.yaml").read_text("utf-8")
    Path("r", f"{told_of}.yaml").write_text(rule.replace("id: DRV001", "id: OWN001"), encoding="utf-8")
    said = told("rules", "test", "OWN001", "--rules", "r")
    assert f"Write {told_of}.test.yaml beside {told_of}.yaml, with `rule: OWN001`." in said


def test_a_taken_id_comes_with_one_that_is_free(told):
    assert "`DRV008` is free" in told("rules", "new", "DRV001", "--family", "driveline", "--title", "x", "--into", ".")


def test_the_id_that_the_guide_begins_a_rule_with_is_free(tmp_path):
    (line,) = [row for row in Path(ROOT, "DEVELOPERS.md").read_text("utf-8").splitlines() if " rules new " in row]
    words = shlex.split(line)[1:]
    assert words[-2:] == ["--into", "rulesets"]
    assert exit_code([*words[:-1], str(tmp_path)]) == 0


OVERRIDE = "override: DRV001\nlimits: {reinforce_reserve: 0.9}\nauthor: A\ndate: 2026-01-01\nreason: R\n"
RULES = [
    ("author: A\n", "", "the key `author` in an override"),
    ("DRV001", "DRV901", "the id of a rule to override", "Near: DRV001"),
    ("reinforce_reserve", "reinforce", "a limit of DRV001", "Near: reinforce_reserve"),
    ("0.9", "0.9 bar", "`0.9 bar`", "This limit has no unit"),
    ("2026-01-01", "2026-01-41", "YYYY-MM-DD", "`2026-01-41`"),
    ("2026-01-01", "20260101", "date: wanted a date as YYYY-MM-DD", "`20260101`"),
    ("2026-01-01", "2026-W01-1", "date: wanted a date as YYYY-MM-DD", "`2026-W01-1`"),
    ("reason: R\n", "reason: R\nexpires: 2025-01-01\n", "expires: wanted a day not before its date of 2026-01-01"),
    ("0.9", "0,9", "limits.reinforce_reserve: wanted a number without a comma", "`0,9`"),
    ("DRV001", "[DRV001", "wanted YAML", "bracket, brace or comma"),
]


@pytest.mark.parametrize(("was", "now", "words"), [(w, n, words) for w, n, *words in RULES], ids=lambda v: str(v)[:30])
def test_a_rule_that_is_wrong(told, was, now, words):
    Path("r").mkdir()
    Path("r/x.yaml").write_text(OVERRIDE.replace(was, now), encoding="utf-8")
    said = told("check", "b.yaml", "--rules", "r", "--samples", "0")
    assert "x.yaml:" in said
    for word in words:
        assert word in said


LOGS = [
    ("nolog.csv", "logs.yaml", "no such file", "Check the name and the folder"),
    ("b.yaml", "logs.yaml", "a table of numbers under a header", "`delimiter:`"),
    ("pull.csv", "", "a column with engine speed", "RPM: {is: engine_speed, unit: rpm}"),
]


@pytest.mark.parametrize(("log", "names", "words"), [(w, n, words) for w, n, *words in LOGS], ids=lambda v: str(v)[:30])
def test_a_log_that_is_wrong(told, log, names, words):
    text = (CASE / "logs.yaml").read_text("utf-8")
    Path("n.yaml").write_text(text, encoding="utf-8")
    path = str(CASE / log) if log == "pull.csv" else log
    said = told("pull", str(CASE / "build.yaml"), path, *(("--names", "n.yaml") if names else ()))
    for word in words:
        assert word in said
