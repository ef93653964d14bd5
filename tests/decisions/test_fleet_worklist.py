"""The cases of a sweep: files, folders, tables and grids; and what is refused, with its place, before anything runs.

Builds are the worked cases and small invented ones; counts of combinations are worked by hand.
"""

from __future__ import annotations

import pickle
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from enginelimits.decisions.fleet.case import build_of
from enginelimits.decisions.fleet.setting import Setting, setting_of
from enginelimits.decisions.fleet.table import cells, read_table
from enginelimits.decisions.fleet.worklist import WorkList, split, work_list
from enginelimits.description.paths import flattened
from enginelimits.errors import InputError
from enginelimits.rules.catalogue import Catalogue, load_catalogue

CASES = Path(__file__).resolve().parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"
LEAST = """\
build: least
engine: {cylinders: 4, bore: 83 mm, stroke: 85 mm, compression_ratio: 11.0, redline: 7200 rpm}
forced_induction: {kind: turbocharger, boost: 0.5 bar}
"""


@pytest.fixture(scope="module", autouse=True)
def read_once() -> Iterator[None]:
    """Each set of rules is read once: that takes half a second."""
    known: dict[str, Catalogue] = {}

    def kept(**given: Any) -> Catalogue:
        if str(given) not in known:
            known[str(given)] = load_catalogue(**given)
        return known[str(given)]

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("enginelimits.decisions.fleet.setting.load_catalogue", kept)
        yield


@pytest.fixture(scope="module")
def setting(read_once: None) -> Setting:
    return setting_of(samples=0)


def least(folder: Path, name: str = "least.yaml", text: str = LEAST) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def tabled(folder: Path, text: str) -> Path:
    return least(folder, "fleet.csv", text)


def wrong(setting: Setting, *builds: Path, **more: object) -> list[str]:
    with pytest.raises(InputError) as refused:
        work_list(builds, setting, **more)  # type: ignore[arg-type]
    return [str(problem) for problem in refused.value.problems]


def test_a_grid_crosses_every_value(setting: Setting) -> None:
    # 3 boosts x 2 fuels
    vary = ["forced_induction.boost=0.3 bar, 0.5 bar,{2000 rpm: 0.2 bar, 4000 rpm: 0.6 bar}", "fuel.ethanol=5 %,85 %"]
    work = work_list([SMALL], setting, vary=vary)
    assert len(work.cases) == 6 and len({case.key for case in work.cases}) == 6
    last = flattened(build_of(work.cases[-1]))
    assert [(round(s.si * 30 / 3.141592653589793), v.si) for s, v in last["forced_induction.boost"]] == [
        (2000, 20_000.0), (4000, 60_000.0)]
    assert last["fuel.ethanol"].si == 0.85
    assert work.cases[0].stated == {"forced_induction.boost": "0.3 bar", "fuel.ethanol": "5 %"}


def test_values_are_parted_by_commas_outside_braces() -> None:
    assert split("1 bar, {a: 1, b: [2, 3]} ,'x, y',4") == ["1 bar", "{a: 1, b: [2, 3]}", "'x, y'", "4"]


def test_a_folder_gives_its_builds_and_names_the_rest(tmp_path: Path, setting: Setting) -> None:
    least(tmp_path / "fleet" / "a")
    least(tmp_path / "fleet", "b.yaml", LEAST.replace("83 mm", "84 mm"))
    least(tmp_path / "fleet", "names.yaml", "names: {}\n")
    least(tmp_path / "fleet" / ".hidden")
    work = work_list([tmp_path / "fleet"], setting)
    assert sorted(Path(case.file).name for case in work.cases) == ["b.yaml", "least.yaml"]
    assert [Path(name).name for name in work.no_builds] == ["names.yaml"]
    (tmp_path / "empty").mkdir()
    assert "a folder with build files in it" in wrong(setting, tmp_path / "empty")[0]


def test_rows_of_a_table_are_builds(tmp_path: Path, setting: Setting) -> None:
    base = least(tmp_path)
    table = tabled(tmp_path, 'build,name,forced_induction.boost,fuel.ethanol\n'
                             f'{base.name},"one, the first",0.7 bar,\n\n{base.name},two,,30 %\n')
    one, two = (build_of(case) for case in work_list([], setting, table=table).cases)
    assert (one.build, two.build) == ("one, the first", "two")
    assert flattened(one)["forced_induction.boost"].si == 70_000.0 and "fuel.ethanol" not in flattened(one)
    # an empty cell leaves what the build file says
    assert flattened(two)["forced_induction.boost"].si == 50_000.0 and flattened(two)["fuel.ethanol"].si == 0.3


