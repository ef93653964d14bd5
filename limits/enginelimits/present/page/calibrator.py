"""The calibrator's page: limits and caps by engine speed in the shop's units, the worst day, what to watch in a log."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from enginelimits.assessment.vocabulary import QUANTITIES
from enginelimits.present.page.everything import assumptions, footing, found, short, told
from enginelimits.present.page.parts import Matter, Page, Part, of_parts
from enginelimits.present.tree import Node, Run, line, table
from enginelimits.present.values import SENSES, at_text, value_text
from enginelimits.present.verdict import GRADE_ROLES, spoken
from enginelimits.units.registry import from_si

if TYPE_CHECKING:
    from enginelimits.assessment.results import Assessment
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.units.display import System

ASSUMED = 40
CAP: Final = "engine.torque_cap"
SITE, HOT = "site", "hot day"
# Quantities by engine speed, each with its short name at the head of a column.
TABLES: Final = (
    ("Torque and its cap", SITE, (
        ("air.boost_asked", "boost asked"), ("air.boost", "boost"), ("crank.torque", "torque"),
        ("engine.torque_cap", "torque cap"), ("rod.torque_cap", "rods allow"),
        ("piston.land_torque_cap", "lands allow"), ("preignition.torque_cap", "pre-ignition allows"),
        ("driveline.clutch_capacity", "clutch holds"), ("driveline.gearbox_rating", "gearbox rated"),
        ("crank.power", "power"),
    )),
    ("Knock, spark and pressure", SITE, (
        ("knock.margin", "knock margin, octane"), ("combustion.spark_advance", "spark"),
        ("combustion.spark_retard", "held back"), ("combustion.torque_lost", "torque given away"),
        ("knock.limited_boost", "knock-limited boost"), ("cylinder.peak_pressure", "peak pressure"),
        ("cylinder.peak_pressure_high", "peak, 1 cycle in 20"), ("exhaust.temperature", "exhaust"),
    )),
    ("Fuel", SITE, (
        ("fuel.mass_flow", "fuel"), ("fuel.volume_flow", "fuel volume"), ("injector.port_duty", "duty"),
        ("injector.direct_window_use", "window used"), ("fuel.pressure_difference", "pressure difference"),
        ("pump.pressure", "pump pressure"), ("pump.lift_use", "pump used"), ("rail.pump_use", "rail pump used"),
    )),
    ("Compressor points", SITE, (
        ("compressor.pressure_ratio", "pressure ratio"), ("compressor.corrected_flow", "corrected flow"),
        ("compressor.efficiency", "efficiency"), ("compressor.speed_use", "wheel speed used"),
        ("compressor.surge_margin", "surge margin"), ("compressor.choke_margin", "choke margin"),
        ("turbine.drive_pressure_ratio", "drive over boost"), ("exhaust.pressure", "exhaust, absolute"),
    )),
    ("Worst day", HOT, (
        ("air.boost", "boost"), ("crank.torque", "torque"), ("engine.torque_cap", "torque cap"),
        ("knock.margin", "knock margin, octane"), ("combustion.torque_lost", "torque given away"),
        ("charge.temperature_end_of_pull", "charge, end of pull"), ("exhaust.temperature", "exhaust"),
        ("coolant.temperature", "coolant"),
    )),
)


def calibrator_page(matter: Matter) -> Page:
    """What a calibrator works from."""
    judgement, system = matter.judgement, matter.system
    missing = matter.why_without("plots")
    plots: tuple[Node, ...] = (line(Run(f"Not drawn: {missing}.", "muted")),) if missing else ()
    by_speed = tuple(speed_tables(judgement, system))
    parts = (
        Part("short", "In short", tuple(short(judgement, system))),
        Part("speeds", "By engine speed", by_speed, download=speeds_csv(judgement, system)),
        Part("curves", "Curves and margins", plots, plots=matter.plots),
        Part("limits", "Limits that spoke", tuple(_limits(judgement, system))),
        Part("watch", "What to watch in the log", tuple(_channels(judgement))),
        Part("findings", "Every finding", tuple(found(judgement, system))),
        Part("notices", "Notices and open questions", tuple(told(judgement))),
        Part("assumptions", "Assumptions", tuple(assumptions(judgement, system, ASSUMED))),
        Part("footing", "What the figures rest on", tuple(footing(judgement, system))),
    )
    subtitle = "Limits by engine speed, for calibration"
    return Page("calibrator", judgement.name, subtitle, "en", judgement.as_of, of_parts(parts), contents=True)


def speed_tables(judgement: Judgement, system: System) -> Iterable[Node]:
    """Each table over engine speed; quantities that the build does not have are left out."""
    for title, rows in _tables(judgement, system):
        yield table(rows[0], rows[1:], wide=0, caption=title)
    yield line(Run("Typical build, without draws; the ends of the ranges are in the data of this report. The cap is "
                   "the least of what rods, lands, pre-ignition zone, clutch and gearbox allow, with nothing to spare.",
                   "muted"))


def speeds_csv(judgement: Judgement, system: System) -> tuple[str, str]:
    """The same tables as one CSV file, by name and text."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for title, rows in _tables(judgement, system):
        writer.writerow([title])
        writer.writerows(rows)
        writer.writerow([])
    return "by-engine-speed.csv", out.getvalue()


