"""The two ways to install: a wheel built from the sdist, and an editable checkout.

These make virtual environments and need the package index, so they are marked ``fresh`` and run on request:
``pytest -m fresh``.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.fresh


def run(*command: str | Path, cwd: Path) -> str:
    """Standard output of a command that must succeed, away from the checkout and its settings."""
    clean = {
        k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "ENGINELIMITS_SHOP", "VIRTUAL_ENV")
    }
    clean["XDG_CONFIG_HOME"] = str(cwd / "config")
    done = subprocess.run(
        [str(c) for c in command], cwd=cwd, env=clean, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def venv(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new virtual environment with the build backend's front end."""
    folder = tmp_path_factory.mktemp("builder")
    run(sys.executable, "-m", "venv", folder / "venv", cwd=folder)
    run(folder / "venv/bin/pip", "install", "-q", "build", cwd=folder)
    return folder / "venv"


@pytest.fixture(scope="module")
def built(venv: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The sdist, and the wheel built from it: `build` without further options does just that."""
    out = tmp_path_factory.mktemp("dist")
    run(venv / "bin/python", "-m", "build", "--outdir", out, ROOT, cwd=out)
    return next(out.glob("*.tar.gz")), next(out.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel in a virtual environment of its own, its requirements taken as wheels where there are any."""
    folder = tmp_path_factory.mktemp("installed")
    run(sys.executable, "-m", "venv", folder / "venv", cwd=folder)
    run(folder / "venv/bin/pip", "install", "-q", "--prefer-binary", built[1], cwd=folder)
    return folder


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
