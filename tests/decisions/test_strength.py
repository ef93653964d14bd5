"""A factory part in factory duty is not condemned by a class at its weak end."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from enginelimits.assessment.sample import drawn, input_columns
from enginelimits.decisions.judge import judge
from enginelimits.decisions.strength import POOL, strength_anchor, with_strength
from enginelimits.description.edits import edited
from enginelimits.description.fill import filled
from enginelimits.description.load import parse_build
from enginelimits.rules.catalogue import load_catalogue

# Invented: no such car exists.  Its limiter is high for the stroke, so that some bolts of the class would not last.
FAST = """
build: invented engine that revs
goal: {{power: 240 hp, at: crank, correction: none, use: track}}
engine:
  cylinders: 4
  bore: 87 mm
  stroke: 84 mm
  rod_length: 135 mm
  compression_ratio: 11.0
  redline: 8300 rpm
  limiter: {limiter} rpm
{figures}
internals: {internals}
fuel: {{octane: 98 RON}}
"""
FIGURES = """
  standard_output:
    power: {value: 240 hp, at: 8200 rpm}
    torque: {value: 218 N*m, at: 6800 rpm}
    rating: SAE J1349
    fuel: {octane: 98 RON, is: minimum}
"""
PRELOAD, FATIGUE = "class.rod_bolt.preload_over_proof", "class.rod_bolt.fatigue_strength"


@cache
def catalogue():
    return load_catalogue()


@cache
def build(limiter=8700, figures=FIGURES, internals="{}"):
    return parse_build(FAST.format(limiter=limiter, figures=figures.strip("\n"), internals=internals))


@cache
def anchor(limiter=8700, internals="{}"):
    return strength_anchor(build(limiter, internals=internals), catalogue())


def kept(part, **of):
    return next((k for k in anchor(**of) if k.part == part), None)


def test_draws_that_would_fail_at_the_makers_own_limiter_are_not_kept():
    bolts = kept("rod_bolts")
    assert 0.1 < bolts.share < 0.95
    described = with_strength(filled(build()), anchor())
    before, after = filled(build()).inputs[FATIGUE], described.inputs[FATIGUE]
    assert after.value > before.value and after.low > before.low - 1e5
    assert f"{bolts.share:.0%}" in after.note


def test_a_slower_engine_keeps_more_of_them():
    slow = kept("rod_bolts", limiter=8400)
    assert slow is None or slow.share > kept("rod_bolts").share


def test_without_the_anchor_the_factory_engine_is_condemned_and_with_it_is_not():
    plain = {f.rule: f for f in judge(build(figures="  valves_per_cylinder: 4"), catalogue()).findings}
    anchored = {f.rule: f for f in judge(build(), catalogue()).findings}
    assert plain["ROD008"].grade in ("caution", "reinforce", "decline")
    assert anchored.get("ROD008") is None or anchored["ROD008"].grade == "note"
    assert anchored.get("ROD007") is None or anchored["ROD007"].grade == "note"


def test_samples_are_taken_from_what_is_kept_jointly_and_row_nil_hangs_on_no_number_of_them():
    described = with_strength(filled(build()), anchor())
    for samples in (0, 16, 200):
        columns = input_columns(described, np.array([700.0]), samples, 1)
        assert columns[FATIGUE].si[0, 0, 0] == described.inputs[FATIGUE].value
        pairs = zip(columns[FATIGUE].si[0, 1:, 0], columns[PRELOAD].si[0, 1:, 0], strict=True)
        pool = set(zip(described.inputs[FATIGUE].pool, described.inputs[PRELOAD].pool, strict=True))
        assert set(pairs) <= pool
    whole = filled(build()).inputs[FATIGUE]
    rows = kept("rod_bolts").rows
    assert described.inputs[FATIGUE].pool == pytest.approx(drawn(whole, POOL, 1)[1:][list(rows)])


def test_parts_that_are_not_the_factorys_are_not_anchored():
    assert kept("rod_bolts", internals="{rod_bolts: {class: alloy-stretch}}") is None
    changed = edited(build(), [{"replace": "internals.rod_bolts", "with": {"class": "alloy-stretch"}}])
    described = filled(changed)
    assert with_strength(described, anchor()).inputs[FATIGUE] == described.inputs[FATIGUE]


def test_no_figures_no_anchor():
    assert strength_anchor(build(figures="  valves_per_cylinder: 4"), catalogue()) == ()


def test_what_is_stated_stays():
    internals = "{rod_bolts: {preload: 34 kN}}"
    described = filled(build(internals=internals))
    after = with_strength(described, anchor(internals=internals))
    assert after.inputs["internals.rod_bolts.preload"] == described.inputs["internals.rod_bolts.preload"]


def test_the_makers_mass_stays_the_sum_of_its_parts():
    described = with_strength(filled(build()), anchor())
    columns = input_columns(described, np.array([700.0]), 16, 1)
    parts = columns["internals.pistons.mass"].si + columns["internals.pins.mass"].si
    assert columns["engine.standard.piston_and_pin_mass"].si == pytest.approx(parts)


def test_the_draws_differ_in_their_parts_alone(monkeypatch):
    """The maker's figures are met once, by the typical engine: pressure and torque are the same in every draw."""
    from enginelimits.decisions import strength

    seen = []
    assess = strength.assess
    monkeypatch.setattr(strength, "assess", lambda *a, **k: seen.append(assess(*a, **k)) or seen[-1])
    monkeypatch.setattr(strength, "_FOUND", {})
    strength_anchor(build(), catalogue())
    (found,) = seen
    for name in ("cylinder.peak_pressure", "crank.torque"):
        values = np.asarray(found.columns[name].si)
        assert np.ptp(values, axis=1).max() == 0.0
    rods = np.asarray(found.columns["rod.fatigue_margin"].si)
    assert rods.shape[1] == 1 + POOL and np.ptp(rods, axis=1).max() > 0.0
