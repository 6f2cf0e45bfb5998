"""Ruled and half-ruled tables to rows, cells and column heads."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from notelint.layout.callouts import is_dimension
from notelint.layout.drawn import lines_through_text, sparse
from notelint.layout.grids import Grid, Lined
from notelint.layout.labels import alone, read_label
from notelint.layout.overheads import CELL_GAP, COUNTED, HEAD_WORDS_MOST, with_head_above
from notelint.layout.pieces import Piece
from notelint.layout.tables import Row, Table, is_head_word, row_lines
from notelint.model import Word


class _Cut(NamedTuple):
    """A row as cut: its cells, for each column the cell that covers it, and whether one text runs across the columns."""

    cells: tuple[tuple[Piece, ...], ...]
    over: tuple[int, ...]
    spans: bool = False


def ruled_table(grid: Grid, lined: Lined) -> Table | None:
    """The table in a ruled outline, or None where it is no table (one column, or a box of notes)."""
    found, grid = grid, with_head_above(grid, lined)
    headed = len(grid.ys) > len(found.ys)
    bands = list(pairwise(grid.ys))
    contents = [lined.between(a, b, grid.x0 - 1, grid.x1 + 1) for a, b in bands]
    walls = _walls(grid)
    bounds = walls or space_bounds([line for words in contents for line in row_lines(words, CELL_GAP)])
    if not bounds:
        return None
    rows: list[_Cut] = []
    for band, words in zip(bands, contents, strict=True):
        above = headed and band is bands[0]
        for part, inside in _parts(grid, band, words):
            drawn = _open_walls(grid, part, bounds) if walls and not above else bounds
            rows.append(_cut(inside, bounds, drawn, spans=_spans(inside, bounds, drawn, bool(walls))))
    if len(bands) <= 3 and not walls:
        rows = _unfold(rows)
    if is_drawing(grid, contents, bool(walls), rows, headed):
        return None
    return _table(grid, rows, [w for words in contents for w in words], headed)


def is_drawing(grid: Grid, contents: Sequence[Sequence[Word]], walls: bool, rows: Sequence[_Cut], headed: bool) -> bool:
    """True where the rules are a drawing's lines with labels among them: they run through text, or stand far apart without heads."""
    if lines_through_text(grid, contents, walls):
        return True
    filled = [row for row in rows if any(row.cells)]
    if headed or head_rows(filled):
        return False
    cells = [_text(cell) for row in filled for cell in row.cells if cell]
    measures = sum(is_dimension(text) for text in cells)
    return 2 * measures > len(cells) or sparse(grid, contents)


def _walls(grid: Grid) -> list[float]:
    """Where upright rules part columns: those that run along a good part of the table, one for each place."""
    height = grid.ys[-1] - grid.ys[0]
    runs: list[list[float]] = []
    for x, top, bottom in sorted(grid.upright):
        length = min(bottom, grid.ys[-1]) - max(top, grid.ys[0])
        if runs and x - runs[-1][0] < 2.5:
            runs[-1][1] += length
        else:
            runs.append([x, length])
    return [x for x, length in runs if length >= 0.4 * height]


def _open_walls(grid: Grid, band: tuple[float, float], bounds: Sequence[float]) -> list[float]:
    """The column bounds that are drawn across this row; cells are merged over the others."""
    middle = (band[0] + band[1]) / 2
    return [b for b in bounds if any(abs(x - b) < 2.5 and top <= middle <= bottom for x, top, bottom in grid.upright)]


def _parts(grid: Grid, band: tuple[float, float], words: Sequence[Word]) -> list[tuple[tuple[float, float], list[Word]]]:
    """A row cut where shorter rules part it (a mark that spans several rows); the spanning cell's words go with each part."""
    inner = [(y, a) for y, a, b in grid.inner if band[0] + 3 < y < band[1] - 3 and b - a > 0.25 * (grid.x1 - grid.x0) and b > grid.x1 - 6]
    cuts: list[float] = []
    for y, _ in sorted(inner):
        if not cuts or y - cuts[-1] > 3:
            cuts.append(y)
    if not cuts:
        return [(band, list(words))]
    reach = min(a for _, a in inner)
    edges = [band[0], *cuts, band[1]]
    parts: list[list[Word]] = [[] for _ in range(len(cuts) + 1)]
    shared = [w for w in words if (w.x0 + w.x1) / 2 < reach]
    for word in words:
        if (word.x0 + word.x1) / 2 >= reach:
            parts[bisect_right(cuts, (word.top + word.bottom) / 2)].append(word)
    return [(edge, [*shared, *part]) for edge, part in zip(pairwise(edges), parts, strict=True)]


