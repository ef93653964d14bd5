"""A power figure in all its meanings, as words and as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from enginelimits import __version__
from enginelimits.present.jsonform import inputs
from enginelimits.present.tree import Line, Node, Notice, Run, Table, Tree, line, table
from enginelimits.present.values import finite, input_text, range_text, value_text

if TYPE_CHECKING:
    from enginelimits.decisions.reading import Factor, Restated, Row
    from enginelimits.description.filled import Input
    from enginelimits.units.display import System

READING = "enginelimits.reading/1"
NAMES = {"none": "uncorrected", "ISO 1585": "ISO 1585 / UN R85"}
DEFAULT = "none"
CONTROLLED = (
    "The figure to compare is the uncorrected one. A control that holds manifold pressure has made up for thin or warm "
    "air, and a weather factor made for engines without boost would credit that again; UN Regulation 85 and Regulation "
    "(EU) 136/2014 rule that out, and no standard has exponents of its own for boosted spark ignition."
)
NOT_CONTROLLED = (
    "An engine that does not hold its manifold pressure gives less in thin or warm air, and a factor brings days "
    "together. Name its standard beside the figure; under none at all, name the weather."
)
ALIKE = (
    "Ranges are the 5th to 95th percentile of {samples} draws, each with one loss and one weather for every row. What "
    "a kind of dyno shows beside another is common practice, without a source: a load-controlled one about 14 % less "
    "than an inertia one. That says nothing of the loss in the driveline."
)
REPEAT = (
    "The same car on the same dyno repeats within 1 to 2 % on a day and 2 to 3 % over days (common practice): measure "
    "the baseline where the goal will be judged."
)


def reading_tree(found: Restated, system: System = "metric") -> Tree:
    """The report: what the figure was taken to mean, what it means elsewhere, and why no correction comes first."""
    nodes: list[Node] = [
        *_assumed(found, system),
        _table(found, system),
        *_refused(found),
        *_doubtful(found.factors),
        line(CONTROLLED if found.boost_controlled else NOT_CONTROLLED),
        line(Run(ALIKE.format(samples=found.samples), "muted")),
        Notice(REPEAT),
    ]
    return Tree(_title(found, system), tuple(nodes))


def _title(found: Restated, system: System) -> str:
    figure = found.figure
    shown = value_text(figure.power, "W", system)
    same = figure.written.replace(" ", "") == shown.replace(" ", "")
    words = figure.written if same else f"{figure.written} ({shown})"
    return f"{words} {_place(figure.at, figure.dyno)}, {NAMES.get(figure.correction, figure.correction)}"


def _place(at: str, dyno: str) -> str:
    return f"at the wheels, {dyno} dyno" if at == "wheels" else "at the crank"


def _assumed(found: Restated, system: System) -> Iterable[Line]:
    fixed, share = (found.inputs[f"driveline.loss.{part}"] for part in ("fixed", "proportional"))
    yield line(
        Run("Loss: ", "muted"), f"{input_text(fixed, system)} always, and {_percent(share)} of crank power; "
        f"{_from((fixed, share))}."
    )
    weather = [found.inputs[f"site.{name}"] for name in ("altitude", "air_temperature", "relative_humidity")]
    texts = [*(input_text(i, system) for i in weather[:2]), f"{_percent(weather[2])} humidity"]
    air = f"{found.barometer / 1e3:.1f} kPa" if system == "metric" else value_text(found.barometer, "Pa", system)
    yield line(Run("Weather: ", "muted"), f"{', '.join(texts)}; {_from(weather)}. Barometer {air}.")


def _percent(given: Input) -> str:
    assert isinstance(given.value, float)
    text = f"{given.value * 100.0:.3g} %"
    if given.low is None or given.high is None:
        return text
    return f"{text} ({given.low * 100.0:.3g} to {given.high * 100.0:.3g} %)"


def _from(given: Iterable[Input]) -> str:
    """Where values are from, each source once."""
    words = {"build file": "as stated", "shop": "the shop's"}
    told = [words.get(i.source, f"assumed, class {i.from_class}" if i.from_class else i.source) for i in given]
    return ", ".join(dict.fromkeys(told))


def _table(found: Restated, system: System) -> Table:
    cells = []
    before = ""
    # Who asks in hp compares hp.
    powers: System = "us" if found.figure.written.rstrip().endswith("hp") else system
    for row in found.rows:
        if row.value is None:
            continue
        name = NAMES.get(row.correction, row.correction)
        spread = range_text(row.low, row.high, "W", powers)
        power = Run(value_text(row.value, "W", powers), "strong" if row.correction == DEFAULT else "plain")
        last = "as given" if row.given else spread
        cells.append(("" if name == before else name, _place(row.at, row.dyno), power, last))
        before = name
    return table(("correction", "where", "power", "5 to 95 %"), cells, wide=1)


def _refused(found: Restated) -> Iterable[Line]:
    """Each reason once, with the corrections or places that it rules out."""
    for factor in found.factors:
        silent = [row for row in found.rows if row.correction == factor.correction and row.value is None]
        name = NAMES.get(factor.correction, factor.correction)
        for reason in dict.fromkeys(row.reason for row in silent):
            rows = [row for row in silent if row.reason == reason]
            whole = len(rows) == sum(row.correction == factor.correction for row in found.rows)
            where = "" if whole else f" {'; '.join(_place(row.at, row.dyno) for row in rows)}"
            yield line(Run("Refused: ", "unknown"), f"{name}{where}: {reason}.{_as_given(found, rows)}")


def _as_given(found: Restated, rows: Iterable[Row]) -> str:
    if not any(row.given for row in rows):
        return ""
    return " The figure as given carries it; the other rows have it taken out again."


def _doubtful(factors: Iterable[Factor]) -> Iterable[Line]:
    told = [
        f"{NAMES.get(f.correction, f.correction)} in {f.beyond:.0%}" for f in factors if f.holds and f.beyond >= 0.005
    ]
    if told:
        lead = "Beyond the range of its standard in part of the weathers drawn: "
        yield line(Run(lead, "muted"), ", ".join(told), ".")


def reading_data(found: Restated) -> dict[str, Any]:
    """The same as data, SI."""
    figure = found.figure
    factors = {f.correction: f for f in found.factors}
    return {
        "schema": READING,
        "version": __version__,
        "samples": {"asked": found.samples, "seed": found.seed},
        "figure": {
            "written": figure.written,
            "value": figure.power,
            "unit": "W",
            "low": figure.low,
            "high": figure.high,
            "at": figure.at,
            "dyno": figure.dyno or None,
            "correction": figure.correction,
        },
        "boost_controlled": found.boost_controlled,
        "default_correction": DEFAULT if found.boost_controlled else None,
        "why": CONTROLLED if found.boost_controlled else NOT_CONTROLLED,
        "inputs": inputs(found.inputs.values()),
        "weather": {
            "barometer": {"value": found.barometer, "unit": "Pa"},
            "vapour_pressure": {"value": found.vapour_pressure, "unit": "Pa"},
        },
        "corrections": {
            name: {
                "value": f.value, "unit": "1", "low": f.low, "high": f.high,
                "allowed": {"low": f.lowest, "high": f.highest}, "holds": f.holds, "beyond": f.beyond,
            }
            for name, f in factors.items()
        },
        "rows": [
            {
                "at": row.at,
                "dyno": row.dyno or None,
                "correction": row.correction,
                "value": finite(row.value),
                "unit": "W",
                "low": finite(row.low),
                "high": finite(row.high),
                "given": row.given,
                "status": "ok" if row.value is not None else "out of range",
                "reason": row.reason,
            }
            for row in found.rows
        ],
        "notices": [REPEAT],
    }
