"""Layers laid over by id, and a shop's overrides: whose number stands, and from where it came."""

from __future__ import annotations

import hashlib
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from enginelimits.errors import RuleError
from enginelimits.rules.catalogue import Catalogue, checkout_folder, load_catalogue
from enginelimits.rules.evaluate import evaluate
from enginelimits.rules.ground import Reading

DATA = Path(__file__).parent / "data" / "catalogue"
RULE = "rods/ROD003-low-speed-torque-on-light-rods.yaml"
DAY = date(2026, 11, 25)


class One:
    """A ground of one instant: 20 bar at 2500 rpm, light rods, a turbocharger."""

    shape = (1, 1, 1)
    speeds = np.array([2500 * np.pi / 30])

    def __init__(self, **texts: str) -> None:
        self.texts = {"forced_induction.kind": "turbocharger", "internals.rods.class": "light-forged-steel",
                      **{k.replace("__", "."): v for k, v in texts.items()}}  # fmt: skip

    def quantity(self, id: str) -> Reading | None:
        return Reading(np.array([20e5]), "Pa") if id.startswith("brake") else Reading(np.array([0.2]), "rad")

    def input(self, path: str) -> Reading:
        value = self.texts.get(path)
        return Reading(value, "1", frozenset() if value else frozenset((path,)))


def override(folder: Path, name: str, limit: str, scope: str = "", expires: str = "") -> Path:
    folder.mkdir(exist_ok=True)
    text = f"override: ROD003\nlimits: {{{limit}}}\nauthor: A. Fitter\ndate: 2026-11-01\nreason: our own record\n"
    text += f"scope: {{{scope}}}\n" if scope else ""
    text += f"expires: {expires}\n" if expires else ""
    (folder / f"{name}.yaml").write_text(text)
    return folder


def caution_at(catalogue: Catalogue, ground: One) -> tuple[float, str, float]:
    """(bar in force, layer, bar shipped) of the limit that caution stands on."""
    used = evaluate(catalogue, ground).outcomes["ROD003"].witness(2).limits["caution_mep"]
    assert isinstance(used.value, float)
    assert isinstance(used.shipped_value, float)
    return round(used.value / 1e5, 6), used.layer, round(used.shipped_value / 1e5, 6)


