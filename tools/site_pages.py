"""Write the made pages of the site: docs/reference (but schemas.md) and docs/models/formulas."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tools"))

from pages.formula_topics import TOPICS, every_module_once, formula_page  # noqa: E402
from pages.reference_pages import reference_pages  # noqa: E402

from enginelimits.rules.catalogue import load_catalogue  # noqa: E402

REFERENCE, FORMULAS = ROOT / "docs" / "reference", ROOT / "docs" / "models" / "formulas"
BY_HAND = {REFERENCE / "schemas.md"}


def written() -> dict[Path, str]:
    """Every file with what it should hold."""
    physics = ROOT / "limits" / "enginelimits" / "physics"
    every_module_once({f"{path.parent.name}.{path.stem}" for path in physics.glob("*/*.py") if path.stem != "__init__"})
    catalogue = load_catalogue(ROOT / "rulesets")
    pages = {REFERENCE / name: text for name, text in reference_pages(catalogue).items()}
    return {**pages, **{FORMULAS / f"{topic}.md": formula_page(topic) for topic in TOPICS}}


def main() -> None:
    """Write them, and take away what is no longer made."""
    files = written()
    for folder in (REFERENCE, FORMULAS):
        for old in folder.rglob("*.md"):
            if old not in files and old not in BY_HAND:
                old.unlink()
    for path, text in files.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
