"""The commands as a user meets them: exit codes, one clear line, nothing half written."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pikepdf
import pytest
from reportlab.pdfgen import canvas
from typer.testing import CliRunner

from notelint import __version__
from notelint.cli import app

RUN = CliRunner()
DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo"


def small_set(path: Path, *lines: str) -> Path:
    """A one-sheet plan set with some lines of text."""
    page = canvas.Canvas(str(path), pagesize=(1224, 792), invariant=1)
    for i, line in enumerate(lines):
        page.drawString(72, 700 - 20 * i, line)
    page.showPage()
    page.save()
    return path


def said(result) -> str:
    """All that was printed, standard error included (the runner mixes them as a terminal does)."""
    return result.output


def test_questions_are_exit_code_1_and_stand_in_the_files(tmp_path):
    """The demo's questions are printed and written."""
    result = RUN.invoke(app, ["review", str(DEMO / "demo.pdf"), "--write", "json,md", "--out", str(tmp_path)])
    assert result.exit_code == 1
    body = json.loads((tmp_path / "demo.review.json").read_text())
    assert len(body["questions"]) == len(json.loads((DEMO / "demo.gold.json").read_text())["expect"])
    assert "ASK BEFORE THE POUR" in result.output
    assert "approves and rejects" in " ".join(result.output.split())
    assert (tmp_path / "demo.questions.md").stat().st_size > 1000


