"""Which lines of a block begin with a note's number, and where such numbers stand."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from notelint.layout.blocks import Block, Line
from notelint.layout.labels import Label, alone, follows, read_label, starts

BARE = re.compile(r"^(\d{1,3})\s+(?=[A-Z(\"])")
GLUED = re.compile(r"^(\d{1,3})([.,)])(?=\d)")


def numbered_lines(block: Block) -> list[tuple[Label, Line]]:
    """Lines that begin with a number. Marks (HD-2) pass as numbers only in a series of three that counts up from 1 or 0."""
    found = []
    for line in block.lines:
        label = line.label or read_label(line.piece.text)
        if label is not None:
            found.append((label, line))
    found.extend(_glued(block, found))
    found.extend(_bare(block, found))
    found.sort(key=lambda pair: (pair[1].piece.middle, pair[1].x0))
    series = [(label, line) for label, line in found if label.style == "series"]
    real = _is_series(series)
    return [(label, line) for label, line in found if label.style != "series" or real]


def _is_series(found: Sequence[tuple[Label, Line]]) -> bool:
    """True where marks number the notes (G1-1, G1-2, ...): they count up one by one, and are no marks of hardware.

    A prefix with a figure ("G1-") numbers notes; letters alone ("N-", "HD-") do so only from 1 on and before long texts.
    """
    labels = [label for label, _ in found]
    steps = [b.prefix == a.prefix and b.parts[0] - a.parts[0] == 1 for a, b in pairwise(labels)]
    if not labels or not all(steps):
        return False
    if labels[0].prefix[-2:-1].isdigit():
        return len(labels) >= 2
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


def _glued(block: Block, found: Sequence[tuple[Label, Line]]) -> list[tuple[Label, Line]]:
    """Numbers glued to a text that begins with a figure ("201,3,000 psi"): believed beside a neighbour in the same manner."""
    known = {id(line) for _, line in found}
    out = []
    for line in block.lines:
        hit = GLUED.match(line.piece.text) if id(line) not in known else None
        if hit:
            label = Label("number", (int(hit[1]),), hit[2], hit.end(), hit[1])
            alike = (other for other, _ in found if other.close == hit[2] and other.style == "number")
            near = [other for other in alike if abs(other.parts[-1] - int(hit[1])) == 1]
            if near:
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
