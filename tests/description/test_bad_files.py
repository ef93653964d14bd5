"""Files that are no build at all, and texts made to cost time or memory, come back as InputError too.

Builds are invented.
"""

from __future__ import annotations

import os
import resource
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from enginelimits.description import nodes
from enginelimits.description.load import load_build, parse_build
from enginelimits.errors import InputError, Problem

# Seconds after which a text counts as one that hangs; a sound one takes a hundredth of it.
HANGS = 10.0

LEAST = """\
build: least
engine:
  cylinders: 4
  bore: 83 mm
  stroke: 85 mm
  compression_ratio: 11.0
  redline: 7200 rpm
"""
# Where what follows LEAST begins.
NEXT = 8


def problems(text: str) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        parse_build(text, "b.yaml")
    for problem in caught.value.problems:
        assert problem.file == "b.yaml"
        assert problem.wanted
        assert str(problem).isprintable()
        assert len(str(problem)) < 1000
    return caught.value.problems


def only(text: str) -> Problem:
    found = problems(text)
    assert len(found) == 1, [str(p) for p in found]
    return found[0]


@pytest.mark.parametrize(
    ("text", "wanted", "got"),
    [
        ("", "a build file", "an empty one"),
        ("# only a remark\n", "a build file", "an empty one"),
        ("---\n", "a build file", "an empty one"),
        ("hello", "a mapping of keys", "`hello`"),
        ("- a\n- b\n", "a mapping of keys", "a list"),
        ("a\x00b", "a text file", "a binary file"),
        ("a: b: c\n", "YAML", "not allowed"),
        ("a:\n\tb: 3 mm\n", "YAML", "cannot start any token"),
        ("a: {b: 1\nc: 2\n", "YAML", "expected"),
        ("a: 'b\n", "YAML", "end of stream"),
        ("a: \x07\n", "printable text", "U+0007"),
        ("a: \ud800\n", "text in UTF-8", "none"),
        (LEAST + "---\nbuild: other\n", "one document", "a second"),
        ("a: " + "[" * 1000 + "]" * 1000, "YAML", "depth"),
        ("[" * 30 + "]" * 30, "a mapping of keys", "a list"),
        ("{a: " * 1000, "at most 40 levels", "more"),
        ("- " * 5000, "at most 40 levels", "more"),
        ("\n".join(" " * i + "a:" for i in range(1000)), "at most 40 levels", "more"),
        ("a: " + "b" * 2_000_000, "at most 1000000 bytes", "bytes"),
        ("a: [" + "1," * 60_000 + "]", "at most 20000 values", "more"),
    ],
    ids=range(20),
)
def test_no_build_at_all(text: str, wanted: str, got: str) -> None:
    start = time.perf_counter()
    problem = only(text)
    assert time.perf_counter() - start < HANGS
    assert wanted in problem.wanted
    assert got in problem.got


def test_aliases_anchors_tags_merge_keys_and_duplicates() -> None:
    found = problems(
        LEAST
        + "goal: &g {power: 180 hp}\n"
        + "baseline: *g\n"
        + "site:\n"
        + "  <<: *g\n"
        + "  altitude: !!int 5 m\n"
        + "  altitude: 6 m\n"
        + "? [a, b]\n: c\n"
    )
    said = {(p.line, p.wanted) for p in found}
    assert (8, "a value without an anchor") in said
    assert (9, "a value") in said
    assert (11, "every key written out") in said
    assert (12, "a value without a tag") in said
    assert (13, "each key once") in said
    assert (14, "a key") in said
    # Nothing is said of what an alias would have held.
    assert not any("baseline." in p.key for p in found)


def test_a_duplicate_key_names_the_first() -> None:
    problem = only(LEAST + "  bore: 84 mm\n")
    assert (problem.key, problem.line) == ("engine.bore", NEXT)
    assert "first on line 4" in problem.got


def test_aliases_that_would_multiply_cost_nothing() -> None:
    text = "a: &a [x,x,x,x,x,x,x,x]\n" + "".join(
        f"b{i}: &b{i} [{','.join(['*b' + str(i - 1) if i else '*a'] * 8)}]\n" for i in range(60)
    )
    start = time.perf_counter()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert problems(text)
    assert time.perf_counter() - start < HANGS
    # ru_maxrss is in kB on Linux; 50 MB would mean that something was expanded.
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 50_000


