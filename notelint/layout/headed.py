"""Unruled tables with column heads over aligned cells."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence

from notelint.layout.aligned import ACROSS, DIGIT, DOWN, make_table, title_above
from notelint.layout.blocks import Lanes
from notelint.layout.labels import read_label
from notelint.layout.pieces import Piece
from notelint.layout.tables import Table, is_head_word

TITLE_NOUN = re.compile(r"\b(?:SCHEDULES?|TABLE|LIST|LEGEND|INDEX)\b", re.IGNORECASE)


def headed_tables(items: Sequence[Piece]) -> list[Table]:
    lanes = Lanes(items)
    found: list[Table] = []
    used: set[int] = set()
    for i in range(len(items)):
        chain = _head_chain(items, lanes, i) if i not in used else []
        for part in _side_by_side(items, [items[j] for j in chain]):
            table = _under_heads(items, part)
            if table is not None:
                found.append(table)
                used.update(chain)
    return found


def _side_by_side(items: Sequence[Piece], heads: Sequence[Piece]) -> list[list[Piece]]:
    """A row of heads cut where another table begins: its first head comes again, or a title of its own stands above."""
    parts: list[list[Piece]] = []
    for piece in heads:
        again = parts and piece.text == parts[-1][0].text
        own = parts and piece.x0 - parts[-1][-1].x1 > 4 * piece.size and _titled_apart(items, parts[-1][0], piece)
        if not parts or again or own:
            parts.append([piece])
        else:
            parts[-1].append(piece)
    return [part for part in parts if len(part) >= 2]


def _titled_apart(items: Sequence[Piece], first: Piece, second: Piece) -> bool:
    """True where a title of its own stands at the left end over each of two heads (a centred title stands over one by chance)."""
    left, right = title_above(items, [first], exact=True), title_above(items, [second], exact=True)
    return left is not None and right is not None and left is not right


def _head_chain(items: Sequence[Piece], lanes: Lanes, first: int) -> list[int]:
    """Indices of the pieces of a row of column heads that begins with piece `first`; empty where it is none."""
    piece = items[first]
    if not _head_like(piece) or not any(is_head_word(w.text) for w in piece.words):
        return []
    chain = [first]
    while (after := lanes.right_of(chain[-1], ACROSS * piece.size)) is not None and after not in chain:
        if not _head_like(items[after]) or abs(items[after].size - piece.size) > 0.1 * piece.size:
            break
        chain.append(after)
    named = sum(_names_column(items[i]) for i in chain)
    return chain if len(chain) >= 2 and named * 2 >= len(chain) else []


def _names_column(piece: Piece) -> bool:
    """True where at least half of the words are such as head columns."""
    return 2 * sum(is_head_word(w.text) for w in piece.words) >= len(piece.words)


def _head_like(piece: Piece) -> bool:
    text = piece.text
    if TITLE_NOUN.search(text) and len(piece.words) > 1:
        return False
    if text[:1].isdigit() or text[:1] in "(\"'" or sum(c.isdigit() for c in text) > 2:
        return False
    capitals = len(piece.words) <= 5 and text.upper() == text and (not text.endswith(".") or len(piece.words) == 1)
    return capitals or (len(piece.words) <= 4 and piece.bold and text[:1].isupper())


def _under_heads(items: Sequence[Piece], heads: Sequence[Piece]) -> Table | None:
    """The table below a row of heads: rows go on while their cells start under heads and no wide gap comes."""
    em = heads[0].size
    lines: list[list[Piece]] = []
    last = heads[0].middle
    steps: list[float] = []
    for line in _lines_below(items, heads):
        step = line[0].middle - last
        usual = sorted(steps)[len(steps) // 2] if steps else 0.0
        if step > max(DOWN * em, 1.9 * usual) or _stops(line[0], heads) or (lines and not _fits(lines[-1], heads)):
            break
        steps.append(step)
        lines.append(line)
        last = line[0].middle
    while lines and not _fits(lines[-1], heads):
        lines.pop()
    bounds = [h.x0 - 0.6 * em for h in heads[1:]]
    names, lines = _more_heads(items, heads, bounds, lines)
    rows = _rows(lines, bounds)
    if _is_notes(rows):
        return None
    if len(rows) < 2 or sum(sum(bool(c) for c in row) >= 2 for row in rows) < 0.6 * len(rows):
        return None
    extra = [p for name in names for p in name]
    title = title_above(items, [*heads, *extra])
    return make_table(title, [" ".join(p.text for p in name) for name in names], rows, extra)


def _lines_below(items: Sequence[Piece], heads: Sequence[Piece]) -> list[list[Piece]]:
    """Lines of pieces below the heads: cells that start under them, and what goes on to the right of such a cell over a small gap."""
    em = heads[0].size
    left, under, right = heads[0].x0 - 1.2 * em, heads[-1].x1 + 1.5 * em, _right_end(items, heads)
    lines: list[list[Piece]] = []
    below = (p for p in items if left <= p.x0 < right and p.middle > heads[0].middle + 0.5 * em)
    for piece in sorted(below, key=lambda p: (round(p.middle / (0.3 * em)), p.x0)):
        same = bool(lines) and abs(piece.middle - lines[-1][0].middle) < 0.45 * em
        if piece.x0 >= under and not (same and any(0 <= piece.x0 - p.x1 < 2.5 * em for p in lines[-1])):
            continue
        if same:
            lines[-1].append(piece)
        else:
            lines.append([piece])
    return lines


def _is_notes(rows: Sequence[Sequence[Sequence[Piece]]]) -> bool:
    """True where the columns hold notes under headings that happen to stand on one line: numbers before texts, or long lines."""
    pieces = [p for row in rows for cell in row for p in cell]
    numbered = sum(
        (label := read_label(p.text)) is not None and not label.weak and label.end < len(p.text) and len(p.words) > 4 for p in pieces
    )
    long = sum(len(p.words) > 8 for p in pieces)
    return numbered >= 2 or 2 * long > max(len(pieces), 1)


def _more_heads(
    items: Sequence[Piece], heads: Sequence[Piece], bounds: Sequence[float], lines: list[list[Piece]]
) -> tuple[list[list[Piece]], list[list[Piece]]]:
    """Column heads with the further head lines above and below them; the lines that are left."""
    em = heads[0].size
    names = [[head] for head in heads]
    while lines and lines[0][0].middle - max(p.middle for name in names for p in name) < 1.45 * em and _head_line(lines[0], heads, bounds):
        for piece in lines[0]:
            names[bisect_right(bounds, piece.x0)].append(piece)
        lines = lines[1:]
    above = [
        p
        for p in items
        if 0.6 * em < heads[0].middle - p.middle < 1.45 * em and heads[0].x0 - em < p.x0 < heads[-1].x1 + em and abs(p.size - em) < 0.1 * em
    ]
    if above and all(_head_like(p) and p.bold == heads[0].bold and p.x0 > heads[0].x1 for p in above):
        for piece in above:
            first, last = _centred_over(piece, heads)
            for name in names[first : last + 1]:
                name.insert(0, piece)
    return names, lines


def _centred_over(piece: Piece, heads: Sequence[Piece]) -> tuple[int, int]:
    """First and last of the neighbouring heads that a head line above them is centred over."""
    ranges = [(i, j) for i in range(len(heads)) for j in range(i, len(heads)) if heads[j].x1 >= piece.x0 and heads[i].x0 <= piece.x1]
    return min(ranges, key=lambda r: abs((heads[r[0]].x0 + heads[r[1]].x1) / 2 - piece.centre), default=(0, 0))


def _head_line(line: Sequence[Piece], heads: Sequence[Piece], bounds: Sequence[float]) -> bool:
    """True where a line below the heads still belongs to them: as bold as they are, or capitals without figures off the first column."""
    if all(p.bold for p in (*line, *heads)):
        return True
    first = bisect_right(bounds, line[0].x0) == 0
    return not first and all(_head_like(p) and not DIGIT.search(p.text) and any(is_head_word(w.text) for w in p.words) for p in line)


def _right_end(items: Sequence[Piece], heads: Sequence[Piece]) -> float:
    """How far right cells of the last column may start: short of the next head row on the same line."""
    em = heads[0].size
    beyond = [p.x0 for p in items if abs(p.middle - heads[0].middle) < 0.5 * em and p.x0 > heads[-1].x1 + em]
    return min([heads[-1].x1 + 12 * em, *(x - 1.2 * em for x in beyond)])


def _stops(piece: Piece, heads: Sequence[Piece]) -> bool:
    """A line that runs across several columns, or is larger than the heads (a mark may seem so in a scan), is no row."""
    crossed = sum(piece.x0 < h.x0 - 0.5 * h.size and piece.x1 > h.x0 + h.size for h in heads)
    mark = len(piece.words) == 1 and bool(DIGIT.search(piece.text))
    larger = piece.size > 1.15 * heads[0].size and not mark
    return (crossed >= 1 and len(heads) >= 2 and piece.x1 > heads[1].x0 + piece.size) or larger


def _fits(line: Sequence[Piece], heads: Sequence[Piece]) -> bool:
    """True where the pieces of a line start under heads (or stand centred under them)."""
    em = heads[0].size
    good = sum(
        any(abs(p.x0 - h.x0) < 1.0 * em or abs(p.centre - h.centre) < 1.0 * em or abs(p.x1 - h.x1) < 0.8 * em for h in heads) for p in line
    )
    return good >= 0.6 * len(line)


def _rows(lines: Sequence[Sequence[Piece]], bounds: Sequence[float]) -> list[list[list[Piece]]]:
    """Lines to rows: a line with a first cell starts a row, other lines go on with the row above (or below, when nearer)."""
    rows: list[list[list[Piece]]] = []
    pending: list[Piece] = []
    heights = [line[0].middle for line in lines]
    for i, line in enumerate(lines):
        cells: list[list[Piece]] = [[] for _ in range(len(bounds) + 1)]
        for piece in sorted(line, key=lambda p: p.x0):
            cells[bisect_right(bounds, piece.x0)].append(piece)
        if cells[0] or not rows:
            if pending:
                for piece in pending:
                    cells[bisect_right(bounds, piece.x0)].insert(0, piece)
                pending = []
            rows.append(cells)
            continue
        before = heights[i] - heights[i - 1]
        after = heights[i + 1] - heights[i] if i + 1 < len(lines) else float("inf")
        next_starts = i + 1 < len(lines) and bisect_right(bounds, min(p.x0 for p in lines[i + 1])) == 0
        if next_starts and after < 0.75 * before:
            pending = list(line)
        else:
            for column, cell in enumerate(cells):
                rows[-1][column].extend(cell)
    return rows
