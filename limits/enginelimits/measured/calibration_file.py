"""A fit as the text of a calibration file."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np
import yaml

from enginelimits.description.calibration import FILLING, Z95
from enginelimits.errors import InputError, Problem
from enginelimits.measured.fitted import Fitted, FittedAnchor

RPM = np.pi / 30.0
HEAD = (
    "# What measured pulls say of this engine family; written by the fit.  Later builds whose engine.family is the\n"
    "# same use it in the place of classes and maker's figures.  What stands behind +/- is from the 5th to the 95th\n"
    "# percentile.  An anchor that `moved` does not name is its class's still, and stands here for its correlation.\n"
)
METHOD = (
    "Least squares of {pulls} at {points} points of torque{others}, with classes and maker's figures as observations "
    "beside them; what the pulls cannot tell apart stays at its class."
)
CHANNELS = {"air_mass_flow": "air", "charge_temperature": "charge temperature", "knock": "knock limit",
            "loss": "driveline loss"}


def calibration_text(fitted: Fitted, *, author: str, on: date, family: str = "", note: str = "") -> str:
    """The calibration file of a fit, to lie under `calibrations/` in the shop's folder.

    ``family`` where the build names none.  Raises InputError without one.
    """
    name = family or fitted.family
    if not name:
        raise InputError([Problem("the engine's family, by which later builds find the calibration", "none",
                                  "State engine.family in the build.", "engine.family")])
    taken: dict[str, str] = {
        "speed": f"{fitted.speed[0] / RPM:.6g} to {fitted.speed[1] / RPM:.6g} rpm",
        "boost": _boost(fitted.boost),
    }
    if fitted.octane is not None:
        taken["octane"] = f"{fitted.octane:.4g} RON"
    if fitted.ethanol is not None:
        taken["ethanol"] = f"{100.0 * fitted.ethanol:.4g} %"
    if fitted.dyno:
        taken["dyno"] = fitted.dyno
    taken |= {key: text for key in ("induction", "drive", "gearbox") if (text := str(getattr(fitted, key)))}
    data = {
        "engine": {"family": name},
        "date": on.isoformat(),
        "author": author,
        **({"note": note} if note else {}),
        "method": _method(fitted),
        "taken_at": taken,
        "logs": [{"file": file, "sha256": digest} for file, digest in fitted.logs],
        "filling_of": fitted.filling_of,
        "anchors": _anchors(fitted),
        "moved": list(fitted.moved),
        "correlation": [[round(float(cell), 4) for cell in row[:k]] for k, row in enumerate(fitted.correlation)],
    }
    return HEAD + yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=110, default_flow_style=None)


def _boost(span: tuple[float, float]) -> str:
    low, high = (round(end / 1e5, 4) for end in span)
    return f"{low} bar_g" if low == high else f"{low} to {high} bar_g"


def _method(fitted: Fitted) -> str:
    points = {a.channel: a.points for a in fitted.agreement}
    others = "".join(f", {points[name]} of {words}" for name, words in CHANNELS.items() if name in points)
    pulls = "one pull" if fitted.pulls == 1 else f"{fitted.pulls} pulls"
    return METHOD.format(pulls=pulls, points=points.get("torque", 0), others=others)


def _anchors(fitted: Fitted) -> dict[str, object]:
    filling = {f"{(a.speed or 0.0) / RPM:.6g} rpm": _written(a) for a in fitted.of(FILLING)}
    return {FILLING: filling} | {a.name: _written(a) for a in _others(fitted)}


def _others(fitted: Fitted) -> Iterator[FittedAnchor]:
    return (a for a in fitted.anchors if a.name != FILLING)


def _written(anchor: FittedAnchor) -> str:
    """Value and reach, with digits to a hundredth of the reach."""
    by, unit = (1e-3, " kW") if anchor.unit == "W" else (1.0, "")
    value, reach = anchor.value * by, Z95 * anchor.error * by
    places = int(np.clip(2 - np.floor(np.log10(reach)), 2, 9))
    return f"{value:.{places}f} +/- {reach:.{places}f}{unit}"
