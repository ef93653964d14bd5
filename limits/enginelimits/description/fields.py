"""Kinds of field: how the text at a key becomes a value, within which bounds, and what to say if it cannot.

Each kind is metadata of a pydantic field and gives its own validator, so that models stay a list of names.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple, cast

from pydantic_core import PydanticCustomError, core_schema

from enginelimits.description.values import Basis, thread
from enginelimits.units.grammar import excerpt

BASES = ("measured", "documented", "assumed")
# Words of the trade that stand for more than one name, or look like the wrong one.
_MEANT = {
    "supercharger": ("centrifugal", "positive-displacement"),
    "supercharged": ("centrifugal", "positive-displacement"),
    "blower": ("positive-displacement", "centrifugal"),
    "roots": ("positive-displacement",),
    "screw": ("positive-displacement",),
    "twin-screw": ("positive-displacement",),
}


class Fault(NamedTuple):
    """What is wrong, below a field's own key."""

    at: tuple[str | int, ...]
    wanted: str
    got: str
    mend: str = ""
    near: tuple[str, ...] = ()


class FaultsError(Exception):
    """Everything wrong with one field."""

    def __init__(self, *faults: Fault) -> None:
        self.faults = faults
        super().__init__(faults)


@dataclass(frozen=True)
class FieldKind:
    """What all kinds share: being metadata that pydantic asks for a validator."""

    unit: ClassVar[str] = "text"

    def read(self, raw: Any) -> Any:
        """The value of plain data (texts, lists, mappings of texts); raises FaultsError."""
        raise NotImplementedError

    def _validated(self, raw: Any) -> Any:
        try:
            return self.read(raw)
        except FaultsError as error:
            raise PydanticCustomError("unreadable", "unreadable", {"faults": error.faults}) from None

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self._validated)


@dataclass(frozen=True)
class Text(FieldKind):
    """Words of the writer's own, or a name that fits a pattern."""

    wanted: str = "a text"
    pattern: str = ""
    longest: int = 200

    def read(self, raw: Any) -> str:
        text = text_of(raw, self.wanted).strip()
        if not text:
            raise FaultsError(Fault((), self.wanted, "nothing", "Leave the key out if it is not known."))
        if len(text) > self.longest or not text.isprintable():
            raise FaultsError(Fault((), f"{self.wanted} of at most {self.longest} characters", excerpt(text)))
        if self.pattern and not re.fullmatch(self.pattern, text, re.ASCII):
            raise FaultsError(Fault((), self.wanted, excerpt(text)))
        return text


@dataclass(frozen=True)
class ThreadText(FieldKind):
    """A screw thread."""

    def read(self, raw: Any) -> str:
        wanted = "a thread such as `M9x1.0` or `3/8-24`"
        text = text_of(raw, wanted).strip()
        if thread(text) is None:
            raise FaultsError(Fault((), wanted, excerpt(text), "Write diameter and pitch, both."))
        return text


@dataclass(frozen=True)
class Choice(FieldKind):
    """One of a few names."""

    names: tuple[str, ...]
    unit: ClassVar[str] = "choice"

    def read(self, raw: Any) -> str:
        wanted = "one of " + ", ".join(self.names)
        text = text_of(raw, wanted).strip()
        if text not in self.names:
            short = text.lower()[:60]
            # `turbo` is too short to resemble `turbocharger`, but plainly begins it.
            begun = [name for name in self.names if len(short) > 2 and name.startswith(short)]
            near = [name for name in _MEANT.get(short, ()) if name in self.names]
            mend = f"Write {either([f'`{name}`' for name in near])}, whichever is meant." if len(near) > 1 else ""
            near = near or [*begun, *difflib.get_close_matches(short, self.names, n=2)]
            mend = mend or (f"Write `{near[0]}`, if that is meant." if near else "")
            raise FaultsError(Fault((), wanted, excerpt(text), mend, near=tuple(dict.fromkeys(near))))
        return text


@dataclass(frozen=True)
class Several(FieldKind):
    """A list of one kind, or of names each once.  With ``none`` it may be known to be empty: that word, or `[]`."""

    of: FieldKind
    longest: int = 32
    none: bool = False

    @property
    def unit(self) -> str:  # type: ignore[override]
        return self.of.unit

    def read(self, raw: Any) -> tuple[Any, ...]:
        if self.none and (raw in ([], ()) or (isinstance(raw, str) and raw.strip() == "none")):
            return ()
        if not isinstance(raw, list | tuple):
            wanted = f"a list such as `[a, b]`{', or `none`' if self.none else ''}"
            raise FaultsError(Fault((), wanted, what_is(raw), "Put square brackets around it."))
        if not 0 < len(raw) <= self.longest:
            mend = "Leave the key out if none is known."
            raise FaultsError(Fault((), f"a list of 1 to {self.longest}", f"a list of {len(raw)}", mend))
        faults: list[Fault] = []
        values: list[Any] = []
        for index, item in enumerate(raw):
            try:
                values.append(self.of.read(item))
            except FaultsError as error:
                faults += [f._replace(at=(index, *f.at)) for f in error.faults]
                continue
            if isinstance(values[-1], str) and values[-1] in values[:-1]:
                faults.append(Fault((index,), "each name once", f"`{values[-1]}` again"))
        if faults:
            raise FaultsError(*faults)
        return tuple(values)


@dataclass(frozen=True)
class OrNone:
    """A part, or the word `none` for having none."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        part = next(t for t in source.__args__ if hasattr(t, "model_fields"))

        def read(raw: Any, inner: Callable[[Any], Any]) -> Any:
            if isinstance(raw, str):
                text = raw.strip()
                if text == "none":
                    return "none"
                fault = Fault((), "a mapping, or `none`", excerpt(text))
                raise PydanticCustomError("unreadable", "unreadable", {"faults": (fault,)})
            return inner(raw)

        return core_schema.no_info_wrap_validator_function(read, handler.generate_schema(part))


def known_keys(raw: Mapping[str, Any], known: tuple[str, ...]) -> None:
    faults = []
    for key in raw:
        if key not in known:
            near = tuple(difflib.get_close_matches(str(key)[:60], known, n=2))
            faults.append(Fault((key,), "one of " + ", ".join(known), excerpt(key), near=near))
    if faults:
        raise FaultsError(*faults)


def basis_of(raw: Mapping[str, Any], default: Basis) -> Basis:
    text = raw.get("basis", default)
    if text not in BASES:
        raise FaultsError(Fault(("basis",), "one of " + ", ".join(BASES), what_is(text)))
    return cast(Basis, text)


def note_of(raw: Mapping[str, Any]) -> str:
    try:
        return Text("a note", longest=500).read(raw["note"]) if "note" in raw else ""
    except FaultsError as error:
        raise FaultsError(*(f._replace(at=("note",)) for f in error.faults)) from None


def text_of(raw: Any, wanted: str) -> str:
    if not isinstance(raw, str):
        raise FaultsError(Fault((), wanted, what_is(raw)))
    return raw


def what_is(raw: Any) -> str:
    if isinstance(raw, Mapping):
        return "a mapping"
    return "a list" if isinstance(raw, list | tuple) else excerpt(raw)


def either(names: list[str] | tuple[str, ...]) -> str:
    return ", ".join(names[:-1]) + (" or " if len(names) > 1 else "") + names[-1]
