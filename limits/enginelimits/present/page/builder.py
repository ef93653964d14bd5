"""The builder's sheet: what is wanted in both units, blanks for what is measured, parts with their reason."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from enginelimits.present.page.customer import provenance
from enginelimits.present.page.everything import told
from enginelimits.present.page.parts import BLANK, LONG_BLANK, SHORT_BLANK, Matter, Page, Part, of_parts
from enginelimits.present.page.wording import plain_path
from enginelimits.present.tree import Item, Node, Role, Run, line, table
from enginelimits.present.values import value_text
from enginelimits.present.verdict import GRADE_ROLES, figures_line, lowered, spoken, verdict_line
from enginelimits.units.display import System
from enginelimits.units.registry import from_si

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.description.filled import Input
    from enginelimits.rules.catalogue import Catalogue

# So many cylinders stand side by side; more go into another table.
ABREAST = 6
# Below this a length is a clearance or a gap, which is read to a thousandth of a millimetre.
SMALL_M = 2e-3
SYSTEMS: Final[tuple[System, System]] = ("metric", "us")
# Compression ratio is met when it is within this.  Common practice, no source.
RATIO_TOLERANCE = 0.1
# The second ring's gap over the first's, as current practice has it; older practice differs.  No source.
SECOND_OVER_TOP = 1.25
COMPUTED: Final = (
    ("ring.gap_needed", "top ring gap, at least"), ("piston.skirt_clearance_needed", "skirt clearance, at least"),
    ("rod_bolt.stretch", "rod bolt stretch"), ("rod_bolt.torque", "rod bolt torque, for orientation"),
    ("rod_bolt.angle", "rod bolt turn from contact"), ("rod_bolt.preload_of_class", "clamp of one rod bolt"),
    ("head.preload_of_class", "clamp of one head fastener"),
)
STATED: Final = (
    "engine.bore", "engine.stroke", "engine.rod_length", "engine.compression_ratio", "internals.bearings.clearance",
    "internals.bearings.big_end_diameter", "internals.bearings.big_end_width", "internals.bearings.main_diameter",
    "internals.pistons.mass", "internals.pins.mass", "internals.pins.outer_diameter", "internals.rods.mass",
    "internals.rods.shank_area", "internals.pistons.top_ring_gap", "internals.pistons.second_ring_gap",
    "internals.pistons.skirt_clearance", "internals.pistons.land_height", "internals.rod_bolts.thread",
    "internals.rod_bolts.property_class", "internals.rod_bolts.reused", "internals.head.fasteners",
    "internals.head.thread", "internals.head.property_class", "internals.head.reused", "internals.head.gasket",
    "ignition.plug_gap", "engine.limiter",
)
PER_CYLINDER: Final = (
    "bore, top", "bore, bottom", "skirt clearance", "top ring gap", "second ring gap", "big-end clearance",
    "rod bolt 1, free length", "rod bolt 1, stretch", "rod bolt 2, free length", "rod bolt 2, stretch",
    "deck height", "chamber volume", "leak-down", "compression",
)


def builder_page(matter: Matter) -> Page:
    """What the builder fills in beside the engine."""
    judgement = matter.judgement
    parts = (
        Part("verdict", "What it is built for", tuple(_purpose(matter))),
        Part("wanted", "Wanted", tuple(_wanted(judgement))),
        Part("cylinders", "Measured, by cylinder", tuple(_cylinders(judgement))),
        Part("bottom", "Measured, bottom end and head", tuple(_mains(judgement))),
        Part("parts", "Parts, and the reason for each", tuple(_parts(matter))),
        Part("given", "What the sums rest on", tuple(_given(judgement))),
        Part("findings", "What was found", tuple(_titles(judgement))),
        Part("notices", "Notices and open questions", tuple(told(judgement))),
        Part("signatures", "Serial numbers and signatures", tuple(_signatures(matter))),
    )
    return Page("builder", judgement.name, "Build sheet", "en", judgement.as_of, of_parts(parts))


def _purpose(matter: Matter) -> Iterable[Node]:
    yield verdict_line(matter.judgement, matter.system)
    figures = figures_line(matter.judgement, matter.system, False)
    if figures is not None:
        yield figures
    yield line("Part makers' own figures come before those of this sheet. A figure ",
               Run("set like this", "assumed"), " was assumed for a class of parts and is to be measured.")


def _shown(value: float, unit: str, system: System, hint: str) -> str:
    """A value as a micrometer or a feeler gauge reads it: lengths in mm or inch and nothing else."""
    if unit == "rad":
        return f"{math.degrees(value):.0f} deg"
    if unit != "m":
        return value_text(value, unit, system, hint=hint)
    number = from_si(value, "in" if system == "us" else "mm", si="m")
    small = abs(value) < SMALL_M
    decimals = (4 if small else 3) if system == "us" else (3 if small else 2)
    return f"{number:.{decimals}f} {'in' if system == 'us' else 'mm'}"


def _given_text(given: Input, system: System) -> str:
    if given.unit == "m" and isinstance(given.value, float):
        return _shown(given.value, "m", system, given.path)
    return value_text(given.value, given.unit, system, kind=given.kind, hint=given.path)


def _basis(basis: str) -> Run:
    words = {"measured": "measured", "documented": "stated", "assumed": "ASSUMED"}
    return Run(words.get(basis, basis), "assumed" if basis == "assumed" else "plain")


def _wanted(judgement: Judgement) -> Iterable[Node]:
    rows: list[list[Run | str]] = []
    results = judgement.assessment.quantities
    for id_, words in COMPUTED:
        result = results.get(id_)
        if result is None or result.status != "ok" or result.value is None:
            continue
        metric, us = (_shown(result.value, result.unit, s, id_) for s in SYSTEMS)
        spread = _range(result.low, result.high, result.unit, id_)
        rows.append([words, *_both(metric, us, result.basis), spread, _basis(result.basis), BLANK])
        if id_ == "ring.gap_needed":
            metric, us = (_shown(result.value * SECOND_OVER_TOP, result.unit, s, id_) for s in SYSTEMS)
            rows.append(["second ring gap, about 1.25 of the first", *_both(metric, us, result.basis), "",
                         _basis("assumed"), BLANK])
    rows += _ratio_rows(judgement)
    yield table(("item", "metric", "inch", "tolerance or range", "basis", "measured"), rows, wide=0,
                caption="Computed for this build; both units")
    yield line(Run("Ring gap and skirt clearance are the least that heat and power ask for, cold. Stretch comes before "
                   "torque: friction scatters torque by a third.", "muted"))


def _both(metric: str, us: str, basis: str) -> list[Run | str]:
    role: Role = "assumed" if basis == "assumed" else "plain"
    return [Run(metric, role), Run(us if us != metric else "", role)]


def _range(low: float | None, high: float | None, unit: str, id_: str) -> str:
    if low is None or high is None or low == high:
        return ""
    told = [f"{_shown(low, unit, s, id_)} to {_shown(high, unit, s, id_)}" for s in SYSTEMS]
    return "\n".join(dict.fromkeys(told))


def _ratio_rows(judgement: Judgement) -> Iterable[list[Run | str]]:
    """The compression ratio and the volume at top centre that gives it, each with its tolerance."""
    bore, stroke, ratio = (_number(judgement, f"engine.{name}") for name in ("bore", "stroke", "compression_ratio"))
    if bore is None or stroke is None or ratio is None or ratio <= 1.0 + RATIO_TOLERANCE:
        return
    swept = math.pi / 4.0 * bore**2 * stroke
    given = judgement.filled.inputs["engine.compression_ratio"]
    yield ["compression ratio", f"{ratio:.2f}", "", f"{ratio - RATIO_TOLERANCE:.2f} to {ratio + RATIO_TOLERANCE:.2f}",
           _basis(given.basis), BLANK]
    middle = swept / (ratio - 1.0)
    ends = [swept / (ratio + way * RATIO_TOLERANCE - 1.0) for way in (1.0, -1.0)]
    cc, inch = _volume(middle, "cc"), _volume(middle, "in^3")
    spread = "\n".join(f"{_volume(ends[0], unit)} to {_volume(ends[1], unit)}" for unit in ("cc", "in^3"))
    yield ["volume at top centre, all of it", cc, inch, spread, _basis(given.basis), BLANK]


def _volume(volume_m3: float, unit: str) -> str:
    return f"{from_si(volume_m3, unit, si='m^3'):.{1 if unit == 'cc' else 2}f} {unit}"


def _cylinders(judgement: Judgement) -> Iterable[Node]:
    count = int(_number(judgement, "engine.cylinders") or 4)
    for first in range(1, count + 1, ABREAST):
        these = range(first, min(first + ABREAST, count + 1))
        rows: list[list[Run | str]] = [[what, *(SHORT_BLANK for _ in these)] for what in PER_CYLINDER]
        yield table(("write the unit: mm [ ] in [ ]", *(f"cyl {n}" for n in these)), rows, wide=0,
                    caption=f"Cylinders {these[0]} to {these[-1]}")


def _mains(judgement: Judgement) -> Iterable[Node]:
    rows: list[list[Run | str]] = [
        [what, BLANK, BLANK, BLANK] for what in
        ("main clearance, least and greatest", "crank end float", "crank run-out", "block face, flatness",
         "head face, flatness", "gasket thickness, pressed", "head fasteners: torque or angle, steps",
         "main caps: torque or angle, steps", "oil pressure hot, at idle and at 3000 rpm")
    ]
    yield table(("item", "wanted", "measured", "by and date"), rows, wide=0, caption="Write the unit beside the figure")


def _parts(matter: Matter) -> Iterable[Node]:
    """Each part that a finding at caution or worse names, with what asks for it; the worst first."""
    said: dict[str, str] = {}
    grades: dict[str, str] = {}
    reasons: dict[str, list[str]] = {}
    for finding in spoken(matter.judgement.findings):
        if finding.grade == "note":
            continue
        for remedy in finding.remedies:
            if remedy.kind == "part":
                said.setdefault(remedy.id, remedy.say.rstrip("."))
                grades.setdefault(remedy.id, finding.grade)
                reasons.setdefault(remedy.id, []).append(f"{lowered(finding.title, 1)} ({finding.rule})")
    rows: list[list[Run | str]] = []
    for ids in _set_against(tuple(said), matter.catalogue):
        worst = grades[ids[0]]
        words, why = said[ids[0]], reasons[ids[0]]
        if ids[1:]:
            words = f"Either {'; or '.join(lowered(said[id_], 1) for id_ in ids)}"
            why = [f"they contradict: the first is for {', '.join(why)}",
                   *(f"the other for {', '.join(reasons[id_])}" for id_ in ids[1:])]
        rows.append([words, Run(worst, GRADE_ROLES[worst]), "\n".join(why), BLANK, SHORT_BLANK])
    if rows:
        yield table(("part", "worst grade", "the reason", "part number", "fitted"), rows, wide=2,
                    caption="Remedies that are parts; those of one finding are alternatives")
    else:
        yield line("No finding at caution or worse asks for a part.")


def _set_against(ids: Sequence[str], catalogue: Catalogue) -> Iterable[tuple[str, ...]]:
    """Parts in their order, each with those that cannot be fitted beside it; no part stands twice."""
    left = list(ids)
    while left:
        first = left.pop(0)
        known = catalogue.remedies.get(first)
        opposed = [id_ for id_ in left if known is not None and id_ in known.against]
        left = [id_ for id_ in left if id_ not in opposed]
        yield first, *opposed


def _given(judgement: Judgement) -> Iterable[Node]:
    rows: list[list[Run | str]] = []
    for path in STATED:
        given = judgement.filled.get(path)
        if given is None or given.value is None:
            rows.append([plain_path(path), Run("not known", "muted"), "", Run("not stated", "muted"), BLANK])
            continue
        metric, us = (_given_text(given, s) for s in SYSTEMS)
        rows.append([plain_path(path), *_both(metric, us, given.basis), _origin(given), BLANK])
    yield table(("item", "metric", "inch", "basis", "measured"), rows, wide=0, caption="Stated, measured or assumed")


def _origin(given: Input) -> Run:
    basis = _basis(given.basis)
    return Run(f"{basis.text}, class {given.from_class}" if given.from_class else basis.text, basis.role)


def _titles(judgement: Judgement) -> Iterable[Node]:
    for finding in spoken(judgement.findings):
        grade = Run(finding.grade.upper(), GRADE_ROLES[finding.grade])
        yield Item("-", (grade, Run(f" {finding.title} ({finding.rule})")))
    for rule in (*judgement.not_judged, *judgement.out_of_range):
        yield Item("-", (Run("NOT JUDGED", "unknown"), Run(f" {rule.title} ({rule.rule})")))


def _signatures(matter: Matter) -> Iterable[Node]:
    rows: list[list[Run | str]] = [[what, BLANK, BLANK] for what in
                                   ("block", "crankshaft", "rods", "pistons", "head", "camshafts", "turbo or blower")]
    yield table(("part", "serial or batch", "part number"), rows, wide=0, caption="Serial numbers")
    yield table(("", "name", "date", "signature"),
                [["measured by", BLANK, BLANK, LONG_BLANK], ["assembled by", BLANK, BLANK, LONG_BLANK],
                 ["checked by", BLANK, BLANK, LONG_BLANK]], wide=3, caption="Signatures")
    yield line(Run(provenance(matter), "muted"))


def _number(judgement: Judgement, path: str) -> float | None:
    given = judgement.filled.get(path)
    return given.value if given is not None and isinstance(given.value, float) else None
