"""What the builder sends and the designer answers: one file per format, all from the same review."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from notelint.errors import BadOptions, CannotWrite
from notelint.model import Recheck, Review
from notelint.writers.files import make_folder, safe_name

if TYPE_CHECKING:
    from notelint.writers.job import Job

ENDINGS = {
    "page": "page.html",
    "letter": "letter.docx",
    "log": "log.xlsx",
    "marked": "marked.pdf",
    "csv": "questions.csv",
    "json": "review.json",
    "md": "questions.md",
}
FORMATS = tuple(ENDINGS)


def write(review: Review, formats: Sequence[str], out: Path, *, plan_set: Path, recheck: Recheck | None = None) -> tuple[Path, ...]:
    """Writes each format into the folder `out` and gives the files in the order asked for.

    A file appears whole or not at all. Where one cannot be written the others still are; then CannotWrite names those that are not.
    """
    from notelint.writers.job import Job  # here, since it loads the PDF readers

    wanted = known(formats)
    make_folder(out)
    job = Job(review, plan_set, recheck)
    written, failed = [], []
    for name in wanted:
        target = out / f"{safe_name(plan_set.stem)}.{ENDINGS[name]}"
        try:
            _writer(name)(job, target)
            written.append(target)
        except CannotWrite as error:
            failed.append(str(error))
    if failed:
        raise CannotWrite("; ".join(dict.fromkeys(failed)))
    return tuple(written)


def known(formats: Sequence[str]) -> tuple[str, ...]:
    """The formats, each once. Raises BadOptions where one is not known."""
    unknown = [name for name in formats if name not in ENDINGS]
    if unknown:
        raise BadOptions(f"--write {','.join(unknown)}: no such format; choose from {', '.join(FORMATS)}")
    return tuple(dict.fromkeys(formats))


def load(formats: Sequence[str]) -> None:
    """Imports the writers of the formats ahead of their use."""
    for name in formats:
        _writer(name)


def _writer(name: str) -> Callable[[Job, Path], None]:
    """The writer of a format. Imported when asked for: the office formats take longer to import than to write."""
    match name:
        case "page":
            from notelint.writers.page import write_page as chosen
        case "letter":
            from notelint.writers.letter import write_letter as chosen
        case "log":
            from notelint.writers.log import write_log as chosen
        case "marked":
            from notelint.writers.marked import write_marked as chosen
        case "csv":
            from notelint.writers.csv import write_csv as chosen
        case "md":
            from notelint.writers.md import write_md as chosen
        case _:
            from notelint.writers.json import write_json as chosen
    return chosen
