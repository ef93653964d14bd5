"""Write docs/licences.md: the licence of every library that pyproject.toml names, as the installed ones tell it.

With `--all` it prints what is installed below those that a user can ask for, too.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterable
from functools import cache
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "licences.md"
PERMISSIVE = {
    "0BSD", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD", "BSD-2-Clause", "BSD-3-Clause", "CC0-1.0", "HPND",
    "ISC", "MIT", "MIT-0", "MIT-CMU", "MPL-1.1", "MPL-2.0", "PSF-2.0", "Unlicense", "Zlib",
}  # fmt: skip
# A library under these is used as it is, by import, and whoever installs it can put another version in its place.
IN_EXTRAS = {"LGPL-3.0-only", "LGPL-3.0-or-later"}
FOR_DEVELOPMENT = ("test", "fuzz", "docs", "dev", "mutants")
# What libraries write in place of an SPDX id.  "BSD" is what several say without a number of clauses.
SPELLINGS = {
    "apache license": "Apache-2.0",
    "apache license 2.0": "Apache-2.0",
    "apache software license": "Apache-2.0",
    "bsd 2-clause license": "BSD-2-Clause",
    "bsd 3-clause license": "BSD-3-Clause",
    "bsd license": "BSD",
    "gnu general public license v2 or later (gplv2+)": "GPL-2.0-or-later",
    "gnu lesser general public license v2 or later (lgplv2+)": "LGPL-2.0-or-later",
    "gnu lesser general public license v3 (lgplv3)": "LGPL-3.0-only",
    "gnu lesser general public license v3 or later (lgplv3+)": "LGPL-3.0-or-later",
    "isc license": "ISC",
    "isc license (iscl)": "ISC",
    "mit license": "MIT",
    "mozilla public license 1.1 (mpl 1.1)": "MPL-1.1",
    "mozilla public license 2.0 (mpl 2.0)": "MPL-2.0",
    "python software foundation license": "PSF-2.0",
}


def spdx(text: str) -> str:
    """An SPDX expression for what a library writes; as it stands where it is one or nobody knows."""
    return SPELLINGS.get(text.strip().lower(), text.strip())


def licence(name: str) -> str:
    """The licence of an installed library: its expression, else its classifiers, else a short field, else its file."""
    told = metadata.metadata(name)
    if expression := told.get("License-Expression"):
        return expression
    classified = [c.split(" :: ")[-1] for c in told.get_all("Classifier", []) if c.startswith("License :: OSI")]
    field = told.get("License") or ""
    short = spdx(field) if "\n" not in field.strip() and len(field) < 40 else ""
    if classified and classified != ["BSD License"]:
        return " OR ".join(sorted(map(spdx, classified)))
    if short or classified:
        return short or spdx(classified[0])
    for file in metadata.files(name) or ():
        if "dist-info" in str(file) and "licen" in file.name.lower():
            lines = [line.strip() for line in file.read_text().splitlines() if line.strip()]
            return spdx(lines[0])
    return "not told"


def allowed(expression: str, ids: Iterable[str]) -> bool:
    """Whether an expression can be met with licences of a list."""
    known = set(ids)
    words = re.findall(r"\(|\)|[\w.+-]+(?: WITH [\w.+-]+)?", expression)
    met = [w.lower() if w in ("AND", "OR") else w if w in "()" else str(w in known) for w in words]
    try:
        return bool(eval(" ".join(met), {"__builtins__": {}}))
    except SyntaxError:  # no expression, but a sentence
        return False


@cache
def requirements() -> list[tuple[str, Requirement]]:
    """What the project asks for of others, each with the extra that asks for it; "" is an install without any."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = {"": project["dependencies"], **project["optional-dependencies"]}
    every = [(extra, Requirement(text)) for extra, wanted in asked.items() for text in wanted]
    return [(extra, requirement) for extra, requirement in every if requirement.name != project["name"]]


@cache
def declared() -> dict[str, list[str]]:
    """Every library that the project names, with the extras that name it."""
    found: dict[str, list[str]] = {}
    for extra, requirement in requirements():
        found.setdefault(canonicalize_name(requirement.name), []).append(extra)
    return dict(sorted(found.items()))


def asked_extras(name: str) -> set[str]:
    """The extras of a library that the project asks for."""
    return {extra for _, r in requirements() if canonicalize_name(r.name) == name for extra in r.extras}


def shipped(name: str) -> bool:
    """Whether a user can come to a library, rather than who develops alone."""
    return any(extra not in FOR_DEVELOPMENT for extra in declared()[name])


def below(names: Iterable[str]) -> set[str]:
    """These, by the names and extras that the project asks for, and all they ask for in turn, of what is installed."""
    found: set[tuple[str, str]] = set()
    waiting = [(name, extra) for name in names for extra in ("", *asked_extras(name))]
    while waiting:
        name, extra = waiting.pop()
        try:
            wanted = [Requirement(text) for text in metadata.requires(name) or []]
        except metadata.PackageNotFoundError:
            continue
        found.add((name, extra))
        for one in wanted:
            if one.marker is None or one.marker.evaluate({"extra": extra}):
                steps = {(canonicalize_name(one.name), deeper) for deeper in ("", *one.extras)}
                waiting += steps - found
    return {name for name, _ in found}


def page() -> str:
    """The page, from the libraries installed."""
    lines = [
        "# Licences",
        "",
        "Made by `tools/licences.py` from what the installed libraries tell of themselves.",
        "",
        "The program itself is under BSD-3-Clause. It carries no code of others; `pip` fetches what it needs.",
        "Everything that an install without extras brings is under a permissive licence. Some extras bring a library",
        "under the LGPL, which is used as it is, by import. `BSD` stands where a library does not say with how many",
        "clauses. What these libraries need in turn is printed by `tools/licences.py --all`; a test holds all of it to",
        "the same list.",
    ]
    of_users = [name for name in declared() if shipped(name)]
    groups = {
        "An install without extras": [name for name in of_users if "" in declared()[name]],
        "Extras": [name for name in of_users if "" not in declared()[name]],
        "Tests, documentation and development": [name for name in declared() if not shipped(name)],
    }
    for title, names in groups.items():
        lines += ["", f"## {title}", "", "| library | licence | extra |", "| --- | --- | --- |"]
        for name in names:
            extras = ", ".join(f"`{extra}`" for extra in declared()[name] if extra)
            lines.append(f"| {name} | {licence(name)} | {extras} |")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the page, or print all that is installed."""
    if "--all" in sys.argv[1:]:
        for name in sorted(below(name for name in declared() if shipped(name))):
            print(f"{name}: {licence(name)}")
        return
    PAGE.write_text(page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
