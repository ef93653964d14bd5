"""Where money goes first: the order of spend among remedies that do as much as each other, and the shop's prices."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from enginelimits.decisions.verdict import RemedyShown
from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.nodes import Leaf, Node, Table, document
from enginelimits.units.grammar import GrammarError, excerpt, parse_number

# Fuel supply and protections; cooling and oil control; fuel quality and sensors; what makes the boost; the engine's
# inside; clutch; gearbox and axles.  Common practice, no source.  The first prefix that fits a path counts.
_PLACES = (
    ("protections", 0), ("fuel_system.ethanol_sensor", 2), ("fuel_system", 0), ("cooling", 1), ("oil", 1),
    ("engine.oil_pump_rotor", 1), ("internals.pistons.oil_jets", 1), ("forced_induction.oil", 1),
    ("forced_induction.intercooler", 1), ("fuel", 2), ("sensors", 2), ("ignition", 2), ("forced_induction", 3),
    ("driveline.clutch_capacity", 5), ("driveline", 6),
)
INSIDE = 4
# Inside the engine, what the cause is decides: heat and knock want pistons first, everything else rods.
_HOT = frozenset(("knock", "pre-ignition", "piston heat", "charge heat", "exhaust heat", "ring gap", "skirt clearance"))
CHEAP = ("calibration", "fuel")


def place(remedy: RemedyShown, causes: Collection[str] = ()) -> tuple[bool, float]:
    """Where a remedy stands in the order of spend, given the causes it is to answer; parts after calibration and fuel.

    A remedy that touches several places stands at the latest of them.
    """
    return remedy.kind not in CHEAP, max((_place_of(path, causes) for path in paths(remedy)), default=0.0)


def paths(remedy: RemedyShown) -> frozenset[str]:
    """The paths of a build that a remedy's steps touch."""
    return frozenset(str(edit[verb]) for step in remedy.steps for edit in step
                     for verb in ("replace", "set", "drop", "cap") if verb in edit)


def _place_of(path: str, causes: Collection[str]) -> float:
    for prefix, found in _PLACES:
        if f"{path}.".startswith(f"{prefix}."):
            return float(found)
    hot = bool(_HOT & set(causes))
    later = path.startswith("internals.rod") if hot else path.startswith("internals.pistons")
    return INSIDE + (0.5 if later else 0.0)


@dataclass(frozen=True)
class PriceList:
    """What a shop asks for remedies, all in one currency; the list need not hold them all."""

    prices: Mapping[str, float]
    currency: str
    file: str


def read_prices(path: Path, known: Collection[str]) -> PriceList:
    """A price list as the shop wrote it: ``{remedy: {price: 1200, currency: EUR}}`` in YAML.

    ``known`` are the remedies there are.  Raises InputError with every problem.
    """
    file = str(path)
    read = document(text_of(path, "a price list"), file)
    root = read.root
    problems = list(read.problems)
    prices: dict[str, float] = {}
    currencies: dict[str, str] = {}
    for key, node, line in _entries(root, "", file, problems):
        said = {name: (one, at) for name, one, at in _entries(node, key, file, problems)}
        if key not in known:
            near = tuple(get_close_matches(key, known, n=3))
            problems.append(Problem("a remedy of the catalogue", excerpt(key), "", key, file, line, near=near))
        if said.keys() - {"price", "currency"}:
            other = ", ".join(sorted(said.keys() - {"price", "currency"}))
            problems.append(Problem("`price` and `currency`", excerpt(other), "", key, file, line))
        prices[key] = _price(said, key, file, line, problems)
        currencies[key] = _currency(said, key, file, line, problems)
    found = sorted({c for c in currencies.values() if c})
    if len(found) > 1:
        mend = "Prices in several currencies cannot be added up."
        problems.append(Problem("one currency in the whole list", ", ".join(found), mend, file=file))
    if problems:
        raise InputError(problems)
    return PriceList(prices, found[0] if found else "", file)


def _entries(node: Node | None, key: str, file: str, problems: list[Problem]) -> Iterator[tuple[str, Node, int]]:
    """Key, node and line of each entry of a mapping."""
    if node is None:
        return
    if not isinstance(node, Table):
        mend = "Write `remedy: {price: 100, currency: EUR}`."
        line = node.place.line if node.place else None
        problems.append(Problem("a mapping", "something else", mend, key, file, line))
        return
    for name, child in node.entries.items():
        yield name, child, node.keys[name].line


def _text(said: Mapping[str, tuple[Node, int]], name: str, line: int) -> tuple[str, int]:
    """Text and line of one entry; no text where there is none, or something else."""
    node, at = said.get(name, (None, line))
    return (node.text if isinstance(node, Leaf) else ""), at


def _price(said: Mapping[str, tuple[Node, int]], key: str, file: str, line: int, problems: list[Problem]) -> float:
    text, at = _text(said, "price", line)
    try:
        price = parse_number(text)
    except GrammarError:
        price = math.nan
    if not price >= 0.0:
        problems.append(Problem("`price`, a number of zero or more", excerpt(text), "", key, file, at))
    return price


def _currency(said: Mapping[str, tuple[Node, int]], key: str, file: str, line: int, problems: list[Problem]) -> str:
    text, at = _text(said, "currency", line)
    if len(text) == 3 and text.isascii() and text.isalpha() and text.isupper():
        return text
    mend = "Three capitals, as ISO 4217 writes it, such as EUR."
    problems.append(Problem("`currency`", excerpt(text), mend, key, file, at))
    return ""
