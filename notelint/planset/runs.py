"""Words that stand together on one line of a title block."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy

from notelint.model import Box, Word
from notelint.planset.pieces import along


class Run(NamedTuple):
    """Words of one line without a wide gap, as read."""

    words: tuple[Word, ...]
    text: str
    box: Box
    size: float
    turn: int
    frame: tuple[float, float, float, float]  # u0, v0, u1, v1: along and across the writing

    @property
    def middle(self) -> tuple[float, float]:
        """Centre of the box."""
        return (self.box.x0 + self.box.x1) / 2, (self.box.top + self.box.bottom) / 2


def runs_of(words: Sequence[Word], gap: float = 1.2) -> list[Run]:
    """Lines of words no further apart than `gap` type heights."""
    if not words:
        return []
    frames = along(numpy.array([w[1:5] for w in words], dtype=numpy.float64), numpy.array([w.turn for w in words])).tolist()
    placed = sorted(zip(words, frames, strict=True), key=lambda p: (p[0].turn, p[1][3], p[1][0]))
    out: list[Run] = []
    for level in _levels(placed):
        part: list[tuple[Word, list[float]]] = []
        for word, frame in sorted(level, key=lambda p: p[1][0]):
            if part and frame[0] - part[-1][1][2] > gap * max(word.size, part[-1][0].size):
                out.append(_run(part))
                part = []
            part.append((word, frame))
        out.append(_run(part))
    return out


def _levels(placed: Sequence[tuple[Word, list[float]]]) -> Iterable[list[tuple[Word, list[float]]]]:
    """Words whose feet stand at one height and whose type is alike."""
    left = list(placed)
    while left:
        word, frame = left[0]
        level, rest = [left[0]], []
        for index, (other, at) in enumerate(left[1:], start=1):
            if other.turn != word.turn or at[3] - frame[3] > 0.3 * word.size:
                rest += left[index:]
                break
            (level if abs(other.size - word.size) <= 0.35 * word.size else rest).append((other, at))
        left = rest
        yield level


def _run(part: Sequence[tuple[Word, list[float]]]) -> Run:
    words = tuple(w for w, _ in part)
    texts, x0, top, x1, bottom, sizes, *_ = zip(*words, strict=True)
    u0, v0, u1, v1 = zip(*(f for _, f in part), strict=True)
    box = Box(min(x0), min(top), max(x1), max(bottom))
    return Run(words, " ".join(texts), box, max(sizes), words[0].turn, (min(u0), min(v0), max(u1), max(v1)))


def distance(a: Box, b: Box) -> float:
    """Shortest way between two boxes; 0 where they touch."""
    dx = max(0.0, a.x0 - b.x1, b.x0 - a.x1)
    dy = max(0.0, a.top - b.bottom, b.top - a.bottom)
    return float((dx * dx + dy * dy) ** 0.5)
