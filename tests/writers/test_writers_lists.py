"""The plain lists: Markdown and CSV."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from notelint.model import CAUTION, Review
from notelint.writers import write
from notelint.writers.md import escape
from notelint.writers.words import cell_text


def test_md_holds_every_question_under_its_stage_in_order(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review, ["md"], tmp_path, plan_set=plan_set)
    text = path.read_text(encoding="utf-8")
    heads = ["Ask before bidding", "Ask before the pour", "Ask before framing", "Ask before rough-in", "Ask before walls are closed"]
    places = [text.index(f"## {head}") for head in heads]
    assert places == sorted(places)
    numbers = [text.index(f"### {q.number}. ") for q in review.questions]
    assert numbers == sorted(numbers)
    assert text.index(heads[2]) < text.index("### 3. ") < text.index("### 5. ") < text.index(heads[3])
    assert escape(CAUTION) in text
    assert "no readable text" in text and "strap-reach" in text


def test_md_holds_the_load_path_with_words_and_place(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review, ["md"], tmp_path, plan_set=plan_set)
    lines = path.read_text(encoding="utf-8").splitlines()
    assert '- Sill to foundation, storey 1: **partly stated**: 5/8" anchor bolts at 48 in (S-2, note 9), still needs embedment' in lines
    assert "- Roof to wall top, storey 2: **not stated**" in lines


def test_md_shows_hostile_text_letter_for_letter(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review, ["md"], tmp_path, plan_set=plan_set)
    text = path.read_text(encoding="utf-8")
    assert "<script" not in text.replace("\\<script", "")
    assert "\x07" not in text and "\u202e" not in text
    assert "\\*bold\\*" in text


@pytest.mark.parametrize(
    ("words", "marked"),
    [
        pytest.param("7. STUDS", "7\\. STUDS", id="no list of its own"),
        pytest.param("# S-1", "\\# S-1", id="no heading"),
        pytest.param("2x6 @ 16 | 24", "2x6 @ 16 \\| 24", id="no table cell"),
        pytest.param("- x", "\\- x", id="no bullet"),
    ],
)
def test_md_escape(words: str, marked: str) -> None:
    assert escape(words) == marked


def rows(path: Path) -> list[dict[str, str]]:
    table = list(csv.DictReader(io.StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))
    assert table[-1]["number"] == CAUTION
    return table[:-1]


def test_csv_has_one_row_a_question(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review, ["csv"], tmp_path, plan_set=plan_set)
    table = rows(path)
    assert [row["number"] for row in table] == [str(q.number) for q in review.questions]
    assert table[3]["sheet"] == "S-3; S-4"
    assert table[3]["place"] == "S-3, note 3; S-4, note 6"
    assert table[4]["place"] == "whole set"
    assert table[1]["arithmetic"].startswith("7 in + 3.00 in")


def test_csv_never_holds_a_formula(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write(review, ["csv"], tmp_path, plan_set=plan_set)
    cells = [cell for row in rows(path) for cell in row.values()]
    assert any(cell.startswith("'=HYPERLINK") for cell in cells)
    assert not any((cell or "").lstrip()[:1] in {"=", "+", "-", "@"} for cell in cells)
    assert not any(c in cell for cell in cells for c in "\t\r\x07\u202e")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", " =1", "\t=1", "\r=1", "\u202e=1"])
def test_cell_text_marks_what_a_spreadsheet_would_run(text: str) -> None:
    assert cell_text(text)[:2] in {"'=", "'+", "'-", "'@"}


def test_cell_text_leaves_words_alone() -> None:
    assert cell_text("5/8 in - 10 in") == "5/8 in - 10 in"
