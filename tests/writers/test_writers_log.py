"""The log keeps answers, and never runs what a plan set says."""

from __future__ import annotations

import datetime
import re
import zipfile
from pathlib import Path

import lxml.etree
import openpyxl
import pytest

from notelint.errors import BadOptions, CannotWrite
from notelint.model import CAUTION, Answer, Recheck, RecheckLine, Review
from notelint.writers import write
from notelint.writers.answers import read_log_answers

S = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
HEADS = ["number", "key", "sheet", "place", "question", "why", "ask before", "answer", "answered by", "date"]


def write_log(review: Review, plan_set: Path, out: Path, recheck: Recheck | None = None) -> Path:
    (path,) = write(review, ["log"], out, plan_set=plan_set, recheck=recheck)
    return path


def parts_of(path: Path) -> dict[str, lxml.etree._Element]:
    with zipfile.ZipFile(path) as parts:
        assert parts.testzip() is None
        return {name: lxml.etree.fromstring(parts.read(name)) for name in parts.namelist() if name.endswith(".xml")}


def table(path: Path, sheet: int = 1) -> list[list[str]]:
    """Cells of a sheet read straight from the XML."""
    rows = []
    for row in parts_of(path)[f"xl/worksheets/sheet{sheet}.xml"].iter(f"{S}row"):
        cells = {re.match("[A-Z]+", cell.get("r"))[0]: "".join(cell.itertext()) for cell in row.iter(f"{S}c")}
        rows.append([cells.get(column, "") for column in "ABCDEFGHIJ"])
    return rows


def fill_in(path: Path, row: int, answer: str, name: str = "the designer", sheet: str = "Questions") -> None:
    """What a designer does: types into the log and saves it."""
    book = openpyxl.load_workbook(path)
    book[sheet].cell(row, HEADS.index("answer") + 1, answer)
    book[sheet].cell(row, HEADS.index("answered by") + 1, name)
    book.save(path)


def test_log_has_one_row_a_question(review: Review, plan_set: Path, tmp_path: Path) -> None:
    rows = table(write_log(review, plan_set, tmp_path))
    assert rows[0] == HEADS
    assert [row[:3] for row in rows[1:4]] == [
        ["1", review.questions[0].key, "S-1"],
        ["2", review.questions[1].key, "S-2"],
        ["3", "fastener-length:3", "S-1"],
    ]
    assert rows[2][4:7] == [review.questions[1].question, rows[2][5], "pour"] and "10.78 in > 10 in" in rows[2][5]


def test_log_is_frozen_filterable_and_prints_on_landscape_paper(review: Review, plan_set: Path, tmp_path: Path) -> None:
    parts = parts_of(write_log(review, plan_set, tmp_path))
    sheet = parts["xl/worksheets/sheet1.xml"]
    assert sheet.find(f".//{S}pane").get("topLeftCell") == "A2" and sheet.find(f".//{S}pane").get("state") == "frozen"
    assert sheet.find(f"{S}autoFilter").get("ref") == "A1:J8"
    assert sheet.find(f"{S}pageSetup").get("orientation") == "landscape" and sheet.find(f"{S}pageSetup").get("fitToHeight") == "0"
    assert sheet.find(f".//{S}pageSetUpPr").get("fitToPage") in {"1", "true"}
    names = {one.get("name"): one.text for one in parts["xl/workbook.xml"].iter(f"{S}definedName")}
    assert names["_xlnm.Print_Titles"].endswith("$1:$1")
    assert [one.get("name") for one in parts["xl/workbook.xml"].iter(f"{S}sheet")] == ["Questions", "Hardware", "About this list"]


def test_hardware_and_caution_have_their_sheets(review: Review, plan_set: Path, tmp_path: Path) -> None:
    path = write_log(review, plan_set, tmp_path)
    assert table(path, 2)[1][:5] == ["ST-3", "strap", "14 ga. x 2-1/2 in.", "16d", "10"]
    assert table(path, 3)[0][0] == CAUTION


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r="])
def test_text_never_becomes_a_formula(review: Review, plan_set: Path, tmp_path: Path, start: str) -> None:
    text = f'{start}HYPERLINK("x")'
    odd = review.questions[0].model_copy(update={"question": text, "why": text, "key": text})
    path = write_log(review.model_copy(update={"questions": (odd,)}), plan_set, tmp_path)
    parts = parts_of(path)
    assert not any(list(part.iter(f"{S}f")) for part in parts.values())
    assert table(path)[1][4] == text.strip()
    cell = next(c for c in parts["xl/worksheets/sheet1.xml"].iter(f"{S}c") if c.get("r") == "E2")
    style = list(parts["xl/styles.xml"].find(f"{S}cellXfs"))[int(cell.get("s"))]
    assert cell.get("t") in {"s", "inlineStr"} and style.get("quotePrefix") in {"1", "true"}
    openpyxl.load_workbook(path).save(path)  # and does not become one when another program saves it
    assert not any(list(part.iter(f"{S}f")) for part in parts_of(path).values())


def test_rows_grow_when_a_long_answer_is_typed(review: Review, plan_set: Path, tmp_path: Path) -> None:
    rows = parts_of(write_log(review, plan_set, tmp_path))["xl/worksheets/sheet1.xml"].findall(f".//{S}row")
    assert all(row.get("customHeight") is None for row in rows) and float(rows[1].get("ht")) > 15


