"""Schedules without rules: column heads over aligned cells, keys with a mark beside each item, labels beside or above values."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from notelint.layout.blocks import Lanes
from notelint.layout.callouts import Leaders
from notelint.layout.labels import alone, read_label
from notelint.layout.pieces import Piece, piece_of
from notelint.layout.tables import Row, Table, is_head_word
from notelint.model import Word

MARK = re.compile(r"^\(?[A-Z]{1,4}[- ]?\d{1,4}[A-Z]?\)?:?$|^[A-Z][A-Z]?[A-Z.&/'-]{0,8}[.:=]?$")
LEGEND = re.compile(r"^(\(?[A-Z][A-Za-z0-9./&'()-]{0,9}(?: [A-Z0-9.]{1,4})?)\s+(=|-|\u2013|:)\s+(?=\S)")
DOTS = re.compile(r"^\.{4,}$|^(?:\.\s?){4,}$|^\u2026+$")
ACROSS = 40.0  # ems from one cell to the next at most
DOWN = 3.0  # ems from one line of a table to the next at most
LABEL_WORDS, VALUE_WORDS = 6, 12
_DIGIT = re.compile(r"\d")
_FRESH = re.compile(r"^\(\d+\)\s|^[A-Za-z][\w ]{0,20}:\s")  # "(6) 10d ...", "to rafter: ..." begin a statement of their own


class _Pair(NamedTuple):
    """A piece and its neighbour to the right, as indices."""

    left: int
    right: int


def open_tables(items: Sequence[Piece], leaders: Leaders) -> tuple[list[Table], list[Piece]]:
    """Tables found by alignment alone, and the pieces that are left. Text with a leader at its side is a callout, no cell."""
    found: list[Table] = []
    rest = [part for piece in items for part in _without_dots(piece)]
    for finder in (_headed, _keys, _legends, _labelled, _alternate):
        for table in finder(rest):
            gone = {id(w) for w in table.words}
            if not any(id(p.words[0]) in gone for p in rest):
                continue
            led = sum(leaders.at(p) for row in table.rows for cell in row.cells for p in cell)
            if led * 3 > len(table.rows):
                continue
            found.append(table)
            rest = [p for p in rest if not any(id(w) in gone for w in p.words)]
    return found, rest


def _without_dots(piece: Piece) -> list[Piece]:
    """A line with dots between label and value cut there, without the dots; other lines as they are."""
    if not any(DOTS.search(w.text) for w in piece.words):
        return [piece]
    parts: list[list[Word]] = [[]]
    for word in piece.words:
        if DOTS.search(word.text):
            parts.append([])
        else:
            parts[-1].append(word)
    return [piece_of(part) for part in parts if part]


def _make(title: Piece | None, heads: Sequence[str], rows: Sequence[Sequence[Sequence[Piece]]], extra: Sequence[Piece] = ()) -> Table:
    pieces = [p for row in rows for cell in row for p in cell]
    every = [*pieces, *extra, *([title] if title else [])]
    return Table(
        (title,) if title else (), tuple(heads), tuple(Row(tuple(tuple(cell) for cell in row)) for row in rows),
        tuple(w for p in every for w in p.words), min(p.x0 for p in every), min(p.top for p in every), max(p.x1 for p in every),
        max(p.bottom for p in every),
    )  # fmt: skip


# ---------------------------------------------------------------- column heads over aligned cells


def _headed(items: Sequence[Piece]) -> list[Table]:
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
        own = parts and piece.x0 - parts[-1][-1].x1 > 4 * piece.size and _title_above(items, [piece], exact=True) is not None
        if not parts or again or own:
            parts.append([piece])
        else:
            parts[-1].append(piece)
    return [part for part in parts if len(part) >= 2]


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
    named = sum(any(is_head_word(w.text) for w in items[i].words) for i in chain)
    return chain if len(chain) >= 2 and named * 2 >= len(chain) else []


def _head_like(piece: Piece) -> bool:
    text = piece.text
    if text[:1].isdigit() or text[:1] in "(\"'" or sum(c.isdigit() for c in text) > 2:
        return False
    capitals = len(piece.words) <= 5 and text.upper() == text and (not text.endswith(".") or len(piece.words) == 1)
    return capitals or (len(piece.words) <= 4 and piece.bold and text[:1].isupper())


def _under_heads(items: Sequence[Piece], heads: Sequence[Piece]) -> Table | None:
    """The table below a row of heads: rows go on while their cells start under heads and no wide gap comes."""
    em = heads[0].size
    left, right = heads[0].x0 - 1.2 * em, _right_end(items, heads)
    below = sorted(
        (p for p in items if left <= p.x0 < right and p.middle > heads[0].middle + 0.5 * em), key=lambda p: (p.middle, p.x0)
    )  # fmt: skip
    lines: list[list[Piece]] = []
    last = heads[0].middle
    steps: list[float] = []
    for piece in below:
        if lines and abs(piece.middle - lines[-1][0].middle) < 0.45 * em:
            lines[-1].append(piece)
            continue
        step = piece.middle - last
        usual = sorted(steps)[len(steps) // 2] if steps else 0.0
        if step > max(DOWN * em, 1.9 * usual) or _stops(piece, heads) or (lines and not _fits(lines[-1], heads)):
            break
        if lines or step > 0:
            steps.append(step)
        lines.append([piece])
        last = piece.middle
    while lines and not _fits(lines[-1], heads):
        lines.pop()
    bounds = [h.x0 - 0.6 * em for h in heads[1:]]
    names, lines = _more_heads(items, heads, bounds, lines)
    rows = _rows(lines, bounds)
    if len(rows) < 2 or sum(sum(bool(c) for c in row) >= 2 for row in rows) < 0.6 * len(rows):
        return None
    extra = [p for name in names for p in name]
    title = _title_above(items, [*heads, *extra])
    return _make(title, [" ".join(p.text for p in name) for name in names], rows, extra)


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
    return not first and all(_head_like(p) and not _DIGIT.search(p.text) and any(is_head_word(w.text) for w in p.words) for p in line)


def _right_end(items: Sequence[Piece], heads: Sequence[Piece]) -> float:
    """How far right cells of the last column may start: short of the next head row on the same line."""
    em = heads[0].size
    beyond = [p.x0 for p in items if abs(p.middle - heads[0].middle) < 0.5 * em and p.x0 > heads[-1].x1 + em]
    return min([heads[-1].x1 + 12 * em, *(x - 1.2 * em for x in beyond)])


def _stops(piece: Piece, heads: Sequence[Piece]) -> bool:
    """A line that runs across several columns, or is larger than the heads, is no row."""
    crossed = sum(piece.x0 < h.x0 - 0.5 * h.size and piece.x1 > h.x0 + h.size for h in heads)
    return crossed >= 1 and len(heads) >= 2 and piece.x1 > heads[1].x0 + piece.size or piece.size > 1.15 * heads[0].size


def _fits(line: Sequence[Piece], heads: Sequence[Piece]) -> bool:
    """True where the pieces of a line start under heads (or stand centred under them)."""
    em = heads[0].size
    good = sum(
        any(abs(p.x0 - h.x0) < 1.0 * em or abs(p.centre - h.centre) < 1.0 * em or abs(p.x1 - h.x1) < 0.8 * em for h in heads) for p in line
    )  # fmt: skip
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


def _title_above(items: Sequence[Piece], first_row: Sequence[Piece], exact: bool = False) -> Piece | None:
    """The line above a table, bold, in capitals or larger, that begins over it (`exact`: at its left end)."""
    em = first_row[0].size
    left, right = min(p.x0 for p in first_row) - 3 * em, max(p.x1 for p in first_row) + 2 * em
    top = min(p.middle for p in first_row)
    if exact:
        left, right = first_row[0].x0 - 1.0 * em, first_row[0].x0 + 1.0 * em
    own = {id(p) for p in first_row}
    best: Piece | None = None
    for piece in items:
        gap = top - piece.middle
        if id(piece) in own or not 0.8 * em < gap < 3.6 * max(em, piece.size) or not left <= piece.x0 <= right or (piece.x1 > right + 6 * em and not exact):
            continue
        text = piece.text
        loud = piece.bold or text.upper() == text or piece.size > 1.1 * em
        if loud and len(piece.words) <= 8 and (best is None or piece.middle > best.middle):
            best = piece
    return best


# ---------------------------------------------------------------- a mark beside each item


def _keys(items: Sequence[Piece]) -> list[Table]:
    """Keys and legends: marks in one line down, each with its item beside it and further lines under the item."""
    lanes = Lanes(items)
    pairs = []
    for i, piece in enumerate(items):
        if len(piece.words) <= 2 and MARK.match(piece.text) and not _note_number(piece.text):
            j = lanes.right_of(i, 16 * piece.size)
            if j is not None and _item_like(items[j]):
                pairs.append(_Pair(i, j))
    return [t for group in _aligned(items, pairs, least=3) if (t := _key_table(items, group)) is not None]


def _note_number(text: str) -> bool:
    label = alone(text)
    return label is not None and label.style != "series" and (bool(label.close) or label.style != "upper")


def _item_like(piece: Piece) -> bool:
    return any(c.isalpha() for c in piece.text) and len(piece.text) > 2


def _aligned(items: Sequence[Piece], pairs: Sequence[_Pair], least: int) -> list[list[_Pair]]:
    """Pairs whose left and right pieces each start at one edge and that follow one another down the sheet."""
    groups: list[list[_Pair]] = []
    for pair in sorted(pairs, key=lambda p: items[p.left].middle):
        left, right = items[pair.left], items[pair.right]
        for group in reversed(groups[-40:]):
            a, b = items[group[-1].left], items[group[-1].right]
            near = left.middle - a.middle < 9 * a.size
            if near and abs(a.x0 - left.x0) < 0.5 * a.size and abs(b.x0 - right.x0) < 0.5 * b.size and left.middle > a.middle + 0.5 * a.size:
                group.append(pair)
                break
        else:
            groups.append([pair])
    return [g for g in groups if len(g) >= least]


def _key_table(items: Sequence[Piece], group: Sequence[_Pair]) -> Table | None:
    marks = [items[p.left] for p in group]
    texts = [items[p.right] for p in group]
    em, edge = texts[0].size, texts[0].x0
    if sum(len(t.words) for t in texts) < 1.5 * len(texts) and not any(m.bold for m in marks):
        return None
    own = {id(p) for p in (*marks, *texts)}
    under = sorted((p for p in items if id(p) not in own and -0.6 * em < p.x0 - edge < 3 * em), key=lambda p: p.middle)
    rows: list[list[list[Piece]]] = []
    for i, (mark, text) in enumerate(zip(marks, texts, strict=True)):
        end = marks[i + 1].middle - 0.5 * em if i + 1 < len(marks) else float("inf")
        lines = [text]
        for piece in under:
            step = piece.middle - lines[-1].middle
            if 0.5 * em < step < 1.75 * em and piece.middle < end and 0.75 < piece.size / em < 1.2:
                lines.append(piece)
        rows.append([[mark], lines])
    title = _title_above(items, marks[:1] + texts[:1])
    return _make(title, ("", ""), _hard_lines(rows))


def _hard_lines(rows: Sequence[list[list[Piece]]]) -> list[list[list[Piece]]]:
    """Lines under an item that were broken on purpose become cells of their own.

    A break is on purpose where the next word had room; where most breaks of a key are, all are taken so.
    """
    right = max(p.x1 for row in rows for p in row[1])
    breaks = [_had_room(above, line, right) for _, lines in rows for above, line in pairwise(lines)]
    mostly = sum(breaks) >= 0.6 * len(breaks)
    out: list[list[list[Piece]]] = []
    for mark, lines in rows:
        cells = [[lines[0]]]
        for above, line in pairwise(lines):
            if mostly or _had_room(above, line, right) or _FRESH.match(line.text):
                cells.append([line])
            else:
                cells[-1].append(line)
        out.append([mark, *cells])
    return out


def _had_room(above: Piece, line: Piece, right: float) -> bool:
    word = line.words[0]
    return right - above.x1 > (word.x1 - word.x0) + 1.6 * above.size


# ---------------------------------------------------------------- "AB = anchor bolt"


def _legends(items: Sequence[Piece]) -> list[Table]:
    """Legend lines in which a mark and its meaning stand in one: "AB = anchor bolt", "HD-2: hold-down, 10 ga."."""
    found = []
    hits = [(p, hit) for p in items if (hit := LEGEND.match(p.text)) and (hit[2] == "=" or any(c.isdigit() for c in hit[1]))]
    stacks: list[list[tuple[Piece, re.Match[str]]]] = []
    for piece, hit in sorted(hits, key=lambda h: h[0].middle):
        for stack in reversed(stacks[-20:]):
            last = stack[-1][0]
            if abs(last.x0 - piece.x0) < 0.5 * piece.size and 0.5 * piece.size < piece.middle - last.middle < 5 * piece.size:
                stack.append((piece, hit))
                break
        else:
            stacks.append([(piece, hit)])
    for stack in stacks:
        if len(stack) >= 3 and (rows := _legend_rows(items, stack)):
            found.append(_make(_title_above(items, [stack[0][0]]), ("", ""), rows))
    return found


def _legend_rows(items: Sequence[Piece], stack: Sequence[tuple[Piece, re.Match[str]]]) -> list[list[list[Piece]]]:
    """Rows of a legend, each with the lines that go on below it; none where other text stands between the lines."""
    rows: list[list[list[Piece]]] = []
    own = {id(piece) for piece, _ in stack}
    first, last = stack[0][0], stack[-1][0]
    between = [p for p in items if id(p) not in own and abs(p.x0 - first.x0) < 4 * first.size and first.middle < p.middle < last.middle + 1.7 * last.size]
    for i, (piece, hit) in enumerate(stack):
        end = stack[i + 1][0].middle if i + 1 < len(stack) else piece.middle + 1.7 * piece.size
        words = piece.words
        count = len(hit[1].split())
        mark = piece_of(words[:count]) if words[count - 1].text == hit[1].split()[-1] else None
        rest = [w for w in words[count:] if w.text != hit[2]]
        if mark is None or not rest:
            return []
        on = [p for p in between if piece.middle < p.middle < end - 0.3 * piece.size]
        if any(p.middle - piece.middle > 1.7 * (k + 1) * piece.size for k, p in enumerate(on)):
            return []
        rows.append([[mark], [piece_of(rest), *on]])
    return rows


# ---------------------------------------------------------------- labels beside values


def _labelled(items: Sequence[Piece]) -> list[Table]:
    """Label and value columns: short labels at one edge, values (of one line or more) at another, each label at its value's first line."""
    lanes = Lanes(items)
    pairs = []
    for i, piece in enumerate(items):
        if len(piece.words) <= LABEL_WORDS and any(c.isalpha() for c in piece.text) and read_label(piece.text) is None:
            j = lanes.right_of(i, 28 * piece.size)
            if j is not None and 0.85 < items[j].size / piece.size < 1.18:
                pairs.append(_Pair(i, j))
    found = []
    for group in _aligned(items, pairs, least=3):
        for run in _close_rows(items, group):
            if len(run) >= 3 and _label_value(items, run):
                rows = _value_rows(items, run)
                found.append(_make(_title_above(items, rows[0][0] + rows[0][1][:1]), ("", ""), rows))
    return found


