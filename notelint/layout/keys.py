"""Keys and legends: a mark beside each item, or mark and meaning in one line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from notelint.layout.aligned import DIGIT, Pair, aligned_pairs, make_table, title_above
from notelint.layout.blocks import Lanes
from notelint.layout.labels import alone
from notelint.layout.pieces import Piece, piece_of
from notelint.layout.references import INDEX_TITLE, index_line
from notelint.layout.tables import Table

MARK = re.compile(r"^\(?[A-Z]{1,4}[- ]?\d{1,4}(?:\.\d{1,2})?[A-Z]?\)?:?$|^[A-Z][A-Z]?[A-Z.&/'-]{0,8}[.:=]?$")
NUMBERED = re.compile(r"^[A-Z]{1,2}\d{0,2}[a-z]?\.\d{1,2}$")
LEGEND = re.compile(r"^(\(?[A-Z][A-Za-z0-9./&'()-]{0,9}(?: [A-Z0-9.]{1,4})?)\s+(=|-|\u2013|:)\s+(?=\S)")
_FRESH = re.compile(r"^\(\d+\)\s|^[A-Za-z][\w ]{0,20}:\s")  # "(6) 10d ...", "to rafter: ..." begin a statement of their own


def key_tables(items: Sequence[Piece]) -> list[Table]:
    """Keys and legends: marks in one line down, each with its item beside it and further lines under the item."""
    lanes = Lanes(items)
    pairs = []
    for i, piece in enumerate(items):
        if len(piece.words) <= 2 and MARK.match(piece.text) and not _note_number(piece.text):
            j = lanes.right_of(i, 16 * max(piece.size, 7.0))
            if j is None:
                j = _at_half(items, piece)
            if j is not None and _item_like(items[j]):
                pairs.append(Pair(i, j))
    return [t for group in aligned_pairs(items, pairs, least=3, centred=True) if (t := _key_table(items, group)) is not None]


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
    if not any(DIGIT.search(m.text) for m in marks) and _other_labels(items, marks, texts):
        return None
    own = {id(p) for p in (*marks, *texts)}
    under = sorted((p for p in items if id(p) not in own and -0.6 * em < p.x0 - edge < 3 * em), key=lambda p: p.middle)
    rows = _downward(marks, texts, under, em)
    if not _level(marks, texts, under, em):
        rows = _halfway(marks, sorted([*texts, *under], key=lambda p: p.middle), em) or rows
    told = sum(row[1][-1].text.endswith(".") for row in rows)
    if all(NUMBERED.match(m.text) for m in marks) and 2 * told > len(rows):
        return None  # sentences with numbers of a sheet's own ("A2.01") are notes
    title = title_above(items, marks[:1] + texts[:1])
    return make_table(title, ("", ""), _hard_lines(rows))


def _at_half(items: Sequence[Piece], mark: Piece) -> int | None:
    """The upper one of two lines right of a mark that stands between them, at half the height of its item; by index."""
    reach = 16 * max(mark.size, 7.0)
    near = [(p.x0, p.middle, j) for j, p in enumerate(items) if 0 < p.x0 - mark.x1 < reach and abs(p.middle - mark.middle) < 0.9 * p.size]
    over = [one for one in near if one[1] < mark.middle]
    return next((j for x0, _, j in sorted(over) if any(abs(x0 - x) < 1.0 and y > mark.middle for x, y, _ in near)), None)


def _other_labels(items: Sequence[Piece], marks: Sequence[Piece], texts: Sequence[Piece]) -> bool:
    """True where labels that are no marks stand among them, each with its own text: labels with values rather than a key."""
    own = {id(m) for m in marks}
    top, bottom = marks[0].middle, marks[-1].middle
    others = [p for p in items if id(p) not in own and abs(p.x0 - marks[0].x0) < 0.5 * p.size and top < p.middle < bottom]
    return any(abs(p.middle - o.middle) < 0.3 * o.size and abs(p.x0 - texts[0].x0) < 0.5 * p.size for o in others for p in items)


def _level(marks: Sequence[Piece], texts: Sequence[Piece], under: Sequence[Piece], em: float) -> bool:
    """True where every mark stands level with the first line of its item: none is off its line, and no line goes right before the first."""
    off = any(abs(m.middle - t.middle) > 0.3 * em for m, t in zip(marks, texts, strict=True))
    before = any(0.5 * em < texts[0].middle - p.middle < 1.45 * em and p.bold == texts[0].bold and not _loud(p) for p in under)
    return not off and not before


def _loud(piece: Piece) -> bool:
    return piece.text.upper() == piece.text and len(piece.words) <= 5


def _downward(marks: Sequence[Piece], texts: Sequence[Piece], under: Sequence[Piece], em: float) -> list[list[list[Piece]]]:
    """Rows of a key whose marks stand at the first line of their items."""
    rows: list[list[list[Piece]]] = []
    for i, (mark, text) in enumerate(zip(marks, texts, strict=True)):
        end = marks[i + 1].middle - 0.5 * em if i + 1 < len(marks) else float("inf")
        lines = [text]
        for piece in under:
            step = piece.middle - lines[-1].middle
            if 0.5 * em < step < 1.75 * em and piece.middle < end and 0.75 < piece.size / em < 1.2:
                lines.append(piece)
        rows.append([[mark], lines])
    return rows


def _halfway(marks: Sequence[Piece], lines: Sequence[Piece], em: float) -> list[list[list[Piece]]]:
    """Rows of a key whose marks stand at half the height of their items; none where they do not.

    The lines are shared out in order, so that the middle of each item's lines comes nearest to its mark's.
    """
    rows: list[list[list[Piece]]] = []
    at = 0
    for i, mark in enumerate(marks):
        reach = marks[i + 1].middle if i + 1 < len(marks) else float("inf")
        best: tuple[float, int, int] | None = None
        for start in range(at, len(lines) if not rows else min(at + 1, len(lines))):
            for end in range(start + 1, min(start + 12, len(lines)) + 1):
                if lines[end - 1].middle >= reach or (end - start > 1 and lines[end - 1].middle - lines[end - 2].middle > 1.75 * em):
                    break
                off = abs((lines[start].middle + lines[end - 1].middle) / 2 - mark.middle)
                if best is None or off < best[0] - 0.05 * em or (off < best[0] + 0.05 * em and end - start > best[2] - best[1]):
                    best = (off, start, end)
        if best is None or best[0] > 0.3 * em:
            return []
        rows.append([[mark], list(lines[best[1] : best[2]])])
        at = best[2]
    return rows if any(len(item) > 1 for _, item in rows) else []


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


def index_tables(items: Sequence[Piece]) -> list[Table]:
    """Lists of sheets: lines of number and title one under another, under a title that says so."""
    hits = [(p, line) for p in items if len(p.words) > 1 and (line := index_line(p.text)) and line.start == 0 and line.title]
    found: list[Table] = []
    stack: list[Piece] = []
    for piece, _ in [*sorted(hits, key=lambda h: (round(h[0].x0 / 4), h[0].middle)), (None, None)]:
        last = stack[-1] if stack else None
        on = piece is not None and last is not None and abs(piece.x0 - last.x0) < 2 and 0.5 < (piece.middle - last.middle) / last.size < 2.6
        if last is not None and not on:
            title = title_above(items, stack[:1])
            if len(stack) >= 3 and title is not None and INDEX_TITLE.search(title.text):
                found.append(make_table(title, ("", ""), [[[piece_of(p.words[:1])], [piece_of(p.words[1:])]] for p in stack]))
            stack = []
        if piece is not None:
            stack.append(piece)
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
