"""Write the pages of the shipped rules, docs/rules/, and every JSON Schema, rulesets/schemas/."""

from __future__ import annotations

import json
from pathlib import Path

from enginelimits.present.file_schemas import FILE_SCHEMAS
from enginelimits.present.output_schemas import OUTPUT_SCHEMAS
from enginelimits.present.rule_pages import rule_pages
from enginelimits.rules.catalogue import load_catalogue
from enginelimits.rules.schema import SCHEMAS
from enginelimits.rules.testing import load_tests

ROOT = Path(__file__).parents[1]
PAGES, SHIPPED_SCHEMAS = ROOT / "docs" / "rules", ROOT / "rulesets" / "schemas"


def written() -> dict[Path, str]:
    """Every file with what it should hold."""
    catalogue = load_catalogue(ROOT / "rulesets")
    pages = {PAGES / name: text for name, text in rule_pages(catalogue, load_tests(catalogue)).items()}
    schemas = {
        SHIPPED_SCHEMAS / name: json.dumps(made(), indent=1, ensure_ascii=False) + "\n"
        for name, made in {**SCHEMAS, **FILE_SCHEMAS, **OUTPUT_SCHEMAS}.items()
    }
    return {**pages, **schemas}


def main() -> None:
    """Write them, and take away what is no longer made."""
    files = written()
    for folder in (PAGES, SHIPPED_SCHEMAS):
        folder.mkdir(parents=True, exist_ok=True)
        for old in folder.iterdir():
            if old not in files:
                old.unlink()
    for path, text in files.items():
        path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
