"""Two thousand rules, and the shipped ones: within the engine's limits and within their time."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from enginelimits.rules.catalogue import Catalogue, Layer, load_catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.ground import Reading
from enginelimits.rules.inference import engine_named
from enginelimits.rules.islands import MOST_CLAUSES, islands
from enginelimits.rules.model import Amount, Compare, Every, Fact, FactHolds, Grade, Rule


class Ramps:
    """A hundred quantities rising with speed, each with a slope of its own."""

    def __init__(self, ambients: int, rows: int, speeds: int) -> None:
        self.shape = (ambients, rows, speeds)
        self.speeds = np.linspace(157.0, 775.0, speeds)
        self._asked: dict[str, Reading] = {}

    def quantity(self, id: str) -> Reading:
        slope = 0.5 + int(id.removeprefix("q.n")) / 100
        return Reading(slope * self.speeds / 775.0, "1")

    def input(self, path: str) -> Reading:
        return Reading("x", "1")


def catalogue(count: int) -> Catalogue:
    """Each rule: applies through a shared fact, two grades, on one of a hundred quantities."""
    facts = {f"f{k}": Fact(f"f{k}", "", Compare("quantity", f"q.n{k}", "above", Amount(0.2))) for k in range(5)}
    rules = {}
    for n in range(count):
        name = f"q.n{n % 100}"
        grades = (
            Grade("caution", Every((Compare("quantity", name, "above", Amount(1.2)), FactHolds("f0")))),
            Grade("note", Compare("quantity", name, "above", Amount(0.9))),
        )
        rules[f"R{n:04d}"] = Rule(f"R{n:04d}", "", "f", grades, applies=FactHolds(f"f{n % 5}"))
    return Catalogue(rules, facts, {}, {}, (Layer("test", "", "", Path()),))


def test_two_thousand_rules_are_judged_rightly_by_both_engines() -> None:
    many, ground = catalogue(2000), Ramps(1, 1, 4)
    for engine in ("plain", "auto"):
        outcomes = evaluate(many, ground, engine=engine).outcomes
        for n in range(2000):
            # A ramp tops out at 0.5 + n/100 at the last speed, where every fact holds.
            top = 0.5 + (n % 100) / 100
            want = 2 if top > 1.2 * (1 + 1e-9) else 1 if top > 0.9 * (1 + 1e-9) else 0
            assert outcomes[f"R{n:04d}"].grade[0, 0] == want, n
    for stage in many.stages():
        assert max(len(island.clauses) for island in islands(stage.program)) <= MOST_CLAUSES


def test_the_shipped_catalogue_loads_and_fits_the_engine() -> None:
    shipped = load_catalogue()
    assert len(shipped.judged()) >= 40
    stages = shipped.stages()
    assert stages is shipped.stages()  # compiled once
    for stage in stages:
        assert all(len(island.clauses) <= 200 for island in islands(stage.program))


def test_the_engine_named_is_the_one_used() -> None:
    assert evaluate(catalogue(3), Ramps(1, 1, 2), engine="plain").engine == "plain"
    assert evaluate(catalogue(3), Ramps(1, 1, 2)).engine == engine_named("auto").name
