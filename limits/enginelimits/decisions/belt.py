"""Remedies of boost where no gate sets it: on a belt the pulley does, and without a machine nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from enginelimits.decisions.boost_lever import BOOST, KIND
from enginelimits.decisions.verdict import Finding, RemedyShown
from enginelimits.description.fields import FaultsError
from enginelimits.description.filled import Filled
from enginelimits.description.paths import field, flattened
from enginelimits.description.physical import BySpeed
from enginelimits.description.values import Curve, Value
from enginelimits.physics.airflow.supercharger import impeller_speed_share
from enginelimits.rules.catalogue import Catalogue
from enginelimits.units.constants import STANDARD_PRESSURE

DRIVE = "forced_induction.supercharger.drive_ratio"
ROTORS, WHEEL = "positive-displacement", "centrifugal"
MACHINE, VERBS = "forced_induction.", ("set", "replace", "drop", "cap")


def as_driven(findings: Iterable[Finding], described: Filled, catalogue: Catalogue) -> list[Finding]:
    """The findings, where boost comes by a belt with the remedies that its pulley stands behind, each once.

    An engine without a machine has no boost to raise or to lower: it is spared the remedies that do nothing else.
    """
    kind = described.get(KIND)
    if kind is not None and kind.value == "none":
        return [replace(f, remedies=tuple(r for r in f.remedies if not _of_the_machine(r))) for f in findings]
    if kind is None or kind.value not in (ROTORS, WHEEL):
        return list(findings)
    return [replace(f, remedies=tuple({r.id: r for r in map(_on(described, catalogue), f.remedies)}.values()))
            for f in findings]


def _of_the_machine(remedy: RemedyShown) -> bool:
    """Whether all that a remedy changes is on the machine that makes boost."""
    touched = [str(edit[verb]) for step in remedy.steps for edit in step for verb in VERBS if verb in edit]
    return bool(touched) and all(path.startswith(MACHINE) for path in touched)


def _on(described: Filled, catalogue: Catalogue) -> Any:
    def shown(remedy: RemedyShown) -> RemedyShown:
        known = catalogue.remedies.get(remedy.id)
        other = catalogue.remedies.get(known.on_a_belt) if known is not None else None
        if other is None:
            return remedy
        steps = tuple((*_drive(step, described), *step) for step in other.steps)
        return RemedyShown(other.id, other.kind, other.say, steps, other.shifts)

    return shown


def _drive(step: Iterable[Mapping[str, object]], described: Filled) -> Iterable[Mapping[str, object]]:
    """The drive ratio, where it is stated, that goes with the boost that a step asks for."""
    stated = flattened(described.build)
    ratio, asked = stated.get(DRIVE), stated.get(BOOST)
    if not isinstance(ratio, Value) or not isinstance(asked, Value | Curve):
        return
    most = max(value.si for value in asked.values) if isinstance(asked, Curve) else asked.si
    for edit in step:
        verb = next((verb for verb in ("cap", "set") if edit.get(verb) == BOOST), None)
        wanted = _boost(str(edit["to"])) if verb else None
        if wanted is not None and (wanted < most if verb == "cap" else wanted > most):
            share = drive_share(str(described.inputs[KIND].value), most, wanted)
            yield {"set": DRIVE, "to": f"{ratio.si * share:.3g}"}


def _boost(text: str) -> float | None:
    kind = field(BOOST)
    try:
        read = kind.of.read(text) if isinstance(kind, BySpeed) else None
    except FaultsError:
        return None
    return read.si if isinstance(read, Value) else None


def drive_share(kind: str, boost_pa: float, wanted_pa: float) -> float:
    """Drive ratio for a boost over that for another, at sea level.

    Rotors move a volume a turn, so their pressure ratio goes with their speed; common practice.
    """
    was, becomes = (1.0 + pa / STANDARD_PRESSURE for pa in (boost_pa, wanted_pa))
    if kind == ROTORS or boost_pa <= 0.0:
        return becomes / was
    return float(impeller_speed_share(was, becomes))