def broken(folder: Path, name: str) -> Path:
    """A plan set that cannot be read."""
    file = folder / "x.pdf"
    if name == "missing":
        return file
    if name == "folder":
        file.mkdir()
    elif name == "empty":
        file.write_bytes(b"")
    elif name == "text":
        file.write_text("1. HD-3 at corners")
    elif name == "truncated":
        whole = small_set(folder / "whole.pdf", "1. HD-3").read_bytes()
        file.write_bytes(whole[: len(whole) // 3])
    elif name == "password":
        with pikepdf.open(small_set(folder / "open.pdf", "1. HD-3")) as pdf:
            pdf.save(file, encryption=pikepdf.Encryption(owner="a", user="b"))
    elif name == "no pages":
        pdf = pikepdf.new()
        pdf.save(file)
    return file


@pytest.mark.parametrize("name", ["missing", "folder", "empty", "text", "truncated", "password", "no pages"])
def test_a_plan_set_that_cannot_be_read_is_one_line_and_exit_code_3(tmp_path, name):
    """File and way out in one line, no traceback, nothing written."""
    file = broken(tmp_path, name)
    out = tmp_path / "out"
    result = RUN.invoke(app, ["review", str(file), "--write", "json", "--out", str(out)])
    assert result.exit_code == 3, said(result)
    lines = [line for line in said(result).splitlines() if line.strip()]
    assert len(lines) == 1
    assert "x.pdf" in lines[0]
    assert not list(out.glob("*")) if out.exists() else True


def test_the_other_sets_are_still_done(tmp_path):
    """One bad set of two: its line, the other's questions, exit code 3."""
    good = small_set(tmp_path / "good.pdf", "1. Roof trusses at 24 in. o.c. on 2x6 studs.")
    result = RUN.invoke(app, ["review", str(tmp_path / "none.pdf"), str(good), "--write", "json", "--out", str(tmp_path)])
    assert result.exit_code == 3
    assert (tmp_path / "good.review.json").exists()


def test_a_sheet_without_text_is_listed_as_not_checked(tmp_path):
    """An empty drawing is no finding and no silence."""
    page = canvas.Canvas(str(tmp_path / "a.pdf"), pagesize=(1224, 792), invariant=1)
    page.drawString(72, 700, "1. Roof trusses at 24 in. o.c.")
    page.showPage()
    page.line(10, 10, 900, 700)
    page.showPage()
    page.save()
    result = RUN.invoke(app, ["review", str(tmp_path / "a.pdf"), "--write", "json", "--out", str(tmp_path)])
    body = json.loads((tmp_path / "a.review.json").read_text())
    assert any(n["page"] == 2 for n in body["not_checked"])
    assert "page 2" in result.output


@pytest.mark.parametrize(
    "args",
    [["--write", "papyrus"], ["--rules", "nowhere"], ["--hardware", "none.csv"], ["--storeys", "40"]],
    ids=["unknown format", "no rules folder", "no hardware list", "too many storeys"],
)
def test_wrong_usage_is_exit_code_2(tmp_path, args):
    """One line says what to do."""
    good = small_set(tmp_path / "good.pdf", "1. Roof trusses at 24 in. o.c.")
    result = RUN.invoke(app, ["review", str(good), *args, "--out", str(tmp_path / "out")])
    assert result.exit_code == 2, said(result)
    assert "Traceback" not in said(result)


def test_an_output_folder_that_is_a_file_is_refused(tmp_path):
    """Nothing is written over."""
    good = small_set(tmp_path / "good.pdf", "1. Roof trusses at 24 in. o.c.")
    (tmp_path / "out").write_text("mine")
    result = RUN.invoke(app, ["review", str(good), "--write", "json", "--out", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert (tmp_path / "out").read_text() == "mine"


def test_options_overrule_the_sets_words(tmp_path):
    """A second storey by option raises the floor line."""
    good = small_set(tmp_path / "good.pdf", "1. One story house, 2x6 studs at 16 in., trusses at 24 in. o.c.")
    result = RUN.invoke(app, ["review", str(good), "--storeys", "2", "--write", "json", "--out", str(tmp_path)])
    body = json.loads((tmp_path / "good.review.json").read_text())
    assert body["building"]["storeys"] == 2
    assert "floor-to-floor-tie" in {q["rule"] for q in body["questions"]}
    assert "given by the user" in result.output


def test_recheck_tells_answered_open_and_new(tmp_path):
    """The revision answers eight of the demo's questions and raises one."""
    result = RUN.invoke(app, ["recheck", str(DEMO / "demo.pdf"), str(DEMO / "demo-revised.pdf"), "--write", "json", "--out", str(tmp_path)])
    assert result.exit_code == 1
    body = json.loads((tmp_path / "demo-revised.review.json").read_text())
    asked = [q["status"] for q in body["questions"]]
    assert len(body["recheck"]["answered"]) == 8
    assert asked.count("new") == 1
    assert asked.count("open") + asked.count("changed") == 7


def test_rules_are_listed_and_shown():
    """The rulebook, one rule, and a name nobody knows."""
    assert "strap-reach" in RUN.invoke(app, ["rules"]).output
    one = RUN.invoke(app, ["rules", "strap-reach"])
    assert one.exit_code == 0
    assert "Sources" in one.output
    assert RUN.invoke(app, ["rules", "no-such-rule"]).exit_code == 2


@pytest.mark.parametrize(
    ("option", "said", "lists"),
    [
        ("--roof", "dome", "trusses, rafters, roof joists"),
        ("--foundation", "moon", "slab, crawl space, basement, piers"),
        ("--exposure", "Z", "B, C, D"),
        ("--code", "blah", "IRC 2021"),
        ("--wind", "1400", "from 50 to 250"),
        ("--storeys", "two", "from 1 to 6"),
    ],
)
@pytest.mark.parametrize("command", ["review", "recheck"])
def test_an_unknown_value_of_the_building_is_one_line_that_lists_the_values(tmp_path, command, option, said, lists):
    """Exit code 2 before anything is read."""
    sets = [str(tmp_path / "none.pdf")] * (2 if command == "recheck" else 1)
    result = RUN.invoke(app, [command, *sets, option, said])
    assert result.exit_code == 2
    assert re.fullmatch(rf"notelint: {option}: '{said}' .*{lists}.*\n", result.output)


@pytest.mark.parametrize("roof", ["trusses", "Trusses", "truss"])
def test_a_roof_in_other_letters_asks_the_same(tmp_path, roof):
    """Trusses that miss the studs are asked about, however the user writes the roof."""
    good = small_set(tmp_path / "good.pdf", "1. Roof trusses at 24 in. o.c.", "2. 2x6 studs at 16 in. o.c.")
    RUN.invoke(app, ["review", str(good), "--roof", roof, "--write", "json", "--out", str(tmp_path)])
    body = json.loads((tmp_path / "good.review.json").read_text())
    assert body["building"]["roof"] == "trusses"
    assert "framing-not-stacked" in {q["rule"] for q in body["questions"]}


def test_recheck_reads_the_facts_beside_each_set(tmp_path):
    """A second storey that only the facts of the earlier set know is a question of that set alone; an option goes over both."""
    line = "1. House, 2x6 studs at 16 in., trusses at 24 in. o.c."
    old, new = small_set(tmp_path / "old.pdf", line), small_set(tmp_path / "new.pdf", line)
    (tmp_path / "old.facts.yaml").write_text("storeys: 2\n")
    (tmp_path / "new.facts.yaml").write_text("storeys: 1\n")
    statuses = []
    for more in ([], ["--storeys", "2"]):
        RUN.invoke(app, ["recheck", str(old), str(new), *more, "--write", "json", "--out", str(tmp_path)])
        body = json.loads((tmp_path / "new.review.json").read_text())
        statuses.append((body["building"]["storeys"], [q["status"] for q in body["questions"] if q["rule"] == "floor-to-floor-tie"]))
    assert statuses == [(1, []), (2, ["open"])]


@pytest.mark.parametrize("command", ["review", "recheck", "hardware"])
def test_a_wrong_facts_file_beside_the_set_is_refused(tmp_path, command):
    """File, line and values in one line, exit code 2."""
    good = small_set(tmp_path / "good.pdf", "1. Roof trusses at 24 in. o.c.")
    (tmp_path / "good.facts.yaml").write_text("roof: dome\n")
    result = RUN.invoke(app, [command, *[str(good)] * (2 if command == "recheck" else 1)])
    assert result.exit_code == 2
    assert "good.facts.yaml:1: roof: 'dome'" in result.output
    assert len(result.output.splitlines()) == 1


def test_the_version_is_told():
    """Name and number."""
    result = RUN.invoke(app, ["--version"])
    assert (result.exit_code, result.output) == (0, f"notelint {__version__}\n")


@pytest.mark.parametrize("command", ["review", "folder", "hardware", "recheck", "rules"])
def test_help_is_whole_and_in_plain_words(command):
    """No names of types, nothing cut short."""
    shown = RUN.invoke(app, [command, "--help"], env={"COLUMNS": "80"}).output
    assert not re.search(r"list\[|<\w|\u2026|\bTEXT\b|\bPATH\b", shown)
    if command in {"review", "recheck"}:
        assert "page, letter, log, marked, csv, json, md" in " ".join(shown.split())