def _cut(words: Sequence[Word], bounds: Sequence[float], drawn: Sequence[float], spans: bool) -> _Cut:
    """The words of a row put into its columns; a cell merged over several columns counts for the first of them."""
    columns = range(len(bounds) + 1)
    first = {bisect_right(drawn, bounds[c - 1] + 1.0 if c else float("-inf")): c for c in reversed(columns)}
    over = tuple(first[bisect_right(drawn, bounds[c - 1] + 1.0 if c else float("-inf"))] for c in columns)
    cells: list[list[Word]] = [[] for _ in columns]
    for word in words:
        cells[over[bisect_right(bounds, (word.x0 + word.x1) / 2)]].append(word)
    return _Cut(tuple(tuple(p for line in row_lines(cell, 9.0) for p in line) for cell in cells), over, spans)


def _spans(words: Sequence[Word], bounds: Sequence[float], drawn: Sequence[float], walls: bool) -> bool:
    """True for a merged row: no upright rule passes it, or its only text stands across column bounds."""
    if not words:
        return False
    if walls:
        return not drawn
    lines = row_lines(words, CELL_GAP)
    return len(lines) == 1 and len(lines[0]) == 1 and any(lines[0][0].x0 < b < lines[0][0].x1 for b in bounds)


def space_bounds(lines: Sequence[Sequence[Piece]]) -> list[float]:
    """Column bounds of a table without upright rules.

    Where most cells start under a column head, the heads give the bounds; else the gaps that run through all lines.
    """
    several = [line for line in lines if len(line) >= 2]
    if len(several) < 2:
        return []
    by_head = _head_bounds(several[0], several[1:])
    return by_head or _gap_bounds(several)


def _head_bounds(head: Sequence[Piece], body: Sequence[Sequence[Piece]]) -> list[float]:
    starts = [p.x0 for p in head]
    cells = [p for line in body for p in line]
    em = head[0].size
    under = sum(min(abs(p.x0 - s) for s in starts) < 0.6 * em for p in cells)
    if not cells or under < 0.8 * len(cells):
        return []
    return [s - 0.35 * em for s in starts[1:]]


def _gap_bounds(lines: Sequence[Sequence[Piece]]) -> list[float]:
    """Middles of the gaps that no (or nearly no) line crosses."""
    em = sorted(p.size for line in lines for p in line)[0]
    events = sorted(e for line in lines for p in line for e in ((p.x0, 1), (p.x1, -1)))
    most = len(lines) // 12
    bounds: list[float] = []
    depth, since = 0, None
    for x, step in events:
        if since is not None and step == 1 and depth == most and x - since >= 0.5 * em:
            bounds.append(x - 0.3 * em)
        depth += step
        if depth <= most:
            since = x if since is None or step == -1 else since
        else:
            since = None
    return bounds[1:] if bounds and bounds[0] < events[0][0] + 1 else bounds


def _unfold(rows: Sequence[_Cut]) -> list[_Cut]:
    """Rows of a table with rules only around head and foot: each line with a first cell starts a row."""
    out: list[_Cut] = []
    for row in rows:
        out.extend([row] if row.spans else [row._replace(cells=cells) for cells in by_anchor(row.cells)])
    return out


def by_anchor(cells: Sequence[tuple[Piece, ...]]) -> list[tuple[tuple[Piece, ...], ...]]:
    """One block of cells cut into rows at each line of the first column; other lines go with the nearest row by their gap."""
    anchors = [p.middle for p in cells[0]]
    if len(anchors) < 2:
        return [tuple(cells)]
    heights = sorted({round(p.middle, 1) for cell in cells for p in cell})
    row_of: dict[float, int] = {}
    for i, y in enumerate(heights):
        row = max(bisect_right(anchors, y + 1.5) - 1, 0)
        after = heights[i + 1] if 0 < i < len(heights) - 1 else None
        at_mark = any(abs(y - a) < 1.5 for a in anchors)
        # a line above its row's mark (the mark stands at mid height) is nearer to the next line than to the one before
        if after is not None and not at_mark and any(abs(after - a) < 1.5 for a in anchors) and after - y < 0.8 * (y - heights[i - 1]):
            row = min(row + 1, len(anchors) - 1)
        row_of[y] = row
    rows: list[list[list[Piece]]] = [[[] for _ in cells] for _ in anchors]
    for column, cell in enumerate(cells):
        for piece in cell:
            rows[row_of[round(piece.middle, 1)]][column].append(piece)
    return [tuple(tuple(cell) for cell in row) for row in rows]


def _text(cell: Sequence[Piece]) -> str:
    return " ".join(p.text for p in cell)


