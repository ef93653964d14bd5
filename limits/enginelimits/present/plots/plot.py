"""What a plot is, and every plot by name.  Nothing here imports matplotlib before a plot is asked for."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from enginelimits.decisions.ladder import Ladder
    from enginelimits.decisions.measure import Measured
    from enginelimits.decisions.verdict import Judgement
    from enginelimits.measured.read_back import ReadBack
    from enginelimits.rules.catalogue import Catalogue
    from enginelimits.units.display import System


@dataclass(frozen=True)
class Plot:
    """One plot.

    ``svg`` is a single ``<svg>`` element that needs nothing else and takes the width of its container; its ids begin
    with ``name``.  ``alt`` says in sentences what the plot shows, with the figures that matter.  ``data`` holds the
    numbers that were drawn, SI.
    """

    name: str
    title: str
    svg: str
    alt: str
    data: Mapping[str, Any]

    @property
    def json(self) -> str:
        """The data as JSON text that ends in a newline."""
        return json.dumps(self.data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"

    @property
    def printed(self) -> str:
        """The element for a renderer that knows no CSS variables: each in its shipped colour, on white."""
        from enginelimits.present.plots.element import on_paper

        return on_paper(self.svg)


def torque_and_power(judgement: Judgement, units: System = "metric", *, name: str = "torque-and-power") -> Plot:
    """Torque and power over engine speed with what limits them, boost and lambda below."""
    from enginelimits.present.plots import torque

    return torque.plot(judgement, units, name)


def cylinder_pressure(judgement: Judgement, units: System = "metric", *, name: str = "cylinder-pressure") -> Plot:
    """Cylinder pressure over crank angle, and over volume, at the speed of its greatest peak."""
    from enginelimits.present.plots import cylinder

    return cylinder.plot(judgement, units, name)


def rod_force(judgement: Judgement, units: System = "metric", *, name: str = "rod-force") -> Plot:
    """Axial force in the rod over 720 degrees, at a low and at the highest speed."""
    from enginelimits.present.plots import rods

    return rods.plot(judgement, units, name)


def margins(
    judgement: Judgement, units: System = "metric", *, catalogue: Catalogue | None = None, name: str = "margins"
) -> Plot:
    """How much of its limit each subsystem uses; ``catalogue`` is the one that judged, if not the shipped one."""
    from enginelimits.present.plots import shares

    return shares.plot(judgement, units, catalogue, name)


def ladder(found: Ladder, units: System = "metric", *, name: str = "ladder") -> Plot:
    """Power over boost, step by step, with the limit that each step reaches first."""
    from enginelimits.present.plots import steps

    return steps.plot(found, units, name)


def sensitivity(found: Measured, units: System = "metric", *, name: str = "sensitivity") -> Plot:
    """Which measurement moves the verdict, or the findings beneath it, most."""
    from enginelimits.present.plots import unknowns

    return unknowns.plot(found, units, name)


def log_against_model(pulled: ReadBack, units: System = "metric", *, name: str = "log-against-model") -> Plot:
    """A measured pull on what the model says of it, and the difference below."""
    from enginelimits.present.plots import pulled as drawing

    return drawing.plot(pulled, units, name)