def _close_rows(items: Sequence[Piece], group: Sequence[_Pair]) -> list[list[_Pair]]:
    """Rows that follow one another: what lies between two labels is filled by the lines of the value."""
    runs: list[list[_Pair]] = [[group[0]]]
    for a, b in pairwise(group):
        em = items[a.left].size
        bottom = _value_lines(items, a, items[b.left].middle)[-1].middle
        if items[b.left].middle - bottom < DOWN * em:
            runs[-1].append(b)
        else:
            runs.append([b])
    return runs


def _value_lines(items: Sequence[Piece], pair: _Pair, end: float) -> list[Piece]:
    """The value's first line and those that go on below it, down to the next label at `end`."""
    value = items[pair.right]
    lines = [value]
    below = (p for p in items if p is not value and value.middle < p.middle < end - 0.4 * value.size and abs(p.x0 - value.x0) < 1.5 * value.size)
    for piece in sorted(below, key=lambda p: p.middle):
        if 0.5 * value.size < piece.middle - lines[-1].middle < 1.75 * value.size:
            lines.append(piece)
    return lines


def _value_rows(items: Sequence[Piece], run: Sequence[_Pair]) -> list[list[list[Piece]]]:
    ends = [*(items[p.left].middle for p in run[1:]), float("inf")]
    return [[[items[pair.left]], _value_lines(items, pair, end)] for pair, end in zip(run, ends, strict=True)]


