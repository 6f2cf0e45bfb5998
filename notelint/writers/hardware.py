"""The hardware list read from the set: on a terminal, as csv, xlsx or json. Callouts are counted, which is no count of pieces."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook
from rich.table import Table
from rich.text import Text

from notelint.errors import BadOptions
from notelint.model import CAUTION, HardwareLine, Review
from notelint.writers.csv import guard
from notelint.writers.files import make_folder, safe_name, write_text, write_whole
from notelint.writers.log import put
from notelint.writers.terminal import make_console
from notelint.writers.words import clean, visible

COUNT_NOTE = "Callouts are counted as they stand on the sheets; a count of callouts is no count of pieces."
HEADS = ("mark", "device", "item", "fasteners", "callouts", "sheets", "capacity, lb", "lacks")
FORMATS = ("csv", "xlsx", "json")


def print_hardware(review: Review, written: Sequence[Path] = ()) -> None:
    """The list as a table."""
    console = make_console()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in HEADS:
        table.add_column(head)
    for line in review.hardware:
        table.add_row(*(Text(visible(c)) for c in _cells(line)))
    console.print(table if review.hardware else Text("No mark of a connector was found in the words that were read."))
    console.print(Text(f"\n{COUNT_NOTE}\n{CAUTION}", "italic"))
    for path in written:
        console.print(Text(f"written: {visible(str(path))}"))


def write_hardware(review: Review, formats: Sequence[str], out: Path, *, plan_set: Path) -> tuple[Path, ...]:
    """NAME.hardware.csv, .xlsx or .json in `out`. Raises BadOptions for another format, CannotWrite where a file cannot be written."""
    unknown = [f for f in formats if f not in FORMATS]
    if unknown:
        raise BadOptions(f"--write {','.join(unknown)}: no such format; choose from {', '.join(FORMATS)}")
    make_folder(out)
    written = []
    for name in dict.fromkeys(formats):
        target = out / f"{safe_name(plan_set.stem)}.hardware.{name}"
        if name == "xlsx":
            write_whole(target, _book(review).save)
        else:
            write_text(target, _csv(review) if name == "csv" else _json(review), encoding="utf-8-sig" if name == "csv" else "utf-8")
        written.append(target)
    return tuple(written)


def _cells(line: HardwareLine) -> list[str]:
    capacity = f"{line.capacity_lb:,.0f}" if line.capacity_lb else ""
    return [
        line.mark, line.device or "", line.item, line.fasteners, str(line.callouts), ", ".join(line.sheets), capacity, "; ".join(line.lacks),
    ]  # fmt: skip


def _csv(review: Review) -> str:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADS)
    for line in review.hardware:
        writer.writerow([guard(c) for c in _cells(line)])
    writer.writerow([])
    writer.writerow([COUNT_NOTE])
    writer.writerow([CAUTION])
    return text.getvalue()


def _json(review: Review) -> str:
    body = {
        "format": "notelint hardware 1",
        "plan_set": {"file": review.file, "sha256": review.sha256},
        "hardware": [line.model_dump() for line in review.hardware],
        "note": COUNT_NOTE,
        "caution": CAUTION,
    }
    return json.dumps(body, indent=1, ensure_ascii=False) + "\n"


def _book(review: Review) -> Workbook:
    book = Workbook()
    sheet = book.active
    sheet.title = "Hardware"
    for column, (head, width) in enumerate(zip(HEADS, (10, 16, 48, 48, 10, 20, 12, 36), strict=True), 1):
        put(sheet.cell(1, column), head)
        sheet.column_dimensions[sheet.cell(1, column).column_letter].width = width
    for row, line in enumerate(review.hardware, 2):
        for column, text in enumerate(_cells(line), 1):
            put(sheet.cell(row, column), int(text) if HEADS[column - 1] == "callouts" else clean(text))
    sheet.freeze_panes = "A2"
    about = book.create_sheet("About")
    for row, text in enumerate((COUNT_NOTE, CAUTION), 1):
        put(about.cell(row, 1), text)
    about.column_dimensions["A"].width = 120
    return book
