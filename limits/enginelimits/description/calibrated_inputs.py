"""A calibration's anchors as inputs of a description.

What the build states stands before a calibration found by family.  One that the build names also takes the place of
what it states without having measured it, unless an edit has changed that.
"""

from __future__ import annotations

from collections.abc import MutableMapping
from dataclasses import replace

from enginelimits.description.calibration import (
    FILLING,
    FILLING_PATH,
    KNOCK,
    SINGLE,
    UNITS,
    Z95,
    CalibratedValue,
    Calibration,
)
from enginelimits.description.filled import Input
from enginelimits.errors import InputError, Problem

_COOLER = "forced_induction.intercooler"
_CURVE = "class.volumetric_efficiency"
NOT_MOVED = "the pulls did not move it from its class"


def take_calibration(
    inputs: MutableMapping[str, Input], calibration: Calibration, may_replace: frozenset[str]
) -> None:
    """Put the anchors into the inputs: where nothing is stated, or what is stated may be replaced."""
    for anchor in calibration.anchors:
        path = SINGLE.get(anchor.name)
        if path is None or (path in inputs and path not in may_replace) or not _fits(path, inputs, calibration):
            continue
        inputs[path] = _input(path, anchor, calibration)
    points = calibration.of(FILLING)
    if points:
        ranges = ", ".join(f"{a.value:.3f} +/- {Z95 * a.error:.3f}" for a in points)
        made = Input(FILLING_PATH, None, basis="measured", source=calibration.source)
        inputs[FILLING_PATH] = replace(
            made, curve=calibration.curve(), note=f"scale of the class's filling, with ranges {ranges}"
        )


def settled(
    inputs: MutableMapping[str, Input], calibration: Calibration, named: bool
) -> Calibration | None:
    """The calibration as it is used once all is filled; without a filling where that is of another class.

    Raises InputError where the build names a calibration that scales another class's filling.
    """
    curve = inputs.get(_CURVE)
    if FILLING_PATH in inputs and (curve is None or curve.from_class != calibration.filling_of):
        if named:
            got = f"a calibration of `{calibration.filling_of}`"
            raise InputError([Problem(
                f"a calibration whose filling scales the class `{curve.from_class if curve else 'none'}`", got,
                "Fit the pulls again for this build.", "filling_of", calibration.file,
            )])
        del inputs[FILLING_PATH]
    return calibration


def _fits(path: str, inputs: MutableMapping[str, Input], calibration: Calibration) -> bool:
    """A dyno's factor holds for that kind of dyno alone, a loss for that driveline, a cooler for that induction."""
    if path == "class.dyno.factor":
        at, dyno = inputs.get("goal.at"), inputs.get("goal.dyno")
        return at is not None and at.value == "wheels" and dyno is not None and dyno.value == calibration.dyno
    def stated(name: str) -> str:
        found = inputs.get(name)
        return "" if found is None else str(found.value)

    if path.startswith("driveline."):
        return (stated("driveline.drive"), stated("driveline.gearbox")) == (calibration.drive, calibration.gearbox)
    if path.startswith("forced_induction."):
        same = stated("forced_induction.kind") == calibration.induction != ""
        # a cooler that is named by its class, or said not to be there, is another
        return same and not {f"{_COOLER}.class", _COOLER} & inputs.keys()
    return True


def _input(path: str, anchor: CalibratedValue, calibration: Calibration) -> Input:
    reach = Z95 * anchor.error
    positive = anchor.name != KNOCK
    return Input(
        path, anchor.value, UNITS.get(anchor.name, "1"), anchor.value - reach, anchor.value + reach,
        "split-normal" if reach > 0.0 else "point", "measured" if anchor.moved else "assumed", calibration.source,
        note="" if anchor.moved else NOT_MOVED,
        floor=0.0 if positive else None, ceiling=None,
    )
