"""Pieces to lines to blocks: a hanging number joins its text, lines one under another make a block."""

from __future__ import annotations

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from notelint.layout.labels import Label, alone, numbers_notes
from notelint.layout.pieces import Piece, piece_of

HANG = 7.0  # ems from a number to its text at most
STEP = 3.3  # ems from one line to the next of the same block at most
INDENT = 5.0  # ems by which lines of one block may start apart
JOIN = 2.2  # ems of gap closed where no column edge runs through it
LANE = 8.0


class Line(NamedTuple):
    """A line of a block: its words as a piece, and where its text (without the number) starts."""

    piece: Piece
    label: Label | None = None  # a number that stands apart from the text
    text_x0: float | None = None

    @property
    def x0(self) -> float:
        """Left end."""
        return self.piece.x0

    @property
    def size(self) -> float:
        """Type size."""
        return self.piece.size


class Block(NamedTuple):
    """Lines that stand one under another."""

    lines: tuple[Line, ...]

    @property
    def x0(self) -> float:
        """Left end."""
        return min(line.piece.x0 for line in self.lines)

    @property
    def x1(self) -> float:
        """Right end."""
        return max(line.piece.x1 for line in self.lines)

    @property
    def top(self) -> float:
        """Upper end."""
        return self.lines[0].piece.top

    @property
    def bottom(self) -> float:
        """Lower end."""
        return max(line.piece.bottom for line in self.lines)


