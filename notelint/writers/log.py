"""NAME.log.xlsx: the questions as a log in which the designer's answers are kept. An answer, once there, is never lost."""

from __future__ import annotations

import datetime
import io
import re
import textwrap
import zipfile
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from openpyxl import Workbook
from openpyxl.cell import Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from notelint.errors import BadOptions, CannotWrite
from notelint.model import CAUTION, Answer, HardwareLine, Question, Review
from notelint.writers.answers import PROGRAM, keep_copy, read_log_answers, touched
from notelint.writers.files import write_whole
from notelint.writers.job import Job
from notelint.writers.words import COUNT_NOTE, FORMULA_LEADS, clean, joined, places_of, sheets_of

HEADS: tuple[tuple[str, float], ...] = (
    ("number", 7),
    ("key", 12),
    ("sheet", 8),
    ("place", 20),
    ("question", 42),
    ("why", 30),
    ("ask before", 8),
    ("answer", 30),
    ("answered by", 10),
    ("date", 10),
)
STATUS_HEAD = ("status", 10.0)  # after "ask before", where a set is compared with an earlier one
EARLIER: tuple[tuple[str, float], ...] = (("key", 15), ("question", 60), ("answer", 60), ("answered by", 18), ("date", 12))
HARDWARE: tuple[tuple[str, float], ...] = (
    ("mark", 12),
    ("device", 16),
    ("as written", 46),
    ("fasteners", 34),
    ("callouts", 10),
    ("sheets", 16),
    ("capacity lb", 12),
    ("lacks", 30),
)
BODY = "Calibri", 10  # points; the table prints at about five sixths of that
CHARACTERS = 1.0  # of a body line to a column's width unit, on the safe side: words in capitals run wide
LINE_POINTS = 13.5
Value = str | int | datetime.date
_ROW_BY_HAND = re.compile(rb'(<row [^>]*?) customHeight="1"')
_PROGRAM = re.compile(rb"<Application>[^<]*</Application>")
_TOP = Alignment(wrap_text=True, vertical="top")
_LINE = Border(bottom=Side(style="thin", color="C9CFD4"))


def write_log(job: Job, target: Path) -> None:
    """Writes the log. Answers of a log that stands there are taken over by key, and that file is kept under another name."""
    try:
        answers = read_log_answers(target) if target.exists() else {}
    except BadOptions as error:
        raise CannotWrite(f"{error}; move it away, so that no answer in it is lost") from error
    book = make_log(job, answers)
    if target.exists() and (answers or touched(target)):
        keep_copy(target)
    write_whole(target, lambda draft: save_book(book, draft))


def save_book(book: Workbook, draft: Path) -> None:
    """Saves the book under the project's name, with row heights marked as fitted: a row still grows when a long answer is typed."""
    buffer = io.BytesIO()
    book.save(buffer)
    with zipfile.ZipFile(buffer) as old, zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            data = old.read(part)
            if part.filename.startswith("xl/worksheets/"):
                data = _ROW_BY_HAND.sub(rb"\1", data)
            elif part.filename == "docProps/app.xml":
                data = _PROGRAM.sub(PROGRAM, data)
            new.writestr(part, data)


def make_log(job: Job, answers: dict[str, Answer]) -> Workbook:
    """The log with `answers` filled in; an answer whose question is no longer asked goes to a sheet of its own."""
    carried = {line.question.key: line.answer for line in (job.recheck.lines if job.recheck else ()) if line.answer}
    answers = {**carried, **answers}
    book = Workbook()
    book.properties.creator = book.properties.lastModifiedBy = "notelint"
    book.properties.title = f"Questions about {clean(job.review.file)}"
    _questions(book, job, answers)
    fill_hardware(book.create_sheet("Hardware"), job.review.hardware)
    asked = {question.key for question in job.review.questions}
    _earlier(book, [answer for key, answer in answers.items() if key not in asked])
    _about(book, job)
    return book


def _questions(book: Workbook, job: Job, answers: dict[str, Answer]) -> None:
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = "Questions"
    heads = (*HEADS[:7], STATUS_HEAD, *HEADS[7:]) if job.recheck else HEADS
    rows: list[list[Value]] = []
    for question in job.review.questions:
        row = _question_cells(question)
        if job.recheck:
            line = job.lines.get(question.key)
            row.append(line.status if line else "")
        rows.append(row + _answer_cells(answers.get(question.key)))
    _fill(sheet, heads, rows)


