"""One sheet read into tables, columns of notes, drawing titles, bubbles and callouts; nothing is joined across sheets yet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy

from notelint.layout.blocks import Block, blocks, close_gaps, lines_of
from notelint.layout.bubbles import TAG, Bubble, bubbles, keynotes, stacked_bubbles, tags
from notelint.layout.callouts import Leaders, callouts
from notelint.layout.grids import grids, lined
from notelint.layout.notelike import joins, note_like, rest_of_note
from notelint.layout.notes import Column, read_block
from notelint.layout.numbered import numbered_lines
from notelint.layout.open_tables import open_tables
from notelint.layout.pieces import Piece, box_of, piece_of, pieces
from notelint.layout.places import Cells, Places, Walled, frames
from notelint.layout.ruled import ruled_table
from notelint.layout.rules import rules
from notelint.layout.tables import Table, inherited
from notelint.layout.titles import Title, beside, numbered_in_order, plain_titles, titles
from notelint.model import Box, Sheet, Word

TITLE_NOUN = re.compile(r"\b(?:SCHEDULE|TABLE|LIST|LEGEND|INDEX|KEY)\b", re.IGNORECASE)


class Loose(NamedTuple):
    """A callout: its lines, and where its leader points."""

    pieces: tuple[Piece, ...]
    tip: tuple[float, float] | None = None


class Read(NamedTuple):
    """What stands on a sheet."""

    sheet: Sheet
    tables: tuple[Table, ...]
    columns: tuple[Column, ...]
    callouts: tuple[Loose, ...]
    titles: tuple[Title, ...]
    bubbles: tuple[Bubble, ...]
    places: Places
    tabled: tuple[Title, ...] = ()  # titles of schedules that are numbered as drawings are


def read_sheet(sheet: Sheet, words: Sequence[Word], prefixes: frozenset[str]) -> Read:
    """Read a sheet's content words (title block already set aside)."""
    across, upright = rules(sheet.segments)
    if sheet.block is not None:
        across, upright = _outside(across, sheet.block, level=True), _outside(upright, sheet.block, level=False)
    flat = [w for w in words if w.turn == 0]
    marks, cut = bubbles(flat, sheet.circles), _Cut()
    marks = _numbering(marks, flat, across, sheet.number)
    flat = _without(flat, (w for mark in marks for w in mark.words))
    tables = _ruled(sheet, across, upright, flat)
    flat = _without(flat, (w for table in tables for w in table.words))
    pairs = stacked_bubbles(cut(flat), prefixes)
    marks.extend(pairs)
    flat = _without(flat, (w for mark in pairs for w in mark.words))
    if tables:
        above = [part for piece in close_gaps(cut(flat)) for part in _cut_over(piece, tables)]
        tables = [_titled(table, above) for table in tables]
    tabled = _tabled(marks, tables, across, sheet.number)
    flat = _without(flat, (w for table in tables for line in (table.title, *table.notes) for p in line for w in p.words))
    leaders = Leaders(_not_of_symbols(sheet.segments, sheet.circles))
    more, items = open_tables(cut(flat), leaders)
    tables = inherited([*tables, *more])
    items = close_gaps(items)
    usual = _usual_size(items)
    named = titles(items, marks, usual, across, sheet.number)
    if sheet.text == "ocr":
        named = numbered_in_order(named, sheet.height)
    named_words = {id(w) for title in named for w in title.words}
    items = [p for p in items if not any(id(w) in named_words for w in p.words)]
    found = blocks(lines_of(items))
    columns, rest = _notes(found, across, leaders)
    loose = [Loose(tuple(group)) for block in rest for group in callouts(block, leaders)]
    if not any(title.number for title in named):
        inside = Walled(across, upright, sheet.width, sheet.height).inside
        quiet = bool(named) or sheet.kind in {"truss letter", "calculation", "form"}
        plain = plain_titles([one.pieces[0] for one in loose if len(one.pieces) == 1], usual, across, quiet, inside)
        loose = [one for one in loose if not any(one.pieces[0] is title.piece for title in plain)]
        named.extend(plain)
    if len(named) > 1:
        loose = [Loose(one.pieces, leaders.tip(one.pieces)) for one in loose]
    loose.extend(_turned(words))
    cells, framed = Cells(across, upright, sheet.width, sheet.height), frames(across, upright, sheet.width, sheet.height)
    places = Places(named, cells, sheet.width, sheet.height, [_middle(one) for one in loose], framed if len(named) > 1 else ())
    return Read(sheet, tuple(tables), tuple(columns), tuple(loose), tuple(named), tuple(marks), places, tuple(tabled))


