"""The two ways to install: a wheel built from the sdist, and an editable checkout.

These make virtual environments and need the package index, so they are marked ``fresh`` and run on request:
``pytest -m fresh``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tarfile
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.fresh
STAMP = "1767225600"  # 2026-01-01, the time that files of an archive get


def run(*command: str | Path, cwd: Path, umask: int = -1, **more: str) -> str:
    """Standard output of a command that must succeed, away from the checkout and its settings."""
    clean = {
        k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "ENGINELIMITS_SHOP", "VIRTUAL_ENV")
    }
    clean |= {"XDG_CONFIG_HOME": str(cwd / "config"), **more}
    done = subprocess.run(
        [str(c) for c in command], cwd=cwd, env=clean, capture_output=True, text=True, check=False, umask=umask
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def venv(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new virtual environment with the build backend's front end."""
    folder = tmp_path_factory.mktemp("builder")
    run(sys.executable, "-m", "venv", folder / "venv", cwd=folder)
    run(folder / "venv/bin/pip", "install", "-q", "build", "hatchling>=1.25,<2", cwd=folder)
    return folder / "venv"


@pytest.fixture(scope="module")
def built(venv: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The sdist, and the wheel built from it: `build` without further options does just that."""
    out = tmp_path_factory.mktemp("dist")
    run(venv / "bin/python", "-m", "build", "--outdir", out, ROOT, cwd=out, SOURCE_DATE_EPOCH=STAMP)
    return next(out.glob("*.tar.gz")), next(out.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel in a virtual environment of its own, its requirements taken as wheels where there are any."""
    folder = tmp_path_factory.mktemp("installed")
    run(sys.executable, "-m", "venv", folder / "venv", cwd=folder)
    run(folder / "venv/bin/pip", "install", "-q", "--prefer-binary", built[1], cwd=folder)
    return folder


@pytest.fixture(scope="module")
def without_engine(venv: Path, built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel as Python 3.13 takes it, which has no durable-rules, where nothing can be compiled.

    This Python stands in for that one: it gets what the wheel asks of 3.13, as wheels alone, with no compiler on the
    path and ``false`` in place of one.
    """
    folder = tmp_path_factory.mktemp("without-engine")
    run(sys.executable, "-m", "venv", "--without-pip", folder / "venv", cwd=folder)
    there = {"python_version": "3.13", "extra": ""}
    asked = [r for r in required(built[1]) if r.marker is None or r.marker.evaluate(there)]
    run(
        venv / "bin/pip", "--python", folder / "venv/bin/python", "install", "-q", "--only-binary", ":all:",
        *(f"{r.name}{r.specifier}" for r in asked), cwd=folder, PATH=str(folder / "venv/bin"), CC="false", CXX="false",
    )  # fmt: skip
    run(
        venv / "bin/pip", "--python", folder / "venv/bin/python", "install", "-q", "--no-deps", built[1],
        cwd=folder, PATH=str(folder / "venv/bin"), CC="false", CXX="false",
    )  # fmt: skip
    return folder


def required(wheel: Path) -> list[Requirement]:
    """What a wheel says that it needs, extras included."""
    with zipfile.ZipFile(wheel) as archive:
        name = next(n for n in archive.namelist() if n.endswith(".dist-info/METADATA"))
        told = Parser().parsestr(archive.read(name).decode())
    return [Requirement(text) for text in told.get_all("Requires-Dist", [])]


def names_of_data() -> set[str]:
    """Files of the catalogue and of the cases in the checkout, as a wheel names them."""
    return {
        f"enginelimits/_{folder}/{path.relative_to(ROOT / folder).as_posix()}"
        for folder in ("rulesets", "cases")
        for path in (ROOT / folder).rglob("*")
        if path.is_file()
    }


def test_sdist_holds_what_a_wheel_is_built_from(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[0]) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    for wanted in (
        "hatch_build.py",
        "README.md",
        "LICENSE",
        "limits/enginelimits/py.typed",
        "rulesets/catalogue.yaml",
    ):
        assert wanted in names


def test_wheel_carries_catalogue_cases_and_data_files(built: tuple[Path, Path]) -> None:
    with zipfile.ZipFile(built[1]) as archive:
        names = set(archive.namelist())
    assert names_of_data() <= names
    for wanted in (
        "enginelimits/py.typed",
        "enginelimits/cli/starter.yaml",
        "enginelimits/decisions/notices.yaml",
    ):
        assert wanted in names
    assert {name.split("/")[0] for name in names} == {
        "enginelimits",
        next(name.split("/")[0] for name in names if ".dist-info" in name),
    }


def test_installed_wheel_answers(installed: Path) -> None:
    command = installed / "venv/bin/enginelimits"
    assert "check" in run(command, "--help", cwd=installed)
    assert "_rulesets" in run(
        installed / "venv/bin/python",
        "-c",
        "from enginelimits.rules.catalogue import checkout_folder; print(checkout_folder('rulesets'))",
        cwd=installed,
    )
    listed = run(command, "rules", "list", cwd=installed)
    assert "ROD001" in listed


def test_installed_wheel_checks_its_own_starter(installed: Path) -> None:
    command = installed / "venv/bin/enginelimits"
    run(command, "start", "-o", installed / "build.yaml", cwd=installed)
    said = run(
        command, "check", "--fail-on", "decline", "--samples", "0", installed / "build.yaml", cwd=installed
    )
    assert said.startswith("name of this build")


def test_archives_are_the_same_bytes_wherever_and_whenever_they_are_built(
    venv: Path, built: tuple[Path, Path], tmp_path: Path
) -> None:
    """What the sdist holds, elsewhere, with other times, rights and order of folders, gives the same two archives."""
    made = []
    for name, umask, time in (("one", 0o022, 1_000_000_000), ("quite/another place", 0o077, 1_700_000_000)):
        place = tmp_path / name
        place.mkdir(parents=True)
        with tarfile.open(built[0]) as archive:
            members = archive.getmembers() if name == "one" else archive.getmembers()[::-1]
            for member in members:
                member.mode, member.mtime = (0o777 if member.isdir() else 0o666) & ~umask, time
                archive.extract(member, place, filter="fully_trusted")
        (tree,) = place.iterdir()
        run(
            venv / "bin/python", "-m", "build", "--no-isolation", "--sdist", "--wheel", "--outdir", place / "out", tree,
            cwd=place, umask=umask, SOURCE_DATE_EPOCH=STAMP, TZ="Asia/Kolkata" if umask == 0o077 else "UTC",
        )  # fmt: skip
        made.append([next((place / "out").glob(kind)).read_bytes() for kind in ("*.tar.gz", "*.whl")])
    assert made[0] == made[1]
    assert made[0] == [path.read_bytes() for path in built]


def test_install_without_compiler_and_rule_engine_judges_as_one_with_both(
    installed: Path, without_engine: Path
) -> None:
    place = "from enginelimits.rules.catalogue import checkout_folder as f; print(f('cases'))"
    cases = Path(run(without_engine / "venv/bin/python", "-c", place, cwd=without_engine).strip())
    assert cases.is_relative_to(without_engine)
    build = cases / "small-turbo-1800/build.yaml"
    # "decline": the case is graded below that, so that the command leaves with 0.
    asked = ("check", "--fail-on", "decline", "--samples", "16", "--as-of", "2026-01-01", "--format", "json", build)
    one, other = (
        json.loads(run(folder / "venv/bin/enginelimits", *asked, cwd=folder)) for folder in (without_engine, installed)
    )
    assert one.pop("inference") == "plain"
    assert other.pop("inference") == ("durable-rules" if sys.version_info < (3, 13) else "plain")
    assert one["findings"] and one == other


def test_editable_install_finds_the_checkout(tmp_path: Path) -> None:
    run(sys.executable, "-m", "venv", tmp_path / "venv", cwd=tmp_path)
    run(tmp_path / "venv/bin/pip", "install", "-q", "-e", ROOT, cwd=tmp_path)
    found = run(
        tmp_path / "venv/bin/python",
        "-c",
        "from enginelimits.rules.catalogue import checkout_folder as f; print(f('rulesets'), f('cases'))",
        cwd=tmp_path,
    )
    assert found.split() == [str(ROOT / "rulesets"), str(ROOT / "cases")]
    assert not (ROOT / "limits/enginelimits/_rulesets").exists()
