"""The shop's folder: where it is, and the settings of the house that fill what a build leaves out."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from enginelimits.errors import InputError, Problem
from enginelimits.files import text_of
from enginelimits.nodes import Leaf, Node, Row, Table, document
from enginelimits.units.grammar import GrammarError, Shape, excerpt, split
from enginelimits.units.registry import from_si, to_si
from enginelimits.units.spellings import spelling

VARIABLE: Final = "ENGINELIMITS_SHOP"
SETTINGS: Final = "shop.yaml"
DYNOS: Final = ("load-controlled", "inertia", "hub")
UNIT_SYSTEMS: Final = ("metric", "us")


class Kind(NamedTuple):
    """What a setting is: its SI unit, the bounds [SI] of the build file's own key, and how it is written."""

    unit: str
    floor: float
    ceiling: float
    such_as: str


_HEIGHT: Final = Kind("m", -500.0, 5000.0, "a length such as `200 m`")
_AIR: Final = Kind("K", 223.15, 343.15, "a temperature such as `25 degC`")
# What a setting stands for in a build file.
SITE: Final = {
    "altitude": _HEIGHT,
    "air_temperature": _AIR,
    "relative_humidity": Kind("1", 0.0, 1.0, "a share such as `45 %`"),
    "hot_day_temperature": _AIR,
    "calibrated_altitude": _HEIGHT,
    "calibrated_temperature": _AIR,
}
LOSS: Final = {
    "fixed": Kind("W", 0.0, 1e5, "a power such as `6 kW`"),
    "proportional": Kind("1", 0.0, 0.6, "a share such as `9 %`"),
}
_WHOLE: Final = {"site": "{altitude: 200 m}", "loss": "{fixed: 6 kW, proportional: 9 %}"}
_KEYS: Final = ("site", "dyno", "loss", "units", "record")


@dataclass(frozen=True, slots=True)
class Setting:
    """One value of the shop's, SI, with its range where one was written."""

    value: float
    low: float | None
    high: float | None
    shape: Shape
    unit: str


@dataclass(frozen=True, slots=True)
class Shop:
    """A shop's settings and the places in its folder.  Without a folder everything is empty.

    ``record`` says where the shop's record is kept, as written: a file or a database's URL.
    """

    folder: Path | None = None
    settings: Mapping[str, Setting] = field(default_factory=lambda: MappingProxyType({}))
    dyno: str = ""
    units: str = ""
    record: str = field(default="", repr=False)

    def place(self, name: str) -> Path | None:
        """The file or folder of that name in the shop's folder, if it is there."""
        path = self.folder / name if self.folder is not None else None
        return path if path is not None and path.exists() else None


def shop_folder(
    option: str | Path | None = None,
    environment: Mapping[str, str] | None = None,
    platform: str = sys.platform,
) -> Path | None:
    """The folder named by the option, else by ENGINELIMITS_SHOP, else the platform's, if that exists.

    A folder that was named must exist; InputError otherwise.
    """
    environment = os.environ if environment is None else environment
    for named, where in ((option, "--shop"), (environment.get(VARIABLE), VARIABLE)):
        if named:
            path = Path(named)
            if not path.is_dir():
                problem = Problem(
                    wanted="the shop's folder",
                    got=f"no folder `{path}`",
                    mend=f"Correct the path, or leave {where} out.",
                    key=where,
                    file="environment" if where == VARIABLE else "command line",
                )
                raise InputError([problem])
            return path
    usual = _platform_folder(environment, platform)
    return usual if usual is not None and usual.is_dir() else None