def _label_value(items: Sequence[Piece], run: Sequence[_Pair]) -> bool:
    """True where a run of pairs reads as labels with values, and its left column holds nothing but labels."""
    left, values = [items[p.left] for p in run], [items[p.right].text for p in run]
    labels = [p.text for p in left]
    own = {id(p) for p in left}
    column = [p for p in items if abs(p.x0 - left[0].x0) < 0.6 * left[0].size and left[0].top - 1 < p.middle < left[-1].bottom + 1]
    others = [p for p in column if id(p) not in own]
    if len(others) > 0.2 * len(run) or sum(bool(_DIGIT.search(t)) for t in labels) > 0.3 * len(labels):
        return False
    colons = sum(t.endswith((":", "=", "-")) for t in labels)
    numbers = sum(bool(_DIGIT.search(v)) for v in values)
    short = sum(len(p.words) for p in left) <= 2.2 * len(left)
    ended = sum(t.endswith((".", ",", ";")) and " " in t for t in labels)
    if ended > 0.3 * len(labels):
        return False
    return colons * 2 >= len(run) or (numbers * 2 >= len(run) and len(run) >= 3) or (short and len(run) >= 5)


# ---------------------------------------------------------------- labels above values


def _alternate(items: Sequence[Piece]) -> list[Table]:
    """Label and value on alternate lines at one edge: three pairs or more."""
    found = []
    for stack in _stacks(items):
        at = 0
        while at + 5 < len(stack):
            run = _pairs_from(stack, at)
            if len(run) >= 3:
                rows = [[[label], [value]] for label, value in run]
                found.append(_make(_title_above(items, [stack[at]]), ("", ""), rows))
                at += 2 * len(run)
            else:
                at += 1
    return found


