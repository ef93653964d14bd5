"""The main job from a file: what is wrong with the file is told before anything heavy is imported."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement


def check_build(
    path: str | Path,
    *,
    samples: int | None = None,
    seed: int | None = None,
    rules: Sequence[Path] = (),
    shop: Path | None = None,
    as_of: date | None = None,
    mountain_m: float | None = None,
) -> Judgement:
    """Load a build file and judge it, on a mountain too where its altitude is given.

    Raises InputError, RuleError or SolveError.
    """
    from enginelimits.description.load import load_build
    from enginelimits.shop import read_shop, shop_folder

    own = read_shop(shop_folder(shop))
    build = load_build(path)

    from enginelimits.decisions.judge import DEFAULT_SAMPLES, DEFAULT_SEED, judge
    from enginelimits.rules.catalogue import load_catalogue

    rule_folder = own.place("rules")
    overlays = [*((rule_folder,) if rule_folder else ()), *rules]
    return judge(
        build,
        load_catalogue(overlays=overlays, as_of=as_of),
        samples=DEFAULT_SAMPLES if samples is None else samples,
        seed=DEFAULT_SEED if seed is None else seed,
        shop=own,
        as_of=as_of,
        mountain_m=mountain_m,
    )
