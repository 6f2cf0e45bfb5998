"""Words to pieces: runs of words on one baseline with ordinary spaces between them.

A piece never bridges two columns or two cells; what belongs together across a wider gap (a hanging number and its
text) is joined later, where the neighbouring lines show whether the gap is a column.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import NamedTuple

from notelint.model import Box, Word

WIDE = 0.9  # ems: a wider gap ends a piece; word spaces are about 0.28 em, justified ones up to some 0.8
SCANNED = 2.1  # ems a letter: the type size that a scanned line's length allows at most (usual letters are some 0.55 em wide)
OPEN_PIECES = 24  # open pieces looked at for a word; keeps heaps of words on one spot from costing quadratic time


class _Piece(NamedTuple):
    words: tuple[Word, ...]
    x0: float
    top: float
    x1: float
    bottom: float
    size: float


class Piece(_Piece):
    """Words of one line with its box in the reading frame (turned text is laid level)."""

    @cached_property
    def text(self) -> str:
        """The words with single spaces."""
        return " ".join(w.text for w in self.words)

    @cached_property
    def middle(self) -> float:
        """Height of the line's middle."""
        return (self.top + self.bottom) / 2

    @property
    def centre(self) -> float:
        """Middle between the ends."""
        return (self.x0 + self.x1) / 2

    @cached_property
    def bold(self) -> bool:
        """True where every word with a letter is bold."""
        return all(w.bold for w in self.words)

    @property
    def box(self) -> Box:
        """The words' box as displayed."""
        return box_of(self.words)


def box_of(words: Iterable[Word]) -> Box:
    """The smallest box around words as displayed; zeros for none."""
    boxes = [(w.x0, w.top, w.x1, w.bottom) for w in words]
    if not boxes:
        return Box(0.0, 0.0, 0.0, 0.0)
    x0, top, x1, bottom = zip(*boxes, strict=True)
    return Box(min(x0), min(top), max(x1), max(bottom))


def level(word: Word) -> tuple[float, float, float, float]:
    """The word's box x0, top, x1, bottom in a frame in which its writing runs from left to right."""
    if word.turn == 90:
        return word.top, -word.x1, word.bottom, -word.x0
    if word.turn == 270:
        return -word.bottom, word.x0, -word.top, word.x1
    if word.turn == 180:
        return -word.x1, -word.bottom, -word.x0, -word.top
    return word.x0, word.top, word.x1, word.bottom


def type_size(word: Word) -> float:
    """Height of the type; the box's height where none is given. Never below 1 point."""
    if word.size > 0:
        return max(word.size, 1.0)
    _, top, _, bottom = level(word)
    return max(bottom - top, 1.0)


def piece_of(words: Sequence[Word]) -> Piece:
    """A piece of words that stand on one line, in the order given.

    Its type size is that of the middle word; in a scan, where a line's box often takes in its neighbours, no more than its length allows.
    """
    boxes = [level(w) for w in words]
    sizes = sorted(type_size(w) for w in words)
    size = sizes[len(sizes) // 2]
    x0, x1 = min(b[0] for b in boxes), max(b[2] for b in boxes)
    letters = sum(len(w.text) for w in words) + len(words) - 1
    if letters > 5 and any(w.sure < 1.0 for w in words):
        size = max(min(size, SCANNED * (x1 - x0) / letters), 1.0)
    return Piece(tuple(words), x0, min(b[1] for b in boxes), x1, max(b[3] for b in boxes), size)


class _Open:
    """A piece that may still grow to the right."""

    __slots__ = ("bottom", "size", "top", "words", "x0", "x1")

    def __init__(self, word: Word, box: tuple[float, float, float, float], size: float) -> None:
        self.words = [word]
        self.x0, self.top, self.x1, self.bottom = box
        self.size = size

    def takes(self, box: tuple[float, float, float, float], size: float, wide: float, bold: bool) -> bool:
        """True where a word follows on this line with no more than an ordinary space (a narrower one where the weight changes)."""
        gap = box[0] - self.x1
        em = max(self.size, size)
        wide = wide if bold == self.words[-1].bold else min(wide, 0.6)
        if gap > wide * min(self.size, size) + 0.05 * em or gap < -0.6 * em:
            return False
        small, large = (size, self.size) if size < self.size else (self.size, size)
        overlap = min(self.bottom, box[3]) - max(self.top, box[1])
        height = min(self.bottom - self.top, box[3] - box[1])
        if small < 0.55 * large:
            return overlap > 0.6 * height and gap < 0.25 * em
        return overlap > 0.5 * height or (height <= 0 and overlap >= 0)

    def add(self, word: Word, box: tuple[float, float, float, float]) -> None:
        self.words.append(word)
        self.x1 = max(self.x1, box[2])
        # the band of the line stays that of its first words, so that a raised digit does not drag it
        if len(self.words) < 4:
            self.top, self.bottom = min(self.top, box[1]), max(self.bottom, box[3])


def pieces(words: Sequence[Word], wide: float = WIDE) -> list[Piece]:
    """Cut words (of one turn) into pieces, top to bottom. Words are swept once from left to right."""
    boxed = sorted(((level(w), type_size(w), w) for w in words), key=lambda b: (b[0][0], b[0][1], b[2].text))
    lanes: dict[int, deque[_Open]] = defaultdict(lambda: deque(maxlen=OPEN_PIECES))
    made: list[_Open] = []
    for box, size, word in boxed:
        lane = int((box[1] + box[3]) // 12)
        best: _Open | None = None
        for near in (lane, lane - 1, lane + 1):
            for item in reversed(lanes.get(near, ())):
                if item.takes(box, size, wide, word.bold) and (best is None or abs(item.x1 - box[0]) < abs(best.x1 - box[0])):
                    best = item
        if best is None:
            best = _Open(word, box, size)
            made.append(best)
            lanes[lane].append(best)
        else:
            best.add(word, box)
    return sorted((piece_of(item.words) for item in made), key=lambda p: (p.top, p.x0))
