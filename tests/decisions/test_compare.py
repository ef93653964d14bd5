"""Builds side by side: what differs, what each difference does alone, and what cannot come alone."""

from __future__ import annotations

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from enginelimits.cli.main import exit_code
from enginelimits.decisions.bench import Bench
from enginelimits.decisions.compare import compare, curve_rows, one_at_a_time, stand
from enginelimits.decisions.differences import FACT, blocks, parts_that_differ, stated_differently, taken_otherwise
from enginelimits.description.edits import edited
from enginelimits.description.load import load_build, parse_build
from enginelimits.description.paths import flattened
from enginelimits.errors import InputError
from enginelimits.present.compare import compare_data, compare_tree
from enginelimits.present.text import report
from enginelimits.rules.catalogue import load_catalogue

CASES = Path(__file__).parents[2] / "cases"
TURBO = CASES / "small-turbo-1800" / "build.yaml"
NAMES = sorted(p.parent.name for p in CASES.glob("*/build.yaml"))
RPM = 2 * math.pi / 60
CATALOGUE = load_catalogue()


def loaded(name):
    return load_build(CASES / name / "build.yaml")


def other_than_turbo(*changes):
    """The small turbo's file with texts replaced; each must be there."""
    text = TURBO.read_text()
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return parse_build(text, str(TURBO))


CLUTCH = ("driveline: {drive: front, gearbox: manual}",
          "driveline: {drive: front, gearbox: manual, clutch_capacity: 230 N*m}")
STRONGER = ("driveline: {drive: front, gearbox: manual}",
            "driveline: {drive: front, gearbox: manual, clutch_capacity: 460 N*m}")
OTHER_PLUGS = ("plug_gap: 0.7 mm", "plug_gap: 0.6 mm")
OTHER_OIL = ("5W-40", "10W-60")


@pytest.fixture(scope="module")
def benches():
    first = Bench(other_than_turbo(CLUTCH), CATALOGUE, samples=0)
    second = Bench(other_than_turbo(STRONGER, OTHER_PLUGS, OTHER_OIL), CATALOGUE, samples=0)
    return first, second


@pytest.fixture(scope="module")
def found(benches):
    return compare(benches)


def test_what_differs_is_what_was_changed_by_hand(found):
    stated = {s.path: (s.first, s.second) for s in found.differences[0]}
    assert set(stated) == {"driveline.clutch_capacity", "ignition.plug_gap", "oil.grade"}
    assert [v.si for v in stated["driveline.clutch_capacity"]] == [230.0, 460.0]
    assert stated["oil.grade"] == ("5W-40", "10W-60")


def test_how_a_value_is_written_is_no_difference():
    # by definition 1 cm is 10 mm
    assert stated_differently(load_build(TURBO), other_than_turbo(("bore: 82 mm", "bore: 8.2 cm"))) == ()
    assert len(stated_differently(load_build(TURBO), other_than_turbo(("bore: 82 mm", "bore: 8.3 cm")))) >= 1


def test_twice_the_clutch_halves_its_margin_and_leaves_the_engine_alone(found):
    # Clutch reserve is capacity over torque and the limit a floor, so value over limit turns round: by hand 1 / 2.
    first, second = (stood.margins for stood in found.builds)
    assert second["DRV001"].ratio == pytest.approx(first["DRV001"].ratio / 2, rel=1e-6)
    strength = [rule for rule in first if rule.startswith(("ROD", "HED"))]
    assert strength and all(second[rule].ratio == pytest.approx(first[rule].ratio) for rule in strength)


def test_each_difference_alone_does_what_the_changed_file_does(benches, found):
    effects = {e.part.path: e for e in found.apart.effects}
    assert set(effects) == {"driveline.clutch_capacity", "ignition.plug_gap", "oil.grade"}
    alone = stand(Bench(other_than_turbo(STRONGER), CATALOGUE, samples=0))
    effect = effects["driveline.clutch_capacity"]
    assert (effect.grade, effect.cautions) == (alone.judgement.verdict.grade, alone.cautions)
    assert found.apart.not_alone == ()


def test_the_builds_stand_as_they_do_by_themselves(benches, found):
    for bench, stood in zip(benches, found.builds, strict=True):
        alone = bench.judged()
        assert stood.judgement.verdict == alone.verdict
        assert [f.grade for f in stood.judgement.findings] == [f.grade for f in alone.findings]


def test_rules_are_graver_first_and_say_of_each_build(found):
    assert all(len(row.says) == 2 for row in found.rules)
    for row in found.rules:
        for said, stood in zip(row.says, found.builds, strict=True):
            spoken = {f.rule: f.grade for f in stood.judgement.findings}
            assert spoken.get(row.rule, said) == said


def test_curves_stand_at_whole_thousands_that_both_have(found):
    first, second = (s.judgement.assessment for s in found.builds)
    assert [round(row.speed / RPM) for row in found.curves] == [2000, 3000, 4000, 5000, 6000, 7000]
    for row in found.curves:
        power, torque, _ = row.values
        for place in (0, 1):
            # power is torque times speed
            assert power[place] == pytest.approx(torque[place] * row.speed, rel=1e-9)
    assert len(list(curve_rows([first, second]))) == 6