def test_rows_without_a_build_are_made_on_each_that_is_named(tmp_path: Path, setting: Setting) -> None:
    builds = [least(tmp_path, name, LEAST.replace("least", name[0])) for name in ("a.yaml", "b.yaml")]
    table = tabled(tmp_path, "forced_induction.boost;fuel.ethanol\n0.6 bar;5 %\n0.7 bar;10 %\n")
    work = work_list(builds, setting, table=table, vary=["engine.redline=7000 rpm,7100 rpm"])
    assert len(work.cases) == 2 * 2 * 2
    assert "a build file that the row starts from" in wrong(setting, table=table)[0]


def test_cells_are_read_as_their_standard_has_them() -> None:
    # RFC 4180: quotes around a cell, twice within one; a line break within quotes
    text = 'a,"b ""c"", d"\n"two\nlines", x \n'
    rows = [[(c.text, c.line, c.column) for c in row] for row in cells(text, ",")]
    assert rows == [[("a", 1, 1), ('b "c", d', 1, 3)], [("two\nlines", 2, 1), ("x", 3, 8)]]


def test_everything_wrong_is_told_at_once_with_its_place(tmp_path: Path, setting: Setting) -> None:
    base = least(tmp_path)
    table = tabled(tmp_path, "build,forced_induction.boost,fuel.ethanol\n"
                             f"{base.name},0.8 bra,185 %\n"
                             "leats.yaml,0.8 bar,5 %\n"
                             f"{base.name},0.8 bar,\n")
    told = wrong(setting, table=table, vary=["fuel.octane=98 RON, 95", "engine.boer=1 mm"])
    assert len(told) == 5
    assert any(f"{table}:2:12: forced_induction.boost: wanted a gauge pressure" in t and "bar" in t for t in told)
    assert any(f"{table}:2:20: fuel.ethanol: wanted a share" in t for t in told)
    assert any("leats.yaml" in t and f"{table}:3" in t and "Near: least.yaml" in t for t in told)
    assert any("--vary fuel.octane: wanted an octane number" in t and "`95`" in t for t in told)
    assert any("--vary engine.boer" in t and "Near: engine.bore" in t for t in told)


TABLES = pytest.mark.parametrize(("text", "words"), [
    ("build,forced_induction.boots\nx,1\n", "Near: forced_induction.boost"),
    ("fuel.ethanol,fuel.ethanol\n5 %,6 %\n", "each heading once"),
    ("fuel.ethanol\n5 %,6 %\n", "1 cells, as the heading has"),
    ("fuel.ethanol\n", "a heading and a row"),
    ("", "an empty file"),
    ("fuel.ethanol\n{5 %\n", "fuel.ethanol"),
    ("engine.standard.compression_ratio\n9\n", "what its maker built"),
    ("build\x00\n", "a text file"),
])
def test_values_that_do_not_go_together_are_told_together(setting: Setting) -> None:
    # the case states 5 % of ethanol in its gasoline
    [told] = wrong(setting, SMALL, vary=["fuel.octane=98 RON", "fuel.ethanol=2 %,8 %"])
    assert "fuel.gasoline_ethanol: wanted at most" in told
    assert "This is with fuel.octane 98 RON, fuel.ethanol 2 %." in told


@TABLES
def test_a_bad_table_is_refused(tmp_path: Path, setting: Setting, text: str, words: str) -> None:
    told = wrong(setting, least(tmp_path), table=tabled(tmp_path, text))
    assert words in told[0] and "fleet.csv" in told[0]


def test_a_table_that_is_none(tmp_path: Path, setting: Setting) -> None:
    assert "no such file" in wrong(setting, least(tmp_path), table=tmp_path / "none.csv")[0]
    with pytest.raises(InputError, match="UTF-8"):
        (tmp_path / "latin.csv").write_bytes(b"name\nM\xfcller\n")
        read_table(tmp_path / "latin.csv")


@pytest.mark.parametrize(("vary", "words"), [
    ("fuel.ethanol", "a path, `=` and values"),
    ("fuel.ethanol=5 %,,6 %", "a value between commas"),
    ("=5 %", "a path of the build file"),
])
def test_a_bad_grid_is_refused(tmp_path: Path, setting: Setting, vary: str, words: str) -> None:
    assert words in wrong(setting, least(tmp_path), vary=[vary])[0]