def _numbering(marks: Sequence[Bubble], words: list[Word], across: Any, own: str | None) -> list[Bubble]:
    """The bubbles without those that mark the entries of a list, and without marks of hardware: their words are read with the rest."""
    if len(marks) < 3 and not any(TAG.match(mark.number) for mark in marks):
        return list(marks)
    items = close_gaps(pieces(_without(words, (w for mark in marks for w in mark.words))))
    listing = keynotes(marks, items)
    marks = [mark for mark in marks if not any(mark is other for other in listing)]
    usual = _usual_size(items)
    drawings = [m for m in marks if TAG.match(m.number) and beside(m, items, usual, across, own) is not None]
    gone = tags(marks, [m for m in drawings if sum(m.number == other.number for other in marks) == 1])
    return [mark for mark in marks if not any(mark is other for other in gone)]


def _not_of_symbols(segments: Any, symbols: Sequence[Box]) -> Any:
    """Segments without the sides of symbols around marks (hexagons and the like), which are no leaders."""
    lines = numpy.asarray(segments, dtype=numpy.float64).reshape(-1, 4)
    x0, x1 = lines[:, [0, 2]].min(axis=1), lines[:, [0, 2]].max(axis=1)
    top, bottom = lines[:, [1, 3]].min(axis=1), lines[:, [1, 3]].max(axis=1)
    keep = numpy.ones(len(lines), dtype=bool)
    for box in symbols:
        keep &= ~((x0 > box.x0 - 1) & (x1 < box.x1 + 1) & (top > box.top - 1) & (bottom < box.bottom + 1))
    return lines[keep]


def _middle(one: Loose) -> tuple[float, float]:
    box = box_of(w for piece in one.pieces for w in piece.words)
    return (box.x0 + box.x1) / 2, (box.top + box.bottom) / 2


def _outside(lines: Any, block: Box, level: bool) -> Any:
    """Rules that do not lie in the title block."""
    if not len(lines):
        return lines
    middle = (lines[:, 1] + lines[:, 2]) / 2
    x, y = (middle, lines[:, 0]) if level else (lines[:, 0], middle)
    return lines[~((x >= block.x0) & (x <= block.x1) & (y >= block.top) & (y <= block.bottom))]


def _without(words: list[Word], gone: Iterable[Word]) -> list[Word]:
    """The same list where nothing is gone."""
    ids = {id(w) for w in gone}
    return [w for w in words if id(w) not in ids] if ids else words


class _Cut:
    """Cuts words into pieces; the same list as the last time is not cut again."""

    def __init__(self) -> None:
        self.words: list[Word] | None = None
        self.made: list[Piece] = []

    def __call__(self, words: list[Word]) -> list[Piece]:
        if words is not self.words:
            self.words, self.made = words, pieces(words)
        return list(self.made)


def _ruled(sheet: Sheet, across: Any, upright: Any, words: Sequence[Word]) -> list[Table]:
    """Ruled tables; what takes in most of the sheet is its frame."""
    if len(across) < 3 or not words:
        return []
    by_height = lined(words)
    wide, high = 0.85 * sheet.width, 0.5 * sheet.height
    found = (g for g in grids(across, upright, by_height) if g.x1 - g.x0 <= wide or g.ys[-1] - g.ys[0] <= high)
    return [t for grid in found if (t := ruled_table(grid, by_height)) is not None]