def _table(grid: Grid, rows: Sequence[_Cut], words: Sequence[Word], headed: bool) -> Table | None:
    """Title, heads and rows told apart; `headed` says that the first row was found to be heads."""
    rows = [row for row in rows if any(row.cells)]
    title: tuple[Piece, ...] = ()
    if len(rows) > 2 and rows[0].spans and not headed:
        title = tuple(p for cell in rows[0].cells for p in cell)
        rows = rows[1:]
    filled = [sum(bool(cell) for cell in row.cells) for row in rows if not row.spans]
    if len(filled) < 2 or sum(n >= 2 for n in filled) < 0.5 * len(filled) or notes_inside([row.cells for row in rows]):
        return None
    if _numbered([row.cells for row in rows if not row.spans]):
        return None
    count = max(head_rows(rows), int(headed))
    heads = tuple(_head_text(rows[:count], c) for c in range(len(rows[0].cells)))
    made: list[Row] = []
    notes: list[tuple[Piece, ...]] = []
    under: str | None = None
    for i, row in enumerate(rows[count:], count):
        if not row.spans:
            made.append(Row(row.cells, under))
            continue
        pieces_across = tuple(p for cell in row.cells for p in cell)
        if i + 1 == len(rows) or sum(len(p.words) for p in pieces_across) > 9:
            notes.append(pieces_across)
        else:
            under = _text(pieces_across)
    return Table(title, heads, tuple(made), tuple(words), grid.x0, grid.ys[0], grid.x1, grid.ys[-1], tuple(notes))


def _head_text(rows: Sequence[_Cut], column: int) -> str:
    """A column's head: the words of all head lines above it, those of merged cells with them."""
    texts: list[str] = []
    for row in rows:
        text = _text(row.cells[row.over[column]])
        if text and text not in texts:
            texts.append(text)
    return " ".join(texts)


def notes_inside(rows: Sequence[tuple[tuple[Piece, ...], ...]]) -> bool:
    """True where the 'table' is a box of notes: few rows with long running text, or cells that begin with numbers of notes."""
    body = rows[1:] if len(rows) > 1 else rows
    cells = [cell for row in (body or rows) for cell in row if cell]
    if not cells:
        return False
    numbered = sum(sum(_is_number(p) for p in cell) >= 2 for cell in cells)
    return len(body) <= 2 and (max(len(cell) for cell in cells) > 12 or numbered >= 1)


def _is_number(piece: Piece) -> bool:
    """True where a line begins with the number of a note, not with a mark or a count."""
    label = read_label(piece.text)
    return label is not None and label.style != "series" and not label.weak


def _numbered(rows: Sequence[tuple[tuple[Piece, ...], ...]]) -> bool:
    """True where a column holds numbers of notes ("A.", "7.") before long texts: framed notes, no schedule."""
    for column in range(len(rows[0]) - 1):
        pairs = [(row[column], row[column + 1]) for row in rows if row[column]]
        marks = sum(bool((label := alone(cell[0].text)) and label.close and label.style != "series") for cell, _ in pairs)
        length = sum(len(_text(after)) for _, after in pairs) / max(len(pairs), 1)
        if marks >= 2 and marks * 2 >= len(pairs) and length > 30:
            return True
    return False


def head_rows(rows: Sequence[_Cut]) -> int:
    """How many rows at the top are column heads: bold, or of words that head columns, unlike the rows below.

    A second head row is believed where it is as bold as the first, or where the first leaves columns without a head.
    """
    if len(rows) < 2 or rows[0].spans or not _is_head(rows[0].cells, [r.cells for r in rows[1:]]):
        return 0
    if len(rows) < 3 or rows[1].spans or not _is_head(rows[1].cells, [r.cells for r in rows[2:]]):
        return 1
    first, second = (_all_bold(row.cells) for row in rows[:2])
    gaps = sum(bool(cell) for cell in rows[0].cells) < sum(bool(cell) for cell in rows[1].cells)
    return 2 if (first and second) or (gaps and first == second) else 1


def _all_bold(row: Sequence[Sequence[Piece]]) -> bool:
    return all(p.bold for cell in row for p in cell)


def _is_head(row: Sequence[Sequence[Piece]], below: Sequence[Sequence[Sequence[Piece]]]) -> bool:
    words = [w for cell in row for p in cell for w in p.words]
    if not words:
        return False
    named = sum(any(is_head_word(w.text) for p in cell for w in p.words) for cell in row if cell)
    cells = sum(bool(cell) for cell in row)
    digits = sum(any(c.isdigit() for c in w.text) for w in words)
    bold = all(w.bold for w in words)
    under = [w for r in below for cell in r for p in cell for w in p.words]
    lettered = not under or sum(w.bold for w in under) < 0.5 * len(under)
    if bold and lettered:
        return digits <= 0.34 * len(words)
    measured = any(cell and COUNTED.match(cell[0].text) for cell in row)  # "2x4 at 16 in. o.c." and "(5) #9" are values, no heads
    told = any(sum(len(p.words) for p in cell) > HEAD_WORDS_MOST for cell in row)
    return not measured and not told and named >= 0.5 * cells and digits <= 0.2 * len(words)
