"""A build file to start from."""

from __future__ import annotations

from pathlib import Path

from enginelimits.cli.answer import Answer, Common, Form
from enginelimits.cli.options import command
from enginelimits.errors import InputError, Problem

STARTER = Path(__file__).with_name("starter.yaml")


@command
def start(common: Common) -> Answer:
    """Print a commented build file to start from.

    Example: enginelimits start -o build.yaml
    """
    if common.output is not None and common.output.exists():
        # it may be the build that somebody has filled in
        problem = Problem("the name of a new file", f"`{common.output}`, which is there already",
                          "Name another file; nothing was written.", "-o", "command line")
        raise InputError([problem])
    text = STARTER.read_text(encoding="utf-8")
    if common.form is Form.json:
        from enginelimits.present.jsonform import written

        return Answer(written({"schema": "enginelimits.start/1", "build_file": text}))
    return Answer(text, talk=("fill it in, then: enginelimits check FILE",))