def test_stopped_it_tells_what_it_has(benches, found):
    told = []

    def stop(words):
        told.append(words)
        if len(told) == 2:
            raise KeyboardInterrupt

    apart = one_at_a_time(*benches, found.builds[1], stop)
    assert apart.broken_off and len(apart.effects) == 1
    assert compare_data(found)["alone"]["broken_off"] is False


def test_builds_that_state_the_same_say_so(benches):
    first, _ = benches
    same = compare([first, first])
    assert same.differences == ((),) and same.apart.effects == () and all(row.same for row in same.rules)
    assert "A and B state the same" in report(compare_tree(same))


def test_words_tell_both_values_and_what_is_left_out(found):
    words = " ".join(report(compare_tree(found)).split())
    assert "230 N*m -> 460 N*m" in words
    assert "what parts do together is left out" in words
    assert "guarantee" not in words


def test_three_builds_stand_in_rows_that_a_screen_holds(benches):
    first, second = benches
    three = compare([first, second, first])
    assert three.apart is None and len(three.differences) == 2
    words = report(compare_tree(three))
    assert "3 builds side by side" in words and "Stated otherwise in B than in A" in words
    assert "A and C state the same" in words
    heads = [row.split() for row in words.splitlines() if row.startswith("speed ")]
    assert heads == [["speed", *(w for x in "ABC" for w in (name, x))] for name in ("power", "torque", "boost")]
    assert max(map(len, words.splitlines())) <= 80


@pytest.mark.parametrize(("one", "other"), list(itertools.pairwise([*NAMES, NAMES[0]])))
def test_a_part_put_on_alone_states_what_the_other_build_states(one, other):
    first, second = loaded(one), loaded(other)
    wanted = flattened(second)
    some = 0
    for part in parts_that_differ(first, second):
        if not part.edits:
            assert part.reason == FACT
            continue
        try:
            got = flattened(edited(first, part.edits))
        except InputError:
            continue
        some += 1
        for stating in part.stated:
            if stating.path != "forced_induction.compressor.map":  # named from the folder of the other file
                assert got.get(stating.path) == wanted.get(stating.path), stating.path
    assert some > 3


def test_all_parts_together_make_the_other_build():
    first, second = loaded("small-turbo-1800"), loaded("ethanol-2400")
    parts = parts_that_differ(first, second)
    together = edited(first, [edit for part in parts for edit in part.edits])
    left = {s.path for s in stated_differently(together, second)}
    # what A's maker built stays A's
    assert all(path.startswith("engine.standard.") for path in left)


MAKERS = ("injection: port", "injection: port\n  standard: {compression_ratio: 10.2}")


def test_only_what_the_files_state_is_told_to_differ():
    first, second = loaded("small-turbo-1800"), other_than_turbo(("compression_ratio: 10.5", "compression_ratio: 11.2"))
    assert [part.path for part in parts_that_differ(first, second)] == ["engine.compression_ratio"]
    assert taken_otherwise(first, second) == ("engine.compression_ratio",)
    # stated in one file: a difference, and a fact that no edit changes
    told = other_than_turbo(("compression_ratio: 10.5", "compression_ratio: 11.2"), MAKERS)
    (standard,) = [s for s in stated_differently(first, told) if s.path == "engine.standard.compression_ratio"]
    assert standard.first is None and standard.second.si == 10.2
    assert taken_otherwise(first, told) == ()
    # another maker's engine has its own figures
    assert taken_otherwise(first, loaded("high-compression-2000")) == ()


def test_a_change_taken_for_the_makers_own_is_told(found):
    assert found.taken == ((),)
    words = " ".join(report(compare_tree(replace(found, taken=(("engine.compression_ratio",),)))).split())
    assert "B is read as its maker built it in engine.compression_ratio" in words
    assert "below engine.standard of B" in words and "Cannot come alone" not in words


def test_what_needs_another_part_cannot_come_alone_and_is_tried_as_a_whole():
    first, second = loaded("small-turbo-1800"), loaded("factory-na-1800")
    kind = [part for part in parts_that_differ(first, second) if part.path == "forced_induction.kind"]
    with pytest.raises(InputError, match="no boost where"):
        edited(first, kind[0].edits)
    (whole,) = blocks(tuple(kind), second)
    assert whole.path == "forced_induction"
    assert flattened(edited(first, whole.edits))["forced_induction.kind"] == "none"


def test_the_command_answers_in_data_and_refuses_one_build(capfd, tmp_path):
    other = tmp_path / "other.yaml"
    other.write_text(TURBO.read_text().replace(*OTHER_PLUGS))
    line = ["compare", str(TURBO), str(other), "--samples", "0"]
    assert exit_code([*line, "--format", "json", "--quiet"]) == 0
    out, err = capfd.readouterr()
    data = json.loads(out)
    assert err == "" and data["schema"] == "enginelimits.compare/1"
    assert [d["path"] for d in data["differences"][0]] == ["ignition.plug_gap"]
    assert data["alone"]["left_out"] and data["curve"]["engine_speed"]["unit"] == "rad/s"
    assert exit_code(["compare", str(TURBO)]) == 2
    assert "two to six builds" in capfd.readouterr().err
    assert exit_code(["compare", "-", "-"]) == 2