def _tables(judgement: Judgement, system: System) -> Iterable[tuple[str, list[list[str]]]]:
    assessment = judgement.assessment
    speeds = [value_text(speed, "rad/s", system).partition(" ")[0] for speed in assessment.speeds]
    for title, ambient, wanted in TABLES:
        if ambient not in assessment.ambients:
            continue
        heads, columns = ["rpm"], [speeds]
        for id_, words in wanted:
            values = values_of(assessment, id_, ambient)
            if values is None or all(value is None for value in values):
                continue
            unit, shown = in_one_unit(values, _unit(judgement, id_), system, id_)
            if _assumed(judgement, id_):
                words += ", assumed"
            heads.append(f"{words} [{unit}]" if unit else words)
            columns.append(shown)
            if id_ == CAP:
                heads.append(f"room under it [{unit}]")
                columns.append(_room(columns[-2], shown))
        if len(columns) > 1:
            day = "hot day" if ambient == HOT else "ordinary day"
            yield f"{title}, {day}", [heads, *map(list, zip(*columns, strict=True))]


def _unit(judgement: Judgement, id_: str) -> str:
    given = judgement.filled.get(id_)
    return QUANTITIES[id_].unit if given is None else given.unit


def _assumed(judgement: Judgement, id_: str) -> bool:
    given = judgement.filled.get(id_)
    return given is not None and given.basis == "assumed"


def _room(torque: Sequence[str], cap: Sequence[str]) -> list[str]:
    """Cap less torque, of the numbers as shown; below nothing where torque is beyond its cap."""
    return [f"{float(most) - float(now):+.0f}" if now and most else "" for now, most in zip(torque, cap, strict=True)]


def values_of(assessment: Assessment, id_: str, ambient: str) -> list[float | None] | None:
    """The typical build's values over engine speed at one ambient; None where there are none."""
    column = assessment.columns.get(id_)
    if column is None or column.si is None:
        return None
    shape = (len(assessment.ambients), 1 + assessment.samples, len(assessment.speeds))
    place = assessment.ambients.index(ambient)
    made, applies, outside = (np.broadcast_to(np.asarray(part), shape)[place, 0] for part in
                              (column.si, column.applicable, column.outside))
    good = np.isfinite(made.astype(float)) & applies.astype(bool) & ~outside.astype(bool)
    return [float(value) if fine else None for value, fine in zip(made, good, strict=True)]


def in_one_unit(
    values: Sequence[float | None], unit: str, system: System, id_: str
) -> tuple[str, list[str]]:
    """Values in the one unit and with the decimals that fit the greatest of them; its name, and the numbers."""
    known = [value for value in values if value is not None]
    number, _, named = value_text(max(known, key=abs), unit, system, hint=id_).partition(" ")
    decimals = len(number.partition(".")[2])
    if id_ == "knock.margin":
        # An octane number is not known finer.
        decimals = 1

    def shown(value: float) -> float:
        if named == "%":
            return 100.0 * value
        return from_si(value, named, si=unit) if named and named != unit and unit != "1" else value

    return named, ["" if value is None else f"{shown(value) + 0.0:.{decimals}f}" for value in values]


def _limits(judgement: Judgement, system: System) -> Iterable[Node]:
    rows: list[list[Run | str]] = []
    for finding in spoken(judgement.findings):
        for because in finding.because:
            if because.limit is None:
                continue
            limit = because.limit
            edge = value_text(limit.value, limit.unit, system, hint=because.name)
            rows.append([
                finding.rule, Run(finding.grade, GRADE_ROLES[finding.grade]), because.name,
                value_text(because.value, because.unit, system, hint=because.name),
                f"{SENSES.get(limit.sense, limit.sense)} {edge}", at_text(because.at, system, site=True), limit.layer,
            ])
    if rows:
        yield table(("rule", "grade", "quantity", "value", "limit", "where", "layer"), rows, wide=2,
                    caption="Every limit behind a finding, with the place where it governs")
    else:
        yield line("No limit spoke.")


def _channels(judgement: Judgement) -> Iterable[Node]:
    """What a log gives that stands for what the findings speak of."""
    named: dict[str, list[str]] = {}
    for finding in spoken(judgement.findings):
        for because in finding.because:
            named.setdefault(because.name, []).append(finding.rule)
    rows: list[list[Run | str]] = []
    for word in QUANTITIES.values():
        if word.measured:
            rules = dict.fromkeys(rule for name in word.counterparts for rule in named.get(name, ()))
            if rules:
                rows.append([word.id, word.meaning, ", ".join(rules)])
    if rows:
        yield table(("read from the log", "what it is", "settles"), rows, wide=1,
                    caption="Channels that answer a finding; `enginelimits pull` reads them")
    yield line("Log at 10 Hz or faster with engine speed, boost, lambda, spark, knock, charge temperature, fuel "
               "pressure and throttle on one time axis; 50 Hz for overshoot.")
