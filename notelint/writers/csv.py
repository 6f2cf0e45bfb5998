"""NAME.questions.csv: the questions as a table."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from notelint.model import CAUTION, Question, RecheckLine
from notelint.writers.files import write_text
from notelint.writers.job import Job
from notelint.writers.words import cell_text, joined, places_of, sheets_of

HEADS = ("number", "key", "sheet", "place", "words", "question", "why", "arithmetic", "ask before", "rule", "sources", "status", "answer")


def write_csv(job: Job, target: Path) -> None:
    """Writes the table. It starts with a byte order mark, without which spreadsheets misread letters beyond ASCII."""
    table = io.StringIO(newline="")
    writer = csv.writer(table)
    writer.writerow(HEADS)
    for question in job.review.questions:
        writer.writerow(_row(question, job.lines.get(question.key)))
    for line in job.answered:
        writer.writerow(_row(line.question, line))
    writer.writerows([(), (CAUTION,)])
    write_text(target, table.getvalue(), encoding="utf-8-sig")


def _row(question: Question, line: RecheckLine | None) -> tuple[str, ...]:
    words = joined([where.quote for where in question.where], " / ")
    status = line.status if line else ""
    answer = line.answer.answer if line and line.answer else ""
    cells = (question.key, "; ".join(sheets_of(question)), places_of(question), words, question.question, question.why)
    more = (joined(question.arithmetic), question.ask_before, question.rule, joined(question.sources), status, answer)
    return ("" if status == "answered" else str(question.number), *(cell_text(cell) for cell in (*cells, *more)))
