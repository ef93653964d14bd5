"""`record` from outside, on a worked case: what is kept, what is shown again, and what leaves as a file."""

from __future__ import annotations

import csv
import io
import json
import shutil
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
import synthetic_logs as made_up
from record_by_hand import draft, in_file, kept

from enginelimits.cli.main import exit_code
from enginelimits.measured.record import Record
from enginelimits.present.record import export_csv

CASES = Path(__file__).resolve().parents[2] / "cases"
SMALL = CASES / "small-turbo-1800" / "build.yaml"


def said(capfd: pytest.CaptureFixture[str], *line: object) -> tuple[int, str, str]:
    code = exit_code([str(word) for word in line])
    out, err = capfd.readouterr()
    return code, out, err


def data_of(capfd: pytest.CaptureFixture[str], *line: object) -> Any:
    code, out, err = said(capfd, *line, "--format", "json", "--quiet")
    assert (code, err) == (0, "")
    return json.loads(out, parse_constant=lambda name: pytest.fail(f"{name} in JSON"))


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop's folder with a record of one quote, judged without draws, and what was learnt of it."""
    folder = tmp_path_factory.mktemp("shop")
    shutil.copy(SMALL, folder / "build.yaml")
    lines = (
        ("add", folder / "build.yaml", "--samples", 0, "--author", "=A. Builder", "--note", "as asked", "--as-of",
         "2026-03-01", "--customer-reference", "2026-118", "-o", folder / "added.txt"),
        ("outcome", "Q-0001", "held", "--at", "2026-05-01", "--distance", "3000 km"),
        ("outcome", "q1", "broke", "--part", "clutch", "--distance", "5000 mi", "--note", "slipped"),
    )  # fmt: skip
    for line in lines:
        assert exit_code([str(word) for word in ("record", *line, "--shop", folder, "--quiet")]) == 0
    return folder


