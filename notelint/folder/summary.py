"""The summary of a run: a page, a table and a workbook, written row by row so that their cost does not grow with the run."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote_from_bytes

from notelint.folder.find import Skipped
from notelint.folder.names import SUMMARIES
from notelint.folder.records import Outcome, shown
from notelint.folder.totals import Totals
from notelint.model import CAUTION
from notelint.writers.files import write_whole
from notelint.writers.words import cell_text, clean, count_of

Outcomes = Callable[[], Iterator[tuple[Path, Path, Outcome]]]
Value = str | int | float

MOST_SKIPPED = 500
"""Skipped files that the page names; the tables name all."""


class Line(NamedTuple):
    """One set as the summary shows it."""

    name: str
    link: str  # relative address of its page or its folder; empty where nothing was written
    state: str
    questions: int
    stages: tuple[int, ...]
    families: tuple[int, ...]
    sheets: int
    unread: int
    seconds: float
    note: str


def write_summary(out: Path, folder: Path, outcomes: Outcomes, totals: Totals, skipped: Sequence[Skipped]) -> tuple[Path, ...]:
    """Writes the three summaries into `out`; raises CannotWrite."""
    page, table, book = (out / name for name in SUMMARIES)
    write_whole(page, partial(_page, folder, outcomes, totals, skipped))
    write_whole(table, partial(_table, outcomes, totals, skipped))
    write_whole(book, partial(_book, outcomes, totals, skipped))
    return page, table, book


def lines(outcomes: Outcomes, totals: Totals) -> Iterator[Line]:
    """One line a set, in order of its place."""
    for place, out, one in outcomes():
        note = one.reason or "; ".join(one.not_checked[:3]) + (f" and {one.unread - 3} more" if one.unread > 3 else "")
        if one.rules_not_run:
            note = "; ".join(part for part in (note, f"rules that could not run: {', '.join(one.rules_not_run)}") if part)
        yield Line(
            name=clean(shown(place)),
            link=_link(out, one.files),
            state={"read": "read", "refused": "not read", "failed": "not read"}[one.state],
            questions=one.questions,
            stages=tuple(sum(g.questions for g in one.gaps if g.stage == stage) for stage in totals.shown_stages),
            families=tuple(sum(g.questions for g in one.gaps if g.family == family) for family in totals.shown_families),
            sheets=one.sheets,
            unread=one.unread,
            seconds=one.seconds,
            note=clean(note),
        )


def heads(totals: Totals) -> tuple[str, ...]:
    """Column heads of the tables."""
    stages = tuple(f"before {stage}" for stage in totals.shown_stages)
    return ("plan set", "state", "questions", *stages, *totals.shown_families, "sheets", "not checked", "seconds", "remarks")


def _cells(line: Line) -> tuple[Value, ...]:
    return (line.name, line.state, line.questions, *line.stages, *line.families, line.sheets, line.unread, line.seconds, line.note)


def _link(out: Path, written: Sequence[str]) -> str:
    if not written:
        return ""
    shown_first = next((name for name in written if name.endswith(".html")), "")
    return "./" + quote_from_bytes(str(out / shown_first).encode("utf-8", "surrogateescape"))


def _page(folder: Path, outcomes: Outcomes, totals: Totals, skipped: Sequence[Skipped], draft: Path) -> None:
    import jinja2
    from markupsafe import Markup

    world = jinja2.Environment(autoescape=True, undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    world.globals.update(count_of=count_of)
    stream = world.from_string(files("notelint.folder").joinpath("summary.html.j2").read_text(encoding="utf-8")).stream(
        folder=clean(shown(folder.name or folder)),
        caution=CAUTION,
        css=Markup(files("notelint.writers").joinpath("page.css").read_text(encoding="utf-8")),
        totals=totals,
        common=totals.common(),
        lines=lines(outcomes, totals),
        skipped=[(clean(shown(one.place)), one.reason) for one in skipped[:MOST_SKIPPED]],
        more_skipped=max(0, len(skipped) - MOST_SKIPPED),
    )
    stream.enable_buffering(200)
    with draft.open("w", encoding="utf-8", errors="replace") as target:
        target.writelines(stream)


def _rows(outcomes: Outcomes, totals: Totals, skipped: Sequence[Skipped]) -> Iterator[tuple[Value, ...]]:
    yield heads(totals)
    yield from (_cells(line) for line in lines(outcomes, totals))
    width = len(heads(totals)) - 3
    yield from ((clean(shown(one.place)), "skipped", *([""] * width), one.reason) for one in skipped)


def _table(outcomes: Outcomes, totals: Totals, skipped: Sequence[Skipped], draft: Path) -> None:
    with draft.open("w", encoding="utf-8-sig", errors="replace", newline="") as target:
        writer = csv.writer(target)
        for row in _rows(outcomes, totals, skipped):
            writer.writerow([cell_text(one) if isinstance(one, str) else one for one in row])
        writer.writerows([(), ("most frequent gaps", "family", "sets", "questions")])
        writer.writerows(totals.common())
        writer.writerows([(), (CAUTION,)])


def _book(outcomes: Outcomes, totals: Totals, skipped: Sequence[Skipped], draft: Path) -> None:
    from openpyxl import Workbook

    def fill(title: str, widths: Sequence[float], rows: Iterable[Sequence[Value]]) -> None:
        sheet: Any = book.create_sheet(title)
        sheet.freeze_panes = "A2"
        for number, width in enumerate(widths):
            sheet.column_dimensions[_letters(number)].width = width
        for row in rows:
            sheet.append([_cell(sheet, one) for one in row])

    book = Workbook(write_only=True)
    book.properties.creator = book.properties.lastModifiedBy = "notelint"
    fill("Plan sets", [44, 10, *[11] * (len(heads(totals)) - 3), 80], _rows(outcomes, totals, skipped))
    fill("Most frequent gaps", [36, 16, 8, 11], [("rule", "family", "sets", "questions"), *totals.common(1000)])
    fill("About this list", [120], [(CAUTION,)])
    book.save(draft)


def _letters(number: int) -> str:
    from openpyxl.utils import get_column_letter

    return get_column_letter(number + 1)


def _cell(sheet: Any, value: Value) -> object:
    """A cell; text stays text, whatever it starts with."""
    from openpyxl.cell import WriteOnlyCell

    if not isinstance(value, str):
        return value
    cell = WriteOnlyCell(sheet, value=clean(value)[:32_767])  # the most a cell holds
    cell.data_type = "s"
    return cell
