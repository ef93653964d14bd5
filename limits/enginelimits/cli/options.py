"""The options that all commands share, in one place, so that they mean the same everywhere."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import typer

from enginelimits.cli.answer import Answer, Common, Form, Units, refuse_inputs
from enginelimits.errors import InputError, Problem

FORMAT = Annotated[Form, typer.Option("--format", help="Words, JSON with SI numbers, or SARIF (check, rules lint).")]
OUTPUT = Annotated[
    Path | None, typer.Option("--output", "-o", metavar="FILE", help="Write there, never over an input.")
]
UNITS = Annotated[
    Units | None, typer.Option("--units", help="Units of text [default: the shop's, else metric]")
]
RULES = Annotated[
    list[Path] | None, typer.Option("--rules", metavar="DIR", help="Lay these rules over; may be repeated.")
]
SHOP = Annotated[Path | None, typer.Option("--shop", metavar="DIR", help="The shop's folder.")]
QUIET = Annotated[bool, typer.Option("--quiet", help="No talk; errors are still told.")]
AS_OF = Annotated[
    str | None, typer.Option("--as-of", metavar="DATE", help="Judge as on that day [default: today]")
]

WITH_SARIF = ("check", "lint")
_COMMON: dict[str, tuple[Any, Any]] = {
    "form": (FORMAT, Form.text),
    "output": (OUTPUT, None),
    "units": (UNITS, None),
    "rules": (RULES, None),
    "shop": (SHOP, None),
    "quiet": (QUIET, False),
    "as_of": (AS_OF, None),
}


def command(function: Callable[..., Answer]) -> Callable[..., Answer]:
    """A function of ``(common, its own...)`` as a command that also takes the shared options.

    A parameter of the function's own may take the place of a shared one of the same name.
    """
    own = list(inspect.signature(function, eval_str=True).parameters.values())[1:]
    taken = {parameter.name for parameter in own}
    shared = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=default, annotation=annotation)
        for name, (annotation, default) in _COMMON.items()
        if name not in taken
    ]

    def with_shared(**given: Any) -> Answer:
        common = _common({name: given.get(name, default) for name, (_, default) in _COMMON.items()})
        _refuse_sarif(common.form, function)
        mine = {name: given[name] for name in taken}
        folders = [*common.rules, *([common.shop] if common.shop else [])]
        refuse_inputs(common.output, _files(mine), folders)
        from enginelimits.files import watched

        with watched() as read:
            answer = function(common, **mine)
        refuse_inputs(common.output, read, ())
        written = (f"written to {common.output}",) if common.output is not None else ()
        return replace(answer, to=common.output, talk=() if common.quiet else (*answer.talk, *written))

    parameters = [p.replace(kind=inspect.Parameter.KEYWORD_ONLY) for p in own]
    with_shared.__signature__ = inspect.Signature([*parameters, *shared])  # type: ignore[attr-defined]
    with_shared.__annotations__ = {p.name: p.annotation for p in (*parameters, *shared)}
    with_shared.__name__ = function.__name__
    with_shared.__doc__ = function.__doc__
    return with_shared


def _refuse_sarif(form: Form, function: Callable[..., Answer]) -> None:
    """InputError where SARIF is asked of a command that finds nothing in files."""
    if form is Form.sarif and function.__name__ not in WITH_SARIF:
        problem = Problem("text or json", "sarif, which only `check` and `rules lint` write", key="--format",
                          file="command line")
        raise InputError([problem])


def _common(given: dict[str, Any]) -> Common:
    output = given["output"]
    return Common(
        form=given["form"],
        output=None if output is None or str(output) == "-" else output,
        units=given["units"],
        rules=tuple(_folder(path) for path in given["rules"] or ()),
        shop=given["shop"],
        quiet=given["quiet"],
        as_of=_day(given["as_of"]),
    )


def _folder(path: Path) -> Path:
    if not path.is_dir():
        mend = "Correct the path, or leave --rules out."
        raise InputError([Problem("a folder of rules", f"no folder `{path}`", mend, "--rules", "command line")])
    return path


def _day(text: str | None) -> Any:
    if text is None:
        return None
    from datetime import date

    try:
        return date.fromisoformat(text)
    except ValueError:
        problem = Problem("a day as YYYY-MM-DD", repr(text), "Such as 2026-11-25.", "--as-of", "command line")
        raise InputError([problem]) from None


def _files(given: dict[str, Any]) -> Iterator[Path]:
    for value in given.values():
        for one in value if isinstance(value, list | tuple) else (value,):
            if isinstance(one, Path):
                yield one
