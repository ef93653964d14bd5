"""Help that can be followed: every command gives an example that parses; and shells can complete the commands."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys

import pytest
import typer
from typer.main import get_command

from enginelimits.cli.app import app

ROOT = typer.Context(get_command(app), info_name="enginelimits", max_content_width=200, terminal_width=200)


def commands(group=None, context=ROOT):
    group = group or context.command
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        below = typer.Context(command, info_name=name, parent=context, max_content_width=200, terminal_width=200)
        if hasattr(command, "list_commands"):
            yield from commands(command, below)
        else:
            yield below


EVERY = {context.command_path: context for context in commands()}


@pytest.mark.parametrize("path", EVERY)
def test_every_command_shows_an_example_that_parses(path):
    context = EVERY[path]
    said = " ".join(context.command.get_help(context).split())
    found = re.search(rf"Example: ({re.escape(path)} .*?)(?= Exit code:| With --| Arguments:| Options:)", said)
    assert found, said
    words = shlex.split(found[1])[len(path.split()):]
    # a wrong option, a missing argument or a value that no choice has would raise
    made = context.command.make_context(context.info_name, words, parent=context.parent)
    assert made.params


@pytest.mark.parametrize("path", EVERY)
def test_the_first_line_of_help_is_a_sentence(path):
    first = EVERY[path].command.help.strip().split("\n")[0]
    assert first.endswith(".") and first[0].isupper()
    # longer lines are cut where a group lists its commands
    assert len(path.split()) < 3 or len(first) <= 45, first


def completed(shell, words, **more):
    code = "from enginelimits.cli.main import run; run()"
    environment = {**os.environ, "_ENGINELIMITS_COMPLETE": f"complete_{shell}", **more}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


@pytest.mark.parametrize(("words", "place", "wanted"), [
    ("enginelimits ch", 1, ["check"]),
    ("enginelimits record o", 2, ["outcome"]),
    ("enginelimits check --fail-on ", 3, ["note", "caution", "reinforce", "decline"]),
])
def test_bash_completes(words, place, wanted):
    assert completed("bash", words, COMP_WORDS=words, COMP_CWORD=str(place)) == wanted
