"""The command from outside: data to standard output, talk to standard error, and the exit codes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from enginelimits.assessment.results import Assessment
from enginelimits.cli.app import ENTRIES
from enginelimits.cli.failures import Code, worst
from enginelimits.cli.main import exit_code
from enginelimits.decisions.verdict import Judgement, Verdict
from enginelimits.description.filled import Filled
from enginelimits.errors import InputError, OutOfRange, Problem, RuleError, SolveError

Said = Callable[..., tuple[int, str, str]]


def judged(name: str = "a build", grade: str = "caution", complete: bool = True) -> Judgement:
    """A judgement with nothing in it but its verdict."""
    filled = Filled(None, {})  # type: ignore[arg-type]
    return Judgement(
        name=name,
        filled=filled,
        assessment=Assessment(filled, (), ("site",), 0, 0, 1, {}, {}, {}),
        findings=(),
        not_judged=(),
        out_of_range=(),
        not_applicable=(),
        verdict=Verdict(grade, complete, () if complete else ("ROD001",), None, "A sentence."),
        notices=(),
        layers=(),
        inference="plain",
        samples_asked=0,
        samples_valid=0,
        seed=1,
        as_of="2026-11-25",
    )


@pytest.fixture
def said(capfd: pytest.CaptureFixture[str]) -> Said:
    """Runs a command line: exit code, standard output, standard error."""

    def run(*arguments: object) -> tuple[int, str, str]:
        code = exit_code([str(a) for a in arguments])
        out, err = capfd.readouterr()
        return code, out, err

    return run


@pytest.fixture
def judge(monkeypatch: pytest.MonkeyPatch) -> Callable[[dict[str, Any]], list[dict[str, Any]]]:
    """Stands in for the library: each build file gives a judgement or an error; returns the calls made."""

    def stand_in(answers: dict[str, Any]) -> list[dict[str, Any]]:
        calls: list[dict[str, Any]] = []

        def check_build(path: Any, **options: Any) -> Judgement:
            calls.append({"path": path, **options})
            answer = answers[str(path)]
            if isinstance(answer, BaseException):
                raise answer
            return answer  # type: ignore[no-any-return]

        monkeypatch.setattr("enginelimits.decisions.check.check_build", check_build)
        return calls

    return stand_in


BAD = InputError([Problem("a bore", "nothing", file="b.yaml", line=3)])


@pytest.mark.parametrize(
    ("grade", "fail_on", "code"),
    [
        ("clear", "note", 0),
        ("note", "note", 1),
        ("caution", "reinforce", 0),
        ("reinforce", "reinforce", 1),
        ("decline", "reinforce", 1),
        ("reinforce", "decline", 0),
    ],
)
def test_findings_leave_with_one_from_fail_on_up(
    said: Said, judge: Any, grade: str, fail_on: str, code: int
) -> None:
    judge({"a.yaml": judged(grade=grade)})
    assert said("check", "a.yaml", "--fail-on", fail_on)[0] == code


def test_reinforce_is_the_default_of_fail_on(said: Said, judge: Any) -> None:
    judge({"a.yaml": judged(grade="reinforce"), "b.yaml": judged(grade="caution")})
    assert said("check", "a.yaml")[0] == 1
    assert said("check", "b.yaml")[0] == 0


def test_unjudged_leaves_with_three_only_when_strict(said: Said, judge: Any) -> None:
    judge({"a.yaml": judged(complete=False)})
    assert said("check", "a.yaml")[0] == 0
    assert said("check", "a.yaml", "--strict")[0] == 3


def test_findings_come_before_unjudged(said: Said, judge: Any) -> None:
    judge({"a.yaml": judged(grade="decline", complete=False)})
    assert said("check", "a.yaml", "--strict")[0] == 1


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (BAD, 2, "b.yaml:3: wanted a bore, got nothing"),
        (RuleError([Problem("a limit", file="r.yaml")]), 2, "r.yaml: wanted a limit"),
        (SolveError("no root"), 4, "the computation failed: no root"),
        (OutOfRange("too fast"), 4, "the computation failed: too fast"),
        (KeyError("engine.bore"), 4, "a fault of the program"),
        (FileNotFoundError(2, "No such file", "x.csv"), 2, "x.csv: No such file"),
    ],
)
def test_errors_are_text_without_a_traceback(
    said: Said, judge: Any, error: Exception, code: int, words: str
) -> None:
    judge({"a.yaml": error})
    got, out, err = said("check", "a.yaml")
    assert got == code
    assert out == ""
    assert words in err
    assert "Traceback" not in err


def test_a_fault_is_one_line_that_says_how_to_report_it(
    said: Said, judge: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("ENGINELIMITS_TRACE", raising=False)
    judge({"a.yaml": ZeroDivisionError("float division\nby zero")})
    _, _, err = said("check", "a.yaml")
    assert len(err.splitlines()) == 1
    assert "ZeroDivisionError: float division by zero" in err
    assert "report it" in err


def test_a_fault_shows_where_it_arose_when_asked(
    said: Said, judge: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ENGINELIMITS_TRACE", "1")
    judge({"a.yaml": ZeroDivisionError("x")})
    assert "Traceback" in said("check", "a.yaml")[2]


def test_an_error_cannot_steer_the_terminal(said: Said, judge: Any) -> None:
    judge({"a.yaml": InputError([Problem("a bore", "\x1b[2Jevil")])})
    err = said("check", "a.yaml")[2]
    assert "\x1b" not in err
    assert "\\x1b[2Jevil" in err


@pytest.mark.parametrize(
    ("happened", "stands"),
    [
        ({0, 1, 2, 3, 4}, 2),
        ({0, 1, 3, 4}, 4),
        ({0, 1, 3}, 1),
        ({0, 3}, 3),
        ({0}, 0),
        (set(), 0),
    ],
)
def test_first_that_occurred_of_two_four_one_three(happened: set[int], stands: int) -> None:
    assert worst(happened) == stands


def test_several_builds_are_each_tried(said: Said, judge: Any) -> None:
    judge(
        {"a.yaml": judged("first"), "b.yaml": BAD, "c.yaml": SolveError("no root"), "d.yaml": judged("last")}
    )
    code, out, err = said("check", "a.yaml", "b.yaml", "c.yaml", "d.yaml")
    assert code == 2
    assert "first" in out
    assert "last" in out
    assert err.startswith("b.yaml:3: wanted a bore, got nothing")
    assert "c.yaml: the computation failed: no root" in err


def test_several_builds_as_json_are_one_object(said: Said, judge: Any) -> None:
    judge({"a.yaml": judged("first"), "b.yaml": BAD})
    code, out, _ = said("check", "a.yaml", "b.yaml", "--format", "json")
    data = json.loads(out)
    assert code == 2
    assert data["schema"] == "enginelimits.checks/1"
    assert [one["build"]["name"] for one in data["checks"]] == ["first"]
    assert data["failed"] == [
        {"file": "b.yaml", "code": 2, "problems": ["b.yaml:3: wanted a bore, got nothing"]}
    ]


def test_one_build_as_json_is_its_own_object(said: Said, judge: Any) -> None:
    judge({"a.yaml": judged("only")})
    assert json.loads(said("check", "a.yaml", "--format", "json")[1])["schema"] == "enginelimits.check/1"


def test_options_reach_the_library(said: Said, judge: Any, tmp_path: Path) -> None:
    calls = judge({"a.yaml": judged()})
    folder = tmp_path / "own"
    folder.mkdir()
    assert (
        said(
            "check",
            "a.yaml",
            "--samples",
            9,
            "--seed",
            5,
            "--rules",
            folder,
            "--shop",
            tmp_path,
            "--as-of",
            "2026-02-03",
        )[0]
        == 0
    )
    (call,) = calls
    assert (call["samples"], call["seed"]) == (9, 5)
    assert call["rules"] == (folder,)
    assert call["shop"] == tmp_path
    assert call["as_of"].isoformat() == "2026-02-03"


def test_standard_input_is_read_once(said: Said, judge: Any) -> None:
    judge({"-": judged("piped")})
    assert said("check", "-")[0] == 0
    code, _, err = said("check", "-", "-")
    assert code == 2
    assert "standard input (-) once" in err


@pytest.mark.parametrize(
    "line",
    [
        (),
        ("check",),
        ("chek", "a.yaml"),
        ("check", "a.yaml", "--bogus"),
        ("check", "a.yaml", "--samples", "-1"),
        ("check", "a.yaml", "--format", "xml"),
        ("check", "a.yaml", "--fail-on", "clear"),
        ("check", "a.yaml", "--as-of", "yesterday"),
        ("check", "a.yaml", "--rules", "no/such/folder"),
        ("quantities", "no.such.thing"),
        ("quantities", "--units=furlong"),
        ("why", "a.yaml", "air.boost", "--at", "4500"),
        ("why", "a.yaml", "air.boost", "--at", "4500 mm"),
    ],
)
def test_wrong_usage_leaves_with_two_and_says_why(said: Said, judge: Any, line: tuple[str, ...]) -> None:
    judge({"a.yaml": judged()})
    code, out, err = said(*line)
    assert code == 2
    assert out == ""
    assert err.strip()
    assert "Traceback" not in err


def test_a_mistyped_command_has_a_near_match(said: Said) -> None:
    assert "'check'" in said("chek", "a.yaml")[2]


def test_output_is_written_whole_and_told(said: Said, judge: Any, tmp_path: Path) -> None:
    judge({"a.yaml": judged("kept")})
    target = tmp_path / "out.txt"
    target.write_text("old", encoding="utf-8")
    code, out, err = said("check", "a.yaml", "-o", target)
    assert (code, out) == (0, "")
    assert f"written to {target}" in err
    assert target.read_text(encoding="utf-8").startswith("kept\n")
    assert list(tmp_path.iterdir()) == [target]


def test_output_goes_through_a_link_to_its_target(said: Said, judge: Any, tmp_path: Path) -> None:
    judge({"a.yaml": judged("kept")})
    (tmp_path / "real.txt").write_text("old", encoding="utf-8")
    (tmp_path / "link.txt").symlink_to(tmp_path / "real.txt")
    said("check", "a.yaml", "-o", tmp_path / "link.txt")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text(encoding="utf-8").startswith("kept")


def test_output_is_never_written_over_an_input(said: Said, judge: Any, tmp_path: Path) -> None:
    build = tmp_path / "a.yaml"
    build.write_text("build: mine\n", encoding="utf-8")
    (tmp_path / "same.yaml").hardlink_to(build)
    judge({str(build): judged()})
    for target in (build, tmp_path / "." / "a.yaml", tmp_path / "same.yaml"):
        code, _, err = said("check", build, "-o", target)
        assert code == 2
        assert "not an input" in err
        assert build.read_text(encoding="utf-8") == "build: mine\n"


def test_output_is_never_written_over_a_rule(said: Said, judge: Any, tmp_path: Path) -> None:
    judge({"a.yaml": judged()})
    (tmp_path / "rules").mkdir()
    rule = tmp_path / "rules" / "mine.yaml"
    rule.write_text("id: MINE\n", encoding="utf-8")
    assert said("check", "a.yaml", "--rules", tmp_path / "rules", "-o", rule)[0] == 2
    assert rule.read_text(encoding="utf-8") == "id: MINE\n"


@pytest.mark.parametrize("read", ["compressor.csv", "shop/shop.yaml"])
def test_output_is_never_written_over_what_a_build_or_the_shop_brings(
    said: Said, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, read: str
) -> None:
    """A map is named in the build alone, and a shop's folder may be named by the environment alone."""
    case = Path(__file__).parents[2] / "cases" / "mapped-turbo-2400"
    for name in ("build.yaml", "compressor.csv"):
        (tmp_path / name).write_bytes((case / name).read_bytes())
    (tmp_path / "shop").mkdir()
    (tmp_path / "shop" / "shop.yaml").write_text("units: us\n", encoding="utf-8")
    monkeypatch.setenv("ENGINELIMITS_SHOP", str(tmp_path / "shop"))
    before = (tmp_path / read).read_bytes()
    code, _, err = said("check", tmp_path / "build.yaml", "--samples", 0, "-o", tmp_path / read)
    assert code == 2 and "a file that is not an input" in err
    assert (tmp_path / read).read_bytes() == before