def _stacks(items: Sequence[Piece]) -> list[list[Piece]]:
    """Lines that stand closely one under another, starting at one edge (values may stand in a little)."""
    stacks: list[list[Piece]] = []
    for piece in sorted(items, key=lambda p: p.middle):
        for stack in reversed(stacks[-30:]):
            last = stack[-1]
            if 0.5 * last.size < piece.middle - last.middle < 2.2 * last.size and abs(piece.x0 - last.x0) < 2.5 * last.size:
                stack.append(piece)
                break
        else:
            stacks.append([piece])
    return [s for s in stacks if len(s) >= 6]


def _pairs_from(stack: Sequence[Piece], at: int) -> list[tuple[Piece, Piece]]:
    run: list[tuple[Piece, Piece]] = []
    for label, value in zip(stack[at::2], stack[at + 1 :: 2], strict=False):
        if not _label_over(label, value) or (run and abs(label.x0 - run[0][0].x0) > 0.6 * label.size):
            break
        run.append((label, value))
    return run


def _label_over(label: Piece, value: Piece) -> bool:
    """True where a short label without figures stands above a value: bold, with a colon, or in capitals over a bare figure."""
    text = label.text
    if len(label.words) > LABEL_WORDS or _DIGIT.search(text) or text.endswith((".", ",")) or read_label(text) or read_label(value.text):
        return False
    if len(value.words) > VALUE_WORDS or not _DIGIT.search(value.text) or value.text.endswith(":"):
        return False
    bare = text.upper() == text and bool(_DIGIT.match(value.text)) and len(value.words) <= 6
    return text.endswith(":") or (label.bold and not value.bold) or bare