def test_an_override_changes_the_grade_and_says_whose_it_is(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_mep: 20.5 bar")
    outcome = evaluate(load_catalogue(DATA, [shop], DAY), One()).outcomes["ROD003"]
    assert outcome.grade[0, 0] == 0
    assert caution_at(load_catalogue(DATA, [shop], DAY), One()) == (20.5, "shop", 19.5)
    assert outcome.rule.limits["caution_mep"].evidence == "shop"
    assert outcome.rule.limits["reinforce_mep"].evidence == "memory"
    assert evaluate(load_catalogue(DATA, as_of=DAY), One()).outcomes["ROD003"].grade[0, 0] == 2


def test_the_narrowest_scope_stands_even_in_an_earlier_layer(tmp_path: Path) -> None:
    first = override(tmp_path / "first", "a", "caution_mep: 18 bar", "engine.family: [x], goal.use: [track]")
    override(first, "b", "caution_mep: 17 bar", "engine.family: [x]")
    override(first, "c", "caution_mep: 17.5 bar", "engine.family: [x, y]")
    last = override(tmp_path / "last", "d", "caution_mep: 21 bar")
    catalogue = load_catalogue(DATA, [first, last], DAY)
    assert caution_at(catalogue, One(engine__family="x", goal__use="track")) == (18.0, "first", 19.5)
    assert caution_at(catalogue, One(engine__family="x", goal__use="street")) == (17.0, "first", 19.5)
    assert caution_at(catalogue, One(engine__family="y")) == (17.5, "first", 19.5)
    assert caution_at(catalogue, One(engine__family="z")) == (21.0, "last", 19.5)
    assert caution_at(catalogue, One()) == (21.0, "last", 19.5)  # an unknown family is in no family's scope


def test_of_equal_scopes_the_last_layer_stands(tmp_path: Path) -> None:
    layers = [
        override(tmp_path / n, "o", f"caution_mep: {v} bar", "engine.family: x") for n, v in (("a", 18), ("b", 19))
    ]
    assert caution_at(load_catalogue(DATA, layers, DAY), One(engine__family="x")) == (19.0, "b", 19.5)
    assert caution_at(load_catalogue(DATA, layers[::-1], DAY), One(engine__family="x")) == (18.0, "a", 19.5)


def test_a_tie_that_always_ties_is_refused_at_loading(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "a", "caution_mep: 18 bar", "engine.family: [x, y]")
    override(shop, "b", "caution_mep: 19 bar", "engine.family: [x, z]")
    with pytest.raises(RuleError, match=r"wanted one override that sets caution_mep of ROD003, got two of equal scope"):
        load_catalogue(DATA, [shop], DAY)


def test_a_tie_on_this_build_alone_is_refused_when_it_happens(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "a", "caution_mep: 18 bar", "engine.family: x")
    override(shop, "b", "caution_mep: 19 bar", "goal.use: track")
    catalogue = load_catalogue(DATA, [shop], DAY)
    assert caution_at(catalogue, One(engine__family="x"))[0] == 18.0
    with pytest.raises(RuleError, match="two of equal scope"):
        evaluate(catalogue, One(engine__family="x", goal__use="track"))


def test_an_override_stands_on_its_last_day_and_not_after(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_mep: 20.5 bar", expires="2026-12-31")
    assert caution_at(load_catalogue(DATA, [shop], date(2026, 12, 31)), One())[0] == 20.5
    later = load_catalogue(DATA, [shop], date(2027, 1, 1))
    assert caution_at(later, One()) == (19.5, "fixture", 19.5)
    assert [o.rule for o in later.expired] == ["ROD003"]


def test_an_override_stands_from_its_date_on_and_not_before(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_mep: 20.5 bar", expires="2026-12-31")  # dated 2026-11-01
    assert caution_at(load_catalogue(DATA, [shop], date(2026, 11, 1)), One())[0] == 20.5
    before = load_catalogue(DATA, [shop], date(2026, 10, 31))
    assert caution_at(before, One()) == (19.5, "fixture", 19.5)
    assert ([o.rule for o in before.to_come], before.expired, before.overrides) == (["ROD003"], (), ())


def test_an_override_to_come_is_checked_as_one_in_force(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_map: 20 bar")
    with pytest.raises(RuleError, match="wanted a limit of ROD003, got caution_map"):
        load_catalogue(DATA, [shop], date(2026, 10, 31))


@pytest.mark.parametrize(
    ("limit", "message"),
    [
        ("caution_map: 20 bar", "wanted a limit of ROD003, got caution_map. Near: caution_mep"),
        ("caution_mep: 20 deg", "wanted a value like `19.5 bar`, got `20 deg`"),
        ("caution_mep: much", "wanted the value of caution_mep"),
    ],
)
def test_an_override_of_nothing_is_refused(tmp_path: Path, limit: str, message: str) -> None:
    with pytest.raises(RuleError) as caught:
        load_catalogue(DATA, [override(tmp_path / "shop", "o", limit)], DAY)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("scope", "message"),
    [
        ("engine.famly: x", "scope: wanted the path of an input, got engine.famly. Near: engine.family"),
        ("goal.use: [track, treck]", "scope: wanted for goal.use one of street, spirited, track, drag, got `treck`"),
    ],
)
def test_a_scope_that_no_build_could_meet_is_refused(tmp_path: Path, scope: str, message: str) -> None:
    with pytest.raises(RuleError) as caught:
        load_catalogue(DATA, [override(tmp_path / "shop", "o", "caution_mep: 20 bar", scope)], DAY)
    assert message in str(caught.value)


def test_an_override_of_no_limit_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RuleError, match="limits: wanted at least one limit, got none"):
        load_catalogue(DATA, [override(tmp_path / "shop", "o", "")], DAY)


def test_an_override_of_no_rule_is_refused(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_mep: 20 bar")
    (shop / "o.yaml").write_text((shop / "o.yaml").read_text().replace("ROD003", "ROD033"))
    with pytest.raises(RuleError, match=r"wanted the id of a rule to override, got ROD033. Near: ROD003"):
        load_catalogue(DATA, [shop], DAY)


def test_a_rule_of_a_later_layer_takes_the_place_of_the_shipped_one(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    text = (DATA / RULE).read_text().replace("19.5 bar", "18 bar")
    (shop / "ROD003-ours.yaml").write_text(text)
    catalogue = load_catalogue(DATA, [shop], DAY)
    assert caution_at(catalogue, One()) == (18.0, "shop", 19.5)
    assert catalogue.rules["ROD003"].layer == "shop"
    assert set(catalogue.facts) == {"light_rods"}


def test_a_fact_of_a_later_layer_takes_the_place_of_the_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "facts.yaml").write_text(
        "light_rods: {say: Ours., when: {input: internals.rods.class, is: cast-iron}}\n"
    )
    outcome = evaluate(load_catalogue(DATA, [tmp_path], DAY), One()).outcomes["ROD003"]
    assert outcome.applies[0, 0] == 0


def test_a_withdrawn_rule_judges_nothing(tmp_path: Path) -> None:
    text = (DATA / RULE).read_text().replace("status: stable", "status: withdrawn")
    (tmp_path / "ROD003.yaml").write_text(text)
    catalogue = load_catalogue(DATA, [tmp_path], DAY)
    assert evaluate(catalogue, One()).outcomes == {}
    assert "ROD003" in catalogue.rules


def test_a_rule_about_logs_judges_no_build(tmp_path: Path) -> None:
    text = (DATA / RULE).read_text().replace("status: stable", "status: stable\nabout: log")
    (tmp_path / "ROD003.yaml").write_text(text)
    catalogue = load_catalogue(DATA, [tmp_path], DAY)
    assert evaluate(catalogue, One()).outcomes == {}
    assert list(evaluate(catalogue, One(), about="log").outcomes) == ["ROD003"]


def test_layers_are_named_versioned_and_digested(tmp_path: Path) -> None:
    shop = override(tmp_path / "shop", "o", "caution_mep: 20.5 bar")
    layers = load_catalogue(DATA, [shop], DAY).layers
    assert [(layer.name, layer.version) for layer in layers] == [("fixture", "1"), ("shop", "")]
    content = (shop / "o.yaml").read_bytes()
    assert layers[1].digest == hashlib.sha256(b"o.yaml\0%d\0" % len(content) + content).hexdigest()
    again = load_catalogue(DATA, [shop], DAY).layers
    assert [layer.digest for layer in again] == [layer.digest for layer in layers]
    (shop / "o.yaml").write_text((shop / "o.yaml").read_text().replace("20.5", "20.6"))
    changed = load_catalogue(DATA, [shop], DAY).layers
    assert (changed[0].digest, changed[1].digest != layers[1].digest) == (layers[0].digest, True)


def test_two_layers_of_one_name_are_told_apart(tmp_path: Path) -> None:
    first = override(tmp_path / "a", "o", "caution_mep: 18 bar")
    (tmp_path / "b").mkdir()
    second = override(tmp_path / "b" / "a", "o", "caution_mep: 19 bar")
    catalogue = load_catalogue(DATA, [first, second], DAY)
    assert [layer.name for layer in catalogue.layers] == ["fixture", "a", "a (3)"]
    assert caution_at(catalogue, One()) == (19.0, "a (3)", 19.5)


def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(RuleError, match="wanted a folder of rules, got nothing there"):
        load_catalogue(DATA, [tmp_path / "none"], DAY)


def test_the_base_is_never_the_current_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "rulesets").mkdir()
    monkeypatch.chdir(tmp_path)
    assert checkout_folder("rulesets") != tmp_path / "rulesets"
    assert checkout_folder("rulesets").is_dir()


def test_what_was_never_shipped_is_told() -> None:
    with pytest.raises(RuleError, match="wanted the shipped nonsense, got neither a checkout nor a copy"):
        checkout_folder("nonsense")
