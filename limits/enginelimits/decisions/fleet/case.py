"""One build of a sweep: a build file's text and the edits made on it, plain enough to send to any worker."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path, PurePath, PurePosixPath
from typing import Any

from enginelimits.decisions.fleet.setting import Packed, Setting, unpacked
from enginelimits.description.edits import edited
from enginelimits.description.load import parse_build
from enginelimits.description.map_file import MOST_BYTES
from enginelimits.description.models import Build
from enginelimits.description.paths import containers, field, flattened
from enginelimits.errors import InputError
from enginelimits.files import bytes_of

MAP = "forced_induction.compressor.map"
Edit = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Case:
    """A build file's text, edits as JSON, and the files that the build names; ``key`` says all of that in one word.

    ``error`` is why there is no build to judge, for a case that is kept all the same.
    """

    key: str
    build: str
    file: str
    text: str
    edits: str
    attached: Packed = ()
    error: str = ""

    @property
    def name(self) -> str:
        """The build's name and what was changed, as a reader knows a case."""
        said = ", ".join(f"{path.rpartition('.')[2]} {_words(value)}" for path, value in self.stated.items()
                         if path != "build")
        return f"{self.build}: {said}" if said else self.build

    @property
    def stated(self) -> dict[str, Any]:
        """What the edits set, by path."""
        return {edit.get("set") or edit["replace"]: edit.get("to", edit.get("with")) for edit in json.loads(self.edits)}


def case_of(build: Build, text: str, edits: Sequence[Edit], setting: Setting) -> Case:
    """The case of a build as it is after the edits; ``text`` is what its file holds."""
    attached = tuple(_attached(build))
    written = json.dumps(list(edits), sort_keys=True, ensure_ascii=False)
    told = [text, written, PurePath(build.file).parts[-2:], [(n, hashlib.sha256(b).hexdigest()) for n, b in attached]]
    key = hashlib.sha256(json.dumps([*told, setting.digest]).encode()).hexdigest()[:32]
    return Case(key, build.build, build.file, text, written, attached)


def bad_case(file: str, edits: Sequence[Edit], setting: Setting, error: str) -> Case:
    """The case of what cannot be judged, with the reason."""
    written = json.dumps(list(edits), sort_keys=True, ensure_ascii=False)
    told = [file, written, error, setting.digest]
    key = hashlib.sha256(json.dumps(told).encode()).hexdigest()[:32]
    return Case(key, file, file, "", written, error=error)


def edit_of(path: str, value: Any) -> Edit:
    """The edit that puts a value, or a mapping, at a path of the build file."""
    whole = isinstance(value, Mapping) and path in containers() and field(path) is None
    return {"replace": path, "with": value} if whole else {"set": path, "to": value}


def build_of(case: Case) -> Build:
    """The build of a case; with the files that it names, where this machine has not got them."""
    build = _parsed(case.text, _home(case))
    edits = json.loads(case.edits)
    return edited(build, edits, idle=True) if edits else build


def _home(case: Case) -> str:
    """A build file's name from which the files that the build names are found."""
    beside = Path(case.file).parent
    if all(_same(beside / name, content) for name, content in case.attached):
        return case.file
    return str(_brought(case.attached) / _depth(case.attached) / Path(case.file).name)


def _same(path: Path, content: bytes) -> bool:
    try:
        return bytes_of(path, most=len(content)) == content
    except InputError:
        return False


@lru_cache(maxsize=16)
def _parsed(text: str, file: str) -> Build:
    # Held, because the strength anchor is found once for all edits of one build.
    return parse_build(text, file)


@lru_cache(maxsize=16)
def _brought(attached: Packed) -> Path:
    """A folder with the files, deep enough for names that begin with `..`."""
    depth = _depth(attached)
    folder = unpacked(tuple((_within(depth / PurePosixPath(name)), content) for name, content in attached))
    # The way up leads through folders that are there.
    (folder / depth).mkdir(parents=True, exist_ok=True)
    return folder


def _depth(attached: Packed) -> PurePosixPath:
    most = max((PurePosixPath(name).parts.count("..") for name, _ in attached), default=0)
    return PurePosixPath(*("d",) * (most + 1))


def _within(path: PurePosixPath) -> str:
    """The path without `..`; one that would lead out of the folder, or begins elsewhere, stays in it."""
    parts: list[str] = []
    for part in path.parts:
        if part == "..":
            parts = parts[:-1]
        elif part != path.anchor:
            parts.append(part)
    return "/".join(parts)


def _attached(build: Build) -> Iterator[tuple[str, bytes]]:
    """The compressor map that a build names; what cannot be read is told when the case is judged."""
    named = flattened(build).get(MAP)
    if isinstance(named, str):
        with suppress(InputError):
            yield named.replace("\\", "/"), bytes_of(Path(build.file).parent / named, "a map file", MOST_BYTES)


def _words(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
