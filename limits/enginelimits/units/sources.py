"""Where each formula, constant and reference value comes from: one entry an id, alphabetical."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

SourceKind = Literal["published", "standard", "common practice", "memory", "own computation"]


@dataclass(frozen=True, slots=True)
class Source:
    """A publication, or the plain statement that there is none.  ``year`` 0 means undated."""

    title: str
    authors: str
    year: int
    kind: SourceKind


SOURCES: Mapping[str, Source] = MappingProxyType(
    {
        "bipm-si-2019": Source(
            "The International System of Units (SI), 9th edition", "BIPM", 2019, "standard"
        ),
        "codata-2018": Source(
            "CODATA recommended values of the fundamental physical constants",
            "Tiesinga et al.",
            2021,
            "published",
        ),
        "common-practice": Source("common practice, no source", "", 0, "common practice"),
        "heywood-1988": Source("Internal Combustion Engine Fundamentals", "Heywood", 1988, "published"),
        "iso-2533": Source("Standard atmosphere", "ISO", 1975, "standard"),
        "memory": Source("from memory, no source at hand", "", 0, "memory"),
        "nist-sp-811": Source(
            "Guide for the Use of the International System of Units, appendix B",
            "Thompson, Taylor",
            2008,
            "published",
        ),
        "own-computation": Source("computed by this project", "", 0, "own computation"),
    }
)
