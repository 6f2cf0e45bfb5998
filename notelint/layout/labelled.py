"""Labels with values: in two columns side by side, or on alternate lines."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from notelint.layout.aligned import DIGIT, DOWN, Pair, aligned_pairs, make_table, title_above
from notelint.layout.blocks import Lanes
from notelint.layout.labels import alone, read_label
from notelint.layout.pieces import Piece
from notelint.layout.tables import Table

SLACK, ROUGH = 1.18, 1.45  # by which type sizes of a label and its value may differ; those of scanned words waver
LABEL_WORDS, VALUE_WORDS = 6, 12


def labelled_tables(items: Sequence[Piece]) -> list[Table]:
    """Label and value columns: short labels at one edge, values (of one line or more) at another, each label at its value's first line."""
    lanes = Lanes(items)
    pairs = []
    for i, piece in enumerate(items):
        if len(piece.words) <= LABEL_WORDS and any(c.isalpha() for c in piece.text) and read_label(piece.text) is None:
            j = lanes.right_of(i, 28 * piece.size)
            if j is not None and alike(piece, items[j]):
                pairs.append(Pair(i, j))
    found = []
    for group in aligned_pairs(items, pairs, least=3):
        for run in _close_rows(items, group):
            if len(run) >= 3 and _label_value(items, run):
                rows = _value_rows(items, run)
                found.append(make_table(title_above(items, rows[0][0] + rows[0][1][:1]), ("", ""), rows))
    return found


def alike(label: Piece, value: Piece) -> bool:
    """True where two pieces are of one type size."""
    slack = ROUGH if label.words[0].sure < 1.0 or value.words[0].sure < 1.0 else SLACK
    return 1 / slack < value.size / label.size < slack


def _close_rows(items: Sequence[Piece], group: Sequence[Pair]) -> list[list[Pair]]:
    """Rows that follow one another: what lies between two labels is filled by the lines of the value."""
    runs: list[list[Pair]] = [[group[0]]]
    for a, b in pairwise(group):
        em = items[a.left].size
        bottom = _value_lines(items, a, items[b.left].middle)[-1].middle
        if items[b.left].middle - bottom < DOWN * em:
            runs[-1].append(b)
        else:
            runs.append([b])
    return runs


def _value_lines(items: Sequence[Piece], pair: Pair, end: float) -> list[Piece]:
    """The value's first line and those that go on below it, down to the next label at `end`."""
    value = items[pair.right]
    lines = [value]
    under = (p for p in items if p is not value and abs(p.x0 - value.x0) < 1.5 * value.size)
    for piece in sorted((p for p in under if value.middle < p.middle < end - 0.4 * value.size), key=lambda p: p.middle):
        if 0.5 * value.size < piece.middle - lines[-1].middle < 1.75 * value.size:
            lines.append(piece)
    return lines


def _value_rows(items: Sequence[Piece], run: Sequence[Pair]) -> list[list[list[Piece]]]:
    ends = [*(items[p.left].middle for p in run[1:]), float("inf")]
    return [[[items[pair.left]], _value_lines(items, pair, end)] for pair, end in zip(run, ends, strict=True)]


def _label_value(items: Sequence[Piece], run: Sequence[Pair]) -> bool:
    """True where a run of pairs reads as labels with values, and its left column holds nothing but labels."""
    left, values = [items[p.left] for p in run], [items[p.right].text for p in run]
    labels = [p.text for p in left]
    own = {id(p) for p in left}
    column = [p for p in items if abs(p.x0 - left[0].x0) < 0.6 * left[0].size and left[0].top - 1 < p.middle < left[-1].bottom + 1]
    others = [p for p in column if id(p) not in own]
    if _numbers_before(items, left) or _numbers_before(items, [items[p.right] for p in run]):
        return False
    if len(others) > 0.2 * len(run) or sum(bool(DIGIT.search(t)) for t in labels) > 0.3 * len(labels):
        return False
    colons = sum(t.endswith((":", "=", "-")) for t in labels)
    numbers = sum(bool(DIGIT.search(v)) for v in values)
    short = sum(len(p.words) for p in left) <= 2.2 * len(left)
    ended = sum(t.endswith((".", ",", ";")) and " " in t for t in labels)
    if ended > 0.3 * len(labels):
        return False
    return colons * 2 >= len(run) or (numbers * 2 >= len(run) and len(run) >= 3) or (short and len(run) >= 5)


def _numbers_before(items: Sequence[Piece], column: Sequence[Piece]) -> bool:
    """True where numbers of notes hang before a column of texts: its lines belong to notes."""
    em, edge = column[0].size, column[0].x0
    near = (p for p in items if 0 < edge - p.x1 < 4 * em and column[0].top - 3 * em < p.middle < column[-1].bottom + 3 * em)
    return any((label := alone(p.text)) is not None and bool(label.close) and label.style != "series" for p in near)


def alternate_tables(items: Sequence[Piece]) -> list[Table]:
    """Label and value on alternate lines at one edge: three pairs or more."""
    found = []
    for stack in _stacks(items):
        at = 0
        while at + 5 < len(stack):
            run = _pairs_from(stack, at)
            if len(run) >= 3:
                rows = [[[label], [value]] for label, value in run]
                found.append(make_table(title_above(items, [stack[at]]), ("", ""), rows))
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
    if len(label.words) > LABEL_WORDS or DIGIT.search(text) or text.endswith((".", ",")) or read_label(text) or read_label(value.text):
        return False
    if len(value.words) > VALUE_WORDS or not DIGIT.search(value.text) or value.text.endswith(":"):
        return False
    bare = text.upper() == text and bool(DIGIT.match(value.text)) and len(value.words) <= 6
    return text.endswith(":") or (label.bold and not value.bold) or bare
