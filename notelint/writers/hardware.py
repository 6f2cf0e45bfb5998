"""The hardware list read from the set: on a terminal, as csv, xlsx or json. Callouts are counted, which is no count of pieces."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from pathlib import Path

from rich.table import Table
from rich.text import Text

from notelint.errors import BadOptions
from notelint.model import CAUTION, HardwareLine, Review
from notelint.writers.files import make_folder, safe_name, write_text, write_whole
from notelint.writers.terminal import Trimmed, make_console
from notelint.writers.words import COUNT_NOTE, cell_text, visible

HEADS = ("mark", "device", "item", "fasteners", "callouts", "sheets", "capacity, lb", "lacks")
FORMATS = ("csv", "xlsx", "json")


def print_hardware(review: Review, written: Sequence[Path] = ()) -> None:
    """The list as a table."""
    console = make_console()
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in HEADS:
        table.add_column(head, overflow="fold")
    for line in review.hardware:
        table.add_row(*(Text(visible(c)) for c in _cells(line)))
    found = table if review.hardware else Text("No mark of a connector was found in the words that were read.")
    files = [Text(f"written: {visible(str(path))}") for path in written]
    console.print(Trimmed(found, Text(f"\n{COUNT_NOTE}\n{CAUTION}", "italic"), *files))


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
            _write_book(review, target)
        else:
            write_text(target, _csv(review) if name == "csv" else _json(review), encoding="utf-8-sig" if name == "csv" else "utf-8")
        written.append(target)
    return tuple(written)


def _cells(line: HardwareLine) -> list[str]:
    capacity = "" if line.capacity_lb is None else f"{line.capacity_lb:,.0f}"
    called = [str(line.callouts), ", ".join(line.sheets), capacity, "; ".join(line.lacks)]
    return [line.mark, line.device or "", line.item, line.fasteners, *called]


def _csv(review: Review) -> str:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADS)
    for line in review.hardware:
        writer.writerow([cell_text(c) for c in _cells(line)])
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


def _write_book(review: Review, target: Path) -> None:
    from openpyxl import Workbook  # takes longer to import than the other forms to write

    from notelint.writers.log import fill_about, fill_hardware, save_book

    book = Workbook()
    book.properties.creator = book.properties.lastModifiedBy = "notelint"
    sheet = book.worksheets[0]
    sheet.title = "Hardware"
    fill_hardware(sheet, review.hardware)
    fill_about(book.create_sheet("About this list"), review)
    write_whole(target, lambda draft: save_book(book, draft))
