"""What a fuzzer calls: every kind of file that people write, as bytes, through the code that reads it.

Each loader returns whether the bytes were taken; they may be refused by the project's own errors and by nothing else.
``tools/fuzz.py`` grows the corpus with these, ``test_fuzz_corpus.py`` replays it.
"""

from __future__ import annotations

import base64
import json
import shutil
import tempfile
import zlib
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from enginelimits.errors import InputError, Problem, RuleError, SolveError

ROOT = Path(__file__).parents[2]
CORPUS = Path(__file__).parent / "corpus"
# Longer complaints than this help nobody, and could fill a disk.
MOST_WORDS = 200_000
# Between the parts of an input that stands for several files.
PART = b"\n=====\n"


@cache
def folder() -> Path:
    """A folder of this process, in memory where there is such a place."""
    memory = Path("/dev/shm")
    place = tempfile.TemporaryDirectory(prefix="enginelimits-fuzz-", dir=memory if memory.is_dir() else None)
    _KEPT.append(place)
    return Path(place.name)


_KEPT: list[tempfile.TemporaryDirectory[str]] = []


def written(name: str, data: bytes) -> Path:
    """A file of these bytes."""
    path = folder() / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)
    return path


def build(data: bytes) -> None:
    """A build, and what classes fill in."""
    from enginelimits.description.fill import filled
    from enginelimits.description.load import load_build

    filled(load_build(written("build.yaml", data)))


def check(data: bytes) -> None:
    """A build judged without draws, and its verdict as text and JSON."""
    from enginelimits.decisions.judge import judge
    from enginelimits.description.load import load_build
    from enginelimits.present import jsonform
    from enginelimits.present.text import report
    from enginelimits.present.verdict import verdict_tree

    judged = judge(load_build(written("build.yaml", data)), _catalogue(), samples=0)
    report(verdict_tree(judged, full=True), width=40)
    json.loads(jsonform.written(jsonform.check(judged)), parse_constant=_never)


def edits(data: bytes) -> None:
    """Edits on a whole build, as remedies hold them."""
    from enginelimits.description.edits import edited
    from enginelimits.description.nodes import document, plain

    read = document(data.decode("utf-8", "replace"), "edits.yaml")
    if read.problems or read.root is None:
        raise InputError(read.problems or [Problem("edits", "nothing")])
    given = plain(read.root)
    edited(_whole(), given if isinstance(given, list) else [given])


def compressor(data: bytes) -> None:
    """A compressor map."""
    from enginelimits.description.map_file import load_map

    made = load_map(written("map.csv", data))
    assert made.columns.speed


RULE_FILES = ("own.yaml", "facts.yaml", "remedies.yaml", "failure-modes.yaml", "catalogue.yaml", "own.test.yaml")


def rules(data: bytes) -> None:
    """A layer of rules over a small catalogue, its tests run, and every rule explained."""
    from enginelimits.present.catalogue import rule_tree
    from enginelimits.present.text import report
    from enginelimits.rules.catalogue import load_catalogue
    from enginelimits.rules.testing import load_tests, run_tests

    layer = folder() / "layer"
    for path in layer.glob("*.yaml"):
        path.unlink()
    layer.mkdir(exist_ok=True)
    for name, part in zip(RULE_FILES, data.split(PART), strict=False):
        if part.strip():
            (layer / name).write_bytes(part)
    catalogue = load_catalogue(base=_small_base(), overlays=[layer])
    mine = [rule for rule in catalogue.rules.values() if rule.layer == catalogue.layers[-1].name]
    for rule in mine:
        report(rule_tree(rule, catalogue), width=60)
    run_tests(catalogue, load_tests(catalogue), only=[rule.id for rule in mine])


def calibration(data: bytes) -> None:
    """A calibration file of the shop's, chosen by its family."""
    from enginelimits.description import calibration as reader

    reader._loaded.cache_clear()
    reader.load_calibration(written("calibrations/one.yaml", data))


def names(data: bytes) -> None:
    """What a logger's channels are called."""
    from enginelimits.measured.names import read_names

    read_names(written("logs.yaml", data))


def log(data: bytes) -> None:
    """A log as text, with the names of its channels before it where there are such, and the pulls in it."""
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import found_in
    from enginelimits.measured.names import parse_names

    before, part, rest = data.partition(PART)
    called = parse_names(before.decode("utf-8", "replace")) if part else None
    found_in(read_log(written("pull.csv", rest if part else data), called))


def recording(data: bytes) -> None:
    """A log as ASAM MDF 4."""
    from enginelimits.measured.csv_log import read_log
    from enginelimits.measured.find import found_in
    from enginelimits.measured.names import parse_names

    called = parse_names("names: {nEng: {is: engine_speed}, pMan: {is: manifold_pressure, unit: kPa}}")
    found_in(read_log(written("pull.mf4", data), called))


def prices(data: bytes) -> None:
    """A price list."""
    from enginelimits.decisions.spend import read_prices

    read_prices(written("prices.yaml", data), _catalogue().remedies)


def shop(data: bytes) -> None:
    """The settings of a shop, and a build that they fill."""
    from enginelimits.description.fill import filled
    from enginelimits.shop import read_shop

    written("house/shop.yaml", data)
    filled(_whole(), shop=read_shop(folder() / "house"))


def pull_data(data: bytes) -> None:
    """What `pull --format json` wrote, or a log, as the record keeps it."""
    from enginelimits.measured.record import pull_draft

    pull_draft("Q-0001", written("pull.json", data))


LOADERS: dict[str, Callable[[bytes], None]] = {
    "build": build, "edits": edits, "check": check, "map": compressor, "rules": rules, "calibration": calibration,
    "names": names, "log": log, "recording": recording, "prices": prices, "shop": shop, "pull_data": pull_data,
}  # fmt: skip


def taken(name: str, data: bytes) -> bool:
    """Whether a loader takes the bytes; whatever it raises beside its own errors goes through."""
    try:
        LOADERS[name](data)
    except (InputError, RuleError) as error:
        words = str(error)
        assert error.problems and len(words) < MOST_WORDS, f"{len(words)} characters of complaint"
        return False
    except SolveError:
        assert name == "check"
        return False
    return True


def corpus(name: str) -> Iterator[bytes]:
    """What is kept for a loader."""
    path = CORPUS / f"{name}.jsonl"
    if path.is_file():
        for line in path.read_text("ascii").splitlines():
            yield zlib.decompress(base64.b64decode(json.loads(line)))


def keep(name: str, inputs: list[bytes]) -> Path:
    """Write the corpus of a loader: one input a line, packed, in a fixed order."""
    path = CORPUS / f"{name}.jsonl"
    lines = [json.dumps(base64.b64encode(zlib.compress(one, 9)).decode()) for one in sorted(set(inputs))]
    path.write_text("".join(line + "\n" for line in lines), encoding="ascii")
    return path


def _never(constant: str) -> None:
    raise AssertionError(f"{constant} in JSON")


@cache
def _catalogue() -> object:
    from enginelimits.rules.catalogue import load_catalogue

    return load_catalogue()


@cache
def _small_base() -> Path:
    """A few rules over all the shipped facts."""
    base = folder() / "base"
    shutil.copytree(ROOT / "tests" / "rules" / "data" / "catalogue", base)
    shutil.copy(ROOT / "rulesets" / "facts.yaml", base)
    return base


@cache
def _whole() -> object:
    from enginelimits.description.load import load_build

    return load_build(ROOT / "cases" / "mapped-turbo-2400" / "build.yaml")