def test_output_that_cannot_be_written_is_bad_input(said: Said, judge: Any, tmp_path: Path) -> None:
    judge({"a.yaml": judged()})
    code, _, err = said("check", "a.yaml", "-o", tmp_path / "none" / "out.txt")
    assert code == 2
    assert "-o" in err


def test_quiet_silences_talk_but_no_error(said: Said, judge: Any, tmp_path: Path) -> None:
    judge({"a.yaml": judged(), "b.yaml": BAD})
    assert said("check", "a.yaml", "-o", tmp_path / "out.txt", "--quiet")[2] == ""
    assert "wanted a bore" in said("check", "a.yaml", "b.yaml", "--quiet")[2]


def test_units_of_the_shop_stand_unless_others_are_asked(said: Said, judge: Any, tmp_path: Path) -> None:
    from enginelimits.description.filled import Input

    (tmp_path / "shop.yaml").write_text("units: us\n", encoding="utf-8")
    power = Input("goal.power", 134226.0, "W", basis="documented")
    whole = judged()
    judge({"a.yaml": replace(whole, filled=Filled(None, {"goal.power": power}))})  # type: ignore[arg-type]
    # 134.226 kW / 0.745700 kW = 180.0 hp
    assert "asked 180 hp" in said("check", "a.yaml", "--shop", tmp_path)[1]
    assert "asked 134 kW" in said("check", "a.yaml", "--shop", tmp_path, "--units", "metric")[1]
    assert "asked 134 kW" in said("check", "a.yaml")[1]


