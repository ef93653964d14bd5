"""The catalogue: the shipped rules, the shop's own and those named on the command line, laid over by id."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Final

from enginelimits.errors import Problem, RuleError
from enginelimits.rules.files import (
    Read,
    read_facts,
    read_failure_modes,
    read_remedies,
    read_rules,
)
from enginelimits.rules.model import Amount, Fact, FailureMode, Override, Place, Remedy, Rule
from enginelimits.rules.overrides import in_date, override_problems, to_come
from enginelimits.rules.reader import Reader, entry, text_of
from enginelimits.rules.stages import Stage, facts_needed, staged

ABOUT_LAYER: Final = "catalogue.yaml"
TEST: Final = ".test.yaml"
# What is meant to be read: a file that counts for nothing because of its name would be missed by nobody.
_ALIKE: Final = (".yaml", ".yml", ".yaml.txt", ".yml.txt")
_SPECIAL: Final = {
    "facts.yaml": read_facts,
    "remedies.yaml": read_remedies,
    "failure-modes.yaml": read_failure_modes,
}


@dataclass(frozen=True, slots=True)
class Layer:
    """One folder of rules: its name and version, and a digest of what its files held."""

    name: str
    version: str
    digest: str
    folder: Path


@dataclass(frozen=True, eq=False)
class Catalogue:
    """Everything the rules say, the last layer on top.

    ``overrides`` are those in force on ``as_of``, ``to_come`` those of a later date; ``shipped`` holds the first
    layer's numbers, for showing beside whatever replaced them.
    """

    rules: Mapping[str, Rule]
    facts: Mapping[str, Fact]
    remedies: Mapping[str, Remedy]
    failure_modes: Mapping[str, FailureMode]
    layers: tuple[Layer, ...]
    overrides: tuple[Override, ...] = ()
    expired: tuple[Override, ...] = ()
    to_come: tuple[Override, ...] = ()
    shipped: Mapping[str, Mapping[str, Amount]] = field(default_factory=dict)
    as_of: date | None = None
    _stages: dict[tuple[str, frozenset[str]], tuple[Stage, ...]] = field(default_factory=dict, repr=False)

    def judged(self, about: str = "build") -> dict[str, Rule]:
        """The rules about a build, or about a log, that are not withdrawn."""
        return {i: r for i, r in self.rules.items() if r.about == about and r.status != "withdrawn"}

    def stages(self, about: str = "build", settled: frozenset[str] = frozenset()) -> tuple[Stage, ...]:
        """The conditions of those rules as programs, made once."""
        key = (about, settled)
        if key not in self._stages:
            rules = {i: r for i, r in self.judged(about).items() if i not in settled}
            self._stages[key] = staged(rules, facts_needed(rules.values(), self.facts), settled)
        return self._stages[key]


def load_catalogue(base: Path | None = None, overlays: Sequence[Path] = (), as_of: date | None = None) -> Catalogue:
    """The catalogue of a base folder with others laid over it; RuleError with everything that is wrong.

    The base is the checkout's ``rulesets`` when the package runs from one, else what the wheel brought;
    never a folder beside the build.
    """
    day = as_of or date.today()
    problems: list[Problem] = []
    layers: list[Layer] = []
    read: list[Read] = []
    for number, folder in enumerate([base or checkout_folder("rulesets"), *overlays]):
        layer, held = _layer(Path(folder), "shipped" if number == 0 else "", layers, problems)
        layers.append(layer)
        read.append(held)
    if problems:
        raise RuleError(problems)
    rules = {r.id: r for held in read for r in held.rules}
    overrides = [o for held in read for o in held.overrides]
    catalogue = Catalogue(
        rules=dict(sorted(rules.items())),
        facts={f.name: f for held in read for f in held.facts},
        remedies={r.id: r for held in read for r in held.remedies},
        failure_modes={m.id: m for held in read for m in held.failure_modes},
        layers=tuple(layers),
        overrides=tuple(o for o in overrides if in_date(o, day)),
        expired=tuple(o for o in overrides if not in_date(o, day) and not to_come(o, day)),
        to_come=tuple(o for o in overrides if to_come(o, day)),
        shipped={r.id: {n: limit.value for n, limit in r.limits.items()} for r in read[0].rules},
        as_of=day,
    )
    problems = [*_loose_ends(catalogue), *override_problems(catalogue)]
    for about in ("build", "log"):
        try:
            catalogue.stages(about)
        except RuleError as error:
            problems.extend(error.problems)
    if problems:
        raise RuleError(dict.fromkeys(problems))
    return catalogue


def checkout_folder(name: str) -> Path:
    """The checkout's folder of that name, else the copy in the wheel; RuleError when there is neither."""
    package = Path(__file__).resolve().parents[1]
    checkout = package.parents[1]
    if package.parent.name == "limits" and (checkout / "pyproject.toml").is_file() and (checkout / name).is_dir():
        return checkout / name
    packed = package / f"_{name}"
    if packed.is_dir():
        return packed
    mend = "Install the package again, or run it from a checkout."
    raise RuleError([Problem(f"the shipped {name}", "neither a checkout nor a copy in the package", mend)])