class Lanes:
    """Pieces by height, to find neighbours on a line without looking at all pieces."""

    def __init__(self, items: Sequence[Piece]) -> None:
        self.items = items
        self.lanes: dict[int, list[tuple[float, int]]] = defaultdict(list)
        for i, piece in enumerate(items):
            self.lanes[int(piece.middle // LANE)].append((piece.x0, i))
        for lane in self.lanes.values():
            lane.sort()

    def right_of(self, i: int, reach: float) -> int | None:
        """The nearest piece to the right on the same line, no further than `reach` points."""
        piece = self.items[i]
        lane = int(piece.middle // LANE)
        best: tuple[float, int] | None = None
        for near in (lane - 1, lane, lane + 1):
            found = self.lanes.get(near, [])
            at = bisect_left(found, (piece.x1 - 0.3 * piece.size, -1))
            for x0, j in found[at : at + 12]:
                if x0 - piece.x1 > reach:
                    break
                other = self.items[j]
                level = abs(other.middle - piece.middle) < 0.42 * max(min(other.size, piece.size), 0.6 * max(other.size, piece.size))
                if j != i and level and (best is None or x0 < best[0]):
                    best = (x0, j)
        return None if best is None else best[1]


def lines_of(items: Sequence[Piece]) -> list[Line]:
    """Pieces (gaps closed) to lines: numbers joined with their text."""
    items = list(items)
    lanes = Lanes(items)
    taken: set[int] = set()
    joined: dict[int, tuple[int, Label]] = {}
    numbers = {int(p.text) for p in items if len(p.words) == 1 and p.text.isdecimal() and len(p.text) <= 3}
    for i, piece in enumerate(items):
        label = alone(piece.text) if len(piece.words) <= 2 else None
        if label is None:
            continue
        j = lanes.right_of(i, HANG * piece.size)
        if j is not None and j not in taken and _hangs(items, i, j, label, numbers):
            joined[i] = (j, label)
            taken.add(j)
    out: list[Line] = []
    for i, piece in enumerate(items):
        if i in joined:
            j, label = joined[i]
            out.append(Line(piece_of((*piece.words, *items[j].words)), label, items[j].x0))
        elif i not in taken:
            out.append(Line(piece))
    return sorted(out, key=lambda line: (line.piece.middle, line.x0))


def _hangs(items: Sequence[Piece], i: int, j: int, label: Label, numbers: set[int]) -> bool:
    """True where piece j is the text of number i: numbers without a closing mark need another number or text in line with them."""
    number, text = items[i], items[j]
    if numbers_notes(label) or (label.close and label.style != "series") or label.style in {"decimal", "bullet"}:
        return text.size < 1.6 * number.size and len(text.words) >= 1
    mates = sum(
        1
        for k in range(max(0, i - 60), min(len(items), i + 60))
        if k != i and abs(items[k].x1 - number.x1) < 0.6 * number.size and len(items[k].words) == 1 and alone(items[k].text)
    )
    if mates >= (3 if label.style == "series" else 1):
        return len(text.words) >= 3
    return label.style == "number" and len(text.words) >= 5 and bool(numbers & {label.parts[0] - 1, label.parts[0] + 1})


def close_gaps(items: Sequence[Piece]) -> list[Piece]:
    """Join neighbours on a line over a gap a little too wide for a space, unless a column's edge stands at its right side."""
    lanes = Lanes(items)
    starts = sorted((p.x0, p.middle) for p in items)
    follow: dict[int, int] = {}
    for i, piece in enumerate(items):
        j = lanes.right_of(i, JOIN * piece.size)
        if j is None or j == i:
            continue
        other = items[j]
        weight = piece.words[-1].bold == other.words[0].bold or (piece.bold and piece.text.endswith((".", ":")))  # a lead is bold alone
        same = 0.85 < other.size / piece.size < 1.18 and weight
        if same and not (alone(piece.text) and len(piece.words) <= 2) and not _edge(starts, other):
            follow[i] = j
    used = set(follow.values())
    out: list[Piece] = []
    for i, piece in enumerate(items):
        if i in used:
            continue
        words = list(piece.words)
        at, seen = i, {i}
        while at in follow and follow[at] not in seen:
            at = follow[at]
            seen.add(at)
            words.extend(items[at].words)
        out.append(piece_of(words) if len(seen) > 1 else piece)
    return out


def _edge(starts: Sequence[tuple[float, float]], piece: Piece) -> bool:
    """True where another line starts at the same left edge within a few lines: the edge of a column."""
    tolerance = 0.35 * piece.size
    at = bisect_left(starts, (piece.x0 - tolerance, float("-inf")))
    for x0, middle in starts[at : at + 200]:
        if x0 > piece.x0 + tolerance:
            return False
        if 0.6 * piece.size < abs(middle - piece.middle) < 5 * piece.size:
            return True
    return False


def blocks(lines: Sequence[Line]) -> list[Block]:
    """Lines linked to the nearest line below that starts (or ends, or centres) in line with them."""
    parent = list(range(len(lines)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, j in _links(lines):
        parent[root(j)] = root(i)
    groups: dict[int, list[Line]] = defaultdict(list)
    for i, line in enumerate(lines):
        groups[root(i)].append(line)
    made = [Block(tuple(sorted(group, key=lambda li: (li.piece.middle, li.x0)))) for group in groups.values()]
    return sorted(made, key=lambda b: (b.top, b.x0))


def _links(lines: Sequence[Line]) -> list[tuple[int, int]]:
    """Pairs (line, nearest fitting line below). Lines come sorted by height; each looks only a few ems down."""
    cell = 60.0
    columns: dict[int, list[int]] = defaultdict(list)
    for j, line in enumerate(lines):
        for c in range(int(line.piece.x0 // cell), int(min(line.piece.x1, line.piece.x0 + 4000) // cell) + 1):
            columns[c].append(j)
    tops = {c: [lines[j].piece.middle for j in members] for c, members in columns.items()}
    pairs: list[tuple[int, int]] = []
    for i, line in enumerate(lines):
        best: tuple[float, int] | None = None
        piece = line.piece
        for c in range(int(piece.x0 // cell), int(min(piece.x1, piece.x0 + 4000) // cell) + 1):
            at = bisect_left(tops[c], piece.middle + 0.3 * piece.size)
            for j in columns[c][at : at + 6]:
                gap = lines[j].piece.middle - piece.middle
                if gap > STEP * max(piece.size, lines[j].size):
                    break
                if _stacks(line, lines[j]):
                    if best is None or gap < best[0]:
                        best = (gap, j)
                    break
        if best is not None:
            pairs.append((i, best[1]))
    return pairs


def _starts(line: Line) -> tuple[float, ...]:
    """Where a line starts: its number, and its text."""
    return (line.x0,) if line.text_x0 is None else (line.x0, line.text_x0)


def _stacks(a: Line, b: Line) -> bool:
    """True where line b stands under line a as part of one block."""
    p, q = a.piece, b.piece
    em = max(p.size, q.size)
    overlap = min(p.x1, q.x1) - max(p.x0, q.x0)
    if overlap <= 0.3 * min(p.x1 - p.x0, q.x1 - q.x0):
        return False
    ratio = p.size / q.size
    if not 0.5 < ratio < 2.0:
        return False
    if min(abs(x - y) for x in _starts(a) for y in _starts(b)) <= INDENT * em:
        return True
    close = q.middle - p.middle < 1.4 * em and overlap > 0.5 * min(p.x1 - p.x0, q.x1 - q.x0) and p.bold == q.bold
    return 0.8 < ratio < 1.25 and (close or abs(p.x1 - q.x1) < 0.8 * em or abs(p.centre - q.centre) < 0.8 * em)