def test_interrupt_leaves_as_a_shell_expects(said: Said, judge: Any) -> None:
    judge({"a.yaml": KeyboardInterrupt()})
    code, _, err = said("check", "a.yaml")
    assert code == Code.interrupted == 130
    assert "Traceback" not in err


def test_help_says_what_each_command_says_of_itself(said: Said) -> None:
    for name, entry in ENTRIES.items():
        _, out, _ = said(name, "--help")
        assert out.splitlines()[2].strip() == entry.says, name
    for name in ("list", "explain", "lint", "test", "new"):
        assert said("rules", name, "--help")[0] == 0


def test_every_command_takes_the_shared_options(said: Said) -> None:
    groups = {
        "rules": ("list", "explain", "lint", "test", "new"),
        "record": ("add", "list", "show", "outcome", "export", "review"),
    }
    names = [(name,) for name in ENTRIES if name not in groups]
    for name in [*names, *((group, sub) for group, subs in groups.items() for sub in subs)]:
        _, out, _ = said(*name, "--help")
        for option in ("--format", "-o", "--units", "--rules", "--shop", "--quiet", "--as-of"):
            assert option in out, (name, option)


def test_version(said: Said) -> None:
    from enginelimits import __version__

    assert said("--version") == (0, f"enginelimits {__version__}\n", "")