def files_of(folder: Path) -> Iterator[Path]:
    """The YAML files of a layer in a fixed order, tests included."""
    yield from (folder / name for name in _names_in(folder))


def _names_in(folder: Path) -> list[str]:
    """The names of those files, from the folder on, with forward slashes."""
    found: list[str] = []
    for here, folders, names in os.walk(folder):
        inner = os.path.relpath(here, folder).replace(os.sep, "/") + "/" if here != str(folder) else ""
        folders[:] = [name for name in folders if not name.startswith((".", "_"))]
        for name in names:
            written = name.lower().endswith(_ALIKE) and not name.startswith((".", "_"))
            if written and os.path.isfile(os.path.join(here, name)):  # noqa: PTH113, PTH118 - hundreds of files
                found.append(inner + name)
    return sorted(found)


def shown_path(path: Path) -> str:
    """A path as messages name it: from the current folder where it lies below."""
    here, full = os.getcwd(), os.path.abspath(path)  # noqa: PTH100, PTH109 - resolve() would follow links
    return full.removeprefix(here.removesuffix(os.sep) + os.sep) if full != here else "."


def _layer(folder: Path, default: str, before: Sequence[Layer], problems: list[Problem]) -> tuple[Layer, Read]:
    held, digest = Read(), hashlib.sha256()
    if not folder.is_dir():
        got = "a file" if folder.exists() else "nothing there"
        problems.append(Problem("a folder of rules", got, "Name the folder that holds them.", file=str(folder)))
        return Layer(default or folder.name, "", "", folder), held
    texts: dict[str, str] = {}
    for inner in _names_in(folder):
        if not inner.endswith(".yaml"):
            path = folder / inner
            problems.append(Problem("a name that ends in .yaml", path.name, "Rename it.", file=shown_path(path)))
        elif not inner.endswith(TEST) and (text := text_of(folder / inner, problems)) is not None:
            texts[inner] = text
            content = text.encode()
            digest.update(f"{inner}\0{len(content)}\0".encode() + content)
    name, version = default or folder.resolve().name, ""
    if ABOUT_LAYER in texts:
        reader = Reader(shown_path(folder / ABOUT_LAYER))
        table = reader.table(reader.root(texts.pop(ABOUT_LAYER)), "what a layer is", ("name", "version"), ())
        name = reader.text(entry(table, "name"), "a name", longest=80) or name
        version = reader.text(entry(table, "version"), "a version", longest=40)
        problems.extend(reader.problems)
    taken = [layer.name for layer in before]
    name = name if name not in taken else f"{name} ({len(taken) + 1})"
    for inner, text in texts.items():
        reader = Reader(shown_path(folder / inner))
        _SPECIAL.get(inner, read_rules)(reader, text, name, held)
        problems.extend(reader.problems)
    problems.extend(_doubles(held))
    return Layer(name, version, digest.hexdigest(), folder), held


def _doubles(held: Read) -> Iterator[Problem]:
    seen: dict[str, Place] = {}
    for rule in held.rules:
        first = seen.setdefault(rule.id, rule.place)
        if first is not rule.place:
            yield Problem(
                "each rule once in a layer",
                f"{rule.id} again (first in {first.file})",
                "Give it an id of its own.",
                "id",
                rule.place.file,
                rule.place.line,
                rule.place.column,
            )


def _loose_ends(catalogue: Catalogue) -> Iterator[Problem]:
    """What rules point to and a verdict would need."""
    import difflib

    for remedy in catalogue.remedies.values():
        named = [("against", name) for name in remedy.against]
        named += [("on_a_belt", remedy.on_a_belt)] if remedy.on_a_belt else []
        for key, name in named:
            if name not in catalogue.remedies:
                at = remedy.place
                near = tuple(difflib.get_close_matches(name, list(catalogue.remedies), n=3))
                yield Problem("a remedy of the catalogue", name, "", key, at.file, at.line, at.column, near)
    for rule in catalogue.rules.values():
        for name in rule.remedies:
            if name not in catalogue.remedies:
                at = rule.places.get("remedies", rule.place)
                near = tuple(difflib.get_close_matches(name, list(catalogue.remedies), n=3))
                yield Problem("a remedy of the catalogue", name, "", "remedies", at.file, at.line, at.column, near)
        if rule.replaced_by and rule.replaced_by not in catalogue.rules:
            at = rule.places.get("replaced_by", rule.place)
            near = tuple(difflib.get_close_matches(rule.replaced_by, list(catalogue.rules), n=3))
            yield Problem(
                "a rule of the catalogue",
                rule.replaced_by,
                "",
                "replaced_by",
                at.file,
                at.line,
                at.column,
                near,
            )
