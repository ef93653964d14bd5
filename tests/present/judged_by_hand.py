"""A judged build made by hand, so that a report is tested without computing one.

Every number here is invented for the tests and stands for no engine.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from enginelimits.assessment.columns import Column
from enginelimits.assessment.results import Assessment, At, Curve, QuantityResult
from enginelimits.decisions.verdict import (
    Because,
    Finding,
    Judgement,
    LayerUsed,
    Limiting,
    LimitShown,
    NotJudged,
    RemedyShown,
    Verdict,
)
from enginelimits.description.filled import Filled, Input

RPM = 2 * math.pi / 60


def finding(rule: str = "ROD003", **changes: Any) -> Finding:
    """A finding in full; ``changes`` replace fields."""
    whole = Finding(
        rule=rule,
        title="Low-speed torque on light rods",
        family="rods",
        grade="reinforce",
        uncapped="reinforce",
        could_be=None,
        missing=(),
        chance=0.52,
        chances={"clear": 0.2, "note": 0.0, "caution": 0.28, "reinforce": 0.52, "decline": 0.0},
        chance_word="even",
        borderline=False,
        message="Mean effective pressure is 21.9 bar at 2500 rpm; the limit for light rods is 21.5 bar.",
        message_us="Mean effective pressure is 318 psi at 2500 rpm; the limit for light rods is 312 psi.",
        why="Down here inertia hardly relieves the rod; it carries nearly the whole gas load.",
        because=(
            Because(
                "quantity",
                "brake.mean_effective_pressure",
                2.19e6,
                "Pa",
                At(2500 * RPM, "hot day"),
                LimitShown("reinforce_mep", 2.15e6, "Pa", "above", "base", 2.15e6),
            ),
        ),
        remedies=(
            RemedyShown(
                "hold-back-low-speed-boost",
                "calibration",
                "Hold boost back below 3500 rpm.",
                (({"cap": "forced_induction.boost", "below": "3500 rpm", "to": "8 psi"},),),
                "Response below 3500 rpm is lost.",
            ),
            RemedyShown(
                "forged-rods", "part", "Fit forged rods with new bolts.", (), "Mass moves to the bolts."
            ),
        ),
        caveats=("Bands from two-litre fours.",),
        sources=({"id": "own-sum", "gives": "method"},),
        evidence="memory",
        confidence="low",
        settled_by="Smallest shank section, by calliper.",
    )
    return replace(whole, **changes)


def judged() -> Judgement:
    """A build with seven findings, three rules that could not be judged, and a few assumptions."""
    inputs = {
        "engine.bore": Input("engine.bore", 0.083, "m", 0.083, 0.083, basis="documented"),
        "goal.power": Input("goal.power", 134226.0, "W", basis="documented"),
        "goal.at": Input("goal.at", "wheels", basis="documented"),
        "forced_induction.boost": Input(
            "forced_induction.boost",
            68948.0,
            "Pa",
            basis="documented",
            kind="gauge",
            curve=((2500 * RPM, 50000.0), (7000 * RPM, 68948.0)),
        ),
        "fuel.octane": Input("fuel.octane", 98.0, "1", kind="RON", basis="documented"),
        "internals.condition.leak_down": Input(
            "internals.condition.leak_down", (0.04, 0.05, 0.04, 0.06), "1", basis="measured", kind="percent"
        ),
        "internals.rods.shank_area": Input(
            "internals.rods.shank_area",
            140e-6,
            "m^2",
            115e-6,
            165e-6,
            "split-normal",
            "assumed",
            "common-practice",
            from_class="light-forged-steel",
        ),
        "forced_induction.intercooler.effectiveness": Input(
            "forced_induction.intercooler.effectiveness", 0.7, "1", 0.6, 0.8, "split-normal", "assumed"
        ),
        "internals.rods.class": Input("internals.rods.class", "light-forged-steel", basis="assumed"),
        "class.rod.yield_strength": Input("class.rod.yield_strength", 6e8, "Pa", 5.5e8, 7e8, "split-normal"),
    }
    quantities = {
        "crank.power": QuantityResult(
            "crank.power", "W", 152000.0, 145000.0, 159000.0, At(7000 * RPM, "site"), "assumed", "ok"
        ),
        "air.boost": QuantityResult(
            "air.boost", "Pa", 68948.0, None, None, At(4000 * RPM, "site"), "assumed", "ok"
        ),
        "cylinder.peak_pressure": QuantityResult(
            "cylinder.peak_pressure", "Pa", 8.9e6, 8.2e6, 9.8e6, At(4500 * RPM, "hot day"), "assumed", "ok"
        ),
        "pump.lift_use": QuantityResult(
            "pump.lift_use",
            "1",
            None,
            None,
            None,
            None,
            "assumed",
            "cannot compute",
            "needs fuel_system.lift_pump.flow",
        ),
    }
    curves = {
        "crank.power": Curve("crank.power", "W", (50000.0, None, 152000.0), (47000.0, None, 145000.0), None),
    }
    beneath = frozenset(("internals.rods.shank_area", "engine.bore", "internals.rods.class"))
    columns = {"brake.mean_effective_pressure": Column(None, rests=beneath)}
    filled = Filled(None, inputs)  # type: ignore[arg-type]
    assessment = Assessment(
        filled=filled,
        speeds=(2500 * RPM, 4500 * RPM, 7000 * RPM),
        ambients=("site", "hot day"),
        samples=64,
        samples_valid=62,
        seed=1,
        columns=columns,
        quantities=quantities,
        curves=curves,
    )
    others = [
        ("KNK001", "Knock margin at the timing run", "caution"),
        ("FUE002", "Lift pump near its end", "caution"),
        ("CLU001", "Clutch reserve", "caution"),
        ("HEA004", "Charge temperature at the end of a pull", "caution"),
        ("PLG001", "Plug gap", "note"),
        ("OIL001", "Oil grade", "note"),
    ]
    findings = [
        finding(),
        *(
            finding(rule, title=title, grade=grade, uncapped=grade, confidence="medium")
            for rule, title, grade in others
        ),
    ]
    return Judgement(
        name="weekend coupe, stage two",
        filled=filled,
        assessment=assessment,
        findings=tuple(findings),
        not_judged=(
            NotJudged("OIL004", "Oil control in corners", ("vehicle.tyre",)),
            NotJudged("OIL005", "Sump for track use", ("vehicle.tyre",)),
            NotJudged("FUE009", "Rail pressure under load", ("fuel_system.direct_injection.flow",)),
        ),
        out_of_range=(NotJudged("VAL003", "Valve float", (), ""),),
        not_applicable=(NotJudged("SUP001", "Belt power", ()),),
        verdict=Verdict(
            "reinforce",
            False,
            ("FUE009", "OIL004", "OIL005", "VAL003"),
            Limiting("ROD003", "brake.mean_effective_pressure"),
            "Not to be run as described without the remedies named. Some rules could not be judged.",
        ),
        notices=("Decision support for trained people; not a measurement, a certificate or an inspection.",),
        layers=(LayerUsed("base", "0.1.0", "abc123"),),
        inference="durable-rules",
        samples_asked=64,
        samples_valid=62,
        seed=1,
        as_of="2026-11-25",
        questions=("Which power is meant, and on which dyno?",),
    )
