"""Files made to hang, bloat or break whoever reads them: every kind of file, every trick, always told in words.

The tricks are well known and older than this project: expansion of aliases (the "billion laughs"), depth, size, zero
bytes, other encodings, tags that name code, devices and pipes in a file's place.
"""

from __future__ import annotations

import os
import resource
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from enginelimits.decisions.spend import read_prices
from enginelimits.description.calibration import load_calibration
from enginelimits.description.load import load_build
from enginelimits.description.map_file import load_map
from enginelimits.errors import InputError, RuleError
from enginelimits.measured.csv_log import read_log
from enginelimits.measured.names import read_names
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.shop import read_shop

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "tests" / "rules" / "data" / "catalogue"
HANGS, GREW_KB = 10.0, 400_000

READERS: dict[str, tuple[str, Callable[[Path], object]]] = {
    "build": ("b.yaml", load_build),
    "map": ("m.csv", load_map),
    "names": ("n.yaml", read_names),
    "log": ("l.csv", read_log),
    "calibration": ("c.yaml", load_calibration),
    "shop": ("shop.yaml", lambda path: read_shop(path.parent)),
    "prices": ("p.yaml", lambda path: read_prices(path, ["x"])),
    "rules": ("r.yaml", lambda path: load_catalogue(SMALL, [path.parent])),
}


def refused(reader: str, place: Path) -> str:
    """What a reader says of the file that lies in its place; anything but a refusal in words fails."""
    start = time.perf_counter()
    with pytest.raises((InputError, RuleError)) as caught:
        READERS[reader][1](place / READERS[reader][0])
    assert time.perf_counter() - start < HANGS
    assert caught.value.problems
    words = str(caught.value)
    assert all(line.isprintable() for line in words.splitlines())
    assert len(words) < 40_000
    return words


LAUGHS = b"a: &a [x,x,x,x,x,x,x,x,x,x]\n" + b"".join(
    b"b%d: &b%d [%s]\n" % (i, i, b",".join([b"*b%d" % (i - 1) if i else b"*a"] * 10)) for i in range(12)
)
# What each is told as; a log takes any text, and says that there is no table in it.
TRICKS = {
    "aliases that multiply": (LAUGHS, "without an anchor"),
    "brackets without end": (b"a: " + b"[" * 100_000, "YAML"),
    "braces closed again": (b"a: " + b"{a: " * 50_000 + b"}" * 50_000, ""),
    "depth by dashes": (b"- " * 100_000, ""),
    "depth by question marks": (b"? " * 100_000, ""),
    "zero bytes": (b"build: x\x00\n", "binary"),
    "UTF-16": ("build: x\n".encode("utf-16"), "UTF-16"),
    "Latin-1": (b"build: caf\xe9\nx: [\n", "0xe9"),
    "a code tag": (b"!!python/object/apply:os.system ['touch here']\n", ""),
    "a code tag inside": (b"x: !!python/object/apply:os.system ['touch here']\n", "a tag"),
    "merge keys": (b"x: {a: 1}\n<<: {b: 1}\n", "written out"),
    "a key twice": (b"x: 1\nx: 2\n", "each key once"),
    "two documents": (b"x: 1\n---\nx: 2\n", "one document"),
    "a bell": (b"x: '\x07'\n", "U+0007"),
    "an escape": (b"x: \x1b[2J\n", "U+001B"),
    "a list of lists of keys": (b"{[a, b]: 1, {c: d}: 2}\n", "a key"),
}  # fmt: skip
YAML = ("build", "names", "calibration", "shop", "prices", "rules")


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("trick", TRICKS)
def test_a_trick_is_told(reader: str, trick: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    raw, words = TRICKS[trick]
    (tmp_path / READERS[reader][0]).write_bytes(raw)
    said = refused(reader, tmp_path)
    if reader in YAML:
        assert words in said, said
    assert not (tmp_path / "here").exists()


PLACES = {
    "a folder": lambda path: path.mkdir(),
    "a pipe": lambda path: os.mkfifo(path),
    "a device without end": lambda path: path.symlink_to("/dev/zero"),
    "a link to itself": lambda path: path.symlink_to(path),
    "a link to nothing": lambda path: path.symlink_to(path.parent / "nowhere"),
}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize("reader", [reader for reader in READERS if reader != "rules"])
@pytest.mark.parametrize("what", PLACES)
def test_what_is_no_file_is_told_and_not_waited_for(reader: str, what: str, tmp_path: Path) -> None:
    PLACES[what](tmp_path / READERS[reader][0])
    refused(reader, tmp_path)


@pytest.mark.parametrize("what", ["a pipe", "a device without end"])
def test_a_folder_of_rules_passes_over_what_is_no_file(what: str, tmp_path: Path) -> None:
    PLACES[what](tmp_path / "r.yaml")
    assert load_catalogue(SMALL, [tmp_path]).rules.keys() == load_catalogue(SMALL).rules.keys()


@pytest.fixture(scope="module")
def scalar(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of one value of 100 MB."""
    path = tmp_path_factory.mktemp("large") / "scalar"
    with path.open("wb") as stream:
        stream.write(b"build: ")
        for _ in range(100):
            stream.write(b"x" * 1_000_000)
        stream.write(b"\n")
    return path


@pytest.mark.parametrize("reader", READERS)
def test_a_value_of_100_mb_is_not_taken_in(reader: str, scalar: Path, tmp_path: Path) -> None:
    os.link(scalar, tmp_path / READERS[reader][0])
    # ru_maxrss is in kB on Linux, the most of the whole run so far
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert "at most" in refused(reader, tmp_path)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < GREW_KB
