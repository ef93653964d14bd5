"""A fit of the model to pulls, in words and as data."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from enginelimits import __version__
from enginelimits.present.tree import Heading, Node, Notice, Run, Tree, line, table
from enginelimits.present.values import finite, value_text

if TYPE_CHECKING:
    from enginelimits.measured.fitted import Agreement, Fitted, FittedAnchor, Residual
    from enginelimits.units.display import System

FIT = "enginelimits.fit/1"
SHOWN_SPEEDS = 10
# Two anchors that go together by more than this are told of
TOGETHER = 0.8
WORDS = {
    "filling": "filling over the class's", "driveline_loss_fixed": "driveline loss, fixed",
    "driveline_loss_proportional": "driveline loss, share", "dyno_factor": "dyno over roller",
    "cooler_effectiveness": "cooler effectiveness", "compressor_efficiency": "compressor efficiency",
    "knock_offset": "knock offset, octane numbers",
}
CHANNELS = {"torque": "torque", "air_mass_flow": "air", "charge_temperature": "charge temperature",
            "knock": "octane left at the knock limit", "loss": "driveline loss"}
MEANING = (
    "Behind +/- stands one standard deviation. An anchor that stays at its class is one that these pulls cannot tell "
    "from others; what it may be wrong by is in the errors of those that moved. The model's own floor is in them too."
)


def fitted_tree(found: Fitted, system: System = "metric") -> Tree:
    """The report: anchors before and after, what the pulls decide, and what is left by speed."""
    nodes: list[Node] = [
        Heading("Anchors"), _anchors(found, system), *_together(found), line(Run(MEANING, "muted")),
        Heading("Measured less model"), table(("", "points", "before", "after", ""),
                                              [_agreement(a) for a in found.agreement], wide=4),
        *_by_speed(found, system),
        *(Notice(remark) for remark in found.remarks),
    ]
    pulls = "one pull" if found.pulls == 1 else f"{found.pulls} pulls"
    return Tree(f"{found.build}: the model fitted to {pulls}", tuple(nodes))


def _anchors(found: Fitted, system: System) -> Node:
    rows = [
        (WORDS[a.name], "" if a.speed is None else value_text(a.speed, "rad/s", system),
         _value(a, a.prior, a.prior_error), Run(_value(a, a.value, a.error), "strong" if a.moved else "plain"),
         Run("by the pulls" if a.moved else "still its class's", "plain" if a.moved else "assumed"))
        for a in found.anchors
    ]
    return table(("", "at", "before", "after", "decided"), rows, wide=0)


def _value(anchor: FittedAnchor, value: float, error: float) -> str:
    if anchor.unit == "W":
        return f"{value / 1e3:.1f} +/- {error / 1e3:.1f} kW"
    digits = 1 if anchor.name == "knock_offset" else 3
    return f"{value:.{digits}f} +/- {error:.{digits}f}"


def _together(found: Fitted) -> Iterable[Node]:
    """Anchors of different kinds that the pulls can hardly tell apart."""
    strongest: dict[tuple[str, str], float] = {}
    for i, one in enumerate(found.anchors):
        for j, other in enumerate(found.anchors[:i]):
            if one.name != other.name:
                share = float(found.correlation[i, j])
                pair = (other.name, one.name)
                if abs(share) > abs(strongest.get(pair, 0.0)):
                    strongest[pair] = share
    told = [f"{WORDS[a]} and {WORDS[b]} {share:+.2f}" for (a, b), share in strongest.items() if abs(share) > TOGETHER]
    if told:
        yield line(Run("Go together: ", "muted"), f"{'; '.join(told)}.")


def _agreement(a: Agreement) -> tuple[str, ...]:
    widened = "" if a.widened <= 1.05 else f"more than was stated, errors times {a.widened:.1f}"
    return CHANNELS[a.channel], str(a.points), _left(a.before, a.unit), _left(a.after, a.unit), widened


def _left(value: float, unit: str) -> str:
    by, words, digits = {"kg/s": (1e3, " g/s", 1), "K": (1.0, " K", 1), "N*m": (1.0, " N*m", 1), "W": (1e-3, " kW", 2),
                         "1": (1.0, "", 2)}[unit]
    return f"{value * by:.{digits}f}{words}"


def _by_speed(found: Fitted, system: System) -> Iterable[Node]:
    by_speed: dict[float, list[Residual]] = {}
    for r in found.by_channel().get("torque", ()):
        by_speed.setdefault(round(r.speed, 2), []).append(r)
    speeds = sorted(by_speed)
    yield Heading("Torque by speed, mean of the pulls: measured less model")
    rows = []
    for at in speeds[:: max(1, -(-len(speeds) // SHOWN_SPEEDS))]:
        here = [(r.measured, r.before, r.after, r.error) for r in by_speed[at]]
        measured, before, after, error = map(float, np.mean(here, axis=0))
        rows.append((value_text(at, "rad/s", system), value_text(measured, "N*m", system),
                     _left(measured - before, "N*m"), _left(measured - after, "N*m"), _left(error, "N*m")))
    yield table(("at", "measured", "before", "after", "error given"), rows)


def fitted_data(found: Fitted) -> dict[str, Any]:
    """The same as data, SI."""
    return {
        "schema": FIT,
        "version": __version__,
        "build": found.build,
        "family": found.family or None,
        "filling_of": found.filling_of,
        "at": found.at,
        "dyno": found.dyno or None,
        "pulls": found.pulls,
        "logs": [{"file": file, "sha256": digest} for file, digest in found.logs],
        "covers": {"engine_speed": list(found.speed), "boost": list(found.boost), "octane": found.octane,
                   "ethanol": found.ethanol},
        "anchors": [
            {"name": a.name, "input": a.path, "engine_speed": a.speed, "value": a.value, "error": a.error,
             "prior": a.prior, "prior_error": a.prior_error, "unit": a.unit, "error_left": a.left, "moved": a.moved}
            for a in found.anchors
        ],
        "correlation": finite(np.round(found.correlation, 6)),
        "agreement": [
            {"channel": a.channel, "unit": a.unit, "points": a.points, "before": a.before, "after": a.after,
             "widened": a.widened}
            for a in found.agreement
        ],
        "residuals": [
            {"channel": r.channel, "unit": r.unit, "pull": r.pull, "engine_speed": r.speed, "measured": r.measured,
             "before": r.before, "after": r.after, "error": r.error}
            for r in found.residuals
        ],
        "passes": found.passes,
        "settled": found.settled,
        "remarks": list(found.remarks),
    }