def test_answers_in_an_existing_log_are_kept_by_key(review: Review, plan_set: Path, tmp_path: Path) -> None:
    path = write_log(review, plan_set, tmp_path)
    fill_in(path, 3, "use 12 in bolts\nsee S-2")
    typed = path.read_bytes()
    first, second, *rest = review.questions
    moved = (second.model_copy(update={"number": 1}), first.model_copy(update={"number": 2}), *rest)
    write_log(review.model_copy(update={"questions": moved}), plan_set, tmp_path)
    assert table(path)[1][7:9] == ["use 12 in bolts\nsee S-2", "the designer"]
    assert table(path)[2][7] == ""
    (copy,) = tmp_path.glob("small house.log.before-*.xlsx")
    assert re.fullmatch(r"small house\.log\.before-\d{8}-\d{6}\.xlsx", copy.name)
    assert copy.read_bytes() == typed


def test_answers_of_questions_that_vanished_are_kept_and_come_back(review: Review, plan_set: Path, tmp_path: Path) -> None:
    path = write_log(review, plan_set, tmp_path)
    fill_in(path, 2, "ST-3 is 14 ga.")
    fewer = review.model_copy(update={"questions": review.questions[1:]})
    for _ in range(2):  # a second run does not lose them either
        write_log(fewer, plan_set, tmp_path)
        book = openpyxl.load_workbook(path)
        (row,) = list(book["Earlier answers"].iter_rows(min_row=2, values_only=True))
        assert row[:4] == (review.questions[0].key, review.questions[0].question, "ST-3 is 14 ga.", "the designer")
    write_log(review, plan_set, tmp_path)
    assert table(path)[1][7] == "ST-3 is 14 ga."
    assert "Earlier answers" not in openpyxl.load_workbook(path).sheetnames


def test_a_log_nobody_touched_is_replaced_without_a_copy(review: Review, plan_set: Path, tmp_path: Path) -> None:
    write_log(review, plan_set, tmp_path)
    write_log(review, plan_set, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["small house.log.xlsx"]


def test_a_log_with_notes_but_no_answers_is_copied_too(review: Review, plan_set: Path, tmp_path: Path) -> None:
    path = write_log(review, plan_set, tmp_path)
    book = openpyxl.load_workbook(path)
    book["Questions"]["L2"] = "ask again on Monday"
    book.save(path)
    write_log(review, plan_set, tmp_path)
    (copy,) = tmp_path.glob("*.before-*")
    assert openpyxl.load_workbook(copy)["Questions"]["L2"].value == "ask again on Monday"


def test_a_file_that_is_no_log_is_not_overwritten(review: Review, plan_set: Path, tmp_path: Path) -> None:
    target = tmp_path / "small house.log.xlsx"
    target.write_text("my own notes")
    with pytest.raises(CannotWrite, match="move it away"):
        write_log(review, plan_set, tmp_path)
    assert target.read_text() == "my own notes" and len(list(tmp_path.iterdir())) == 1


def test_read_log_answers_finds_columns_by_their_heads(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active.append(["Date", "ANSWER", "remarks", "Key", "answered by"])
    book.active.append([None, 42, "x", "a-1", None])
    book.active.append([None, None, "only a remark", "a-2", None])
    book.active.append([None, "no key", None, None, None])
    book.active["A2"] = datetime.datetime(2026, 3, 2)
    book.save(tmp_path / "log.xlsx")
    assert read_log_answers(tmp_path / "log.xlsx") == {"a-1": Answer(key="a-1", answer="42", date="2026-03-02")}


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 no zip", b"key,answer\n"], ids=["empty", "damaged", "csv"])
def test_read_log_answers_refuses_what_is_no_log(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "log.xlsx"
    path.write_bytes(content)
    with pytest.raises(BadOptions, match=r"log\.xlsx: cannot be read as a log"):
        read_log_answers(path)


def test_read_log_answers_names_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadOptions, match=r"none\.xlsx"):
        read_log_answers(tmp_path / "none.xlsx")


def test_a_date_typed_as_a_date_survives(review: Review, plan_set: Path, tmp_path: Path) -> None:
    path = write_log(review, plan_set, tmp_path)
    book = openpyxl.load_workbook(path)
    book["Questions"]["H2"], book["Questions"]["J2"] = "yes", datetime.date(2026, 3, 2)
    book.save(path)
    write_log(review, plan_set, tmp_path)
    cell = openpyxl.load_workbook(path)["Questions"]["J2"]
    assert cell.is_date and cell.value.date().isoformat() == "2026-03-02"


def test_comparison_adds_a_status_and_carries_answers(review: Review, plan_set: Path, tmp_path: Path) -> None:
    first, *_, gone = review.questions
    said = Answer(key=first.key, answer="14 ga.")
    kept = Answer(key=gone.key, answer="by note 8", question=gone.question)
    lines = (RecheckLine(status="open", question=first, answer=said), RecheckLine(status="answered", question=gone, answer=kept))
    path = write_log(review.model_copy(update={"questions": (first,)}), plan_set, tmp_path, Recheck(file="old.pdf", lines=lines))
    book = openpyxl.load_workbook(path)
    head, row = list(book["Questions"].iter_rows(values_only=True))
    assert dict(zip(head, row, strict=True))["status"] == "open" and dict(zip(head, row, strict=True))["answer"] == "14 ga."
    assert book["Earlier answers"]["C2"].value == "by note 8"
