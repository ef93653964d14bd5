"""A measured pull in words and as data: what was found, what it made, how the model stands to it, what it asks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from enginelimits import __version__
from enginelimits.decisions.reading import SAME_AS
from enginelimits.measured.names import near_channels
from enginelimits.measured.read_back import FILLING_HIGH, FILLING_LOW, at_site, boost_of
from enginelimits.physics.numerics.extremes import first_greatest
from enginelimits.present.jsonform import check
from enginelimits.present.several import several_data
from enginelimits.present.tree import Heading, Item, Line, Node, Notice, Role, Run, Tree, line, table
from enginelimits.present.values import finite, range_text, value_text
from enginelimits.present.verdict import GRADE_ROLES, short_range, verdict_line
from enginelimits.present.warnings import short_warnings

if TYPE_CHECKING:
    from enginelimits.decisions.verdict import Finding, NotJudged
    from enginelimits.description.filled import Filled
    from enginelimits.measured.find import Refused
    from enginelimits.measured.pull import Pull
    from enginelimits.measured.read_back import ReadBack
    from enginelimits.measured.several import Several
    from enginelimits.units.display import System

FloatArray = NDArray[np.float64]

SCHEMA = "enginelimits.pull/1"
SEVERAL = "enginelimits.pulls/1"
RPM = np.pi / 30.0
TABLE_STEP = 500.0 * RPM
STRONGEST = 6
SHOWN_HEADERS = 6
# Over the pull: quantity and words
ENGINE = (
    ("brake.mean_effective_pressure", "brake mean effective pressure"),
    ("air.mass_flow", "air"),
    ("cylinder.peak_pressure", "peak cylinder pressure"),
    ("rod.compression", "rod in compression"),
    ("rod.tension", "rod in tension"),
    ("exhaust.temperature", "exhaust"),
)
ALONG = (*ENGINE[:1], ("crank.torque", "crank torque"), *ENGINE[1:])
ALONG_STEP = 1000.0 * RPM
MEANING = (
    "Estimates from a log, for trained people: what a sensor, a unit or a dyno says wrongly is said wrongly here too."
)


@dataclass(frozen=True)
class Reported:
    """What the command has to tell of a log: every pull of it, and the one that was read back."""

    read: ReadBack
    pulls: tuple[Pull, ...]
    refused: tuple[Refused, ...]


def pull_tree(found: Reported, system: System = "metric", *, full: bool = False) -> Tree:
    """The report of one log."""
    read = found.read
    warnings = read.judgement.notices
    nodes: list[Node] = [
        *_head(read, system),
        *_pulls(found, system),
        Heading("What it made"),
        *_output(read, system),
        *_against_model(read, system),
        *(_along(read, system) if full else ()),
        *_findings(read, full, system),
        *_silence(read, full),
        *_remarks(read, full),
        *([Notice(words) for words in warnings] if full else short_warnings(warnings)),
        line(Run(f"{MEANING} {_drawn(read)}", "muted")),
    ]
    return Tree(f"{read.judgement.name}: pull {read.pull.number} of {read.pull.log.file}", tuple(nodes))


def role_of(grade: str) -> Role:
    """The role of a grade; a stop looks as grave as the gravest."""
    return GRADE_ROLES.get(grade, "decline")


def _head(read: ReadBack, system: System) -> Iterable[Node]:
    worst = read.findings[0] if read.findings else None
    if read.grade == "stop" and worst is not None:
        yield line(Run("STOP", "decline"), f": end the runs. {worst.short(system) or worst.title} ({worst.rule})")
    yield line(Run("The engine as measured: ", "muted"), *verdict_line(read.judgement, system).runs)
    verdict = read.log.verdict
    said = verdict.grade if verdict.complete or verdict.grade != "clear" else "nothing found so far"
    open_ = "" if verdict.complete else f" {len(verdict.open)} rules lack channels."
    yield line(Run("The log by its own rules: ", "muted"), Run(said, role_of(verdict.grade)), f".{open_}")


def _pulls(found: Reported, system: System) -> Iterable[Node]:
    log = found.read.pull.log
    yield Heading("Pulls found")
    described = found.read.judgement.filled
    rows = [_pull_row(pull, described, pull is found.read.pull, system) for pull in found.pulls]
    yield table(("", "begins", "lasts", "rpm", "rows", "wheel peak", "boost peak"), rows)
    for refused in found.refused:
        low, high = (round(speed / RPM) for speed in (refused.low, refused.high))
        yield line(Run("Not taken: ", "muted"),
                   f"at {log.time[refused.first]:.1f} s, {low} to {high} rpm: {refused.reason}.")
    yield line(Run("Filter: ", "muted"), f"{found.read.pull.filter}; grid of 100 rpm. The log keeps every row.")


def _pull_row(pull: Pull, described: Filled, chosen: bool, system: System) -> list[str]:
    low, high = (round(float(speed) / RPM) for speed in pull.speeds[[0, -1]])
    power = pull.get("wheel_power")
    torque = pull.get("wheel_torque")
    if torque is not None:
        power = torque * pull.speeds
    return [
        f"{pull.number}{' *' if chosen else ''}", f"{pull.time[0]:.1f} s", f"{pull.time[-1] - pull.time[0]:.1f} s",
        f"{low} to {high}", f"{pull.last - pull.first + 1}", _peak_text(power, pull.speeds, "W", system, ""),
        _peak_text(boost_of(pull, described), pull.speeds, "Pa", system, ""),
    ]


def _peak_text(
    values: FloatArray | None, speeds: FloatArray, unit: str, system: System, rpm: str = " rpm"
) -> str:
    if values is None or not np.isfinite(values).any():
        return "not logged"
    place = first_greatest(values)
    return f"{value_text(float(values[place]), unit, system)} at {round(float(speeds[place]) / RPM)}{rpm}"


def _output(read: ReadBack, system: System) -> Iterable[Node]:
    wheel = read.wheel
    if wheel is None or read.crank is None:
        yield line("The log holds no power. Loads are those of the measured boost with the build's own filling.")
    else:
        where = "roughly, on the road" if wheel.dyno == "road" else f"as this {wheel.dyno} dyno shows it"
        yield line(Run("At the wheels ", "strong"), f"{where}, without a weather factor: ",
                   _peak_text(wheel.power, wheel.speeds, "W", system), "; ",
                   _peak_text(wheel.torque, wheel.speeds, "N*m", system), f". From {wheel.source}.")
        torque = read.crank / read.speeds
        yield line(Run("At the crank ", "strong"), _peak_with_range(read.crank, read.speeds, "W", system), "; ",
                   _peak_with_range(torque, read.speeds, "N*m", system),
                   ". The range is of driveline loss and dyno.")
        yield line(_weather(read, system))
    told = []
    for id_, words in ENGINE:
        values = at_site(read.judgement.assessment, id_)
        if values is not None and np.isfinite(values[0]).any():
            unit = read.judgement.assessment.curves[id_].unit if id_ in read.judgement.assessment.curves else ""
            if unit:
                told.append(f"{words} {_peak_with_range(values, read.speeds, unit, system, hint=id_)}")
    if told:
        yield line(Run("Read back to the engine: ", "strong"), "; ".join(told) + ".")
    if read.filling is not None:
        yield line(_filling(read))


def _along(read: ReadBack, system: System) -> Iterable[Node]:
    """Loads along the pull, the typical engine."""
    found = [(id_, words, at_site(read.judgement.assessment, id_)) for id_, words in ALONG]
    curves = read.judgement.assessment.curves
    known = [(id_, words, values[0]) for id_, words, values in found if values is not None and id_ in curves]
    places = [k for k, speed in enumerate(read.speeds) if abs(speed / ALONG_STEP - round(speed / ALONG_STEP)) < 1e-6]
    if known and places:
        yield Heading("Along the pull, read back")
        rows = [[words, *(value_text(float(values[k]), curves[id_].unit, system, hint=id_) for k in places)]
                for id_, words, values in known]
        yield table(("rpm", *(f"{round(float(read.speeds[k]) / RPM)}" for k in places)), rows, wide=0)


def _peak_with_range(values: FloatArray, speeds: FloatArray, unit: str, system: System, *, hint: str = "") -> str:
    place = first_greatest(values[0])
    text = value_text(float(values[0, place]), unit, system, hint=hint)
    drawn = values[1:, place]
    drawn = drawn[np.isfinite(drawn)]
    if drawn.size:
        low, high = np.percentile(drawn, (5.0, 95.0))
        spread = range_text(float(low), float(high), unit, system, hint=hint)
        text = short_range(f"{text} ({spread})") if spread else text
    return f"{text} at {round(float(speeds[place]) / RPM)} rpm"


def _weather(read: ReadBack, system: System) -> str:
    wheel = read.wheel
    assert wheel is not None
    air = wheel.weather
    of = "of the log" if {"barometer", "air_temperature"} <= set(air.logged) else "of the log and the site" \
        if air.logged else "of the site, none logged"
    factors = "; ".join(f"{name} {wheel.factors[name]:.3f}" for name in ("SAE J1349", "ISO 1585", "J607", "DIN 70020")
                        if wheel.factors.get(name) is not None)
    shown = f" Displayed with {wheel.correction}, {wheel.factor:.3f}, taken out." if wheel.correction != "none" else ""
    day = (f"{value_text(float(air.barometer[0]), 'Pa', 'metric')} and "
           f"{value_text(float(air.temperature[0]), 'K', system)}, {of}")
    goal = read.judgement.filled.get("goal.correction")
    asked = "none" if goal is None else str(goal.value)
    factor = wheel.factors.get(SAME_AS.get(asked, asked))
    boosted = at_site(read.judgement.assessment, "air.boost_reach") is not None
    if asked != "none" and factor is not None:
        peak = _peak_text(wheel.power * factor, wheel.speeds, "W", system)
        applied = f"with {asked}, which the goal is in, the wheels would show {peak}."
    elif boosted:
        applied = "none is applied, as a control that holds boost has made up for thin air already."
    else:
        applied = "none is applied to what stands here."
    return f"Weather: {day}. Factors of the day: {factors or 'none may be used'}; {applied}{shown}"


def _filling(read: ReadBack) -> str:
    filling = read.filling
    assert filling is not None
    now, before = filling.factor[0], filling.predicted[0]
    said = (f"Filling: the measured torque takes {now.min():.2f} to {now.max():.2f} of that of the class; the build "
            f"alone gave {before.min():.2f} to {before.max():.2f}.")
    if filling.disagrees:
        said += f" Beyond {FILLING_LOW} to {FILLING_HIGH}: figures and log disagree."
    return said


# Measured channel, quantity predicted, column of the table, unit
_COMPARED = (("boost", "air.boost", "boost", "Pa"), ("lambda", "fuel.lambda_target", "lambda", "1"),
             ("charge_temperature", "air.manifold_temperature", "charge", "K"))


def compared(read: ReadBack) -> list[dict[str, Any]]:
    """The model against the measurement at each speed read back, SI; what is not known is None."""
    places = np.searchsorted(read.pull.speeds, read.speeds * (1.0 - 1e-9))
    rows = []
    for number, speed in enumerate(read.speeds):
        row: dict[str, Any] = {"engine_speed": float(speed)}
        if read.wheel is not None and read.predicted_wheel is not None:
            row["wheel_torque"] = _pair(read.predicted_wheel[0, number] / speed,
                                        read.wheel.torque[places[number]])
        for channel, id_, _, _ in _COMPARED:
            measured, predicted = read.pull.get(channel), at_site(read.predicted, id_)
            if channel == "boost":
                measured = boost_of(read.pull, read.judgement.filled)
            if measured is not None:
                row[channel] = _pair(None if predicted is None else predicted[0, number], measured[places[number]])
        rows.append(row)
    return rows


def _pair(predicted: float | None, measured: float) -> dict[str, float | None]:
    made = None if predicted is None or not np.isfinite(predicted) else float(predicted)
    seen = float(measured) if np.isfinite(measured) else None
    off = None if made is None or seen is None else seen - made
    return {"predicted": made, "measured": seen, "residual": off}


def _against_model(read: ReadBack, system: System) -> Iterable[Node]:
    rows = [row for row in compared(read) if abs(row["engine_speed"] / TABLE_STEP
                                                - round(row["engine_speed"] / TABLE_STEP)) < 1e-6]
    shown = [(name, words, unit) for name, words, unit in
             (("wheel_torque", "wheel torque", "N*m"), *((c, w, u) for c, _, w, u in _COMPARED))
             if any(name in row for row in rows)]
    if not rows or not shown:
        return
    yield Heading("Model / measurement")
    columns = ["rpm"]
    for _, words, _ in shown:
        columns += [words, "off"] if words == "wheel torque" else [words]
    body = []
    for row in rows:
        cells = [f"{round(row['engine_speed'] / RPM)}"]
        for name, _, unit in shown:
            pair = row.get(name, _NOTHING)
            cells.append(_both(pair, unit, system, name))
            if name == "wheel_torque":
                off, of = pair["residual"], pair["predicted"]
                cells.append("" if off is None or not of else f"{100.0 * off / of:+.0f} %")
        body.append(cells)
    yield table(columns, body)
    residual = [row["wheel_torque"]["residual"] / row["wheel_torque"]["predicted"] for row in compared(read)
                if row.get("wheel_torque") and row["wheel_torque"]["residual"] is not None
                and row["wheel_torque"]["predicted"]]
    if residual:
        yield line(Run("Torque off by ", "muted"), f"{100 * float(np.mean(residual)):+.1f} % in the mean, "
                   f"{100 * float(np.std(residual)):.1f} % about it. The model is of the build as described, "
                   "on this dyno, in the air of the pull.")


_NOTHING: dict[str, float | None] = {"predicted": None, "measured": None, "residual": None}


def _both(pair: dict[str, float | None], unit: str, system: System, name: str) -> str:
    """Model and measurement in one cell, the unit once."""
    texts = ["-" if value is None else f"{value:.2f}" if name == "lambda" else value_text(value, unit, system)
             for value in (pair["predicted"], pair["measured"])]
    first, _, of_first = texts[0].partition(" ")
    return f"{first} / {texts[1]}" if of_first == texts[1].partition(" ")[2] else f"{texts[0]} / {texts[1]}"


def _findings(read: ReadBack, full: bool, system: System) -> Iterable[Node]:
    graded = [f for f in read.findings if f.grade != "clear"]
    if not graded:
        yield line("No rule found anything to tell of this pull.")
        return
    worse = [f for f in graded if f.grade != "note"] or graded
    told = graded if full else worse[:STRONGEST]
    rest = [f for f in graded if f not in told]
    yield Heading(f"Findings, the {len(told)} strongest of {len(graded)}" if rest else "Findings")
    for number, finding in enumerate(told, 1):
        yield _item(number, finding, full, system)
    if rest:
        yield line(Run("Also ", "muted"), ", ".join(f"{f.grade} {f.rule} {f.title.lower()}" for f in rest[:8]),
                   f" and {len(rest) - 8} more: --full." if len(rest) > 8 else ".")


def _item(number: int, finding: Finding, full: bool, system: System) -> Item:
    chance = f", chance {100 * finding.chance:.0f} %" if finding.chance is not None else ""
    about = "log" if finding.family == "logs" else "engine"
    head = (Run(finding.grade.upper(), role_of(finding.grade)), Run(f" {finding.title} "),
            Run(f"({finding.rule}, {about}{chance})", "muted"))
    said = finding.whole(system) if full else finding.short(system)
    remedies = "; or ".join(r.say.rstrip(".") for r in finding.remedies[: None if full else 1])
    words: list[Run | str] = [f". {said} {finding.why if full else ''}".rstrip() + " "]
    if remedies:
        words += [Run("Remedy: ", "muted"), Run(f"{remedies}.", "remedy")]
    return Item(f"{number}.", (*head, *line(*words).runs))


def _silence(read: ReadBack, full: bool) -> Iterable[Line]:
    if read.lacking:
        yield line(Run("The log could not say: ", "strong"), "; ".join(read.lacking) + ".")
    open_ = _open(read)
    if open_:
        names = ", ".join(f"{n.rule} {n.title.lower()}" for n in open_[: None if full else 5])
        more = f" and {len(open_) - 5} more" if not full and len(open_) > 5 else ""
        yield line(Run("Not judged: ", "strong"), f"{names}{more}.")


def _open(read: ReadBack) -> Sequence[NotJudged]:
    return (*read.log.not_judged, *read.judgement.not_judged, *read.judgement.out_of_range)


def _remarks(read: ReadBack, full: bool) -> Iterable[Line]:
    if read.remarks:
        yield line(Run("Of the log: ", "muted"), "; ".join(read.remarks).removesuffix(".") + ".")
    left = read.pull.log.not_mapped
    if left:
        said = []
        for header in left[: None if full else SHOWN_HEADERS]:
            near = near_channels(header)
            said.append(f"{header} ({' or '.join(near)}?)" if near else header)
        more = f" and {len(left) - len(said)} more" if len(said) < len(left) else ""
        yield line(Run("Columns without a name of ours: ", "muted"), f"{', '.join(said)}{more}.")
    if read.used:
        yield line(Run("Measured, in the place of the model's: ", "muted"),
                   ", ".join(name.replace("_", " ") for name in read.used) + ".")


def _drawn(read: ReadBack) -> str:
    asked = read.judgement.samples_asked
    return f"{asked} draws; chance is of crossing, not breakage." if asked else "No draws were made: no ranges."


def pull_data(found: Reported) -> dict[str, Any]:
    """The same as data, SI."""
    read, log = found.read, found.read.pull.log
    every = check(replace(read.judgement, findings=read.findings))
    return {
        "schema": SCHEMA,
        "version": __version__,
        "build": read.judgement.name,
        "log": {
            "file": log.file, "sha256": log.digest, "rows": int(log.time.size), "remarks": list(log.remarks),
            "channels": {n: {"header": c.header, "written_unit": c.written_unit} for n, c in log.channels.items()},
            "not_mapped": [{"header": h, "near": list(near_channels(h))} for h in log.not_mapped],
        },
        "pulls": [_pull_data(pull) for pull in found.pulls],
        "refused": [
            {"first": r.first, "last": r.last, "low": finite(r.low), "high": finite(r.high), "reason": r.reason}
            for r in found.refused
        ],
        "read": _read_data(read),
        "samples": every["samples"],
        "catalogue": every["catalogue"],
        "as_of": every["as_of"],
        "verdict": {
            "grade": read.grade, "complete": read.complete, "engine": every["verdict"],
            "log": {"grade": read.log.verdict.grade, "complete": read.log.verdict.complete,
                    "open": list(read.log.verdict.open)},
        },
        "findings": every["findings"],
        "not_judged": [{"rule": n.rule, "title": n.title, "missing": list(n.missing)} for n in _open(read)],
        "engine": {"quantities": every["quantities"], "curve": every["curve"]},
        "notices": every["notices"],
    }


def answer_data(found: Sequence[Reported], beside: Several | None = None) -> dict[str, Any]:
    """One log as :func:`pull_data` gives it, several in one object; with the pulls beside each other where they are."""
    compared_ = {} if beside is None else {"several": several_data(beside)}
    if len(found) == 1:
        return pull_data(found[0]) | compared_
    return {"schema": SEVERAL, "version": __version__, "logs": [pull_data(one) for one in found], **compared_}


def _pull_data(pull: Pull) -> dict[str, Any]:
    return {
        "number": pull.number, "first": pull.first, "last": pull.last,
        "begins": float(pull.time[0]), "lasts": float(pull.time[-1] - pull.time[0]),
        "filter": pull.filter, "remarks": list(pull.remarks),
        "channels": {name: finite(values) for name, values in pull.on_speed.items()},
    }


def _read_data(read: ReadBack) -> dict[str, Any]:
    data: dict[str, Any] = {
        "pull": read.pull.number, "engine_speed": finite(read.speeds), "measured": list(read.used),
        "could_not_say": list(read.lacking), "remarks": list(read.remarks), "model": finite(compared(read)),
        "wheel": None, "crank": None, "filling": None,
    }
    if read.wheel is not None and read.crank is not None:
        wheel = read.wheel
        data["wheel"] = {
            "engine_speed": finite(wheel.speeds), "power": finite(wheel.power), "displayed": finite(wheel.displayed),
            "torque": finite(wheel.torque), "dyno": wheel.dyno, "source": wheel.source,
            "correction": wheel.correction, "factor": wheel.factor, "factors": finite(dict(wheel.factors)),
            "weather": {"barometer": float(wheel.weather.barometer[0]),
                        "vapour_pressure": float(wheel.weather.vapour_pressure[0]),
                        "temperature": float(wheel.weather.temperature[0]), "logged": list(wheel.weather.logged)},
        }
        data["crank"] = {"power": _with_ends(read.crank), "torque": _with_ends(read.crank / read.speeds)}
    if read.filling is not None:
        data["filling"] = {**_with_ends(read.filling.factor), "predicted": finite(read.filling.predicted[0]),
                           "disagrees": read.filling.disagrees}
    return data


def _with_ends(rows: FloatArray) -> dict[str, Any]:
    if rows.shape[0] < 2:
        return {"values": finite(rows[0]), "low": None, "high": None}
    low, high = np.nanpercentile(rows[1:], (5.0, 95.0), axis=0)
    return {"values": finite(rows[0]), "low": finite(low), "high": finite(high)}


