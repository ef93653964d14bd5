"""One build judged again and again under changes: the same catalogue, draws and anchors throughout."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from enginelimits.assessment.sample import checked_samples
from enginelimits.decisions.judge import DEFAULT_SAMPLES, DEFAULT_SEED, judge
from enginelimits.decisions.strength import Kept, strength_anchor
from enginelimits.decisions.verdict import Judgement
from enginelimits.description.edits import edited
from enginelimits.description.load import load_build
from enginelimits.description.models import Build
from enginelimits.rules.catalogue import Catalogue, load_catalogue

if TYPE_CHECKING:
    from enginelimits.shop import Shop

Edits = Sequence[Mapping[str, Any]]


class Bench:
    """A build with everything that stays the same while it is changed.

    Judgements are kept, so that asking twice costs nothing.  The strength anchor is found once, on the build as it was
    read, and used for every change of it.
    """

    def __init__(
        self,
        build: Build,
        catalogue: Catalogue,
        *,
        samples: int = DEFAULT_SAMPLES,
        seed: int = DEFAULT_SEED,
        shop: Shop | None = None,
        as_of: date | None = None,
    ) -> None:
        self.build, self.catalogue = build, catalogue
        self.samples, self.seed, self.shop, self.as_of = checked_samples(samples), seed, shop, as_of
        self._anchor = strength_anchor(build, catalogue, shop=shop)
        self._kept: dict[tuple[str, int], Judgement] = {}

    @property
    def anchor(self) -> tuple[Kept, ...]:
        """What the strength anchor kept of the factory parts' draws."""
        return self._anchor

    def judged(self, edits: Edits = (), *, samples: int | None = None) -> Judgement:
        """The build after the edits, judged; InputError where an edit does not fit or changes nothing."""
        count = self.samples if samples is None else samples
        key = (json.dumps(list(map(dict, edits)), sort_keys=True, default=str), count)
        if key not in self._kept:
            build = edited(self.build, edits) if edits else self.build
            self._kept[key] = judge(build, self.catalogue, samples=count, seed=self.seed, shop=self.shop,
                                    as_of=self.as_of, anchor=self._anchor)
        return self._kept[key]


def bench_of(
    path: str | Path,
    *,
    samples: int = DEFAULT_SAMPLES,
    seed: int = DEFAULT_SEED,
    rules: Sequence[Path] = (),
    shop: Path | None = None,
    as_of: date | None = None,
) -> Bench:
    """A build file on the bench, with the shop's rules and those named laid over.

    Raises InputError or RuleError.
    """
    from enginelimits.shop import read_shop, shop_folder

    own = read_shop(shop_folder(shop))
    rule_folder = own.place("rules")
    catalogue = load_catalogue(overlays=[*((rule_folder,) if rule_folder else ()), *rules], as_of=as_of)
    return Bench(load_build(path), catalogue, samples=samples, seed=seed, shop=own, as_of=as_of)
