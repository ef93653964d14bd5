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
        "bhandari-2010": Source("Design of Machine Elements, 3rd edition", "Bhandari", 2010, "published"),
        "bipm-si-2019": Source(
            "The International System of Units (SI), 9th edition", "BIPM", 2019, "standard"
        ),
        "chen-flynn-1965": Source(
            "Development of a single cylinder compression ignition research engine, SAE 650733",
            "Chen, Flynn",
            1965,
            "published",
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
        "iso-898-1": Source(
            "Mechanical properties of fasteners made of carbon steel and alloy steel, part 1",
            "ISO",
            2013,
            "standard",
        ),
        "jindal-2010": Source("Machine Design", "Jindal", 2010, "published"),
        "khurmi-gupta-machine-design": Source(
            "A Textbook of Machine Design", "Khurmi, Gupta", 2005, "published"
        ),
        "khurmi-gupta-theory-of-machines": Source("Theory of Machines", "Khurmi, Gupta", 2005, "published"),
        "memory": Source("from memory, no source at hand", "", 0, "memory"),
        "nist-sp-811": Source(
            "Guide for the Use of the International System of Units, appendix B",
            "Thompson, Taylor",
            2008,
            "published",
        ),
        "own-computation": Source("computed by this project", "", 0, "own computation"),
        "shigley-2015": Source(
            "Shigley's Mechanical Engineering Design, 10th edition", "Budynas, Nisbett", 2015, "published"
        ),
        "shigley-2020": Source(
            "Shigley's Mechanical Engineering Design, 11th edition", "Budynas, Nisbett", 2020, "published"
        ),
        "wileman-1991": Source(
            "Computation of member stiffness in bolted connections, Journal of Mechanical Design 113",
            "Wileman, Choudhury, Green",
            1991,
            "published",
        ),
    }
)