def read_shop(folder: Path | None) -> Shop:
    """The settings in the folder's shop.yaml, or an empty Shop; InputError holds every problem."""
    if folder is None or not os.path.lexists(folder / SETTINGS):
        return Shop(folder)
    file = str(folder / SETTINGS)
    problems: list[Problem] = []
    found: dict[str, Setting] = {}
    texts = {"dyno": "", "units": "", "record": ""}
    for key, value, line, column in _settings(text_of(folder / SETTINGS, "the settings of a shop"), file):
        place: dict[str, Any] = {"key": key, "file": file, "line": line, "column": column}
        section, _, name = key.partition(".")
        known = {"site": SITE, "loss": LOSS}.get(section, {})
        if key == "record":
            texts[key] = value.strip()
        elif key in texts:
            allowed = DYNOS if key == "dyno" else UNIT_SYSTEMS
            if value in allowed:
                texts[key] = value
            else:
                problems.append(Problem(wanted=f"one of {', '.join(allowed)}", got=excerpt(value), **place))
        elif name in known:
            path = f"site.{name}" if section == "site" else f"driveline.loss.{name}"
            try:
                found[path] = _setting(value, known[name])
            except GrammarError as error:
                problems.append(
                    Problem(wanted=error.wanted, got=error.got, mend=error.mend, near=error.near, **place)
                )
        elif key in _WHOLE:
            problems.append(Problem(wanted=f"a mapping such as `{_WHOLE[key]}`", got=excerpt(value), **place))
        else:
            names = tuple(known) if section in ("site", "loss") else _KEYS
            problems.append(Problem(wanted=f"one of {', '.join(names)}", got=f"`{key[:40]}`", **place))
    if problems:
        raise InputError(problems)
    return Shop(folder, MappingProxyType(found), texts["dyno"], texts["units"], texts["record"])


def _platform_folder(environment: Mapping[str, str], platform: str) -> Path | None:
    if platform == "win32":
        base = environment.get("APPDATA")
        return Path(base) / "enginelimits" if base else None
    home = environment.get("HOME")
    if platform == "darwin":
        return Path(home) / "Library" / "Application Support" / "enginelimits" if home else None
    base = environment.get("XDG_CONFIG_HOME")
    if base:
        return Path(base) / "enginelimits"
    return Path(home) / ".config" / "enginelimits" if home else None


def _settings(text: str, file: str) -> list[tuple[str, str, int, int]]:
    """Dotted key, text, line and column of each setting; InputError if the file has no such shape."""
    read = document(text, file)
    problems = list(read.problems)
    found: list[tuple[str, str, int, int]] = []

    def walk(node: Node, key: str, depth: int) -> None:
        line, column = (node.place.line, node.place.column) if node.place else (1, 1)
        if isinstance(node, Table) and depth < 2:
            for name, child in node.entries.items():
                walk(child, f"{key}.{name}" if key else name, depth + 1)
        elif isinstance(node, Leaf) and key:
            found.append((key, node.text, line, column))
        else:
            got = "a list" if isinstance(node, Row) else "a text" if isinstance(node, Leaf) else "a mapping"
            problems.append(Problem("a setting and its value", got, key=key, file=file, line=line))

    if read.root is not None and not read.problems:
        walk(read.root, "", 0)
    if problems:
        raise InputError(problems)
    return found


def _setting(text: str, kind: Kind) -> Setting:
    """A setting's value; as in a build file a share has its %, and nothing lies beyond the bounds."""
    written, unit = split(text), kind.unit
    if not written.unit:
        raise GrammarError(kind.such_as, f"{excerpt(text)} without a unit", "Add the unit.")
    if spelling(written.unit, unit).si != unit:
        raise GrammarError(kind.such_as, excerpt(text))

    def si(number: float | None) -> float | None:
        return None if number is None else to_si(number, written.unit, unit)

    value = to_si(written.typical, written.unit, unit)
    slack = 1e-9 * max(abs(kind.floor), abs(kind.ceiling))
    if not kind.floor - slack <= value <= kind.ceiling + slack:
        least, most = (f"{from_si(end, written.unit):.6g} {written.unit}" for end in (kind.floor, kind.ceiling))
        raise GrammarError(f"{kind.such_as}, from {least} to {most}", excerpt(text), "Is the unit the one meant?")
    return Setting(value, si(written.low), si(written.high), written.shape, unit)
