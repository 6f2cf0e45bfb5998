"""A rule's example, a small plan set written as data, turned into the same layout a PDF gives."""

from __future__ import annotations

import re

from notelint.layout.links import index, references
from notelint.layout.references import sheet_prefix
from notelint.model import Box, Cell, DetailTitle, Layout, Passage, PassageKind, Reference, Sheet, SheetLine, Spot, Word
from notelint.planset.kinds import kind_of
from notelint.rulebook.schema import Entry, Example

_LEADING_NUMBER = re.compile(r"^\(?([A-Z]?\d+(?:\.\d+)*|[A-Z])\s*[.),]\s+(?=\S)")
_SEE = re.compile(r"^\s*(?:(?P<detail>[\w&]+)\s*/\s*(?=\S))?(?P<target>(?:[A-Z]{1,2}[-. ]?|(?<=/)|(?<=/ ))\d[\w.]*)\s*$")


class _Drawer:
    """Collects what stands on the example's sheets. A line of text is 10 points high, a character 6 wide."""

    def __init__(self) -> None:
        self.passages: list[Passage] = []
        self.references: list[Reference] = []
        self.details: list[DetailTitle] = []
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
            )
        )


def lay_out_example(example: Example) -> Layout:
    """The layout of the example's sheets, page by page; references and lists of sheets in its words are found as in a PDF's."""
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
                _other(drawer, page, sheet, entry)
    sheets = _sheets(example, drawer.passages)
    kinds = {s.page: s.kind for s in sheets}
    passages = tuple(p.model_copy(update={"source": kinds[p.page]}) for p in drawer.passages)
    prefixes = frozenset("ASGCDEMPLTN") | {sheet_prefix(name) for name in example.sheets}
    return Layout(
        passages=passages,
        references=(*drawer.references, *references((), passages, prefixes)),
        details=tuple(drawer.details),
        index=index(passages),
    )


def sheet_lines(example: Example) -> tuple[SheetLine, ...]:
    """The example's sheets as a plan set would list them."""
    return tuple(
        SheetLine(page=i, number=name, title=None, text="vector", kind="drawing", width=2592, height=1728)
        for i, name in enumerate(example.sheets, 1)
    )


def _sheets(example: Example, passages: list[Passage]) -> list[Sheet]:
    """The example's sheets as pages with words, so that a bound-in letter or form is told from the designer's sheets.

    A sheet whose name has no figure ("TRUSS LETTER") bears no sheet number, as bound-in pages do not.
    """
    sheets = []
    for page, name in enumerate(example.sheets, 1):
        words = tuple(
            Word(p.text[s.start : s.end], *s.box, size=10.0) for p in passages if p.page == page for s in p.spots
        )  # fmt: skip
        sheet = Sheet(page=page, width=2592, height=1728, text="vector", words=words, number=name if re.search(r"\d", name) else None)
        sheets.append(sheet.model_copy(update={"kind": kind_of(sheet)}))
    return sheets


def _note(drawer: _Drawer, page: int, sheet: str, text: str, headings: tuple[str, ...], number: int) -> None:
    found = _LEADING_NUMBER.match(text)
    label = found.group(1) if found else str(number)
    body = text[found.end() :] if found else text
    drawer.passage(page, sheet, "note", f"note {label}", " ".join(body.split()), headings)


def _other(drawer: _Drawer, page: int, sheet: str, entry: Entry) -> None:
    if entry.callout:
        drawer.passage(page, sheet, "callout", "callout", " ".join(entry.callout.split()), (), detail=entry.detail, times=entry.times)
    elif entry.schedule:
        _schedule(drawer, page, sheet, entry.schedule, entry.rows or [])
    elif entry.index:
        _schedule(drawer, page, sheet, "SHEET INDEX", [["SHEET", "TITLE"], *entry.index])
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


def _schedule(drawer: _Drawer, page: int, sheet: str, title: str, rows: list[list[str]]) -> None:
    if not rows:
        return
    head, body = rows[0], rows[1:]
    drawer.passage(page, sheet, "heading", "schedule title", title, ())
    for row in body:
        cells, text = [], ""
        for column, cell in zip(head, row, strict=False):
            text += " | " if text else ""
            cells.append(Cell(column, len(text), len(text) + len(cell)))
            text += cell
        drawer.passage(page, sheet, "row", f"{title}, row {row[0]}", text, (title,), cells=tuple(cells))
