"""A rule's example, a small plan set written as data, turned into the same layout a PDF gives."""

from __future__ import annotations

import re

from notelint.model import Box, Cell, DetailTitle, IndexEntry, Layout, Passage, PassageKind, Reference, SheetLine, Spot
from notelint.rulebook.schema import Entry, Example

_LEADING_NUMBER = re.compile(r"^\(?([A-Z]?\d+(?:\.\d+)*|[A-Z])\s*[.),]\s+(?=\S)")
_SEE = re.compile(r"^\s*(?:(?P<detail>[\w&]+)\s*/\s*)?(?P<target>[A-Z]{1,2}[-. ]?\d[\w.]*)\s*$")


class _Drawer:
    """Collects what stands on the example's sheets. A line of text is 10 points high, a character 6 wide."""

    def __init__(self) -> None:
        self.passages: list[Passage] = []
        self.references: list[Reference] = []
        self.details: list[DetailTitle] = []
        self.index: list[IndexEntry] = []
        self.top = 0.0

    def line_box(self, text: str) -> Box:
        self.top += 14
        return Box(10, self.top, 10 + 6 * max(1, len(text)), self.top + 10)

    def passage(
        self,
        page: int,
        sheet: str,
        kind: PassageKind,
        label: str,
        text: str,
        headings: tuple[str, ...],
        cells: tuple[Cell, ...] = (),
        detail: str | None = None,
        times: int = 1,
    ) -> None:
        box = self.line_box(text)
        spots = tuple(
            Spot(m.start(), m.end(), page, Box(10 + 6 * m.start(), box.top, 10 + 6 * m.end(), box.bottom))
            for m in re.finditer(r"\S+", text)
        )
        also = tuple((page, Box(box.x0 + 500 * i, box.top, box.x1 + 500 * i, box.bottom)) for i in range(1, times))
        self.passages.append(
            Passage(
                id=f"p{len(self.passages) + 1}",
                page=page,
                sheet=sheet,
                kind=kind,
                label=label,
                text=text,
                headings=headings,
                cells=cells,
                spots=spots,
                detail=detail,
                also=also,
            )  # fmt: skip
        )


def lay_out_example(example: Example) -> Layout:
    """The layout of the example's sheets, page by page."""
    drawer = _Drawer()
    for page, (sheet, entries) in enumerate(example.sheets.items(), 1):
        drawer.top = 0.0
        headings: tuple[str, ...] = ()
        number = 0
        for entry in entries:
            if isinstance(entry, str):
                entry = Entry(note=entry)
            if entry.heading:
                headings = (entry.heading,)
                drawer.passage(page, sheet, "heading", "heading", entry.heading, ())
            elif entry.note:
                number += 1
                _note(drawer, page, sheet, entry.note, headings, number)
            else:
                _other(drawer, page, sheet, entry, headings)
    return Layout(
        passages=tuple(drawer.passages), references=tuple(drawer.references), details=tuple(drawer.details), index=tuple(drawer.index)
    )


def sheet_lines(example: Example) -> tuple[SheetLine, ...]:
    """The example's sheets as a plan set would list them."""
    return tuple(
        SheetLine(page=i, number=name, title=None, text="vector", kind="drawing", width=2592, height=1728)
        for i, name in enumerate(example.sheets, 1)
    )


def _note(drawer: _Drawer, page: int, sheet: str, text: str, headings: tuple[str, ...], number: int) -> None:
    found = _LEADING_NUMBER.match(text)
    label = found.group(1) if found else str(number)
    body = text[found.end() :] if found else text
    drawer.passage(page, sheet, "note", f"note {label}", " ".join(body.split()), headings)


def _other(drawer: _Drawer, page: int, sheet: str, entry: Entry, headings: tuple[str, ...]) -> None:
    if entry.callout:
        drawer.passage(page, sheet, "callout", "callout", " ".join(entry.callout.split()), (), detail=entry.detail, times=entry.times)
    elif entry.schedule:
        _schedule(drawer, page, sheet, entry)
    elif entry.index:
        for row in entry.index:
            box = drawer.line_box(" ".join(row))
            drawer.index.append(IndexEntry(page=page, sheet=sheet, number=row[0], title=" ".join(row[1:]), box=box))
    elif entry.see:
        found = _SEE.match(entry.see)
        detail, target = (found.group("detail"), found.group("target")) if found else (entry.see.strip(), None)
        drawer.references.append(
            Reference(page=page, sheet=sheet, detail=detail, target=target, quote=entry.see, box=drawer.line_box(entry.see))
        )
    elif entry.detail and entry.title:
        drawer.details.append(DetailTitle(page=page, sheet=sheet, number=entry.detail, title=entry.title, box=drawer.line_box(entry.title)))
        drawer.passage(page, sheet, "title", f"detail {entry.detail}", entry.title, (), detail=entry.detail)
    elif entry.title:
        drawer.passage(page, sheet, "title", "title", entry.title, ())


def _schedule(drawer: _Drawer, page: int, sheet: str, entry: Entry) -> None:
    rows = entry.rows or []
    if not rows or not entry.schedule:
        return
    head, body = rows[0], rows[1:]
    drawer.passage(page, sheet, "heading", "schedule title", entry.schedule, ())
    for row in body:
        cells, text = [], ""
        for column, cell in zip(head, row, strict=False):
            text += " | " if text else ""
            cells.append(Cell(column, len(text), len(text) + len(cell)))
            text += cell
        drawer.passage(page, sheet, "row", f"{entry.schedule}, row {row[0]}", text, (entry.schedule,), cells=tuple(cells))