def _question_cells(question: Question) -> list[Value]:
    why = " ".join(part for part in (clean(question.why), joined(question.arithmetic)) if part)
    places = places_of(question, most=6)
    return [question.number, question.key, "; ".join(sheets_of(question)), places, question.question, why, question.ask_before]


def _answer_cells(answer: Answer | None) -> list[Value]:
    if answer is None:
        return ["", "", ""]
    with suppress(ValueError):
        return [answer.answer, answer.answered_by, datetime.date.fromisoformat(answer.date)]
    return [answer.answer, answer.answered_by, answer.date]


def fill_hardware(sheet: Worksheet, lines: Sequence[HardwareLine]) -> None:
    """The hardware list as a table."""
    rows: list[list[Value]] = []
    for line in lines:
        capacity = round(line.capacity_lb) if line.capacity_lb is not None else ""
        called: list[Value] = [line.callouts, ", ".join(line.sheets), capacity, ", ".join(line.lacks)]
        rows.append([line.mark, line.device or "", line.item, line.fasteners, *called])
    _fill(sheet, HARDWARE, rows)


def _earlier(book: Workbook, answers: Iterable[Answer]) -> None:
    rows: list[list[Value]] = [[one.key, one.question, *_answer_cells(one)] for one in answers]
    if rows:
        _fill(book.create_sheet("Earlier answers"), EARLIER, rows)


def _about(book: Workbook, job: Job) -> None:
    lines = [f"Compared with: {job.recheck.file}"] if job.recheck else []
    fill_about(book.create_sheet("About this list"), job.review, lines)


def fill_about(sheet: Worksheet, review: Review, more: Sequence[str] = ()) -> None:
    """What the list is, and of which file."""
    sheet.column_dimensions["A"].width = 100
    lines = [CAUTION, f"Plan set: {review.file}", f"sha256: {review.sha256}", COUNT_NOTE, *more]
    for row, line in enumerate(lines, 1):
        put(sheet.cell(row, 1), line)
        sheet.row_dimensions[row].height = _height([(line, 100)])
    _paper(sheet)


def _fill(sheet: Worksheet, heads: Sequence[tuple[str, float]], rows: Sequence[Sequence[Value]]) -> None:
    """A table with a frozen, filterable head that prints on every page, landscape, as wide as the paper."""
    for column, (head, width) in enumerate(heads, 1):
        cell = sheet.cell(1, column, head)
        cell.font, cell.fill, cell.alignment = Font(name="Calibri", size=11, bold=True), PatternFill("solid", fgColor="E9ECEE"), _TOP
        sheet.column_dimensions[get_column_letter(column)].width = width
    for number, row in enumerate(rows, 2):
        for column, value in enumerate(row, 1):
            put(sheet.cell(number, column), value)
        sheet.row_dimensions[number].height = _height([(str(value), heads[column][1]) for column, value in enumerate(row)])
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(heads))}{max(1, len(rows)) + 1}"
    sheet.print_title_rows = "1:1"
    sheet.print_options.gridLines = True
    _paper(sheet)


def _paper(sheet: Worksheet) -> None:
    """US letter, landscape, as wide as the paper, as many pages as it takes."""
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", 1
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.page_margins = PageMargins(left=0.4, right=0.4, top=0.5, bottom=0.6)


def _height(cells: Sequence[tuple[str, float]]) -> float:
    """Points that a row takes whose cells hold these texts in columns of these widths (characters)."""
    lines = max((len(textwrap.wrap(text, max(1, int(width * CHARACTERS)))) for text, width in cells), default=1)
    return min(400.0, LINE_POINTS * max(1, lines) + 4.0)  # a row can be 409 points high


def put(cell: object, value: Value) -> None:
    """Sets a cell; text stays text, whatever it starts with."""
    assert isinstance(cell, Cell)
    cell.alignment, cell.border, cell.font = _TOP, _LINE, Font(name=BODY[0], size=BODY[1])
    if not isinstance(value, str):
        cell.value = value
        if isinstance(value, datetime.date):
            cell.number_format = "yyyy-mm-dd"
        return
    text = "\n".join(clean(line) for line in value.splitlines()).strip()[:32_767]  # the most a cell holds
    if not text:
        return
    cell.value = text
    cell.data_type = "s"
    if text[:1] in FORMULA_LEADS:
        cell.quotePrefix = True
