"""References, detail titles and the sheet index of a set."""

from __future__ import annotations

import re
from collections.abc import Sequence

from notelint.layout.passages import place_box
from notelint.layout.references import INDEX_TITLE, index_line, listed, text_references
from notelint.layout.sheet import Read
from notelint.model import DetailTitle, IndexEntry, Passage, Reference

_FIRST_HEAD = re.compile(r"\b(?:sheet|no|number|drawing|dwg|page)\b", re.IGNORECASE)


def references(reads: Sequence[Read], passages: Sequence[Passage], prefixes: frozenset[str]) -> tuple[Reference, ...]:
    """Bubbles with a sheet number, and references in the passages' words."""
    found: list[Reference] = []
    for read in reads:
        own = {id(w) for title in read.titles for w in title.words}
        for mark in read.bubbles:
            if mark.sheet is not None and not any(id(w) in own for w in mark.words):
                quote = f"{mark.number}/{mark.sheet}"
                found.append(
                    Reference(page=read.sheet.page, sheet=read.sheet.number, detail=mark.number, target=mark.sheet, quote=quote, box=mark.box)
                )
    for passage in passages:
        if passage.kind in {"title", "heading"}:
            continue
        for hit in text_references(passage.text, prefixes):
            found.append(
                Reference(
                    page=passage.page, sheet=passage.sheet, detail=hit.detail, target=hit.target, quote=passage.text[hit.start : hit.end],
                    box=place_box(passage.spots, hit.start, hit.end),
                )
            )  # fmt: skip
    return tuple(found)


def details(reads: Sequence[Read]) -> tuple[DetailTitle, ...]:
    """Numbered drawings and their titles."""
    return tuple(
        DetailTitle(page=read.sheet.page, sheet=read.sheet.number, number=title.number, title=title.text, box=title.box)
        for read in reads
        for title in read.titles
        if title.number
    )


def index(passages: Sequence[Passage]) -> tuple[IndexEntry, ...]:
    """The sheet index: rows or lines under an index title, or a one-line list."""

    found: list[IndexEntry] = []
    for passage in passages:
        if passage.kind == "row":
            found.extend(_row_entry(passage))
        elif passage.kind in {"note", "callout", "text"}:
            for item in listed(passage.text):
                found.append(_entry(passage, item.number, item.title, item.start, item.end))
            if passage.headings and INDEX_TITLE.search(passage.headings[-1]) and (line := index_line(passage.text)):
                found.append(_entry(passage, line.number, line.title, line.start, line.end))
    return tuple(found)


def _row_entry(passage: Passage) -> list[IndexEntry]:
    titled = bool(passage.headings) and bool(INDEX_TITLE.search(passage.headings[0]))
    if not titled or len(passage.cells) < 1:
        return []
    first = passage.text[passage.cells[0].start : passage.cells[0].end]
    line = index_line(first)
    if line is None:
        return []
    title = line.title or (passage.text[passage.cells[1].start : passage.cells[1].end] if len(passage.cells) > 1 else "")
    return [_entry(passage, line.number, title, passage.cells[0].start, passage.cells[0].end)]


def _entry(passage: Passage, number: str, title: str, start: int, end: int) -> IndexEntry:
    return IndexEntry(
        page=passage.page, sheet=passage.sheet, number=number, title=title, box=place_box(passage.spots, start, end)
    )  # fmt: skip
