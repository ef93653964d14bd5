"""Paths in files that somebody else wrote: none leads out of the folder it lies in.  The build is invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from enginelimits.cli.main import exit_code

ROOT = Path(__file__).parents[2]
MAP = (ROOT / "cases" / "mapped-turbo-2400" / "compressor.csv").read_text("utf-8")
BUILD = """build: invented
calibration: {calibration}
engine: {{cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 9.5, redline: 7000 rpm}}
forced_induction: {{kind: turbocharger, boost: 7 psi, compressor: {{map: {map}, exducer: 60 mm}}}}
"""


@pytest.fixture
def told(tmp_path: Path, capfd: pytest.CaptureFixture[str]):
    """The exit code and what is told of a build that names a map, in a folder beside which a secret lies."""
    (tmp_path / "secret.txt").write_text("a secret, of somebody, else, 4\n")
    (tmp_path / "map.csv").write_text(MAP)
    (tmp_path / "shop" / "calibrations").mkdir(parents=True)
    home = tmp_path / "job"
    home.mkdir()
    (home / "out").symlink_to(tmp_path)
    (home / "link.csv").symlink_to(tmp_path / "secret.txt")
    (home / "within").mkdir()
    (home / "within" / "map.csv").write_text(MAP)
    (home / "alias.csv").symlink_to(home / "within" / "map.csv")

    def tell(name: str, calibration: str = "none") -> tuple[int, str]:
        (home / "b.yaml").write_text(BUILD.format(map=name, calibration=calibration))
        code = exit_code(["check", str(home / "b.yaml"), "--samples", "0", "--shop", str(tmp_path / "shop")])
        out, err = capfd.readouterr()
        return code, out + err

    return tell


@pytest.mark.parametrize("name", ["../secret.txt", "../map.csv", "/etc/passwd", "link.csv", "out/map.csv",
                                  "within/../../map.csv", "../job2/../secret.txt", "/proc/self/environ"])
def test_no_path_or_link_leads_out(told, name: str) -> None:
    code, said = told(name)
    assert code == 2 and "in the folder of the build" in said and "b.yaml:4:" in said
    assert "secret, of" not in said and "root:" not in said


@pytest.mark.parametrize("name", ["within/map.csv", "alias.csv", "./within/../within/map.csv"])
def test_what_stays_within_is_read(told, name: str) -> None:
    code, said = told(name)
    assert code in (0, 1), said


@pytest.mark.parametrize("name", ["../../secret.txt", "/etc/passwd", "..", "a/b"])
def test_a_calibration_is_a_name_and_no_path(told, name: str) -> None:
    code, said = told("within/map.csv", name)
    assert code == 2 and "name of a calibration file" in said
    assert "secret, of" not in said and "root:" not in said
