"""Run the commands in the pages of docs and put what they print under them.

In a page, a block of shell commands is run when the comment `<!-- prints -->` stands between it and a text block:

    ```sh
    enginelimits check build.yaml --samples 0
    ```
    <!-- prints: to "Also note" -->
    ```text
    (made)
    ```

After the colon may stand, in this order: `slow`, for more than some seconds; `from "TEXT"` and `to "TEXT"`, the lines
that begin so, the second left out; `lines N`, at most so many.  What is cut is shown as `[...]`.  A block of YAML with
a `title="FILE"` is written to that file.  All of a page runs in one folder, with the worked cases in it; a command that
stands there twice, with no file written between, is run once.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
BLOCK = re.compile(r"^```(?P<head>[^\n]*)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
TITLE = re.compile(r'title="([^"]+)"')
PRINTS = re.compile(r"^\s*<!-- prints(?::(?P<how>[^>]*))? -->\s*$")
CUT = "[...]"
PROGRAM = "from enginelimits.cli.main import run; run()"


@dataclass(frozen=True)
class Step:
    """One thing that a page does: a file to write, or commands to run, with the place of their output if shown."""

    title: str
    text: str
    how: str | None = None
    shown: tuple[int, int] = (0, 0)

    @property
    def slow(self) -> bool:
        return self.how is not None and "slow" in self.how.split('"')[0]


def pages() -> list[Path]:
    """The pages that show output."""
    return sorted(path for path in DOCS.rglob("*.md") if "<!-- prints" in path.read_text("utf-8"))


def steps(text: str) -> Iterator[Step]:
    """What a page does, in order.  Commands without shown output are run too, so that what follows finds them done."""
    blocks = list(BLOCK.finditer(text))
    for place, block in enumerate(blocks):
        head = block["head"].strip()
        title = TITLE.search(head)
        if head.startswith("yaml") and title:
            yield Step(title[1], block["body"])
        elif head == "sh":
            after = blocks[place + 1] if place + 1 < len(blocks) else None
            between = text[block.end():after.start()] if after is not None else ""
            found = PRINTS.match(between.strip("\n")) if after is not None and after["head"].strip() == "text" else None
            if found is None or after is None:
                yield Step("", block["body"])
            else:
                yield Step("", block["body"], found["how"] or "", after.span("body"))


def refreshed(text: str, folder: Path, *, slow: bool) -> str:
    """The page with every output made again; without ``slow`` those marked so are left as they stand, and not run."""
    environment = surroundings(folder)
    made: list[tuple[tuple[int, int], str]] = []
    known: dict[str, str] = {}
    for step in steps(text):
        if step.title:
            path = folder / step.title
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(step.text, encoding="utf-8")
            known.clear()
        elif slow or not step.slow:
            if step.text not in known:
                known[step.text] = ran(step.text, folder, environment)
            if step.how is not None:
                made.append((step.shown, chosen(known[step.text], step.how)))
    for (begin, end), output in reversed(made):
        text = text[:begin] + output + text[end:]
    return text


def ran(commands: str, folder: Path, environment: dict[str, str]) -> str:
    """What the commands print, one a line; the last may be one that is refused, and then its words are shown."""
    printed = ""
    lines = commands.strip().split("\n")
    for line in lines:
        done = subprocess.run(["bash", "-c", line], cwd=folder, env=environment, text=True, check=False,
                              capture_output=True, timeout=900)
        refused = done.returncode == 2 and line == lines[-1]
        if done.returncode not in (0, 1) and not refused:
            raise RuntimeError(f"{line}\nleft with {done.returncode}\n{done.stderr}")
        printed += done.stdout + (done.stderr if refused else "")
    return printed


def chosen(printed: str, how: str) -> str:
    """The part of an output that a page shows."""
    lines = printed.rstrip("\n").split("\n")
    begin, end = 0, len(lines)
    if found := re.search(r'from "([^"]+)"', how):
        begin = _place(lines, found[1], 0, printed)
    if found := re.search(r'to "([^"]+)"', how):
        end = _place(lines, found[1], begin + 1, printed)
    if found := re.search(r"lines (\d+)", how):
        end = min(end, begin + int(found[1]))
    shown = lines[begin:end]
    while shown and not shown[-1].strip():
        shown.pop()
    shown = [CUT] * (begin > 0) + shown + [CUT] * (end < len(lines))
    return "\n".join(shown) + "\n"


def _place(lines: list[str], words: str, first: int, printed: str) -> int:
    for place, line in enumerate(lines):
        if place >= first and line.startswith(words):
            return place
    raise ValueError(f"no line begins with `{words}` in what was printed:\n{printed}")


def surroundings(folder: Path) -> dict[str, str]:
    """An environment without the settings of whoever runs this; the program on the path, the cases in the folder."""
    program = folder / ".bin" / "enginelimits"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -c "{PROGRAM}" "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    shutil.copytree(ROOT / "cases", folder / "cases")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("ENGINELIMITS", "COLUMNS"))}
    path = f"{program.parent}{os.pathsep}{os.environ.get('PATH', '')}"
    return {**kept, "PATH": path, "XDG_CONFIG_HOME": str(folder / ".config"), "HOME": str(folder), "LOGNAME": "bench",
            "USER": "bench", "PYTHONPATH": str(ROOT / "limits"), "NO_COLOR": "1"}


def remade(page: Path, *, slow: bool) -> str:
    """A page as it should be."""
    with tempfile.TemporaryDirectory() as folder:
        return refreshed(page.read_text("utf-8"), Path(folder), slow=slow)


def main(names: list[str]) -> None:
    """Write the pages named, or all."""
    for page in [Path(name).resolve() for name in names] or pages():
        print(page.relative_to(ROOT))
        page.write_text(remade(page, slow=True), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