def test_thousands_of_problems_are_cut_short() -> None:
    start = time.perf_counter()
    found = problems(LEAST + "".join(f"redlin{i}: 1\n" for i in range(9000)))
    assert time.perf_counter() - start < HANGS
    assert len(found) == 101
    assert "8900 more" in found[-1].got


def test_a_missing_file(tmp_path: Path) -> None:
    (tmp_path / "coupe.yaml").write_text(LEAST)
    with pytest.raises(InputError) as caught:
        load_build(tmp_path / "cuope.yaml")
    problem = caught.value.problems[0]
    assert problem.got == "no such file"
    assert problem.near == ("coupe.yaml",)


@pytest.mark.parametrize(
    ("name", "got"),
    [
        ("", "a folder"),
        ("nowhere/b.yaml", "no such file"),
        ("file/b.yaml", "not a directory"),
        ("loop", "symbolic links"),
        ("pipe", "a device or pipe"),
        ("x" * 5000, "too long"),
        ("a\x00b", "null"),
    ],
)
def test_paths_that_are_no_file(tmp_path: Path, name: str, got: str) -> None:
    (tmp_path / "file").write_text(LEAST)
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError) as caught:
        load_build(f"{tmp_path}/{name}")
    assert got in caught.value.problems[0].got
    assert str(caught.value).isprintable()


@pytest.mark.parametrize("what", ["file", "folder"])
def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str) -> None:
    # Permissions do not bind every user that runs tests, so the refusal itself is staged.
    path = tmp_path / "b.yaml"
    path.write_text(LEAST)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(Path, "open" if what == "file" else "stat", refuse)
    with pytest.raises(InputError) as caught:
        load_build(path)
    assert caught.value.problems[0].got == "no permission"


@pytest.mark.parametrize(
    ("raw", "got"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00", "a binary file"),
        (b"\xff\xfea\x00", "UTF-16"),
        (b"build: x\nname: caf\xe9\n", "0xe9"),
        (b"a" * (nodes.MOST_BYTES + 1), "more"),
        (b"", "an empty one"),
    ],
)
def test_files_that_are_no_text(tmp_path: Path, raw: bytes, got: str) -> None:
    path = tmp_path / "b.yaml"
    path.write_bytes(raw)
    with pytest.raises(InputError) as caught:
        load_build(path)
    assert got in caught.value.problems[0].got


def test_a_byte_that_is_no_text_has_its_line(tmp_path: Path) -> None:
    path = tmp_path / "b.yaml"
    path.write_bytes(b"build: x\nname: caf\xe9\n")
    with pytest.raises(InputError) as caught:
        load_build(path)
    assert caught.value.problems[0].line == 2


@given(st.text(max_size=300))
def test_any_text_loads_or_is_refused(text: str) -> None:
    try:
        parse_build(text)
    except InputError as error:
        assert error.problems


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(
    st.dictionaries(
        st.sampled_from(["goal", "engine", "fuel", "internals", "forced_induction", "anchors", "x"]),
        st.recursive(
            st.sampled_from(["none", "4", "10 psi", "{", "*a", "&b", "!!c", "83 mm", "", "'", "nan"]),
            lambda inner: st.one_of(
                st.lists(inner, max_size=3).map(lambda items: "[" + ", ".join(items) + "]"),
                st.dictionaries(
                    st.sampled_from(["boost", "value", "low", "rods", "knock", "power", "<<", "1 rpm"]),
                    inner,
                    max_size=3,
                ).map(lambda d: "{" + ", ".join(f"{k}: {v}" for k, v in d.items()) + "}"),
            ),
            max_leaves=8,
        ),
        max_size=4,
    )
)
def test_anything_near_a_build_loads_or_is_refused(parts: dict[str, str]) -> None:
    text = LEAST + "".join(f"{key}: {value}\n" for key, value in parts.items())
    try:
        parse_build(text)
    except InputError as error:
        assert error.problems


def test_a_word_cut_short_is_offered_whole() -> None:
    text = "build: x\nengine: {cylinders: 4, bore: 82 mm, stroke: 85 mm, compression_ratio: 10, redline: 7000 rpm}\n"
    problem = only(text + "forced_induction: {kind: turbo, boost: 7 psi}\n")
    assert problem.near == ("turbocharger",)
    assert "turbocharger" in problem.mend
