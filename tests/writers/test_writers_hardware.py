"""The hardware list in its own files and on a terminal."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import pytest

from notelint.errors import BadOptions
from notelint.model import CAUTION, Review
from notelint.writers.hardware import print_hardware, write_hardware
from notelint.writers.words import COUNT_NOTE


def test_csv_holds_the_list_and_no_formula(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write_hardware(review, ["csv"], tmp_path, plan_set=plan_set)
    rows = list(csv.reader(io.StringIO(path.read_bytes().decode("utf-8-sig"), newline="")))
    assert path.name == "small house.hardware.csv"
    assert rows[1][:5] == ["ST-3", "strap", "14 ga. x 2-1/2 in.", "16d", "10"]
    assert rows[2][0] == "'=CMD()" and rows[2][6] == "900"
    assert [row[0] for row in rows[-2:]] == [COUNT_NOTE, CAUTION]


def test_xlsx_holds_the_list_and_no_formula(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write_hardware(review, ["xlsx"], tmp_path, plan_set=plan_set)
    with zipfile.ZipFile(path) as parts:
        sheet, about = (parts.read(f"xl/worksheets/sheet{n}.xml").decode() for n in (1, 2))
    assert "ST-3" in sheet and "=CMD()" in sheet and "<f>" not in sheet
    assert "approves and rejects nothing" in about


def test_json_holds_the_list_as_read(review: Review, plan_set: Path, tmp_path: Path) -> None:
    (path,) = write_hardware(review, ["json"], tmp_path, plan_set=plan_set)
    made = json.loads(path.read_text(encoding="utf-8"))
    assert made["format"] == "notelint hardware 1" and made["caution"] == CAUTION
    assert made["hardware"][0]["mark"] == "ST-3" and made["hardware"][0]["lacks"] == ["nail length"]


def test_an_unknown_format_is_refused(review: Review, plan_set: Path, tmp_path: Path) -> None:
    with pytest.raises(BadOptions, match="docx"):
        write_hardware(review, ["docx"], tmp_path, plan_set=plan_set)
    assert list(tmp_path.iterdir()) == []


def test_terminal_shows_hostile_text_as_text(review: Review, capsys: pytest.CaptureFixture[str]) -> None:
    print_hardware(review)
    out = capsys.readouterr().out
    assert "ST-3" in out and "=CMD()" in out and "…" not in out, "nothing is cut off"
    assert not any(ord(c) < 32 and c != "\n" for c in out) and "\u202e" not in out
    assert "no count of pieces" in " ".join(out.split())
