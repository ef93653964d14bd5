"""Which warnings and questions a build calls for.  That they are usual is common practice, no source."""

from __future__ import annotations

import re
from typing import Any

import pytest
import yaml

from enginelimits.decisions.notices import FILE, notices_for, questions_for
from enginelimits.description.filled import Filled, Input
from enginelimits.description.load import parse_build

BARE = "build: b\nengine: {cylinders: 4, bore: 86 mm, stroke: 86 mm, redline: 7000 rpm, compression_ratio: 11.0%s}\n"


def filled(of: str = "", **given: Any) -> Filled:
    """Inputs by path, the dots written as two underscores; a tuple carries (value, basis)."""
    inputs = {}
    for name, value in given.items():
        path = name.replace("__", ".")
        value, basis = value if isinstance(value, tuple) else (value, "documented")
        inputs[path] = Input(path, value, "1", basis=basis)
    return Filled(parse_build(BARE % of), inputs)


def told(words: str, **given: Any) -> bool:
    return any(words in say for say in notices_for(filled(**given)))


def asked(words: str, of: str = "", **given: Any) -> bool:
    return any(words in say for say in questions_for(filled(of, **given)))


def test_every_build_gets_the_notice_of_the_tool() -> None:
    assert notices_for(filled())[0].startswith("Estimates for trained people")


@pytest.mark.parametrize(("content", "shown"), [(0.10, False), (0.25, False), (0.26, True), (0.85, True)])
def test_ethanol_notice_above_a_quarter(content: float, shown: bool) -> None:
    assert told("Ethanol is poisonous", fuel__ethanol=content) is shown


def test_ethanol_notice_goes_by_the_upper_end_of_a_range() -> None:
    ranged = Filled(None, {"fuel.ethanol": Input("fuel.ethanol", 0.2, "1", 0.1, 0.3, "uniform")})  # type: ignore[arg-type]
    assert any("Ethanol is poisonous" in say for say in notices_for(ranged))


def test_what_is_not_known_is_told() -> None:
    assert told("Ethanol is poisonous")
    assert told("road legality")


def test_road_notice_is_dropped_only_for_a_car_that_is_certainly_off_the_road() -> None:
    assert told("road legality", vehicle__road_registered=True)
    assert not told("road legality", vehicle__road_registered=False)


@pytest.mark.parametrize(
    ("injection", "shown"), [("direct", True), ("port-and-direct", True), ("port", False)]
)
def test_rail_notice(injection: str, shown: bool) -> None:
    assert told("Direct-injection rail", engine__injection=injection) is shown


def test_dyno_notice_for_wheel_power_alone() -> None:
    assert told("Dyno: trained operator", goal__at="wheels", baseline__at="crank")
    assert not told("Dyno: trained operator", goal__at="crank", baseline__at="crank")


def test_which_power_is_asked_until_place_and_dyno_are_stated() -> None:
    assert asked("Which power is meant")
    assert asked("Which power is meant", goal__at=("wheels", "assumed"), goal__dyno="hub")
    assert asked("Which power is meant", goal__at="wheels")
    assert not asked("Which power is meant", goal__at="wheels", goal__dyno="hub")
    assert not asked("Which power is meant", goal__at="crank")


def test_baseline_is_asked_about_only_where_there_is_one() -> None:
    assert not asked("Which power is the baseline")
    assert asked("Which power is the baseline", baseline__power=90e3)
    assert asked("Which power is the baseline", baseline__torque=150.0, baseline__at="wheels")
    assert not asked("Which power is the baseline", baseline__power=90e3, baseline__at="wheels", baseline__dyno="hub")
    assert not asked("Which power is the baseline", baseline__power=90e3, baseline__at="crank")


def test_peak_alone_is_asked_about() -> None:
    assert asked("A peak alone", goal__power=90e3)
    assert not asked("A peak alone", goal__power=90e3, goal__torque=200.0)
    assert not asked("A peak alone")


def test_bare_percentage_of_loss_is_asked_about() -> None:
    assert asked("all of its loss", driveline__loss__proportional=0.15, driveline__loss__fixed=(6e3, "assumed"))
    assert not asked("all of its loss", driveline__loss__proportional=0.15, driveline__loss__fixed=0.0)
    assert not asked("all of its loss", driveline__loss__proportional=(0.1, "assumed"))


# Common practice, no source: makers build 9.5 to 11.5 with port injection, to 13 or so with direct injection;
# replacement pistons and gaskets of another kind are bought with another ratio.
TURBO = {"forced_induction__kind": "turbocharger", "engine__compression_ratio": 10.5, "engine__injection": "port",
         "engine__built_for_boost": False, "internals__pistons__class": ("cast-high-silicon", "assumed")}


@pytest.mark.parametrize(("change", "shown"), [
    ({}, False),
    ({"internals__pistons__class": "forged-4032"}, True),
    ({"internals__head__gasket": "solid-copper"}, True),
    ({"internals__head__gasket": ("composite", "assumed")}, False),
    ({"engine__compression_ratio": 12.2}, True),
    ({"engine__compression_ratio": 12.2, "engine__injection": "direct"}, False),
    ({"internals__pistons__class": "forged-4032", "engine__built_for_boost": True}, False),
    ({"internals__pistons__class": "forged-4032", "forced_induction__kind": "none"}, False),
])
def test_compression_is_asked_about_where_it_was_likely_changed(change: dict[str, Any], shown: bool) -> None:
    whose = "Is the compression ratio the maker's own"
    assert asked(whose, **{**TURBO, **change}) is shown
    assert not asked(whose, of=", standard: {compression_ratio: 10.5}", **{**TURBO, **change})


def test_refused_approval_is_told_and_an_unknown_one_is_not() -> None:
    assert told("Approval was refused", approvals__emissions="refused")
    assert not told("Approval was refused", approvals__emissions="pending")
    assert not told("Approval was refused")


@pytest.mark.parametrize(
    ("approval", "shown"),
    [(None, True), ("pending", True), ("granted", False), (("granted", "assumed"), True)],
)
def test_approvals_are_asked_for(approval: Any, shown: bool) -> None:
    assert asked("Which approvals", vehicle__road_registered=True, approvals__emissions=approval) is shown


def test_signature_is_asked_for_from_caution_up() -> None:
    def finding(grade: str) -> Any:
        return type("Graded", (), {"grade": grade})()

    def begun(grade: str) -> bool:
        return any("Do not start work" in say for say in notices_for(filled(), [finding(grade)]))

    assert begun("reinforce") and begun("decline") and not begun("caution")

    def signed(*grades: str) -> bool:
        return any("signed" in say for say in notices_for(filled(), [finding(g) for g in grades]))

    assert signed("note", "caution")
    assert signed("decline")
    assert not signed("note")
    assert not signed()


def test_words_are_plain_short_and_promise_nothing() -> None:
    entries = yaml.safe_load(FILE.read_text(encoding="utf-8"))
    said = [entry["say"] for kind in ("notices", "questions") for entry in entries[kind]]
    ids = [entry["id"] for kind in ("notices", "questions") for entry in entries[kind]]
    assert len(ids) == len(set(ids))
    for say in said:
        assert len(say) <= 130
        assert not re.search(r"\b(safe|guaranteed|reliable|bulletproof)\b", say, re.IGNORECASE)
