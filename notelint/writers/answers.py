"""Reading answers back from a filled-in log, and keeping the file they came from."""

from __future__ import annotations

import datetime
import shutil
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from openpyxl import load_workbook

from notelint.errors import BadOptions
from notelint.model import Answer
from notelint.writers.files import write_whole

MOST_BYTES = 200_000_000  # of an unpacked log
MOST_ROWS = 20_000
PROGRAM = b"<Application>notelint</Application>"  # every program that saves a log puts its own name there


def read_log_answers(path: Path) -> dict[str, Answer]:
    """The answers in a log by question key, from its questions and its earlier answers. Raises BadOptions where it is no log.

    Columns are found by their heads, in any order; rows without key or without answer, name and date are passed over.
    """
    try:
        with zipfile.ZipFile(path) as parts:
            if sum(part.file_size for part in parts.infolist()) > MOST_BYTES:
                raise BadOptions(f"{path}: too large for a log")
        book = load_workbook(path, read_only=True)
        try:
            tables = [list(sheet.iter_rows(max_row=MOST_ROWS, values_only=True)) for sheet in book.worksheets]
        finally:
            book.close()
    except OSError as error:
        raise BadOptions(f"{path}: cannot be read ({error.strerror or error})") from error
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, EOFError, SyntaxError) as error:
        raise BadOptions(f"{path}: cannot be read as a log (.xlsx) that notelint wrote") from error
    found: dict[str, Answer] = {}
    for table in tables:
        for answer in _answers(table):
            found.setdefault(answer.key, answer)
    return found


def _answers(rows: Sequence[tuple[object, ...]]) -> Iterator[Answer]:
    heads = {_text(head).casefold(): column for column, head in reversed(list(enumerate(rows[0])))} if rows else {}
    if "key" not in heads or "answer" not in heads:
        return
    for row in rows[1:]:
        cells = {name: _text(row[heads[name]]) for name in ("key", "question", "answer", "answered by", "date") if name in heads}
        if cells["key"] and any(cells.get(name) for name in ("answer", "answered by", "date")):
            yield Answer(
                key=cells["key"],
                answer=cells["answer"],
                answered_by=cells.get("answered by", ""),
                date=cells.get("date", ""),
                question=cells.get("question", ""),
            )


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()


def touched(path: Path) -> bool:
    """Whether another program saved the log last; then it may hold more than answers."""
    with zipfile.ZipFile(path) as parts:
        return PROGRAM not in parts.read("docProps/app.xml") if "docProps/app.xml" in parts.namelist() else True


def keep_copy(path: Path) -> Path:
    """Copies the log beside itself under a name with the time of its last change; an older copy is never overwritten."""
    saved = datetime.datetime.fromtimestamp(path.stat().st_mtime)
    stem = f"{path.with_suffix('')}.before-{saved:%Y%m%d-%H%M%S}"
    copy, count = Path(f"{stem}{path.suffix}"), 1
    while copy.exists():
        if copy.read_bytes() == path.read_bytes():
            return copy
        count += 1
        copy = Path(f"{stem}-{count}{path.suffix}")
    write_whole(copy, lambda draft: _copy(path, draft))
    return copy


def _copy(path: Path, draft: Path) -> None:
    shutil.copyfile(path, draft)
