"""Keys and legends: a mark beside each item, or mark and meaning in one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from notelint.layout.aligned import Pair, aligned_pairs, make_table, title_above
from notelint.layout.blocks import Lanes
from notelint.layout.labels import alone
from notelint.layout.pieces import Piece, piece_of
from notelint.layout.tables import Table

MARK = re.compile(r"^\(?[A-Z]{1,4}[- ]?\d{1,4}[A-Z]?\)?:?$|^[A-Z][A-Z]?[A-Z.&/'-]{0,8}[.:=]?$")
LEGEND = re.compile(r"^(\(?[A-Z][A-Za-z0-9./&'()-]{0,9}(?: [A-Z0-9.]{1,4})?)\s+(=|-|\u2013|:)\s+(?=\S)")
_FRESH = re.compile(r"^\(\d+\)\s|^[A-Za-z][\w ]{0,20}:\s")  # "(6) 10d ...", "to rafter: ..." begin a statement of their own


def key_tables(items: Sequence[Piece]) -> list[Table]:
    """Keys and legends: marks in one line down, each with its item beside it and further lines under the item."""
    lanes = Lanes(items)
    pairs = []
    for i, piece in enumerate(items):
        if len(piece.words) <= 2 and MARK.match(piece.text) and not _note_number(piece.text):
            j = lanes.right_of(i, 16 * piece.size)
            if j is not None and _item_like(items[j]):
                pairs.append(Pair(i, j))
    return [t for group in aligned_pairs(items, pairs, least=3) if (t := _key_table(items, group)) is not None]


def _note_number(text: str) -> bool:
    label = alone(text)
    return label is not None and label.style != "series" and (bool(label.close) or label.style != "upper")


def _item_like(piece: Piece) -> bool:
    return any(c.isalpha() for c in piece.text) and len(piece.text) > 2


def _key_table(items: Sequence[Piece], group: Sequence[Pair]) -> Table | None:
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
    title = title_above(items, marks[:1] + texts[:1])
    return make_table(title, ("", ""), _hard_lines(rows))


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


def legend_tables(items: Sequence[Piece]) -> list[Table]:
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
            found.append(make_table(title_above(items, [stack[0][0]]), ("", ""), rows))
    return found


def _legend_rows(items: Sequence[Piece], stack: Sequence[tuple[Piece, re.Match[str]]]) -> list[list[list[Piece]]]:
    """Rows of a legend, each with the lines that go on below it; none where other text stands between the lines."""
    rows: list[list[list[Piece]]] = []
    own = {id(piece) for piece, _ in stack}
    first, last = stack[0][0], stack[-1][0]
    bottom = last.middle + 1.7 * last.size
    between = [p for p in items if id(p) not in own and abs(p.x0 - first.x0) < 4 * first.size and first.middle < p.middle < bottom]
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