@pytest.fixture(autouse=True)
def _no_record_elsewhere(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("ENGINELIMITS_RECORD", raising=False)


def test_add_tells_the_id_and_the_verdict_and_minds_people(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    line = ("record", "add", SMALL, "--samples", 0, "--shop", tmp_path, "--author", "x", "--note", "y")
    code, out, err = said(capfd, *line)
    words = " ".join(out.split())
    # the path may be broken over lines
    assert code == 0 and "Q-0001 kept in" in words and "record.sqlite" in words.replace(" ", "")
    assert "REINFORCE, limited by" in words and "Estimates for trained people" in words
    assert "no names" in err
    assert [p.name for p in tmp_path.iterdir()] == ["record.sqlite"]


def test_the_verdict_is_shown_exactly_as_it_was(capfd: pytest.CaptureFixture[str], shop: Path) -> None:
    added = (shop / "added.txt").read_text()
    code, out, _ = said(capfd, "record", "show", "Q-0001", "--shop", shop)
    # Behind the title and the line with the id, all that `add` showed stands again, character by character.
    shown = added.split("\n", 2)[2] if "kept in" in added.split("\n")[1] else added
    start = shown[shown.index("REINFORCE") :]
    assert code == 0 and start in out
    words = " ".join(out.split())
    for part in ("=A. Builder", "judged as of 2026-03-01", "2026-118", "Note: as asked",
                 "O-0001 held, 3000 km on 2026-05-01", "O-0002 broke clutch, 8047 km"):  # fmt: skip
        assert part in words
    us = " ".join(said(capfd, "record", "show", "Q-0001", "--shop", shop, "--units", "us")[1].split())
    assert "O-0002 broke clutch, 5000 mi" in us


def test_all_that_was_kept_is_in_the_data(capfd: pytest.CaptureFixture[str], shop: Path) -> None:
    data = data_of(capfd, "record", "show", "Q-0001", "--shop", shop)
    assert data["schema"] == "enginelimits.record.show/1"
    assert data["shown"]["check"]["schema"] == "enginelimits.check/1"
    assert data["shown"]["check"]["as_of"] == data["as_of"] == "2026-03-01"
    (file,) = data["files"]
    assert file["text"] == SMALL.read_text() and file["digest"] == sha256(SMALL.read_bytes()).hexdigest()
    assert data["grade"] == data["shown"]["check"]["verdict"]["grade"] == "reinforce"
    assert data["layers"] == data["shown"]["check"]["catalogue"]["layers"]
    # 1 mi is 1609.344 m exactly.
    assert data["outcome"] == "broke" and data["distance"] == pytest.approx(5000 * 1609.344)
    margins = {(m["rule"], m["grade"]): m for m in data["margins"]}
    clutch = margins["DRV001", "reinforce"]
    assert clutch["quantity"] == "clutch.reserve" and clutch["ratio"] > 1.0 and clutch["limit_name"]
    # Rules that found nothing have their margins too: without them a review would see only what was warned of.
    silent = {rule for rule, _ in margins} - {f["rule"] for f in data["findings"]}
    assert len(silent) > 20


@pytest.mark.slow
def test_today_judges_the_build_as_it_was_kept(capfd: pytest.CaptureFixture[str], shop: Path, tmp_path: Path) -> None:
    (shop / "build.yaml").write_text("build: changed since\n")
    data = data_of(capfd, "record", "show", "Q-0001", "--today", "--shop", shop)
    assert data["today"] == {**data["today"], "same": True, "same_rules": True, "findings": []}
    (tmp_path / "own.yaml").write_text(
        "override: DRV001\nlimits: {none: 0.5}\nauthor: A. Builder\ndate: 2026-01-01\nreason: invented\n"
    )
    names = {m["limit_name"] for m in data["margins"] if m["rule"] == "DRV001" and m["grade"] == "reinforce"}
    (tmp_path / "own.yaml").write_text((tmp_path / "own.yaml").read_text().replace("none", names.pop()))
    line = ("record", "show", "Q-0001", "--today", "--shop", shop, "--rules", tmp_path)
    moved = data_of(capfd, *line)["today"]
    assert not moved["same"] and not moved["same_rules"]
    assert "DRV001" in {f["rule"] for f in moved["findings"] if f["then"] == "reinforce"}
    words = " ".join(said(capfd, *line)[1].split())
    assert "Today, by other rules" in words and "then it was reinforce" in words


@pytest.mark.slow
def test_a_map_beside_the_build_is_kept_and_used_again(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "case"
    shutil.copytree(CASES / "mapped-turbo-2400", folder)
    record = tmp_path / "record.sqlite"
    line = ("--record", record)
    assert said(capfd, "record", "add", folder / "build.yaml", "--samples", 0, "--author", "x", *line)[0] == 0
    text = (folder / "compressor.csv").read_text()
    shutil.rmtree(folder)
    data = data_of(capfd, "record", "show", "Q-0001", "--today", *line)
    assert {f["role"]: f["text"] for f in data["files"]}["map"] == text
    assert data["today"]["same"] is True


def test_list_filters_and_counts(capfd: pytest.CaptureFixture[str], shop: Path) -> None:
    words = " ".join(said(capfd, "record", "list", "--shop", shop)[1].split())
    assert "Q-0001" in words and "broke clutch 8047 km" in words and "1 quote." in words
    assert "None of 1 quotes fits." in said(capfd, "record", "list", "--shop", shop, "--grade", "clear")[1]
    data = data_of(capfd, "record", "list", "--shop", shop, "--outcome", "broke", "--since", "2026-03-01")
    assert (data["schema"], data["total"], len(data["quotes"])) == ("enginelimits.record.list/1", 1, 1)


def test_export_as_json_lines_and_as_a_sheet(capfd: pytest.CaptureFixture[str], shop: Path, tmp_path: Path) -> None:
    _, out, _ = said(capfd, "record", "export", "--shop", shop)
    (line,) = [json.loads(row) for row in out.splitlines()]
    assert line["schema"] == "enginelimits.record.quote/1" and len(line["outcomes"]) == 2 and "files" not in line
    _, out, _ = said(capfd, "record", "export", "--shop", shop, "--whole")
    assert json.loads(out)["files"][0]["text"] == SMALL.read_text()
    data = data_of(capfd, "record", "export", "--shop", shop)
    assert (data["schema"], len(data["quotes"])) == ("enginelimits.record.export/1", 1)
    assert said(capfd, "record", "export", "--shop", shop, "-o", tmp_path / "out.csv", "--quiet")[0] == 0
    (row,) = csv.DictReader(io.StringIO((tmp_path / "out.csv").read_text(), newline=""))
    assert (row["id"], row["outcome"], row["part"]) == ("Q-0001", "broke", "clutch")
    assert row["author"] == "'=A. Builder"
    assert float(row["distance_km"]) == pytest.approx(8046.72)


def test_no_cell_of_a_sheet_is_a_formula(tmp_path: Path) -> None:
    """CWE-1236 names the signs that make a cell a formula: equals, plus, minus, at, tab and carriage return."""
    record = Record(in_file(tmp_path))
    for name in ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "plain, \"quoted\"\nand broken"):
        kept(record, draft(name=name))
    rows = list(csv.DictReader(io.StringIO(export_csv(record.quotes()), newline="")))
    assert [row["build"][0] for row in rows] == ["'"] * 7 + ["p"]
    assert rows[-1]["build"] == "plain, \"quoted\"\nand broken"


def test_a_log_that_cannot_be_read_is_kept_by_its_digest(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    kept(Record(in_file(tmp_path)), draft())
    log, record = tmp_path / "log.csv", tmp_path / "record.sqlite"
    log.write_text("rpm,kW\n3000,80\n")
    line = ("record", "add", "--pull", log, "--quote", "Q-0001", "--record", record)
    data = data_of(capfd, *line)
    assert (data["id"], data["quote"], data["data"]) == ("P-0001", "Q-0001", None)
    assert data["digest"] == sha256(b"rpm,kW\n3000,80\n").hexdigest()
    assert "by its digest alone" in said(capfd, *line)[2]
    assert "pull log.csv, 15 bytes" in said(capfd, "record", "show", "Q-0001", "--record", record)[1]


def test_a_log_is_read_back_on_the_build_as_it_was_kept(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = made_up.build_text("small-turbo-1800", driveline__loss={"fixed": "5 kW", "proportional": "10 %"})
    made = made_up.synthetic_log(text=text)
    log, build = made_up.written_to(tmp_path, made), tmp_path / "build.yaml"
    build.write_text(text)
    headers = [f"  {json.dumps(header)}: {json.dumps({'is': channel, **({'unit': unit} if unit else {})})}"
               for header, (channel, unit) in made.headers.items()]
    names = "\n".join(["dyno: {kind: inertia, correction: none}", "names:", *headers])
    (tmp_path / "logs.yaml").write_text(names)
    shop = ("--shop", tmp_path)
    assert said(capfd, "record", "add", build, "--samples", 0, "--author", "x", *shop)[0] == 0
    build.write_text("build: changed since\n")
    data = data_of(capfd, "record", "add", "--pull", log, "--quote", "Q-0001", "--author", "x", *shop)
    assert data["digest"] == sha256(log.read_bytes()).hexdigest()
    assert data["data"]["schema"] == "enginelimits.pull/1"
    (pull,) = data_of(capfd, "record", "show", "Q-0001", *shop)["pulls"]
    assert pull["data"] == data["data"]


def test_review_runs_on_what_was_kept(capfd: pytest.CaptureFixture[str], shop: Path) -> None:
    data = data_of(capfd, "record", "review", "--shop", shop)
    (tally,) = data["grades"]
    assert (tally["grade"], tally["broke"]) == ("reinforce", 1)
    driveline = next(f for f in data["families"] if f["name"] == "driveline")
    assert driveline["grades"][0]["broke"] == 1
    code, out, _ = said(capfd, "record", "review", "--shop", shop, "--full")
    assert code == 0 and "It would move none." in out


def test_terminals_are_not_steered_by_what_was_kept(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    kept(Record(in_file(tmp_path)), draft(name="a\x1b[31mred"))
    for line in (("list",), ("show", "Q-0001"), ("review",)):
        assert "\x1b" not in said(capfd, "record", *line, "--record", tmp_path / "record.sqlite")[1]
