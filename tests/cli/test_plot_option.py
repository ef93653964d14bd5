"""``--plot``: two files beside each other, and never over something that is read."""

from __future__ import annotations

import json
from pathlib import Path
from shutil import copy
from xml.etree import ElementTree

import pytest

from enginelimits.cli.main import exit_code

CASE = Path(__file__).parents[2] / "cases" / "small-turbo-1800"


def told(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str]:
    code = exit_code([str(word) for word in line])
    return code, capfd.readouterr().err


@pytest.mark.parametrize(("line", "plot"), [
    (("check", CASE / "build.yaml", "--samples", 0), "torque-and-power"),
    (("check", CASE / "build.yaml", "--samples", 0, "--plot-of", "margins"), "margins"),
    (("ladder", CASE / "build.yaml", "--samples", 0, "--steps", 2), "ladder"),
    (("measure", CASE / "build.yaml", "--samples", 32), "sensitivity"),
    (("pull", CASE / "build.yaml", CASE / "pull.csv", "--names", CASE / "logs.yaml", "--samples", 0),
     "log-against-model"),
])
def test_both_files_are_written(
    capfd: pytest.CaptureFixture[str], tmp_path: Path, line: tuple[object, ...], plot: str
) -> None:
    code, said = told(capfd, *line, "--plot", tmp_path / "drawn.svg")
    assert code in (0, 1)
    assert "drawn.svg" in said
    root = ElementTree.fromstring((tmp_path / "drawn.svg").read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    assert json.loads((tmp_path / "drawn.json").read_text(encoding="utf-8"))["plot"] == plot
    assert sorted(path.name for path in tmp_path.iterdir()) == ["drawn.json", "drawn.svg"]


def test_it_goes_beside_data_and_is_told_apart(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Standard output holds the answer alone, so that it can still be piped."""
    exit_code(["check", str(CASE / "build.yaml"), "--samples", "0", "--format", "json", "--plot",
               str(tmp_path / "drawn.svg")])
    out, err = capfd.readouterr()
    assert json.loads(out)["schema"] == "enginelimits.check/1"
    assert "plot written" in err


@pytest.mark.parametrize("name", ["drawn.png", "drawn", "build.yaml"])
def test_only_svg_is_written(capfd: pytest.CaptureFixture[str], tmp_path: Path, name: str) -> None:
    code, said = told(capfd, "check", CASE / "build.yaml", "--plot", tmp_path / name)
    assert code == 2
    assert "ends in .svg" in said
    assert not list(tmp_path.iterdir())


def test_numbers_never_lie_on_the_build(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """A build may be written as JSON, which is YAML too; the numbers of build.svg would go to build.json."""
    build = Path(copy(CASE / "build.yaml", tmp_path / "build.json"))
    before = build.read_bytes()
    code, said = told(capfd, "check", build, "--plot", tmp_path / "build.svg")
    assert code == 2
    assert "--plot: wanted a file that is not an input" in said
    assert build.read_bytes() == before
    assert not (tmp_path / "build.svg").exists()


def test_two_builds_are_not_one_plot(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, said = told(capfd, "check", CASE / "build.yaml", CASE / "build.yaml", "--plot", tmp_path / "drawn.svg")
    assert code == 2
    assert "one build to draw" in said