def test_a_bare_units_lists_what_a_build_may_be_written_in(said: Said) -> None:
    code, out, _ = said("quantities", "--units")
    assert code == 0
    assert "lb-ft" in out
    assert "degF" in out
    data = json.loads(said("quantities", "--units", "--format", "json")[1])
    assert data["schema"] == "enginelimits.units/1"


def test_quantities_by_part_of_a_name(said: Said) -> None:
    data = json.loads(said("quantities", "rod_bolt", "--format", "json")[1])
    assert data["quantities"]["rod_bolt.separation_margin"]["unit"] == "1"
    assert all("rod_bolt" in name for name in data["quantities"])


def test_start_writes_a_file(said: Said, tmp_path: Path) -> None:
    code, out, err = said("start", "-o", tmp_path / "build.yaml")
    assert (code, out) == (0, "")
    assert "written to" in err
    assert (tmp_path / "build.yaml").read_text(encoding="utf-8").startswith("# A build file.")


def python(code: str, **options: Any) -> subprocess.CompletedProcess[str]:
    clean = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS", "ENGINELIMITS_SHOP")}
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=clean, check=False, **options
    )


def test_help_imports_nothing_heavy() -> None:
    heavy = ("numpy", "pydantic", "pint", "yaml", "rich", "durable_rules_engine", "importlib.metadata")
    done = python(
        "import sys\nfrom enginelimits.cli.main import exit_code\n"
        "code = exit_code(['--help'])\n"
        f"print([name for name in {heavy} if name in sys.modules], file=sys.stderr)\n"
        "sys.exit(code)"
    )
    assert done.returncode == 0
    assert "check" in done.stdout
    assert done.stderr.strip() == "[]"


