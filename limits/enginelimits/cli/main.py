"""The way in and the one way out."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence

from enginelimits.cli.answer import Answer, deliver, tell
from enginelimits.cli.failures import Code, code_of, words_of


def run() -> None:
    """The console script."""
    # A stream that the caller closed leaves its number free, and the next file opened would take it.
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    # One command makes many objects that stay and few that die in rings: looking for such rings at the usual pace
    # took a seventh of a check.
    gc.set_threshold(200_000, 10, 10)
    code = exit_code(sys.argv[1:])
    # Before it ends the interpreter would look through all that is left for such rings, more than once: a tenth of a
    # check.  What is frozen it leaves alone; files are closed and what was registered for the end is run as ever.
    gc.freeze()
    sys.exit(code)


def exit_code(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code; no error leaves as a traceback."""
    try:
        return _answered(arguments)
    except BrokenPipeError:
        # Nobody reads any more.  What the interpreter still holds would raise again at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return Code.closed_pipe
    except KeyboardInterrupt:
        return Code.interrupted
    except Exception as error:
        if _is_interrupt(error):
            return Code.interrupted
        raise


def _is_interrupt(error: BaseException | None) -> bool:
    """Whether Ctrl-C is behind an error: one that comes while a class is made is wrapped in another."""
    while error is not None and not isinstance(error, KeyboardInterrupt):
        error = error.__cause__ or error.__context__
    return error is not None


def _answered(arguments: Sequence[str]) -> int:
    # Looking for plug-ins of pydantic reads every installed package, and none is to change how a file is read.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from typer import Abort

    from enginelimits.cli.app import app

    try:
        answer = app(list(arguments), prog_name="enginelimits", standalone_mode=False)
        if not isinstance(answer, Answer):
            # Help was printed, or the command line ended early with a code of its own.
            if sys.stdout is not None:
                sys.stdout.flush()
            return answer if isinstance(answer, int) else Code.clean
        deliver(answer)
    except (BrokenPipeError, KeyboardInterrupt):
        raise
    except Abort:
        return Code.interrupted
    except SystemExit as end:
        # typer ends the program itself when a pipe closes under its help.
        return end.code if isinstance(end.code, int) and end.code != 1 else Code.closed_pipe
    except Exception as error:  # noqa: BLE001  (the last net: every other error is a fault to report)
        if _is_interrupt(error):
            return Code.interrupted
        usage = getattr(error, "format_message", None)
        if usage is not None:
            _tell_usage(error, usage())
            return int(getattr(error, "exit_code", Code.bad_input))
        tell(f"enginelimits: {words_of(error)}")
        return code_of(error)
    return answer.code


def _tell_usage(error: Exception, words: str) -> None:
    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "enginelimits"
    # typer words some refusals as its model does
    words = words.replace("Value error, ", "").replace("Input should be ", "wanted ").replace(
        "a valid integer, unable to parse string as an integer", "a whole number")
    # Called with nothing at all, a command shows its help in place of a complaint.
    tell(words if words.startswith("Usage:") else f"{path}: {words}\nSee `{path} --help`.")