def test_a_path_is_varied_in_one_place(tmp_path: Path, setting: Setting) -> None:
    base, table = least(tmp_path), tabled(tmp_path, "fuel.ethanol\n5 %\n")
    assert "each path once" in wrong(setting, base, vary=["fuel.ethanol=5 %", "fuel.ethanol=6 %"])[0]
    assert "only the table or only --vary" in wrong(setting, base, table=table, vary=["fuel.ethanol=6 %"])[0]


def test_too_much_and_nothing_are_refused(tmp_path: Path, setting: Setting) -> None:
    base = least(tmp_path)
    many = ",".join(f"{n} %" for n in range(100))
    vary = [f"fuel.ethanol={many}", f"fuel.gasoline_ethanol={many}", f"site.relative_humidity={many}"]
    assert "at most 200000 cases, got 1000000" in wrong(setting, base, vary=vary)[0]
    assert "a build file, a folder of them, or a table" in wrong(setting)[0]


def test_bad_builds_may_be_kept_with_their_error(tmp_path: Path, setting: Setting) -> None:
    least(tmp_path)
    least(tmp_path, "broken.yaml", LEAST.replace("83 mm", "83"))
    assert len(wrong(setting, tmp_path)) == 1
    work = work_list([tmp_path], setting, keep_going=True)
    errors = {Path(case.file).name: case.error for case in work.cases}
    assert errors["least.yaml"] == "" and "engine.bore" in errors["broken.yaml"]


def test_a_case_asked_for_twice_stands_once(tmp_path: Path, setting: Setting) -> None:
    base = least(tmp_path)
    work = work_list([base, base], setting, vary=["fuel.ethanol=5 %,5 %,6 %"])
    assert (len(work.cases), work.twice) == (2, 4)


def keys(setting: Setting, base: Path, **more: object) -> set[str]:
    work: WorkList = work_list([base], setting, **more)  # type: ignore[arg-type]
    return {case.key for case in work.cases}


def test_a_key_changes_with_whatever_could_change_the_row(tmp_path: Path, setting: Setting) -> None:
    base = least(tmp_path)
    first = keys(setting, base)
    assert first == keys(setting_of(samples=0), base)
    assert first == keys(setting_of(samples=0, as_of=date(2020, 1, 1)), base)  # no rule here ends on a day
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "catalogue.yaml").write_text("name: ours\nversion: '1'\n", encoding="utf-8")
    others = [
        keys(setting_of(samples=1), base), keys(setting_of(samples=0, seed=2), base),
        keys(setting_of(samples=0, mountain_m=2000.0), base), keys(setting_of(samples=0, rules=[rules]), base),
        keys(setting, base, vary=["fuel.ethanol=5 %"]), keys(setting, least(tmp_path, text=LEAST + "# more\n")),
    ]
    assert len({key for each in (first, *others) for key in each}) == 7


def test_an_override_counts_until_its_day(tmp_path: Path) -> None:
    rules = least(tmp_path / "ours", "DRV001.yaml", (
        "override: DRV001\nlimits: {caution_reserve: 1.3}\nauthor: A. Fitter\ndate: 2026-01-01\n"
        "reason: our clutches\nexpires: 2026-06-30\n")).parent
    base = least(tmp_path)
    within, after = (keys(setting_of(samples=0, rules=[rules], as_of=date(2026, month, 1)), base) for month in (2, 7))
    assert within != after


def test_a_map_travels_with_its_build(tmp_path: Path, setting: Setting) -> None:
    source = CASES / "mapped-turbo-2400"
    text = (source / "build.yaml").read_text("utf-8")
    name = "compressor.csv"
    assert f"map: {name}" in text
    content = (source / name).read_bytes()
    build = least(tmp_path / "home" / "builds", "build.yaml", text.replace(name, f"../{name}"))
    (tmp_path / "home" / name).write_bytes(content)
    case = work_list([build], setting).cases[0]
    assert case.attached == ((f"../{name}", content),)
    here = build_of(case)
    assert Path(here.file) == build
    # on a machine without the file, or with another one, it is unpacked where the build looks for it
    (tmp_path / "home" / name).write_bytes(b"another")
    there = build_of(pickle.loads(pickle.dumps(case)))
    assert Path(there.file) != build and there == here
    assert (Path(there.file).parent / f"../{name}").read_bytes() == content
