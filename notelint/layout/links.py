"""References, detail titles and the sheet index of a set."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.layout.passages import place_box
from notelint.layout.references import INDEX_TITLE, index_line, listed, text_references
from notelint.layout.sheet import Read
from notelint.model import DetailTitle, IndexEntry, Passage, Reference

_FIRST_HEAD = re.compile(r"\b(?:sheet|drawing|dwg|page)\b", re.IGNORECASE)
_TITLE_HEAD = re.compile(r"\b(?:title|name|contents?|drawing|description)\b", re.IGNORECASE)
_OTHER = re.compile(r"\b(?:revisions?|details?|connectors?|straps?|hold)", re.IGNORECASE)


def references(reads: Sequence[Read], passages: Sequence[Passage], prefixes: frozenset[str]) -> tuple[Reference, ...]:
    """Bubbles with a sheet number, and references in the passages' words."""
    found: list[Reference] = []
    for read in reads:
        own = {id(w) for title in read.titles for w in title.words}
        own |= {id(w) for mark in read.bubbles for t in read.tabled if mark.box == t.box for w in mark.words}
        for mark in read.bubbles:
            if mark.sheet is not None and not any(id(w) in own for w in mark.words):
                quote = f"{mark.number}/{mark.sheet or '-'}"
                found.append(
                    Reference(
                        page=read.sheet.page,
                        sheet=read.sheet.number,
                        detail=mark.number,
                        target=mark.sheet or None,
                        quote=quote,
                        box=mark.box,
                    )
                )
    for passage in passages:
        if passage.kind in {"title", "heading"}:
            continue
        for hit in text_references(passage.text, prefixes):
            found.append(
                Reference(
                    page=passage.page,
                    sheet=passage.sheet,
                    detail=hit.detail,
                    target=hit.target,
                    quote=passage.text[hit.start : hit.end],
                    box=place_box(passage.spots, hit.start, hit.end),
                )
            )
    return tuple(found)


def details(reads: Sequence[Read]) -> tuple[DetailTitle, ...]:
    """Numbered drawings and their titles."""
    return tuple(
        DetailTitle(page=read.sheet.page, sheet=read.sheet.number, number=title.number, title=title.text, box=title.box)
        for read in reads
        for title in (*read.titles, *read.tabled)
        if title.number
    )


def index(passages: Sequence[Passage]) -> tuple[IndexEntry, ...]:
    """The sheet index: rows or lines under an index title, rows under heads of an index, or a one-line list."""
    found: list[IndexEntry] = []
    for passage in passages:
        if passage.kind == "row":
            found.extend(_row_entry(passage))
        elif passage.kind in {"note", "callout", "text"}:
            titled = bool(passage.headings) and bool(INDEX_TITLE.search(passage.headings[-1]))
            items = listed(passage.text, titled=titled)
            for item in items:
                found.append(_entry(passage, item.number, item.title, item.start, item.end))
            if titled and not items and (line := index_line(passage.text)):
                found.append(_entry(passage, line.number, line.title, line.start, line.end))
    return tuple(found)


def _row_entry(passage: Passage) -> list[IndexEntry]:
    """The entries of a row: one, or two where the index runs in two columns of the same table."""
    if not _index_row(passage):
        return []
    entries: list[IndexEntry] = []
    cells = list(passage.cells)
    for i, cell in enumerate(cells):
        line = index_line(passage.text[cell.start : cell.end], numeric=i == 0)
        if line is None or (i and not line.title and i % 2):
            continue
        after = cells[i + 1] if i + 1 < len(cells) else None
        title = line.title or (passage.text[after.start : after.end] if after else "")
        entries.append(_entry(passage, line.number, title, cell.start, cell.end))
    return entries


def _index_row(passage: Passage) -> bool:
    """True for a row of a sheet index, by the schedule's title or, without one, by its column heads."""
    if not passage.cells:
        return False
    title = passage.headings[0] if passage.headings else ""
    if INDEX_TITLE.search(title):
        return True
    heads = [cell.column for cell in passage.cells]
    return len(heads) == 2 and bool(_FIRST_HEAD.search(heads[0])) and bool(_TITLE_HEAD.search(heads[1])) and not _OTHER.search(title)


def _entry(passage: Passage, number: str, title: str, start: int, end: int) -> IndexEntry:
    return IndexEntry(page=passage.page, sheet=passage.sheet, number=number, title=title, box=place_box(passage.spots, start, end))