def test_a_closed_pipe_is_no_error_to_read_about() -> None:
    done = subprocess.run(
        f'"{sys.executable}" -c "from enginelimits.cli.main import run; run()" quantities --format json'
        ' | head -c 5; echo " ${PIPESTATUS[0]}"',
        shell=True,
        executable="/bin/bash",
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    # The reader may close before or after everything fitted into the pipe.
    assert done.stdout.split()[-1] in ("0", "141")


def test_a_pipe_that_nobody_reads_leaves_with_141(tmp_path: Path) -> None:
    code = (
        "import os, sys\n"
        "read, write = os.pipe(); os.close(read); os.dup2(write, 1)\n"
        "from enginelimits.cli.main import run\n"
        "sys.argv = ['enginelimits', 'quantities', '--format', 'json']; run()"
    )
    done = python(code, cwd=tmp_path)
    assert done.returncode == 141
    assert done.stderr == ""


def test_json_is_utf8_whatever_the_terminal_speaks() -> None:
    code = (
        "import sys\nfrom enginelimits.cli.answer import Answer, deliver\n"
        "sys.stdout.reconfigure(encoding='ascii')\n"
        "deliver(Answer('{\"name\": \"Größe\"}\\n'))\ndeliver(Answer('Größe\\n'))"
    )
    clean = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, env=clean, check=False)
    assert done.stdout == '{"name": "Größe"}\n'.encode() + b"Gr\\xf6\\xdfe\n"


@pytest.mark.parametrize(
    "module", ["cli", "present", "decisions", "rules", "assessment", "description", "physics"]
)
def test_only_one_place_ends_the_program(module: str) -> None:
    root = Path(__file__).resolve().parents[2] / "limits/enginelimits" / module
    ends = [p.name for p in root.rglob("*.py") if "sys.exit(" in p.read_text(encoding="utf-8")]
    assert ends == (["main.py"] if module == "cli" else [])


@pytest.mark.parametrize("speed", ["fast", "4500", "4500 psi", "1000 to 2000 rpm"])
def test_a_speed_that_cannot_be_read_is_answered_with_how_to_write_one(said: Said, speed: str) -> None:
    code, _, talk = said("why", "a.yaml", "air.boost", "--at", speed)
    assert code == 2
    assert "--at: wanted one engine speed" in talk
    assert "4500 rpm" in talk


def test_a_missing_shop_folder_is_a_fault_of_the_command_line(said: Said, tmp_path: Path) -> None:
    code, _, talk = said("check", "a.yaml", "--shop", tmp_path / "none", "--format", "text")
    assert code == 2
    assert "command line: --shop: wanted the shop's folder" in talk
    assert "Correct the path" in talk


@pytest.mark.slow
def test_a_rule_without_tests_fails_the_tests(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    rule = Path(__file__).parents[2] / "rulesets" / "rods" / "ROD013-whip.yaml"
    text = rule.read_text("utf-8").replace("id: ROD013", "id: ROD099")
    (tmp_path / "ROD099-untested.yaml").write_text(text, encoding="utf-8")
    assert exit_code(["rules", "test", "--rules", str(tmp_path)]) == 1
    assert "a test for ROD099" in capfd.readouterr().out