def _cut_over(piece: Piece, tables: Sequence[Table]) -> list[Piece]:
    """A line above tables cut where another table begins below it: titles of narrow tables stand close together."""
    em = piece.size
    lefts = [t.x0 for t in tables if 0 < t.top - piece.middle < 5 * em]
    parts: list[list[Word]] = [[piece.words[0]]]
    for before, word in pairwise(piece.words):
        if word.x0 - before.x1 > 0.4 * em and any(abs(word.x0 - left) < 0.8 * em for left in lefts):
            parts.append([])
        parts[-1].append(word)
    return [piece] if len(parts) == 1 else [piece_of(part) for part in parts]


def _titled(table: Table, items: Sequence[Piece]) -> Table:
    """The table with the line above it as its title, where it has none of its own."""
    if table.title:
        return table
    fitting = [piece for piece in items if _over(piece, table)]
    if not fitting:
        return table
    remarks = [p for p in fitting if p.text.startswith("(") and p.text.endswith(")")]
    near = table._replace(top=min(p.top for p in remarks)) if remarks else table
    named = [p for p in items if not any(p is r for r in remarks) and (_over(p, table) or _over(p, near))]
    if not named:
        return table._replace(title=(max(fitting, key=lambda p: p.middle),))
    return table._replace(title=(max(named, key=lambda p: p.middle),), notes=(*table.notes, *((r,) for r in remarks)))


def _over(piece: Piece, table: Table) -> bool:
    """True where a line stands right above a table, and begins over it, as a title does; the end of a sentence is none."""
    if piece.text.endswith(".") and not piece.bold and piece.text.upper() != piece.text:
        return False
    gap = table.top - piece.bottom
    at_left = abs(piece.x0 - table.x0) < 1.5 * piece.size
    inside = table.x0 - 2 * piece.size < piece.x0 < table.x1 and (at_left or piece.x1 < table.x1 + 4 * piece.size)
    reach = 4.0 if TITLE_NOUN.search(piece.text) or piece.text.startswith("(") else 2.4
    return inside and -0.5 * piece.size < gap < reach * piece.size and len(piece.words) <= (44 if len(piece.text) < 60 else 14)


def _tabled(marks: Sequence[Bubble], tables: Sequence[Table], across: Any, own: str | None) -> list[Title]:
    """Titles of schedules with a number bubble beside them: such a schedule is a drawing of its sheet that others may refer to."""
    names = [p for table in tables for p in table.title]
    numbers = [mark for mark in marks if names and mark.sheet in {None, own} and mark.number[:1].isdigit()]
    found = [(mark, beside(mark, names, 0.0, across, own)) for mark in numbers]
    return [Title(mark.number, name.text, name, name.words, mark.box) for mark, name in found if name is not None]


def _usual_size(items: Sequence[Piece]) -> float:
    """The type size in which most letters of the sheet are set."""
    weights = sorted((p.size, len(p.text)) for p in items)
    total, run = sum(n for _, n in weights), 0
    for size, count in weights:
        run += count
        if run * 2 >= total:
            return size
    return 8.0


def _notes(found: Sequence[Block], across: Any, leaders: Leaders) -> tuple[list[Column], list[Block]]:
    """Blocks told apart into columns of notes and the rest."""
    good = [block for block in found if note_like(block, across, leaders)]
    rest = [block for block in found if not any(block is other for other in good)]
    columns = [read_block(block, across) for block in good]
    more = bool(columns)
    while more:
        numbers = [(label, line.size) for column in columns for label, line in numbered_lines(column.block)]
        quiet = [block for block in rest if not leaders.at(block.lines[0].piece)]
        joining = [block for block in quiet if joins(block, numbers) or rest_of_note(block, columns)]
        columns.extend(read_block(block, across) for block in joining)
        rest = [block for block in rest if not any(block is other for other in joining)]
        more = bool(joining)
    context = [label for column in columns for label, _ in numbered_lines(column.block)]
    return [read_block(column.block, across, context) for column in columns], rest


def _turned(words: Sequence[Word]) -> list[Loose]:
    """Callouts of turned text, each turn on its own."""
    nothing = Leaders(())
    found: list[Loose] = []
    for turn in (90, 180, 270):
        turned = [w for w in words if w.turn == turn]
        if turned:
            for block in blocks(lines_of(close_gaps(pieces(turned)))):
                found.extend(Loose(tuple(g)) for g in callouts(block, nothing))
    return found
