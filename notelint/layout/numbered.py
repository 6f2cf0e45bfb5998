"""Which lines of a block begin with a note's number, and where such numbers stand."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

from notelint.layout.blocks import Block, Line
from notelint.layout.labels import Label, alone, follows, numbers_notes, read_label, same_kind, starts

BARE = re.compile(r"^(\d{1,3})\s+(?=[A-Z(\"])")
GLUED = re.compile(r"^\(?(\d{1,3})([.,)])(?=[\d(#])")


def numbered_lines(block: Block, context: Sequence[Label] = ()) -> list[tuple[Label, Line]]:
    """Lines that begin with a number.

    Marks (HD-2) pass as numbers only in a series that counts up; what may as well be a quantity only beside its neighbours, which
    may stand in another column (`context`).
    """
    found = []
    for line in block.lines:
        label = line.label or read_label(line.piece.text)
        if label is not None:
            found.append((label, line))
    found.extend(_glued(block, found, context))
    found.extend(_bare(block, found))
    found.sort(key=lambda pair: (pair[1].piece.middle, pair[1].x0))
    prefixes = {label.prefix for label, _ in found if label.style == "series"}
    real = {p for p in prefixes if _is_series([(label, line) for label, line in found if label.prefix == p], context)}
    return _believed([(label, line) for label, line in found if label.style != "series" or label.prefix in real], context)


def beside(label: Label, context: Iterable[Label]) -> bool:
    """True where the number right before or after stands among the numbers of the sheet, in the same manner."""
    if len(label.parts) == 1 and label.style not in {"bullet", "decimal"}:  # most numbers: those far off need no closer look
        number = label.parts[0]
        context = (c for c in context if 0 < abs(c.parts[0] - number) <= 2)
    return any(not c.weak and same_kind(label, c) and (follows(c, label) or follows(label, c)) for c in context)


def _believed(found: list[tuple[Label, Line]], context: Sequence[Label]) -> list[tuple[Label, Line]]:
    """Numbers without those weak ones that no believed neighbour of the same manner stands before or after."""
    sure = [not label.weak or beside(label, context) for label, _ in found]
    changed = True
    while changed:
        changed = False
        for i, (label, line) in enumerate(found):
            if sure[i]:
                continue
            for j in range(max(0, i - 8), min(len(found), i + 9)):
                other, near = found[j]
                first, second = (other, label) if j < i else (label, other)
                if sure[j] and same_kind(other, label) and follows(first, second) and abs(near.x0 - line.x0) < 0.8 * line.size:
                    sure[i] = changed = True
                    break
    return [pair for pair, kept in zip(found, sure, strict=True) if kept]


def _is_series(found: Sequence[tuple[Label, Line]], context: Sequence[Label]) -> bool:
    """True where marks number the notes (G1-1, G1-2, ...): they count up one by one, and are no marks of hardware.

    A prefix with a figure ("G1-") numbers notes; letters alone ("N-", "HD-") do so only from 1 on and before long texts.
    """
    labels = [label for label, _ in found]
    numbers = bool(labels) and numbers_notes(labels[0])
    steps = [b.parts[0] - a.parts[0] == 1 or (numbers and b.parts[0] == 1) for a, b in pairwise(labels)]
    if not labels or not all(steps):
        return False
    if numbers:
        return len(labels) >= 2 or found[0][1].label is not None or beside(labels[0], context)
    length = sum(len(line.piece.text) for _, line in found) / len(found)
    return len(labels) >= 3 and labels[0].parts[0] <= 1 and len(labels[0].prefix) == 2 and length > 40


def _bare(block: Block, found: Sequence[tuple[Label, Line]]) -> list[tuple[Label, Line]]:
    """Numbers without any mark before a text ("702 Exposure D ..."): believed where three and more count up line by line at one edge."""
    known = {id(line) for _, line in found}
    maybe = [(int(hit[1]), hit, line) for line in block.lines if id(line) not in known and (hit := BARE.match(line.piece.text))]
    chains: list[list[tuple[int, re.Match[str], Line]]] = []
    for one in maybe:
        for chain in chains:
            number, _, line = chain[-1]
            if one[0] == number + 1 and abs(line.x0 - one[2].x0) < 0.6 * line.size:
                chain.append(one)
                break
        else:
            chains.append([one])
    return [(Label("number", (number,), "", hit.end(), hit[1]), line) for chain in chains if len(chain) >= 3 for number, hit, line in chain]


def _glued(block: Block, found: Sequence[tuple[Label, Line]], context: Sequence[Label]) -> list[tuple[Label, Line]]:
    """Numbers glued to a text that begins with a figure ("201,3,000 psi"): believed beside a neighbour in the same manner."""
    known = {id(line) for _, line in found}
    out = []
    for line in block.lines:
        hit = GLUED.match(line.piece.text) if id(line) not in known else None
        if hit and int(hit[1]):  # "0.148" is no note 0
            label = Label("number", (int(hit[1]),), hit[2], hit.end(), hit[1])
            others = (*(other for other, _ in found), *context)
            alike = (other for other in others if other.close == hit[2] and other.style == "number")
            if any(abs(other.parts[-1] - int(hit[1])) == 1 for other in alike):
                out.append((label, line))
    return out


def number_edges(block: Block) -> list[float]:
    """Left edges at which numbers that follow one another stand."""
    edges: list[float] = []
    marked = numbered_lines(block)
    for (a, line_a), (b, line_b) in pairwise(marked):
        if follows(a, b):
            edges.extend((line_a.x0, line_b.x0))
    edges.extend(line.x0 for label, line in marked if line.label is not None or alone(line.piece.text))
    edges.extend(line.x0 for label, line in marked if starts(label))
    return edges


def chained(marked: Sequence[tuple[Label, Line]]) -> set[int]:
    """Lines whose number follows, or is followed by, another one at the same edge."""
    chained: set[int] = set()
    for i, (label, line) in enumerate(marked):
        for other, below in marked[i + 1 : i + 12]:
            if other.style != "bullet" and follows(label, other) and abs(line.x0 - below.x0) < 0.8 * line.size:
                chained.update((id(line), id(below)))
                break
    return chained
